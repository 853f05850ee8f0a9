"""The days that gear and papers are held against."""

from __future__ import annotations

from calendar import monthrange
from datetime import date, timedelta
from enum import IntEnum
from typing import TYPE_CHECKING

from passage.tell.figures import Side, whole
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from datetime import datetime


class PassageDates(Record):
    """The days of a passage and of the stay after it."""

    today: date = told("day against which gear and papers are held")
    depart: date = told("day of departure, UTC")
    fast_end: date
    slow_end: date = told("day of landfall at the slow end, UTC")
    stay_days: int = told("days of stay after landfall before anything can be renewed", places=0, default=0)

    @reckoned("last day on which everything must still be good")
    def last_day(self) -> date:
        return self.slow_end + timedelta(days=self.stay_days)


class Status(IntEnum):
    """How a thing stands, the better the lower. Up to AGE_UNKNOWN it asks for proof, above that for work."""

    FINE = 0
    UNPROVEN = 1
    NO_RULE = 2
    AGE_UNKNOWN = 3
    DUE_DURING = 4
    DUE_BEFORE = 5
    OVERDUE = 6

    @property
    def words(self) -> str:
        return _WORDS[self]


_WORDS = {
    Status.FINE: "fine",
    Status.UNPROVEN: "unproven since refit or repair",
    Status.NO_RULE: "no rule or label to hold it against",
    Status.AGE_UNKNOWN: "age unknown",
    Status.DUE_DURING: "falls due during the passage or the stay",
    Status.DUE_BEFORE: "falls due before departure",
    Status.OVERDUE: "overdue",
}


def status_of(due: date, dates: PassageDates) -> Status:
    """How a thing stands that is good up to a day: a thing good only to the last day of the stay is reported."""
    if due < dates.today:
        return Status.OVERDUE
    if due < dates.depart:
        return Status.DUE_BEFORE
    return Status.DUE_DURING if due <= dates.last_day else Status.FINE


def passage_dates(today: date, depart: datetime, hours: tuple[float, float], stay_h: float) -> PassageDates:
    """The days of a passage. hours: of the quick and the slow passage from departure; stay_h: hours after landfall."""
    fast_end, slow_end = (depart + timedelta(hours=hour) for hour in hours)
    return PassageDates(today, depart.date(), fast_end.date(), slow_end.date(), whole(stay_h / 24.0, Side.UP))


def add_months(day: date, months: int) -> date:
    """The same day of the month so many months on, or the last of a shorter month."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))
