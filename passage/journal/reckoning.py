"""Where she is: fixes, dead reckoning between them, the day's run, set and drift.

Courses are rhumb lines on WGS 84, true. The arithmetic stands in ``sailings.rhumb`` and is imported when first
needed, for an entry with no position to compare must not pay for it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from passage.journal.record import Entry

LONGEST_RECKONING_H = 48.0  # carried on by the last course and speed for no longer than this
SLOWEST_SET_KN = 0.1


@dataclass(frozen=True)
class Point:
    """Where she was. Degrees, north and east positive. fix: whether observed; if not, it is reckoned from the last
    fix by course and miles, and ``since_fix_h`` hours of that are in it. number: of the entry, 0 for a reckoning of
    the moment.
    """

    time: datetime
    lat_deg: float
    lon_deg: float
    fix: bool
    since_fix_h: float
    number: int


@dataclass(frozen=True)
class Run:
    """From one point to the next: hours, miles and true course of the rhumb line made good."""

    hours: float
    distance_nm: float
    course_deg: float

    @property
    def speed_kn(self) -> float:
        return self.distance_nm / self.hours if self.hours > 0 else 0.0


@dataclass(frozen=True)
class Stream:
    """Current, leeway and the log's error together: where it set, true, towards; and its drift in knots."""

    set_deg: float
    drift_kn: float


def points(entries: Iterable[Entry]) -> tuple[Point, ...]:
    """A point for each standing entry that gives a position, or a course and miles or speed to reckon one by."""
    found: list[Point] = []
    for entry in entries:
        point = _point(entry, found[-1] if found else None)
        if point is not None:
            found.append(point)
    return tuple(found)


def _point(entry: Entry, before: Point | None) -> Point | None:
    body = entry.body
    if "lat_deg" in body:
        return Point(entry.time, body["lat_deg"], body["lon_deg"], True, 0.0, entry.number)
    if before is None or entry.kind not in ("noon", "landfall"):
        return None
    hours = hours_between(before.time, entry.time)
    miles = sailed_nm(entry, hours)
    if miles is None or "course_deg" not in body:
        return None
    return _reckoned(before, body["course_deg"], miles, entry.time, entry.number)


def _reckoned(before: Point, course_deg: float, miles: float, time: datetime, number: int) -> Point:
    from passage.sailings import rhumb

    place = rhumb.direct(before.lat_deg, before.lon_deg, course_deg, miles)
    since_fix_h = before.since_fix_h + hours_between(before.time, time)
    return Point(time, place.lat_deg, place.lon_deg, False, since_fix_h, number)


def sailed_nm(entry: Entry, hours: float) -> float | None:
    """Miles through the water by the log, or by mean speed over ``hours``; None where neither was given."""
    if "log_nm" in entry.body:
        return float(entry.body["log_nm"])
    return float(entry.body["speed_kn"]) * hours if "speed_kn" in entry.body else None


def hours_between(start: datetime, end: datetime) -> float:
    return (end - start).total_seconds() / 3600.0


def run(start: Point, end: Point) -> Run:
    """The rhumb line between two points."""
    from passage.sailings import rhumb

    line = rhumb.inverse(start.lat_deg, start.lon_deg, end.lat_deg, end.lon_deg)
    return Run(hours_between(start.time, end.time), line.distance_nm, line.initial_course_deg)


def runs(found: Iterable[Point]) -> tuple[Run, ...]:
    """The runs between neighbouring points."""
    return tuple(run(*pair) for pair in pairwise(found))


def stream(start: Point, end: Point, course_deg: float, miles: float) -> Stream | None:
    """Set and drift from two fixes and the course and miles through the water between them; None below a tenth of a
    knot.

    The line from the reckoned position to the observed one is the set, its length over the hours the drift
    (Bowditch).
    """
    hours = hours_between(start.time, end.time)
    if not (start.fix and end.fix) or hours <= 0:
        return None
    reckoned = _reckoned(start, course_deg, miles, end.time, 0)
    offset = run(reckoned, end)
    drift_kn = offset.distance_nm / hours
    return Stream(offset.course_deg, drift_kn) if drift_kn >= SLOWEST_SET_KN else None


def carried_to(found: tuple[Point, ...], time: datetime) -> Point:
    """The last point carried on to ``time`` by the last run's course and speed, two days at most."""
    last = found[-1]
    hours = hours_between(last.time, time)
    if hours <= 0 or len(found) < 2:
        return last
    before = run(found[-2], last)
    hours = min(hours, LONGEST_RECKONING_H)
    return _reckoned(last, before.course_deg, before.speed_kn * hours, last.time + timedelta(hours=hours), 0)
