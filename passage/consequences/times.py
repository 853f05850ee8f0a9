"""How long: passage times, what the boat did in them, and where she was day by day."""

from __future__ import annotations

from collections import Counter
from datetime import date, datetime, timedelta
from enum import StrEnum
from math import isfinite
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.ensemble import (
    ARRIVED,
    AT_ANCHOR,
    HOVE_TO,
    MOTORING,
    RUNNING_OFF,
    STANDING_OFF,
    Crossings,
    in_blocks,
    passage_time_h,
    sampling_range_h,
)
from passage.crossings.rose import CALM_KN, GALE_KN, STRONG_KN
from passage.positions import format_position
from passage.sailings.track import Track, at_distance
from passage.tell.figures import Side
from passage.tell.records import Record, down, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

FAST_SHARE = 0.1
FEW_SHARE = 0.2
IN_PORT_NM = 1.0
AHEAD_DEG = 60.0  # off the course, to either side: where she beats
IN_HARBOUR_IN_100 = 99
_STATES = {
    "motoring_h": MOTORING,
    "hove_to_h": HOVE_TO,
    "running_off_h": RUNNING_OFF,
    "standing_off_h": STANDING_OFF,
    "at_anchor_h": AT_ANCHOR,
}


class Gales(StrEnum):
    """In how many crossings an hour of force 8 was seen; the climatology cannot say more."""

    NONE = "none"
    FEW = "few"
    SOME = "some"
    UNSAID = "not said"  # where the gales of cyclones are missing


class Times(Record):
    """Passage times, in hours infinite where too few crossings arrive, and mean hours of a crossing by what happens.

    slow_end_between_h: between which the slow end lies, as far as the number of crossings goes (``sampling_range_h``).
    fast_h: 1 crossing in 10 is quicker; typical_h: half are; slow_end_h: ``slow_share`` of the crossings are in by
    then.
    """

    depart: datetime
    slow_share: float
    fast_h: float
    typical_h: float
    slow_end_h: float
    slow_end_between_h: tuple[float, float]
    crossings: int = told("how many crossings were sailed")
    never_crossings: int = told("crossings that never arrive within the simulation")
    calm_h: float = told("wind under 4 kn, mean hours of a crossing")
    strong_h: float = told("wind of 28 kn and more; the least sure of these")
    motoring_h: float = told("under engine for propulsion")
    hove_to_h: float = told("hove to")
    running_off_h: float = told("running off before strong wind")
    standing_off_h: float = told("waiting off the landfall for daylight")
    at_anchor_h: float = told("lying on the way, where waypoints say 'stop'", kw_only=True, default=0.0)
    gale_seen: Gales = told("in how many crossings an hour of 34 kn was seen: none, few or some")

    @reckoned("the slow end is what 1 crossing in so many exceeds")
    def slow_end_in(self) -> int:
        return round(1.0 / (1.0 - self.slow_share)) if self.slow_share < 1.0 else 0

    @reckoned("passage time that 1 crossing in 10 beats, days")
    def quick_days(self) -> float:
        return self.fast_h / 24.0

    @reckoned("its date of landfall")
    def quick_landfall_utc(self) -> date | None:
        return self._landfall(self.fast_h)

    @reckoned("passage time that half the crossings beat, days")
    def typical_days(self) -> float:
        return self.typical_h / 24.0

    @reckoned("its date of landfall")
    def typical_landfall_utc(self) -> date | None:
        return self._landfall(self.typical_h)

    @reckoned("passage time at the slow end, days")
    def slow_end_days(self) -> float:
        return self.slow_end_h / 24.0

    @reckoned("so many crossings alone leave the slow end open from here, days: 19 chances in 20", Side.DOWN)
    def slow_end_least_days(self) -> float:
        return self.slow_end_between_h[0] / 24.0

    @reckoned("to here", Side.UP)
    def slow_end_most_days(self) -> float:
        return self.slow_end_between_h[1] / 24.0

    @reckoned("its date of landfall")
    def slow_end_landfall_utc(self) -> date | None:
        return self._landfall(self.slow_end_h)

    def _landfall(self, hours: float) -> date | None:
        return (self.depart + timedelta(hours=hours)).date() if isfinite(hours) else None


class Day(Record):
    """Where 8 crossings in 10 are at the end of a day out: distances along the track."""

    track: Track
    depart: datetime
    day: int = told("day out, 1 ends 24 hours after departure")

    @reckoned("date on which it ends, UTC")
    def end_utc(self) -> date:
        return (self.depart + timedelta(days=self.day)).date()

    least_run_nm: float = told("miles made good, 1 crossing in 10 has less")
    typical_run_nm: float = told("miles made good in the middle one")
    most_run_nm: float = told("miles made good, 1 crossing in 10 has more")
    arrived_in_100: float = down("crossings of a hundred that are in")

    @reckoned("miles to go of the quickest of 8 in 10")
    def least_to_go_nm(self) -> float:
        return self.track.length_nm - self.most_run_nm

    @reckoned("miles to go of the middle one")
    def typical_to_go_nm(self) -> float:
        return self.track.length_nm - self.typical_run_nm

    @reckoned("miles to go of the slowest of 8 in 10")
    def most_to_go_nm(self) -> float:
        return self.track.length_nm - self.least_run_nm

    @reckoned("whether the middle one is in")
    def typical_in(self) -> bool:
        return self.typical_run_nm >= self.track.length_nm - IN_PORT_NM

    @reckoned("where the middle one is")
    def typical_position(self) -> str:
        lat, lon, _ = at_distance(self.track, [self.typical_run_nm])
        return format_position(float(lat[0]), float(lon[0]))


def passage_times(crossings: Crossings, slow_share: float) -> Times:
    """Times and hours of ``crossings``; slow_share 0.95 makes the slow end the time 1 crossing in 20 exceeds."""
    return times_from(crossings.depart, crossings.arrival_h, tally_of(crossings), slow_share)


Tally = Counter[str]  # hours of all crossings together, by the fields of ``Times``, and how many saw a gale


def tally_of(crossings: Crossings) -> Tally:
    """What is added up of the hours of some crossings; tallies may be added."""
    tally: Tally = Counter()
    for _, some in in_blocks(crossings):
        under_way, wind = some.under_way, some.wind_kn
        strong_h, gales = _strong_and_gales(wind, under_way)
        tally.update(strong_h=strong_h, gales=gales, calm_h=int(((wind < CALM_KN) & under_way).sum()))
        tally.update({name: int((some.state == state).sum()) for name, state in _STATES.items()})
    return tally


def times_from(depart: datetime, arrival_h: NDArray[np.float64], tally: Tally, slow_share: float) -> Times:
    """Of crossings that left at ``depart`` (UTC), by their landfalls, (members,), and their tally."""
    arrival, members = arrival_h, len(arrival_h)
    return Times(
        depart=depart,
        slow_share=slow_share,
        fast_h=passage_time_h(arrival, FAST_SHARE),
        typical_h=passage_time_h(arrival, 0.5),
        slow_end_h=passage_time_h(arrival, slow_share),
        slow_end_between_h=sampling_range_h(arrival, slow_share),
        crossings=members,
        never_crossings=int(np.isinf(arrival).sum()),
        gale_seen=_seen(tally["gales"] / members),
        **{name: tally[name] / members for name in ("calm_h", "strong_h", *_STATES)},
    )


def wind_ahead_share(crossings: Crossings) -> float:
    """Share of the hours under way with wind in which it is within 60 degrees of right ahead, read every sixth hour;
    a wind from everywhere alike has a third, and not a number is where there is no wind.
    """
    counts = np.sum([_ahead(some) for _, some in in_blocks(crossings)], axis=0)
    return float(counts[0] / counts[1]) if counts[1] else float("nan")


def _ahead(crossings: Crossings) -> tuple[int, int]:
    """Of every sixth hour under way with wind: with the wind ahead, and in all."""
    hours = np.arange(0, crossings.hours, 6)
    east, north = crossings.wind_east_kn[:, hours], crossings.wind_north_kn[:, hours]
    wind, course = np.hypot(east, north), np.radians(crossings.track.course_deg[crossings.node_at(hours)])
    ahead = -(east * np.sin(course) + north * np.cos(course)) > np.cos(np.radians(AHEAD_DEG)) * wind
    blows = (crossings.state[:, hours] < ARRIVED) & (wind >= CALM_KN)
    return int((ahead & blows).sum()), int(blows.sum())


def strong_and_gales(crossings: Crossings, of: NDArray[np.bool_]) -> tuple[float, Gales]:
    """Mean hours of 28 kn and more of a crossing, and in how many an hour of 34 kn was seen, among some of her hours
    (member, hour); not a number and not said where there are none.
    """
    if not of.any():
        return float("nan"), Gales.UNSAID
    strong_h, gales = _strong_and_gales(crossings.wind_kn, of)
    return strong_h / crossings.members, _seen(gales / crossings.members)


def _strong_and_gales(wind_kn: NDArray[np.float32], of: NDArray[np.bool_]) -> tuple[int, int]:
    """Hours of strong wind in all, and how many crossings saw a gale."""
    return int(((wind_kn >= STRONG_KN) & of).sum()), int(((wind_kn >= GALE_KN) & of).any(axis=1).sum())


def _seen(share: float) -> Gales:
    return Gales.NONE if share == 0 else Gales.FEW if share < FEW_SHARE else Gales.SOME


def until_in(rows: Sequence[Day]) -> tuple[Day, ...]:
    """Day by day until 99 crossings of 100 are in."""
    last = next((row.day for row in rows if row.arrived_in_100 >= IN_HARBOUR_IN_100), len(rows))
    return tuple(rows[:last])


def day_by_day(crossings: Crossings, every_days: int = 1) -> tuple[Day, ...]:
    """The run of the crossings at the end of every n-th day out; the last day is that on which the last boat is in (or
    the simulation ends).
    """
    step = 24 * every_days
    return tuple(_day(crossings, hour) for hour in range(step, crossings.hours + step, step))


def _day(crossings: Crossings, hour: int) -> Day:
    distance = crossings.distance_nm[:, hour] if hour < crossings.hours else _at_the_end(crossings)
    least, typical, most = np.quantile(distance, [0.1, 0.5, 0.9], method="inverted_cdf")
    arrived_in_100 = 100.0 * float((crossings.arrival_h <= hour).mean())
    return Day(crossings.track, crossings.depart, hour // 24, float(least), float(typical), float(most), arrived_in_100)


def _at_the_end(crossings: Crossings) -> NDArray[np.float32]:
    """Distances after the last hour sailed, (member,)."""
    run: NDArray[np.float32] = crossings.distance_nm[:, -1] + crossings.speed_kn[:, -1]
    return np.clip(run, np.float32(0.0), np.float32(crossings.track.length_nm))
