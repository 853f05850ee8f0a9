"""Waiting for a departure: the user's rule for the first days, asked of every crossing's own wind.

A crew that waits looks every day at the hours ahead as a forecast would print them, in means of six hours, along the
way she would sail them. The wind of the waiting days is that of the crossing: who waits for a fair wind then sails in
what it turns into.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.rose import CALM_KN
from passage.crossings.weather import COSINE, EAST, FAST, NORTH, SINE, SLOW, Weather
from passage.crossings.wind import HARD_ON_THE_WIND_DEG

if TYPE_CHECKING:
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.crossings.wind import Luck
    from passage.inputs.climate import TrackClimate
    from passage.inputs.voyage import DepartureRule
    from passage.sailings.track import Track

PRINTED_H = 6


class Waiting(NamedTuple):
    """days: whole days waited, (members,); in_vain: who left with the rule unmet after the longest wait, (members,)."""

    days: NDArray[np.int64]
    in_vain: NDArray[np.bool_]


def wait_for(
    rule: DepartureRule, track: Track, climate: TrackClimate, depart: datetime, luck: Luck, pace_kn: float
) -> Waiting:
    """How long each member waits from ``depart`` (UTC) until the rule is met; pace_kn: of the hours looked at."""
    weather = Weather(track, climate, depart, night_speed_share=1.0)
    longest = int(rule.wait_at_most_h // 24)
    days = np.full(luck.members, longest, dtype=np.int64)
    waiting = np.ones(luck.members, dtype=bool)
    for day in range(longest + 1):
        met = waiting & _met(rule, weather, track, luck, 24 * day, pace_kn)
        days[met] = day
        waiting &= ~met
        if not waiting.any():
            break
    return Waiting(days, waiting)


def _met(
    rule: DepartureRule, weather: Weather, track: Track, luck: Luck, start_h: int, pace_kn: float
) -> NDArray[np.bool_]:
    met = np.ones(luck.members, dtype=bool)
    for begin in range(0, int(rule.first_h), PRINTED_H):
        hours = range(begin, min(begin + PRINTED_H, int(rule.first_h)))
        winds = [_wind(weather, track, luck, start_h + hour, hour * pace_kn) for hour in hours]
        tail, cross = np.mean(winds, axis=0)
        speed = np.mean([np.hypot(*wind) for wind in winds], axis=0)
        if rule.wind_under_kn is not None:
            met &= speed < rule.wind_under_kn
        if rule.not_ahead:
            met &= (speed < CALM_KN) | (np.degrees(np.arctan2(np.abs(cross), -tail)) >= HARD_ON_THE_WIND_DEG)
    return met


def _wind(weather: Weather, track: Track, luck: Luck, hour: int, run_nm: float) -> NDArray[np.float32]:
    """Wind along (positive astern) and across the course at a place along the track, (2, members), kn."""
    row = weather.table(hour)[:, min(round(run_nm / track.spacing_nm), track.nodes - 1)]
    deviation = luck.hour(hour)
    east, north = row[[EAST, NORTH], None] + row[FAST] * deviation.fast + row[SLOW] * deviation.slow
    return np.stack((east * row[SINE] + north * row[COSINE], east * row[COSINE] - north * row[SINE]))
