"""What an anchorage file may say: the arrival anchorage, the anchors with their lines, and the windlass."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field

from passage.inputs.toml import Measured, Misfit, Name, Section, millimetres
from passage.units import shown, written

if TYPE_CHECKING:
    from collections.abc import Iterator


ANCHORAGE_FILE = "anchorage.toml"
NEWTON_PER_KG = 9.80665


Wire = Annotated[float, millimetres(3, 60, "8 mm")]
BreakingLoad = Annotated[float, Measured("mass", 500, 2e6, NEWTON_PER_KG, such_as="3200 kg")]


class Chain(Section):
    """The chain of one anchor. measured_mm: link wire at its most worn, by caliper."""

    diameter_mm: Wire = Field(alias="diameter")
    grade: Literal[30, 40, 43, 70, 80]
    length_m: Annotated[float, Measured("length", 0.5, 300)]
    measured_mm: Wire | None = Field(None, alias="measured")

    def misfits(self) -> Iterator[Misfit]:
        if self.measured_mm is not None and self.measured_mm > 1.1 * self.diameter_mm:
            yield Misfit(
                ("measured",), f"{self.measured_mm:g} mm", f"wear cannot thicken {self.diameter_mm:g} mm chain"
            )


class Rope(Section):
    """The rope part of one anchor line, laid nylon unless its breaking load says better."""

    diameter_mm: Wire = Field(alias="diameter")
    length_m: Annotated[float, Measured("length", 1, 500)]
    breaking_n: BreakingLoad | None = Field(None, alias="breaking_load")


class Anchor(Section):
    """One anchor with its line, chain next to the anchor.

    veer_m: how much of the line is let out; as much as the wind asks for if left out. shackle_working_n: working load
    stamped on the weakest fitting.
    """

    name: Name
    mass_kg: Annotated[float, Measured("mass", 1, 200)]
    chain: Chain | None = None
    rope: Rope | None = None
    veer_m: Annotated[float, Measured("length", 1, 800)] | None = None
    shackle_working_n: BreakingLoad | None = Field(None, alias="shackle_working_load")

    def misfits(self) -> Iterator[Misfit]:
        if self.chain is None and self.rope is None:
            yield Misfit((), "an anchor without a line", "add [anchor.chain], [anchor.rope] or both")
        elif self.veer_m is not None and self.veer_m > self.line_m:
            line = written(self.line_m, "length")
            yield Misfit(("veer",), written(self.veer_m, "length"), f"the line is no longer than {line}")

    @property
    def chain_m(self) -> float:
        return self.chain.length_m if self.chain else 0.0

    @property
    def line_m(self) -> float:
        """All of its line, metres."""
        return self.chain_m + (self.rope.length_m if self.rope else 0.0)


class Windlass(Section):
    """A windlass worked by hand. The defaults are common practice; go by your own."""

    chain_per_stroke_m: Annotated[float, Measured("length", 0.02, 2)] = 0.12
    handle_travel_m: Annotated[float, Measured("length", 0.1, 5)] = 1.0
    strokes_per_minute: float = Field(30.0, ge=5, le=90, strict=False)
    arm_power_w: Annotated[float, Measured("power", 10, 200)] = 50.0
    efficiency_share: Annotated[float, Measured("share", 0.2, 1)] = 0.6


class Anchorage(Section):
    """Where she will lie, and in what wind.

    depth_m: at the lowest water of the stay; tide_rise_m: from there to the highest; wind_kn: strongest steady
    wind to be ready for; fetch_nm: open water to windward; drag_area_m2: drag coefficient times windage, if
    known.
    """

    name: Name
    depth_m: Annotated[float, Measured("length", 0.5, 100)]
    tide_rise_m: Annotated[float, Measured("length", 0, 15)]
    bow_height_m: Annotated[float, Measured("length", 0.1, 5)]
    bottom: Literal["sand", "mud", "clay", "weed", "rock", "coral", "shingle", "unknown"]
    wind_kn: Annotated[float, Measured("speed", 1, 120)]
    fetch_nm: Annotated[float, Measured("distance", 0.05, 5000)] | None = None
    swinging_room_m: Annotated[float, Measured("length", 5, 2000)] | None = None
    drag_area_m2: Annotated[float, Measured("area", 0.5, 200)] | None = None


class AnchorageFile(Section):
    """The whole anchorage file."""

    place: Anchorage = Field(alias="anchorage")
    anchors: tuple[Anchor, ...] = Field(alias="anchor", strict=False, min_length=1, max_length=6)
    windlass: Windlass | None = None

    def misfits(self) -> Iterator[Misfit]:
        height_m = self.place.depth_m + self.place.tide_rise_m + self.place.bow_height_m
        names = [anchor.name for anchor in self.anchors]
        for index, anchor in enumerate(self.anchors):
            if anchor.name in names[:index]:
                yield Misfit(("anchor", index, "name"), shown(anchor.name), "another anchor has this name")
            bottom = f"it does not reach from the bow to the bottom, {written(height_m, 'length')}"
            if anchor.line_m <= height_m:
                yield Misfit(("anchor", index), f"a line of {written(anchor.line_m, 'length')}", bottom)
            elif anchor.veer_m is not None and anchor.veer_m <= height_m:
                yield Misfit(("anchor", index, "veer"), written(anchor.veer_m, "length"), bottom)
