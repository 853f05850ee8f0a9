"""What a crew file may say: who sails, and what they drink."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import AfterValidator, Field

from passage.inputs.toml import Measured, Misfit, Name, Section, each_its_own
from passage.units import written

if TYPE_CHECKING:
    from collections.abc import Iterator


class Person(Section):
    """One of the crew, by role and not by name. ``sex`` chooses the basal-rate equation, which knows F and M only."""

    role: Name
    mass_kg: Annotated[float, Measured("mass", 35, 200)]
    age_years: int = Field(ge=16, le=95)
    sex: Literal["F", "M"]


class WaterUse(Section):
    """Fresh water per person and day, litres, before the heat is added.

    ``drink_and_cook_l_per_day``: full use, sea water washing up.
    ``survival_l_per_day``: what keeps a resting person going.
    ``deck_hours_h``: hours a day each works or watches on deck by day; they drink at the rate that the heat asks,
    instead of their share of the base. ``sun_share``: how much of those hours is in full sun, clouds and sails taken
    off; ``awning``: they are in the shade of one. ``heat``: whether the heat is counted at all.
    """

    drink_and_cook_l_per_day: Annotated[float, Measured("daily volume", 1, 20)] = 3.0
    survival_l_per_day: Annotated[float, Measured("daily volume", 0.5, 10)] = 2.0
    deck_hours_h: Annotated[float, Measured("duration", 0, 16)] = 6.0
    sun_share: Annotated[float, Measured("share", 0, 1)] = 0.5
    awning: bool = False
    heat: bool = True

    def misfits(self) -> Iterator[Misfit]:
        if self.survival_l_per_day > self.drink_and_cook_l_per_day:
            full = written(self.drink_and_cook_l_per_day, "daily volume")
            found = written(self.survival_l_per_day, "daily volume")
            yield Misfit(("survival",), found, f"it cannot exceed drink_and_cook, {full}")


People = Annotated[tuple[Person, ...], AfterValidator(each_its_own("role"))]


class Crew(Section):
    """The whole crew file."""

    people: People = Field(alias="person", strict=False, min_length=1, max_length=8)
    water: WaterUse = WaterUse()

    @property
    def mass_kg(self) -> float:
        """All the crew together, kg."""
        return sum(person.mass_kg for person in self.people)

    @property
    def ration_l_per_day(self) -> float:
        """What keeps all of them going at rest, litres."""
        return len(self.people) * self.water.survival_l_per_day
