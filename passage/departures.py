"""When to leave: the road from other days, sailed with the same luck, so that weeks differ by season and not by luck.

A climatology made of ships' reports hides cyclones, for ships keep out of their way: it shows January in the tropics as
gentler than May. So strong wind and gales are told of the hours outside a cyclone season's box alone, with the share of
her days inside; and a start is judged by the storms that would have come near (``crossings.storms``): where those are
too many it is called stormy and is never among the better ones.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from math import isfinite
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.consequences.minded import Minded, minded
from passage.consequences.times import Gales, Times, passage_times, strong_and_gales
from passage.crossings.departure import Waiting, wait_for
from passage.crossings.ensemble import STANDING_OFF, Crossings
from passage.crossings.forecast import serves
from passage.crossings.lanes import Lane, lane_of
from passage.crossings.rose import CALM_KN
from passage.crossings.seasons import basins_along, seasons_met
from passage.crossings.simulate import most_abreast, sail_lanes
from passage.crossings.storms import NO_STORMS, Storms, StormsAlong, season_hours, storms_along, storms_met
from passage.crossings.wind import HARD_ON_THE_WIND_DEG
from passage.errors import RouteRefused
from passage.sailings.sky import SUNRISE_DEG, MoonPhase, almanac, sun_altitude_deg
from passage.tell.records import Record, told, up

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from passage.crossings.ground import Ground
    from passage.crossings.wind import Luck
    from passage.inputs.folder import Facts
    from passage.inputs.voyage import DepartureRule, KindWeek

CYCLONE_CAUTION = "cyclones are not in these numbers"
NEAR_LEAST = 1.25  # of the least hours of any week, where none keeps to the limit
AS_GOOD_SHARE = 0.05  # slow ends that differ by less are as good as one another
LAST_NIGHTS = 3


class Wait(Record):
    """Days in harbour until the departure rule was met, or the patience at an end."""

    typical_wait_days: float = told("half of the crossings wait no longer, days")
    long_wait_days: float = told("9 crossings in 10 wait no longer, days")
    in_vain_in_100: float = told("crossings of a hundred that leave with the rule unmet")


class Moon(Record):
    """The moon on the last nights before the typical landfall."""

    lit_in_100: float = told("lit part of the moon's disc in the mean of those nights, per cent")
    phase: MoonPhase = told("its phase on the last of them")


class Start(Record):
    """One departure. Strong wind and gales are of the hours outside the box of a cyclone season, for inside it those of
    cyclones are missing: nothing is said of them where she is never outside. Where the current wins she is not sailed,
    nothing arrives, and what cannot be known is not a number.
    """

    depart_utc: datetime = told("departure, UTC; with a departure rule the first day on which it is looked at")
    times: Times = told("days at sea, from the day she leaves, and what happens on the way")
    hard_on_wind_in_100: float = told("hours under way in 100 with the wind nearly ahead")
    cyclone_basins: tuple[str, ...] = told("basins in whose season 8 crossings in 10 touch them")
    daylight_in_100: float = told("crossings of a hundred that find daylight at landfall and need not stand off")
    moon: Moon | None = told("the moon of the last nights before the typical landfall")
    wait: Wait | None = told("days in harbour until the departure rule is met; null without a rule")
    forecast_counts: bool = told("whether a forecast is in the numbers")
    season_in_100: float = up("of a hundred of her days at sea so many are in the box of a season", default=0.0)
    storms: Storms = told("named storms that come near, counted on record or guessed", default=NO_STORMS)
    refused: str = told("why she was not sailed from that day; empty where she was", default="")
    minded: Minded | None = told("hours that a small crew minds; null where she was not sailed", default=None)
    unkind: tuple[str, ...] = told("why it is not a kind week, in words; empty where it is", default=())
    as_good: bool = told(
        "whether its slow end is as good as the shortest of the kind weeks that meet few storms", default=False
    )

    @property
    def stormy(self) -> bool:
        """Whether too many crossings meet a named storm for any other figure to speak for it."""
        return self.storms.stormy


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
    along, found = storms_along(ground.track, basins_along(ground.track)), []
    abreast = max(most_abreast(ground.track) // luck.members, 1)
    for first in range(0, len(starts), abreast):
        if progress is not None:
            progress(first / len(starts))
        found += _side_by_side(facts, ground, luck, starts[first : first + abreast], along)
    if found and all(start.refused for start in found):
        raise RouteRefused(found[0].refused)
    return _with_moon(list(weighed(found, facts.voyage.kind)), ground)


class Measure(NamedTuple):
    """One thing that a small crew minds. of: hours in 100 of a start, not a number where it is not known; limit: the
    key of ``KindWeek``, a share.
    """

    words: str
    of: Callable[[Start], float]
    limit: str


def _hours(field: str) -> Callable[[Start], float]:
    return lambda start: float(getattr(start.minded, field)) if start.minded else float("nan")


MEASURES = (
    Measure("28 kn and more", _hours("strong_in_100"), "strong_wind_share"),
    Measure("hard on the wind", lambda start: start.hard_on_wind_in_100, "hard_on_wind_share"),
    Measure("calm", _hours("calm_in_100"), "calm_share"),
    Measure("cold", _hours("cold_in_100"), "cold_share"),
    Measure("fog likely", _hours("fog_in_100"), "fog_share"),
)


def weighed(starts: Sequence[Start], kind: KindWeek) -> tuple[Start, ...]:
    """The starts with why each is not kind. Where no start keeps to a limit, what is a quarter over the least will do,
    for then it is the passage that is not kind, and no week of it.
    """
    reasons: list[list[str]] = [[] for _ in starts]
    for measure in MEASURES if kind.counts else ():
        found = [measure.of(start) for start in starts]
        known = [value for start, value in zip(starts, found, strict=True) if not start.stormy and isfinite(value)]
        limit = max(100.0 * getattr(kind, measure.limit), NEAR_LEAST * min(known, default=0.0))
        for value, told_of in zip(found, reasons, strict=True):
            if value > limit:
                told_of.append(f"{measure.words} {value:.0f} of 100 hours, over {limit:.0f}")
    return tuple(replace(start, unkind=tuple(why)) for start, why in zip(starts, reasons, strict=True))


def better(starts: Sequence[Start]) -> tuple[Start, ...]:
    """Kind starts whose slow end is as good as the shortest of them, among those that meet few storms; may be none."""
    clear = [start for start in starts if not start.stormy and np.isfinite(start.times.slow_end_h)]
    clear = [start for start in clear if not start.unkind]
    shortest_h = min((start.times.slow_end_h for start in clear), default=0.0)
    return tuple(start for start in clear if start.times.slow_end_h <= (1.0 + AS_GOOD_SHARE) * shortest_h)


class _Leaving(NamedTuple):
    """How the crossings of one start leave. lane: None where the current wins, which ``refused`` tells."""

    depart: datetime
    lane: Lane | None
    waiting: Waiting | None = None
    forecast: bool = False
    refused: str = ""


def _side_by_side(
    facts: Facts, ground: Ground, luck: Luck, starts: Sequence[datetime], along: StormsAlong
) -> list[Start]:
    leavings = [_leaving(facts.voyage.departure_rule, ground, luck, depart) for depart in starts]
    sailed = iter(sail_lanes([leaving.lane for leaving in leavings if leaving.lane is not None]))
    slow_share = 1.0 - facts.voyage.reserve.slow_end_share
    found = []
    for leaving in leavings:
        if leaving.lane is None:
            found.append(_refused(leaving, luck.members, slow_share))
        else:
            crossings = next(sailed)
            hours = minded(crossings, facts.voyage.kind.cold_below_c)
            found.append(_told(leaving, crossings, passage_times(crossings, slow_share), along, hours))
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


def _refused(leaving: _Leaving, members: int, slow_share: float) -> Start:
    never, unknown = float("inf"), float("nan")
    times = Times(
        depart=leaving.depart,
        slow_share=slow_share,
        fast_h=never,
        typical_h=never,
        slow_end_h=never,
        slow_end_between_h=(never, never),
        crossings=members,
        never_crossings=members,
        calm_h=unknown,
        strong_h=unknown,
        motoring_h=unknown,
        hove_to_h=unknown,
        running_off_h=unknown,
        standing_off_h=unknown,
        gale_seen=Gales.UNSAID,
    )
    return Start(leaving.depart, times, unknown, (), unknown, None, None, False, refused=leaving.refused)


def _waiting(rule: DepartureRule, ground: Ground, luck: Luck, depart: datetime) -> Waiting:
    pace_kn = ground.vessel.fastest_kn / 2.0
    return wait_for(rule, ground.track, ground.climate, depart, luck, pace_kn)


def _told(leaving: _Leaving, crossings: Crossings, times: Times, along: StormsAlong, hours: Minded) -> Start:
    inside = season_hours(crossings, along.basins)
    seasons = tuple(met.name for met in seasons_met(crossings, along.basins))
    season_in_100 = 100.0 * float(inside.sum() / max(crossings.under_way.sum(), 1))
    if inside.any():
        outside = crossings.under_way & ~inside
        strong_h, gale_seen = strong_and_gales(crossings, outside)
        times = replace(times, strong_h=strong_h, gale_seen=gale_seen)
        hours = replace(hours, strong_in_100=100.0 * strong_h * crossings.members / max(outside.sum(), 1))
    return Start(
        depart_utc=leaving.depart,
        times=times,
        hard_on_wind_in_100=100.0 * _hard_on_wind(crossings),
        minded=hours,
        cyclone_basins=seasons,
        daylight_in_100=100.0 * _daylight(crossings),
        moon=None,
        wait=None if leaving.waiting is None else _wait(leaving.waiting),
        forecast_counts=leaving.forecast,
        season_in_100=season_in_100,
        storms=storms_met(crossings, along),
    )


def _wait(waiting: Waiting) -> Wait:
    typical, long = np.quantile(waiting.days, [0.5, 0.9], method="inverted_cdf")
    return Wait(float(typical), float(long), 100.0 * float(waiting.in_vain.mean()))


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
    reached = [start for start in starts if np.isfinite(start.times.typical_h)]
    lat_deg, lon_deg = float(ground.track.lat_deg[-1]), float(ground.track.lon_deg[-1])
    days = [
        (start.depart_utc + timedelta(hours=start.times.typical_h, days=-night)).date()
        for start in reached
        for night in range(LAST_NIGHTS, 0, -1)
    ]
    nights = almanac(days, [lat_deg] * len(days), [lon_deg] * len(days))
    moons = {}
    for number, start in enumerate(reached):
        last = nights[LAST_NIGHTS * number : LAST_NIGHTS * (number + 1)]
        lit_in_100 = 100.0 * sum(night.moon_illuminated for night in last) / LAST_NIGHTS
        moons[start.depart_utc] = Moon(lit_in_100, last[-1].moon_phase)
    return tuple(replace(start, moon=moons.get(start.depart_utc)) for start in starts)
