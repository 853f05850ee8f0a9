"""Where she is: fixes, dead reckoning between them, the day's run, set and drift.

By mid-latitude sailing, the day's work of every sailor, with WGS 84's radii of curvature at the middle latitude: over
the few hundred miles between two noons it agrees with the exact rhumb line of ``sailings.rhumb`` to a thousandth, and
it needs no numpy, whose import alone would take longer than the entry.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians, sin, sqrt
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from passage.journal.record import Entry

LONGEST_RECKONING_H = 48.0  # carried on by the last course and speed for no longer than this
SLOWEST_SET_KN = 0.1

# WGS 84, NGA.STND.0036.
EQUATORIAL_RADIUS_M = 6378137.0
ECCENTRICITY_SQUARED = 6.69437999014e-3
NAUTICAL_MILE_M = 1852.0
MIDDLE_STEPS = 4  # the middle latitude settles at once: a degree's length changes by 1 % from equator to pole
LEAST_ACROSS_NM = 1e-6


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
    lat_deg, lon_deg = after_running(before.lat_deg, before.lon_deg, course_deg, miles)
    since_fix_h = before.since_fix_h + hours_between(before.time, time)
    return Point(time, lat_deg, lon_deg, False, since_fix_h, number)


def after_running(lat_deg: float, lon_deg: float, course_deg: float, miles: float) -> tuple[float, float]:
    """Latitude and longitude, [-180, 180), after so many miles on a true course; a meridian ends at its pole."""
    northing, easting = miles * cos(radians(course_deg)), miles * sin(radians(course_deg))
    to_lat_deg = lat_deg
    for _ in range(MIDDLE_STEPS):
        along_nm, _ = _miles_per_degree((lat_deg + to_lat_deg) / 2.0)
        to_lat_deg = max(min(lat_deg + northing / along_nm, 90.0), -90.0)
    _, across_nm = _miles_per_degree((lat_deg + to_lat_deg) / 2.0)
    return to_lat_deg, (lon_deg + easting / max(across_nm, LEAST_ACROSS_NM) + 180.0) % 360.0 - 180.0


def _miles_per_degree(lat_deg: float) -> tuple[float, float]:
    """Miles in a degree of latitude and of longitude there, by the radii of the meridian and of the parallel."""
    latitude = radians(lat_deg)
    flat = 1.0 - ECCENTRICITY_SQUARED * sin(latitude) ** 2
    meridian_m = EQUATORIAL_RADIUS_M * (1.0 - ECCENTRICITY_SQUARED) / flat**1.5
    parallel_m = EQUATORIAL_RADIUS_M * cos(latitude) / sqrt(flat)
    return radians(meridian_m) / NAUTICAL_MILE_M, radians(parallel_m) / NAUTICAL_MILE_M


def sailed_nm(entry: Entry, hours: float) -> float | None:
    """Miles through the water by the log, or by mean speed over ``hours``; None where neither was given."""
    if "log_nm" in entry.body:
        return float(entry.body["log_nm"])
    return float(entry.body["speed_kn"]) * hours if "speed_kn" in entry.body else None


def hours_between(start: datetime, end: datetime) -> float:
    return (end - start).total_seconds() / 3600.0


def run(start: Point, end: Point) -> Run:
    """The rhumb line between two points, the shorter way round."""
    along_nm, across_nm = _miles_per_degree((start.lat_deg + end.lat_deg) / 2.0)
    northing = (end.lat_deg - start.lat_deg) * along_nm
    easting = ((end.lon_deg - start.lon_deg + 180.0) % 360.0 - 180.0) * across_nm
    course_deg = degrees(atan2(easting, northing)) % 360.0
    return Run(hours_between(start.time, end.time), hypot(northing, easting), course_deg % 360.0)


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
