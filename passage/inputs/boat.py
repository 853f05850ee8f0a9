"""What a boat file may say: hull, polar, helm, engine and tanks."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal, Self

from pydantic import AfterValidator, Field, model_validator

from passage.inputs.toml import Measured, Misfit, Name, NamedFile, Section, each_its_own
from passage.units import written

if TYPE_CHECKING:
    from collections.abc import Iterator

WATER_KG_PER_L, DIESEL_KG_PER_L = 1.0, 0.84  # in the tanks


UNNAMED = "My boat"


class Hull(Section):
    """The hull and rig as measured, ready for sea. ``payload_kg``: what the maker lets her carry, if known;
    ``not_measured``: keys whose figures were told from her length alone; ``units``: what is printed, whatever the files
    are written in.
    """

    name: Name
    rig: str = Field("", max_length=80)
    length_overall_m: Annotated[float, Measured("length", 4, 30)]
    waterline_length_m: Annotated[float, Measured("length", 3, 30)]
    beam_m: Annotated[float, Measured("length", 1, 12)]
    draught_m: Annotated[float, Measured("length", 0.2, 5)] | None = None
    displacement_kg: Annotated[float, Measured("mass", 300, 100_000)]
    sail_area_m2: Annotated[float, Measured("area", 5, 500)]
    headsail_area_m2: Annotated[float, Measured("area", 2, 300)] | None = None
    spinnaker_area_m2: Annotated[float, Measured("area", 5, 800)] | None = None
    spinnaker_asymmetric: bool = False
    masthead_height_m: Annotated[float, Measured("length", 3, 40)] | None = None
    payload_kg: Annotated[float, Measured("mass", 100, 50_000)] | None = None
    not_measured: Annotated[tuple[Name, ...], Field(strict=False)] = ()
    units: Literal["metric", "us"] = "metric"

    @property
    def named(self) -> bool:
        """Whether her name is her own, and not the one that stands in the files of a new boat."""
        return self.name != UNNAMED

    @property
    def hull_speed_kn(self) -> float:
        """Speed, knots, of the deep-water wave as long as the waterline: sqrt(g L / 2 pi) = 2.43 sqrt(L)."""
        return float(2.43 * self.waterline_length_m**0.5)

    def misfits(self) -> Iterator[Misfit]:
        length = written(self.length_overall_m, "length")
        if self.waterline_length_m > self.length_overall_m:
            found = written(self.waterline_length_m, "length")
            yield Misfit(("waterline_length",), found, f"it cannot exceed the length overall, {length}")
        if self.beam_m >= self.length_overall_m:
            yield Misfit(
                ("beam",), written(self.beam_m, "length"), f"it must be less than the length overall, {length}"
            )
        if self.headsail_area_m2 is not None and self.headsail_area_m2 >= self.sail_area_m2:
            sails = written(self.sail_area_m2, "area")
            found = written(self.headsail_area_m2, "area")
            yield Misfit(("headsail_area",), found, f"it is a part of sail_area, {sails}, which the mainsail is in too")
        if self.payload_kg is not None and self.payload_kg >= self.displacement_kg:
            displaced = written(self.displacement_kg, "mass")
            yield Misfit(
                ("payload",), written(self.payload_kg, "mass"), f"it must be less than the displacement, {displaced}"
            )


class PolarChoice(Section):
    """Where boat speeds come from: a table in ``file`` (a path), or an estimate from the hull figures."""

    file: NamedFile | None = None
    estimate: bool = False
    tacking_loss_share: Annotated[float, Measured("share", 0, 0.3)] = 0.03

    def misfits(self) -> Iterator[Misfit]:
        if self.file is None and not self.estimate:
            yield Misfit((), "no boat speeds", 'give either file = "polar.csv" or estimate = true')
        if self.file is not None and self.estimate:
            yield Misfit(("estimate",), "both a file and an estimate", "keep one of the two")


class AtSea(Section):
    """What sea, crew and time take from smooth-water speeds, effect by effect (``crossings/at_sea.py``).

    ``reckoned``: None stands for an estimate yes, a table of her own no. Shares: ``waves`` of the added resistance;
    ``sail_carried`` of the righting moment; ``on_rail`` of a racing crew; ``fouling``, ``propeller`` and ``windage``
    are added.
    """

    reckoned: bool | None = None
    waves_share: Annotated[float, Measured("share", 0, 2)] = 1.0
    sail_carried_share: Annotated[float, Measured("share", 0.3, 1)] = 0.75
    on_rail_share: Annotated[float, Measured("share", 0, 1)] = 0.0
    fouling_share: Annotated[float, Measured("share", 0, 1)] = 0.15
    propeller_share: Annotated[float, Measured("share", 0, 1)] = 0.2
    windage_share: Annotated[float, Measured("share", 0, 2)] = 0.3
    leeway: bool = True
    wave_drift: bool = True
    slatting_below_kn: Annotated[float, Measured("speed", 0, 8)] = 3.0
    pole: bool = True
    spinnaker_up_to_kn: Annotated[float, Measured("speed", 0, 80)] = 12.0


class Helm(Section):
    """What this crew does with this boat in strong wind, at night, in calms and off the landfall.

    ``performance_mean_share`` and ``performance_sd_share``: mean and standard deviation over
    crossings of her speed as a share of her polar; ``night_speed_share``: the same for reefed nights;
    ``first_days_speed_share``: the same for the first ``first_days_h`` hours out, until the crew has settled in.
    ``engine_below_kn`` is boat speed.
    """

    gust_factor: float = Field(1.4, ge=1, le=2.5)
    gust_limit_kn: Annotated[float, Measured("speed", 15, 80)] = 40.0
    gust_resume_kn: Annotated[float, Measured("speed", 10, 80)] = 34.0
    hove_to_drift_kn: Annotated[float, Measured("speed", 0, 4)] = 1.0
    running_off_speed_kn: Annotated[float, Measured("speed", 0, 12)] = 4.0
    night_speed_share: Annotated[float, Measured("share", 0.3, 1)] = 0.9
    first_days_h: Annotated[float, Measured("duration", 0, 240)] = 48.0
    first_days_speed_share: Annotated[float, Measured("share", 0.3, 1)] = 0.95
    performance_mean_share: Annotated[float, Measured("share", 0.4, 1.2)] = 0.9
    performance_sd_share: Annotated[float, Measured("share", 0, 0.3)] = 0.08
    motoring: bool = True
    engine_below_kn: Annotated[float, Measured("speed", 0, 6)] = 2.0
    engine_after_h: Annotated[float, Measured("duration", 0, 240)] = 3.0
    stand_off: bool = True

    def misfits(self) -> Iterator[Misfit]:
        if self.gust_resume_kn >= self.gust_limit_kn:
            limit = written(self.gust_limit_kn, "speed")
            found = written(self.gust_resume_kn, "speed")
            yield Misfit(("gust_resume",), found, f"it must be below gust_limit, {limit}")


class Engine(Section):
    """The engine at its cruising speed in flat water. ``full_speed_kn``: the most it makes there, if known."""

    cruising_speed_kn: Annotated[float, Measured("speed", 1, 12)]
    consumption_l_h: Annotated[float, Measured("flow", 0.1, 30)]
    full_speed_kn: Annotated[float, Measured("speed", 1, 15)] | None = None

    def misfits(self) -> Iterator[Misfit]:
        if self.full_speed_kn is not None and self.full_speed_kn < self.cruising_speed_kn:
            cruising = written(self.cruising_speed_kn, "speed")
            found = written(self.full_speed_kn, "speed")
            yield Misfit(("full_speed",), found, f"it cannot be less than cruising_speed, {cruising}")


class Tank(Section):
    """One tank or one set of cans. ``unusable_l``: what the pump cannot reach; ``filled_share``: at departure."""

    name: Name
    capacity_l: Annotated[float, Measured("volume", 1, 20_000)]
    unusable_l: Annotated[float, Measured("volume", 0, 1000)] = 0.0
    filled_share: Annotated[float, Measured("share", 0, 1)] = 1.0

    @property
    def usable_l(self) -> float:
        """What can be drawn from it at departure, litres."""
        return max(self.capacity_l * self.filled_share - self.unusable_l, 0.0)

    def misfits(self) -> Iterator[Misfit]:
        if self.unusable_l >= self.capacity_l:
            capacity = written(self.capacity_l, "volume")
            yield Misfit(
                ("unusable",), written(self.unusable_l, "volume"), f"it must be less than capacity, {capacity}"
            )


Tanks = Annotated[tuple[Tank, ...], AfterValidator(each_its_own("name"))]


class Fuel(Section):
    """What fuel is set aside for: motoring in calms, and the landfall, which is never motored away in calms."""

    calms_allowance_l: Annotated[float, Measured("volume", 0, 5000)] = 0.0
    landfall_reserve_l: Annotated[float, Measured("volume", 0, 5000)] = 0.0


class EmergencyWater(Section):
    """Sealed water for the raft or the grab bag; never counted among the stores."""

    volume_l: Annotated[float, Measured("volume", 0, 500)] = 0.0


class Boat(Section):
    """The whole boat file. ``engine`` is None for a boat without one."""

    hull: Hull = Field(alias="boat")
    polar: PolarChoice
    at_sea: AtSea = AtSea()
    helm: Helm = Helm()
    engine: Engine | None = None
    fuel_tanks: Tanks = Field((), alias="fuel_tank", strict=False)
    fuel: Fuel = Fuel()
    water_tanks: Tanks = Field(alias="water_tank", strict=False, min_length=1)
    emergency_water: EmergencyWater = EmergencyWater()

    @model_validator(mode="after")
    def _no_propeller_without_an_engine(self) -> Self:
        """Unless the file gives one its drag."""
        if self.engine is None and "propeller_share" not in self.at_sea.model_fields_set:
            object.__setattr__(self, "at_sea", self.at_sea.model_copy(update={"propeller_share": 0.0}))
        return self

    @property
    def reckons_sea(self) -> bool:
        """Whether the effects of the sea are taken from her polar."""
        return self.polar.estimate if self.at_sea.reckoned is None else self.at_sea.reckoned

    @property
    def usable_fuel_l(self) -> float:
        """Fuel that can be drawn at departure, litres."""
        return sum(tank.usable_l for tank in self.fuel_tanks)

    @property
    def usable_water_l(self) -> float:
        """Water that can be drawn at departure, litres; the emergency water apart."""
        return sum(tank.usable_l for tank in self.water_tanks)

    def misfits(self) -> Iterator[Misfit]:
        yield from self._tanks_bigger_than_she_is()
        set_aside = self.fuel.calms_allowance_l + self.fuel.landfall_reserve_l
        if set_aside > self.usable_fuel_l:
            found = f"{written(set_aside, 'volume')} for calms and landfall together"
            yield Misfit(("fuel",), found, f"the tanks give {written(self.usable_fuel_l, 'volume')}")
        if self.engine is None and self.fuel.calms_allowance_l > 0:
            yield Misfit(("fuel", "calms_allowance"), "fuel for motoring without an engine", "add a table [engine]")

    def _tanks_bigger_than_she_is(self) -> Iterator[Misfit]:
        displacement_kg = self.hull.displacement_kg
        for key, tanks, kg_per_l in (
            ("water_tank", self.water_tanks, WATER_KG_PER_L),
            ("fuel_tank", self.fuel_tanks, DIESEL_KG_PER_L),
        ):
            for number, tank in enumerate(tanks):
                full_kg = tank.capacity_l * kg_per_l
                if full_kg > displacement_kg:
                    found = f"{written(tank.capacity_l, 'volume')}, which weighs {written(round(full_kg), 'mass')}"
                    wanted = f"the whole boat displaces {written(displacement_kg, 'mass')}; mend one of the two"
                    yield Misfit((key, number, "capacity"), found, wanted)
