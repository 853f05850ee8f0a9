"""The voyage as iCalendar (RFC 5545): departure, days of landfall, sunrise and sunset of the typical crossing."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from passage.journal.export import Date, to_ics
from passage.plan.sheets import sky

if TYPE_CHECKING:
    from passage.road import Outcome


def export(outcome: Outcome) -> bytes:
    """Dates in UTC. The stamp of every event is the day the facts were read for, so that the same plan gives the same
    bytes.
    """
    today = outcome.facts.today
    written = datetime(today.year, today.month, today.day, tzinfo=UTC)
    return to_ics([*_voyage(outcome), *_sun(outcome)], written).encode()


def _voyage(outcome: Outcome) -> list[Date]:
    times, depart = outcome.times, outcome.crossings.depart
    name = outcome.facts.voyage.departure.name
    dates = [Date(depart, timedelta(hours=1), f"{name}: sail", "The skipper and the official forecast decide.")]
    if math.isfinite(times.slow_end_h):
        begins, ends = (depart + timedelta(hours=hours) for hours in (times.fast_h, times.slow_end_h))
        text = "From the quick end to the slow end of the simulated crossings; she is overdue when it ends."
        dates.append(Date(begins, ends - begins, f"{name}: landfall", text))
    return dates


def _sun(outcome: Outcome) -> list[Date]:
    dates = []
    for row in sky.table(outcome)["by_day"]:
        for event in ("sunrise", "sunset"):
            clock = row["utc_times"][event]
            if clock[:4].isdigit():
                moment = datetime.fromisoformat(f"{row['ship_date']}T{clock[:2]}:{clock[2:4]}+00:00")
                moment += timedelta(days=_days_off(clock))
                title = f"{event}, day {row['day']}"
                dates.append(Date(moment, timedelta(minutes=1), title, f"Typical crossing, at {row['noon_position']}"))
    return dates


def _days_off(clock: str) -> int:
    """The almanac marks a time of the next date with + and of the one before with a minus sign."""
    return 1 if clock.endswith("+") else -1 if clock[4:] else 0
