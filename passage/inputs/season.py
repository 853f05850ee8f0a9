"""What a season file may say: passages one after another, the days in port between them, and the walls of the year.

::

    [season]
    name = "North Atlantic round"

    [[passage]]
    voyage = "1-lagos-las-palmas"    # the folder of a voyage; it plans its own day of departure

    [passage.port]                   # where she lies after it
    name = "Las Palmas"
    stay = "30 days"

    [[wall]]
    name = "hurricane season"
    from = 2028-06-01
    until = 2028-11-30
    keeps_from = ["Le Marin"]        # passages and ports; all of them if left out
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import AfterValidator, Field, PlainValidator

from passage.inputs.gear import Day
from passage.inputs.toml import Measured, Misfit, Name, Section, each_its_own, shown_value
from passage.units import Misread

if TYPE_CHECKING:
    from collections.abc import Iterator


MOST_PASSAGES = 12
LONGEST_STAY_H = 400.0 * 24.0
Stocked = Literal["water", "food", "fuel", "gas", "battery", "daily"]
ALL: tuple[Stocked, ...] = ("water", "food", "fuel", "gas", "battery", "daily")
Stay = Annotated[float, Measured("duration", 0, LONGEST_STAY_H)]
Listed = Annotated[tuple[Name, ...], Field(strict=False)]


def _folder(given: object) -> str:
    if isinstance(given, str) and given.strip() and given.isprintable():
        return given.strip().rstrip("/")
    raise Misread(shown_value(given), "give the folder of a voyage in double quotes, as seen from this one")


class Port(Section):
    """Where she lies after a passage. ``stay_h``: as long as the crew want; ``haul_out_h``: on top of it; ``visa_h``:
    the most that she may stay; ``restock``: what can be had, the rest is carried over; ``daily`` is what stores.toml
    lists by the day; ``mends``: gear renewed or serviced there.
    """

    name: Name
    stay_h: Stay
    haul_out_h: Stay = 0.0
    visa_h: Stay | None = None
    restock: Annotated[tuple[Stocked, ...], Field(strict=False)] = ALL
    mends: Listed = ()

    @property
    def days_h(self) -> float:
        """The least that she lies there."""
        return self.stay_h + self.haul_out_h

    def misfits(self) -> Iterator[Misfit]:
        if self.visa_h is not None and self.visa_h < self.days_h:
            found = f"{self.visa_h / 24.0:g} days"
            yield Misfit(("visa",), found, f"stay and haul_out alone are {self.days_h / 24.0:g} days")


class Wall(Section):
    """Days, the first and last included, on which she is not to be on these passages or in these ports."""

    name: Name
    first: Day = Field(alias="from")
    last: Day = Field(alias="until")
    keeps_from: Listed = ()

    def misfits(self) -> Iterator[Misfit]:
        if self.last < self.first:
            yield Misfit(("until",), self.last.isoformat(), f"it cannot lie before from, {self.first.isoformat()}")


class Leg(Section):
    """One passage: the folder of its voyage, and the port after it."""

    voyage: Annotated[str, PlainValidator(_folder)]
    port: Port | None = None


class Called(Section):
    name: Name


class SeasonFile(Section):
    """The whole file."""

    season: Called
    passages: Annotated[tuple[Leg, ...], AfterValidator(each_its_own("voyage"))] = Field(
        alias="passage", strict=False, min_length=2, max_length=MOST_PASSAGES
    )
    walls: Annotated[tuple[Wall, ...], AfterValidator(each_its_own("name"))] = Field((), alias="wall", strict=False)

    @property
    def places(self) -> tuple[str, ...]:
        """What a wall may keep her from."""
        return tuple(name for leg in self.passages for name in (leg.voyage, *([leg.port.name] if leg.port else [])))

    def misfits(self) -> Iterator[Misfit]:
        for index, leg in enumerate(self.passages[:-1]):
            if leg.port is None:
                wanted = 'below it add [passage.port] with a name and, say, stay = "14 days"'
                yield Misfit(("passage", index), "no port after this passage", wanted)
