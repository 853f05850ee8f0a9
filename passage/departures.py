"""When to leave: the road from other days, sailed with the same luck, so that weeks differ by season and not by luck.

A climatology made of ships' reports hides cyclones, for ships keep out of their way: it shows January in the tropics as
gentler than May. A start that meets a cyclone season therefore says that cyclones are not in its numbers, gives no
word about gales, and is never among the better ones.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.consequences.times import Times, passage_times
from passage.crossings.departure import Waiting, wait_for
from passage.crossings.ensemble import STANDING_OFF, Crossings
from passage.crossings.forecast import serves
from passage.crossings.lanes import Lane, lane_of
from passage.crossings.rose import CALM_KN
from passage.crossings.seasons import basins_along, seasons_met
from passage.crossings.simulate import most_abreast, sail_lanes
from passage.crossings.wind import HARD_ON_THE_WIND_DEG
from passage.errors import RouteRefused
from passage.sailings.sky import SUNRISE_DEG, almanac, sun_altitude_deg

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from passage.crossings.ground import Ground
    from passage.crossings.wind import Luck
    from passage.inputs.folder import Facts
    from passage.inputs.voyage import DepartureRule

CYCLONE_CAUTION = "cyclones are not in these numbers"
AS_GOOD_SHARE = 0.05  # slow ends that differ by less are as good as one another
LAST_NIGHTS = 3


@dataclass(frozen=True)
class Wait:
    """Days in harbour until the departure rule was met: half of the crossings wait no longer than ``typical_days``,
    9 in 10 no longer than ``long_days``; ``in_vain_share`` left all the same when the patience was at an end.
    """

    typical_days: float
    long_days: float
    in_vain_share: float


@dataclass(frozen=True)
class Moon:
    """The moon on the last nights before the typical landfall: mean lit share, 0-1, and the phase on the last."""

    lit: float
    phase: str


@dataclass(frozen=True)
class Start:
    """One departure, UTC. Times at sea in hours, from the day she leaves; infinite where too few arrive.

    never: crossings that do not arrive. calm_h, strong_h: mean hours per crossing under 4 kn, and of 28 kn and more
    (the climate's caution holds). gales: "none", "few" or "some" crossings saw 34 kn; empty in a cyclone season.
    hard_on_wind_share: of the hours under way. basins: cyclone basins in season that 8 crossings in 10 touch.
    daylight_share: crossings that find daylight at landfall; the others stand off, standing_off_h on average of all.
    wait: harbour time under the departure rule, None without one. forecast: whether one is in the numbers. refused:
    why she was not sailed at all, the current winning; then nothing arrives, and what cannot be known is not a number.
    """

    depart: datetime
    fast_h: float
    typical_h: float
    slow_end_h: float
    never: int
    calm_h: float
    strong_h: float
    gales: str
    hard_on_wind_share: float
    basins: tuple[str, ...]
    daylight_share: float
    standing_off_h: float
    moon: Moon | None
    wait: Wait | None
    forecast: bool
    refused: str = ""

    @property
    def in_season(self) -> bool:
        return bool(self.basins)

    @property
    def caution(self) -> str:
        return CYCLONE_CAUTION if self.in_season else ""


def weekly(first: datetime, weeks: int = 52) -> tuple[datetime, ...]:
    """Departures a week apart, at the same hour."""
    return tuple(first + timedelta(weeks=week) for week in range(weeks))


def scan(
    facts: Facts,
    ground: Ground,
    luck: Luck,
    starts: Sequence[datetime],
    progress: Callable[[float], None] | None = None,
) -> tuple[Start, ...]:
    """Sail the same luck from every start (UTC). With a departure rule in the voyage file the crossings of a start
    leave when their own wind meets it; the days waited are harbour time and not in the passage times. Raises
    RouteRefused where the current wins whenever she leaves.
    """
    along, found = basins_along(ground.track), []
    abreast = max(most_abreast(ground.track) // luck.members, 1)
    for first in range(0, len(starts), abreast):
        if progress is not None:
            progress(first / len(starts))
        found += _side_by_side(facts, ground, luck, starts[first : first + abreast], along)
    if found and all(start.refused for start in found):
        raise RouteRefused(found[0].refused)
    return _with_moon(found, ground)


def better(starts: Sequence[Start]) -> tuple[Start, ...]:
    """Starts whose slow end is as good as the shortest, among those that meet no cyclone season; may be none."""
    clear = [start for start in starts if not start.in_season and np.isfinite(start.slow_end_h)]
    shortest_h = min((start.slow_end_h for start in clear), default=0.0)
    return tuple(start for start in clear if start.slow_end_h <= (1.0 + AS_GOOD_SHARE) * shortest_h)


class _Leaving(NamedTuple):
    """How the crossings of one start leave. lane: None where the current wins, which ``refused`` tells."""

    depart: datetime
    lane: Lane | None
    waiting: Waiting | None = None
    forecast: bool = False
    refused: str = ""


def _side_by_side(
    facts: Facts, ground: Ground, luck: Luck, starts: Sequence[datetime], along: NDArray[np.bool_]
) -> list[Start]:
    leavings = [_leaving(facts.voyage.departure_rule, ground, luck, depart) for depart in starts]
    sailed = iter(sail_lanes([leaving.lane for leaving in leavings if leaving.lane is not None]))
    slow_share = 1.0 - facts.voyage.reserve.slow_end_share
    found = []
    for leaving in leavings:
        if leaving.lane is None:
            found.append(_refused(leaving, luck.members))
        else:
            crossings = next(sailed)
            found.append(_told(leaving, crossings, passage_times(crossings, slow_share), along))
    return found


def _leaving(rule: DepartureRule, ground: Ground, luck: Luck, depart: datetime) -> _Leaving:
    waiting = _waiting(rule, ground, luck, depart) if rule.given else None
    if waiting is None:
        forecast = ground.forecast if ground.forecast is not None and serves(ground.forecast, depart) else None
        leaves = depart
    else:
        # Who waits sails on in her own wind; the season moves on by the days that the crews wait on average.
        leaves, forecast = depart + timedelta(days=round(float(waiting.days.mean()))), None
        luck = luck.delayed(24 * waiting.days)
    try:
        lane = lane_of(replace(ground, forecast=forecast), leaves, luck)
    except RouteRefused as refusal:
        return _Leaving(depart, None, refused=str(refusal))
    return _Leaving(depart, lane, waiting, forecast is not None)


def _refused(leaving: _Leaving, members: int) -> Start:
    never, unknown = float("inf"), float("nan")
    times = never, never, never, members, unknown, unknown, "", unknown
    return Start(leaving.depart, *times, (), unknown, unknown, None, None, forecast=False, refused=leaving.refused)


def _waiting(rule: DepartureRule, ground: Ground, luck: Luck, depart: datetime) -> Waiting:
    pace_kn = ground.vessel.fastest_kn / 2.0
    return wait_for(rule, ground.track, ground.climate, depart, luck, pace_kn)


def _told(leaving: _Leaving, crossings: Crossings, times: Times, along: NDArray[np.bool_]) -> Start:
    seasons = tuple(met.basin.name for met in seasons_met(crossings, along))
    return Start(
        depart=leaving.depart,
        fast_h=times.fast_h,
        typical_h=times.typical_h,
        slow_end_h=times.slow_end_h,
        never=times.never_crossings,
        calm_h=times.calm_h,
        strong_h=times.strong_h,
        gales="" if seasons else times.gale_seen,
        hard_on_wind_share=_hard_on_wind(crossings),
        basins=seasons,
        daylight_share=_daylight(crossings),
        standing_off_h=times.standing_off_h,
        moon=None,
        wait=None if leaving.waiting is None else _wait(leaving.waiting),
        forecast=leaving.forecast,
    )


def _wait(waiting: Waiting) -> Wait:
    typical, long = np.quantile(waiting.days, [0.5, 0.9], method="inverted_cdf")
    return Wait(float(typical), float(long), float(waiting.in_vain.mean()))


def _hard_on_wind(crossings: Crossings) -> float:
    """Share of the hours under way with more wind than a calm from nearly ahead."""
    course = np.radians(crossings.track.course_deg)
    sine, cosine = (part.astype(np.float32)[crossings.node] for part in (np.sin(course), np.cos(course)))
    ahead = -(crossings.wind_east_kn * sine + crossings.wind_north_kn * cosine)
    wind = crossings.wind_kn
    hard = (wind >= CALM_KN) & (ahead > wind * np.float32(np.cos(np.radians(HARD_ON_THE_WIND_DEG))))
    under_way = crossings.under_way
    return float((hard & under_way).sum() / max(under_way.sum(), 1))


def _daylight(crossings: Crossings) -> float:
    """Share of the arriving crossings that find daylight at the landfall and need not stand off for it."""
    arrives = np.isfinite(crossings.arrival_h)
    if not arrives.any():
        return 0.0
    leaves = np.datetime64(crossings.depart.replace(tzinfo=None), "s")
    moments = leaves + (crossings.arrival_h[arrives] * 3600.0).astype("timedelta64[s]")
    landfall = crossings.track.lat_deg[-1], crossings.track.lon_deg[-1]
    light = sun_altitude_deg(moments, *landfall) >= SUNRISE_DEG
    waited = (crossings.state[arrives] == STANDING_OFF).any(axis=1)
    return float((light & ~waited).mean())


def _with_moon(starts: list[Start], ground: Ground) -> tuple[Start, ...]:
    """Starts with their moons, asked of the ephemeris all at once."""
    reached = [start for start in starts if np.isfinite(start.typical_h)]
    lat_deg, lon_deg = float(ground.track.lat_deg[-1]), float(ground.track.lon_deg[-1])
    days = [
        (start.depart + timedelta(hours=start.typical_h, days=-night)).date()
        for start in reached
        for night in range(LAST_NIGHTS, 0, -1)
    ]
    nights = almanac(days, [lat_deg] * len(days), [lon_deg] * len(days))
    moons = {}
    for number, start in enumerate(reached):
        last = nights[LAST_NIGHTS * number : LAST_NIGHTS * (number + 1)]
        moons[start.depart] = Moon(sum(night.moon_illuminated for night in last) / LAST_NIGHTS, last[-1].moon_phase)
    return tuple(replace(start, moon=moons.get(start.depart)) for start in starts)
