"""What an electrics file may say: battery bank, panels, alternator, generators, the charging rule and every load."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import AfterValidator, Field

from passage.inputs.toml import Measured, Misfit, Misfits, Name, Section, each_its_own
from passage.units import written

if TYPE_CHECKING:
    from collections.abc import Iterator

ELECTRICS_FILE = "electrics.toml"
WATERMAKER = "watermaker"
SYSTEMS_V = ((11.0, 15.0), (22.0, 30.0))  # what a 12 V and a 24 V bank may call itself, lead or lithium

Chemistry = Literal["lead", "AGM", "lithium"]
Mount = Literal["flat", "ahead", "astern", "port", "starboard", "both rails"]
When = Literal[
    "always", "night", "day", "on watch", "under way", "sailing", "motoring", "hove to", "at anchor", "not motoring"
]
DARK_OR_LIGHT = ("night", "day", "on watch")


class Battery(Section):
    """The house bank. ``usable_share``: None for the custom of its chemistry; ``health_share``: what age has left of
    the nominal capacity.
    """

    chemistry: Chemistry
    capacity_ah: Annotated[float, Measured("charge", 10, 3000)]
    voltage_v: Annotated[float, Measured("voltage", 6, 60)]
    usable_share: Annotated[float, Measured("share", 0.1, 1)] | None = None
    health_share: Annotated[float, Measured("share", 0.2, 1)] = 1.0

    def misfits(self) -> Iterator[Misfit]:
        if not any(low <= self.voltage_v <= high for low, high in SYSTEMS_V):
            wanted = "a bank here is of 12 V (11 to 15) or of 24 V (22 to 30)"
            yield Misfit(("voltage",), written(self.voltage_v, "voltage"), wanted)


class Departure(Section):
    """How full the battery is when the lines are let go: full after shore power, or as stated."""

    shore_power: bool = False
    charge_share: Annotated[float, Measured("share", 0.1, 1)] | None = None

    @property
    def start_share(self) -> float:
        """Share of a full battery at departure; without a word about it nine tenths."""
        return 1.0 if self.shore_power else self.charge_share or 0.9

    def misfits(self) -> Iterator[Misfit]:
        if self.shore_power and self.charge_share is not None:
            found = "shore power and a charge"
            yield Misfit(("charge",), found, "shore power leaves the battery full; keep one of the two")


class Panel(Section):
    """One solar panel, or a pair: ``both rails`` shares the power between the two sides. ``tilt_deg``: from flat."""

    name: Name
    power_w: Annotated[float, Measured("power", 5, 1000)]
    mount: Mount = "flat"
    tilt_deg: Annotated[float, Measured("angle", 0, 90)] = 0.0
    shading_share: Annotated[float, Measured("share", 0, 0.9)] = 0.1

    def misfits(self) -> Iterator[Misfit]:
        if self.mount == "flat" and self.tilt_deg > 0:
            found = written(self.tilt_deg, "angle")
            wanted = 'a flat panel has none; say where it faces: mount = "astern"'
            yield Misfit(("tilt",), found, wanted)
        if self.mount != "flat" and self.tilt_deg == 0:
            yield Misfit(("tilt",), "no tilt", f'a panel that faces "{self.mount}" leans that way: tilt = "20 deg"')


class Solar(Section):
    """What all panels share. ``heel_deg``: how far she lies over in a fresh wind abeam."""

    controller: Literal["MPPT", "PWM"] = "MPPT"
    wiring_loss_share: Annotated[float, Measured("share", 0, 0.3)] = 0.03
    heel_deg: Annotated[float, Measured("angle", 0, 35)] = 12.0


class Alternator(Section):
    """What it delivers hot, hour after hour, at the battery; ``consumption_l_h``: the engine when only charging."""

    current_a: Annotated[float, Measured("current", 5, 400)]
    voltage_v: Annotated[float, Measured("voltage", 11, 30)]
    consumption_l_h: Annotated[float, Measured("flow", 0.2, 20)]

    @property
    def power_w(self) -> float:
        return self.current_a * self.voltage_v


class Charging(Section):
    """The rule for running the engine only to charge: below ``start_below_share`` for ``run_h``, and ``daily_h``
    every morning whatever the battery says.
    """

    start_below_share: Annotated[float, Measured("share", 0, 0.95)] = 0.0
    run_h: Annotated[float, Measured("duration", 0.25, 12)] = 1.0
    daily_h: Annotated[float, Measured("duration", 0, 12)] = 0.0


class SpeedPoint(Section):
    """One point of a generator's curve; ``speed_kn`` is of the boat or of the apparent wind."""

    speed_kn: Annotated[float, Measured("speed", 0, 80)]
    power_w: Annotated[float, Measured("power", 0, 2000)]


def _rising(points: tuple[SpeedPoint, ...]) -> tuple[SpeedPoint, ...]:
    """The points themselves where their speeds rise."""
    misfits = [
        Misfit((index, "speed"), written(here.speed_kn, "speed"), "speeds must rise from point to point")
        for index, (before, here) in enumerate(pairwise(points), 1)
        if here.speed_kn <= before.speed_kn
    ]
    if misfits:
        raise Misfits(misfits)
    return points


Curve = Annotated[tuple[SpeedPoint, ...], AfterValidator(_rising)]


class Generator(Section):
    """Power by speed, straight between the points, nothing below the first, the last one's above it."""

    curve: Curve = Field(strict=False, min_length=2, max_length=40)


Price = Annotated[float, Field(ge=0, le=1e4, strict=False)]


class Prices(Section):
    """What the remedies cost, in whatever money; left out, they are told without."""

    panel_watt: Price | None = None
    fuel_litre: Price | None = None


class WatchHours(Section):
    """Hours of ship's (solar) time in which a watch is kept, for the loads that are on only then."""

    from_hour: int = Field(0, ge=0, le=23)
    to_hour: int = Field(24, ge=1, le=24)


class Load(Section):
    """One thing that draws current.

    power_w, or current_a with voltage_v. How much of the time it is on while ``when`` holds: always, or ``duty_share``
    of it; or, spread over the 24 hours, hours_per_day_h, or times_a_day with each_h, or water_l_per_day at output_l_h.
    rough_power_w: in a rough sea, for an autopilot. needed: never to be switched off. reef_to_share: what is left of
    it when the crew saves.
    """

    name: Name
    power_w: Annotated[float, Measured("power", 0, 5000)] | None = None
    current_a: Annotated[float, Measured("current", 0, 400)] | None = None
    voltage_v: Annotated[float, Measured("voltage", 5, 250)] | None = None
    when: When = "always"
    duty_share: Annotated[float, Measured("share", 0, 1)] | None = None
    hours_per_day_h: Annotated[float, Measured("duration", 0, 24)] | None = None
    times_a_day: float | None = Field(None, gt=0, le=1000)
    each_h: Annotated[float, Measured("duration", 0, 24)] | None = None
    water_l_per_day: Annotated[float, Measured("daily volume", 0, 500)] | None = None
    output_l_h: Annotated[float, Measured("flow", 0.5, 500)] | None = None
    rough_power_w: Annotated[float, Measured("power", 0, 5000)] | None = None
    needed: bool = False
    reef_to_share: Annotated[float, Measured("share", 0, 0.95)] | None = None

    @property
    def watts(self) -> float:
        """What it draws while it is on."""
        return self.power_w if self.power_w is not None else (self.current_a or 0.0) * (self.voltage_v or 0.0)

    @property
    def hours_a_day(self) -> float | None:
        """Hours on in 24, where the file counts by the day; may exceed 24 until it is checked."""
        if self.hours_per_day_h is not None:
            return self.hours_per_day_h
        if self.times_a_day is not None and self.each_h is not None:
            return self.times_a_day * self.each_h
        if self.water_l_per_day is not None and self.output_l_h is not None:
            return self.water_l_per_day / self.output_l_h
        return None

    @property
    def on_share(self) -> float:
        """Share of the time it is on while ``when`` holds."""
        hours = self.hours_a_day
        if hours is not None:
            return hours / 24.0
        return 1.0 if self.duty_share is None else self.duty_share

    def misfits(self) -> Iterator[Misfit]:
        yield from self._power_misfits()
        yield from self._pair_misfits()
        yield from self._duty_misfits()

    def _power_misfits(self) -> Iterator[Misfit]:
        if self.power_w is not None and self.current_a is not None:
            yield Misfit(("current",), "both power and current", "keep one of the two")
        if self.power_w is None and self.current_a is None:
            yield Misfit(("power",), "missing", 'add a line such as power = "60 W", or current and voltage')
        if self.current_a is not None and self.voltage_v is None:
            found = f"{written(self.current_a, 'current')} without a voltage"
            yield Misfit(("current",), found, 'add a line such as voltage = "12 V"')
        if self.current_a is None and self.voltage_v is not None:
            yield Misfit(("voltage",), "a voltage without a current", "it is used with current only")
        if self.rough_power_w is not None and self.rough_power_w < self.watts:
            found, least = written(self.rough_power_w, "power"), written(self.watts, "power")
            yield Misfit(("rough_power",), found, f"it cannot be less than in smooth water, {least}")

    def _pair_misfits(self) -> Iterator[Misfit]:
        for one, other in (("times_a_day", "each_h"), ("water_l_per_day", "output_l_h")):
            for given, lacking in ((one, other), (other, one)):
                if getattr(self, given) is not None and getattr(self, lacking) is None:
                    fields = type(self).model_fields
                    key, needs = fields[given].alias or given, fields[lacking].alias or lacking
                    yield Misfit((key,), f"{key} without {needs}", f"add {needs}")

    def _duty_misfits(self) -> Iterator[Misfit]:
        ways = ("duty_share", "hours_per_day_h", "times_a_day", "water_l_per_day")
        given = [type(self).model_fields[way].alias or way for way in ways if getattr(self, way) is not None]
        if len(given) > 1:
            yield Misfit((given[1],), f"{' and '.join(given)}", "say in one way only how long it is on")
        hours = self.hours_a_day
        if hours is not None and hours > 24.0:
            yield Misfit((given[0],), f"{hours:.4g} h on in a day", "a day has 24 h")
        if hours is not None and self.when in DARK_OR_LIGHT:
            wanted = f'with when = "{self.when}" give duty, a share of those hours'
            yield Misfit((given[0],), "hours counted by the day", wanted)


class Electrics(Section):
    """The whole electrics file."""

    battery: Battery
    departure: Departure = Departure()
    panels: Annotated[tuple[Panel, ...], AfterValidator(each_its_own("name"))] = Field((), alias="panel", strict=False)
    solar: Solar = Solar()
    alternator: Alternator | None = None
    charging: Charging | None = None
    towed_generator: Generator | None = None
    wind_generator: Generator | None = None
    watch: WatchHours = WatchHours()
    prices: Prices = Prices()
    loads: Annotated[tuple[Load, ...], AfterValidator(each_its_own("name"))] = Field(
        alias="load", strict=False, min_length=1
    )

    @property
    def panels_w(self) -> float:
        """Rated power of all panels together, watts."""
        return sum(panel.power_w for panel in self.panels)

    @property
    def counts_watermaker(self) -> bool:
        """Whether one of its own loads is the watermaker: counted by litres, or called so."""
        return any(load.water_l_per_day is not None or load.name == WATERMAKER for load in self.loads)

    def with_watermaker(self, energy_wh_per_day: float) -> Electrics:
        """The same with the watermaker of the stores file among the loads, spread over the day. A load of this file
        that is the watermaker already stays and is counted alone.
        """
        if energy_wh_per_day <= 0.0 or self.counts_watermaker:
            return self
        load = Load(name=WATERMAKER, power_w=energy_wh_per_day / 24.0)
        return self.model_copy(update={"loads": (*self.loads, load)})

    def misfits(self) -> Iterator[Misfit]:
        if self.charging is not None and self.alternator is None:
            yield Misfit(("charging",), "a charging rule without an alternator", "add a table [alternator]")
