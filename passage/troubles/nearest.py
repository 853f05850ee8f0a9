"""The soonest harbour day by day, in between the days from which the ways out are sailed.

Miles and course of each way are those of the day; its hours are its miles at a pace straight between those of the days
on either side from which it is sailed; before the first and after the last it is theirs.
"""

from __future__ import annotations

from datetime import date, timedelta
from math import inf, isfinite, nan
from typing import TYPE_CHECKING, NamedTuple, Protocol

import numpy as np

from passage.sailings.magnetic import magnetic_course_deg
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from passage.consequences.noons import Noon

    Pace = tuple[float, float]  # hours a mile, typical and at the slow end; inf where too few get there


class Sailed(Protocol):
    """A way sailed from one day out."""

    @property
    def distance_nm(self) -> float: ...
    @property
    def typical_h(self) -> float: ...
    @property
    def slow_end_h(self) -> float: ...


class DayOut(NamedTuple):
    """The ways from where the middle crossing is so many hours out: miles, and true course at first.

    variation_deg: there and then, east positive; nan where the model does not reach.
    """

    hour: int
    to_go_nm: float
    lengths_nm: tuple[float, ...]
    courses_deg: tuple[float, ...]
    variation_deg: float


class Harbour(Record):
    """A way to a harbour."""

    way: str = told("on, back, or the name of the refuge")
    course_deg: float = told("true course at first", unit="course_deg")
    magnetic_course_deg: float = told("magnetic course at first; null where no variation is known", unit="course_deg")
    distance_nm: float = told("miles")
    typical_h: float
    slow_end_h: float
    reached: bool = told("whether the survival ration of water reaches its slow end")

    @reckoned("days to it, typically; none where too few get there")
    def typical_days(self) -> float:
        return self.typical_h / 24.0

    @reckoned("days to it at the slow end; none where too few get there")
    def slow_end_days(self) -> float:
        return self.slow_end_h / 24.0


class Nearest(Record):
    """The harbour soonest reached from where the middle crossing is at the end of a day, or on a passage of under two
    days every few hours; the slow end decides.
    """

    hour: int = told("hours from departure")
    ship_date: date = told("its date by ship's time")
    to_go_nm: float = told("miles to go by the track")
    whole: Harbour | None = told("with everything whole; none where no way gets there")
    jury: Harbour | None = told("under jury rig, the time to set it counted")
    rudder: Harbour | None = told("with the rudder lost")

    @reckoned("whole days out by then")
    def day(self) -> int:
        return self.hour // 24


def ship_date(noons: Sequence[Noon], depart: datetime, hour: int) -> date:
    """By ship's time, of an hour out; at the end of a day that of its number, beyond the last noon too."""
    noon = min(noons, key=lambda noon: abs(noon.day - hour // 24))
    if hour % 24:
        return (depart + timedelta(hours=hour + noon.zone_h)).date()
    return noon.ship_date + timedelta(days=hour // 24 - noon.day)


def paces_at(day: float, sailed_days: Sequence[float], ways: Sequence[Sailed]) -> Pace:
    """Hours a mile of one way from a day, from those of the days from which it was sailed."""
    return tuple(  # type: ignore[return-value]  # two
        _between(day, sailed_days, [getattr(way, hours) / way.distance_nm for way in ways])
        for hours in ("typical_h", "slow_end_h")
    )


def _between(day: float, days: Sequence[float], paces: Sequence[float]) -> float:
    """Never is on either side of a day as good as on the day itself."""
    after = min(int(np.searchsorted(days, day)), len(days) - 1)
    before = after if days[after] <= day or after == 0 else after - 1
    if not (isfinite(paces[before]) and isfinite(paces[after])):
        return inf
    return float(np.interp(day, days, paces))


def soonest_harbour(names: tuple[str, ...], out: DayOut, paces: Sequence[Pace], ration_days: float) -> Harbour | None:
    """Of those that the water reaches, else of all that most crossings get to; None where that is none of them, or one
    that the slow end never gets to while another, to which most do not, is nearer: nobody is sent past it for that.
    """
    found = [
        Harbour(
            way=name,
            course_deg=course_deg,
            magnetic_course_deg=_magnetic(course_deg, out.variation_deg),
            distance_nm=length_nm,
            typical_h=length_nm * typical,
            slow_end_h=length_nm * slow_end,
            reached=length_nm * slow_end <= 24.0 * ration_days,
        )
        for name, course_deg, length_nm, (typical, slow_end) in zip(
            names, out.courses_deg, out.lengths_nm, paces, strict=True
        )
    ]
    there = [harbour for harbour in found if isfinite(harbour.typical_h)]
    soonest = min(there, key=lambda each: (not each.reached, each.slow_end_h, each.typical_h), default=None)
    if soonest is None or isfinite(soonest.slow_end_h):
        return soonest
    nearest = min(found, key=lambda each: each.distance_nm)
    return soonest if isfinite(nearest.typical_h) else None


def _magnetic(course_deg: float, variation_deg: float) -> float:
    return magnetic_course_deg(course_deg, variation_deg) if isfinite(variation_deg) else nan
