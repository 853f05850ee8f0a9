"""What the log has taught, as it is told."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.journal.evidence import Lessons


class Factor(StrEnum):
    """What the log teaches a factor of."""

    SPEED = "speed"
    WATER = "water"
    FUEL = "fuel"
    ELECTRICITY = "electricity"


class Taught(Record):
    """Belief in one factor before and after, per cent of what the files say, each with its standard deviation."""

    of: Factor = told("speed, water, fuel or electricity")
    before_percent: float = told("belief before, per cent", unit="%")
    before_spread_percent: float = told("its standard deviation", unit="%")
    after_percent: float = told("belief after, per cent", unit="%")
    after_spread_percent: float = told("its standard deviation", unit="%")
    days_count: int = told("days of the log that were counted")


def taught_of(lessons: Lessons) -> tuple[Taught, ...]:
    """Belief in each factor of which the log says something."""
    steps = (lessons.performance, lessons.water, lessons.fuel, lessons.electricity)
    return tuple(
        Taught(
            of,
            100.0 * step.before.mean,
            100.0 * step.before.sd,
            100.0 * step.after.mean,
            100.0 * step.after.sd,
            step.days,
        )
        for of, step in zip(Factor, steps, strict=True)
        if step.days or of is Factor.SPEED
    )
