"""What a gear file may say of sails and rig: each sail's area, where it sets, its reefs, and the winds it is for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field

from passage.inputs.toml import Measured, Misfit, Name, Section
from passage.units import written

if TYPE_CHECKING:
    from collections.abc import Iterator

Wind = Annotated[float, Measured("speed", 0, 100)]
Angle = Annotated[float, Measured("angle", 0, 180)]
Area = Annotated[float, Measured("area", 0.5, 500)]


class Rig(Section):
    """The rig as measured: height and base of the foretriangle, hoist and foot of the mainsail."""

    foretriangle_height_m: Annotated[float, Measured("length", 2, 50)]
    foretriangle_base_m: Annotated[float, Measured("length", 0.5, 20)] | None = None
    mainsail_hoist_m: Annotated[float, Measured("length", 2, 50)] | None = None
    mainsail_foot_m: Annotated[float, Measured("length", 0.5, 20)] | None = None


class Reef(Section):
    """One reef: the area left, and the steady true wind up to which it is carried."""

    area_m2: Area
    wind_to_kn: Wind


class Sail(Section):
    """One sail. Winds are steady true winds, angles true and from the bow.

    stay: where it sets; two sails never share a stay. instead_of: names of sails that it is never set together with;
    left out, those of its kind: a free-flying sail takes the forestay's place, a storm sail that of all headsails.
    wind_to_kn: limit of the whole sail; reefs, the
    shallowest first, go on from there. use: what published storm-sail sizes call it, empty for a working sail.
    colour, fibre: for the same rules.
    """

    name: Name
    stay: Literal["mast", "forestay", "inner stay", "flying"]
    area_m2: Area
    wind_from_kn: Wind = 0.0
    wind_to_kn: Wind
    angle_from_deg: Angle = 0.0
    angle_to_deg: Angle = 180.0
    instead_of: tuple[Name, ...] | None = Field(None, strict=False, max_length=10)
    reefs: tuple[Reef, ...] = Field((), alias="reef", strict=False, max_length=6)
    use: Literal["", "storm jib", "trysail", "heavy-weather jib"] = ""
    high_visibility: bool | None = None
    aramid_or_carbon: bool | None = None
    own_sheeting: bool | None = None

    def misfits(self) -> Iterator[Misfit]:
        if self.wind_to_kn <= self.wind_from_kn:
            low = written(self.wind_from_kn, "speed")
            yield Misfit(("wind_to",), written(self.wind_to_kn, "speed"), f"it must exceed wind_from, {low}")
        if self.angle_to_deg <= self.angle_from_deg:
            low = written(self.angle_from_deg, "angle")
            yield Misfit(("angle_to",), written(self.angle_to_deg, "angle"), f"it must exceed angle_from, {low}")
        area, wind = self.area_m2, self.wind_to_kn
        for index, reef in enumerate(self.reefs):
            if reef.area_m2 >= area:
                found = written(reef.area_m2, "area")
                yield Misfit(("reef", index, "area"), found, f"a reef leaves less than {written(area, 'area')}")
            if reef.wind_to_kn <= wind:
                found = written(reef.wind_to_kn, "speed")
                yield Misfit(("reef", index, "wind_to"), found, f"a reef is carried beyond {written(wind, 'speed')}")
            area, wind = reef.area_m2, reef.wind_to_kn
