"""What is stowed where, and what of it runs out of date: medicines, batteries, glue, anything."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from passage.consequences.readiness.dates import PassageDates, Status, status_of
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.inputs.gear import Gear


class StowedRow(Record):
    """One thing and its place."""

    name: str = told("what it is")
    amount: str = told("how much of it, in your words")
    place: str = told("where it is")
    use: str = told("what it is for")
    expires: date | None = told("last day on which it is good; null where none is given")
    status: Status = told("how it stands against the passage and the stay")


def stowed_rows(gear: Gear, dates: PassageDates) -> tuple[StowedRow, ...]:
    """What runs out first, then the rest, in the order of the file."""
    rows = [
        StowedRow(
            thing.name,
            thing.amount,
            thing.place,
            thing.use,
            thing.expires,
            status_of(thing.expires, dates) if thing.expires else Status.FINE,
        )
        for thing in gear.stowed
    ]
    return tuple(sorted(rows, key=lambda row: (row.status is Status.FINE, row.expires or date.max)))
