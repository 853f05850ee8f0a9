"""How long: passage times, what the boat did in them, and where she was day by day."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.ensemble import (
    HOVE_TO,
    MOTORING,
    RUNNING_OFF,
    STANDING_OFF,
    Crossings,
    passage_time_h,
    sampling_range_h,
)
from passage.crossings.rose import CALM_KN, GALE_KN, STRONG_KN

if TYPE_CHECKING:
    from numpy.typing import NDArray

FAST_SHARE = 0.1


@dataclass(frozen=True)
class Times:
    """Passage times in hours (infinite where too few crossings arrive), and mean hours per crossing by what happened.

    slow_end_between_h: between which the slow end lies, as far as the number of crossings goes (``sampling_range_h``).
    fast_h: 1 crossing in 10 is quicker; typical_h: half are; slow_end_h: ``slow_share`` of the crossings are in by
    then. gale_seen: "none", "few" or "some" crossings with an hour of 34 kn; the climatology cannot say more.
    """

    members: int
    slow_share: float
    fast_h: float
    typical_h: float
    slow_end_h: float
    slow_end_between_h: tuple[float, float]
    never: int
    calm_h: float
    strong_h: float
    motoring_h: float
    hove_to_h: float
    running_off_h: float
    standing_off_h: float
    gale_seen: str


@dataclass(frozen=True)
class Day:
    """Where 8 crossings in 10 are at the end of a day out: distances along the track (nm), and the share already
    in."""

    day: int
    least_nm: float
    typical_nm: float
    most_nm: float
    arrived: float


def passage_times(crossings: Crossings, slow_share: float) -> Times:
    """Times and hours of ``crossings``; slow_share 0.95 makes the slow end the time 1 crossing in 20 exceeds."""
    under_way, wind = crossings.under_way, crossings.wind_kn
    gales = ((wind >= GALE_KN) & under_way).any(axis=1).mean()
    arrival = crossings.arrival_h
    return Times(
        members=crossings.members,
        slow_share=slow_share,
        fast_h=passage_time_h(arrival, FAST_SHARE),
        typical_h=passage_time_h(arrival, 0.5),
        slow_end_h=passage_time_h(arrival, slow_share),
        slow_end_between_h=sampling_range_h(arrival, slow_share),
        never=int(np.isinf(arrival).sum()),
        calm_h=_mean_h((wind < CALM_KN) & under_way),
        strong_h=_mean_h((wind >= STRONG_KN) & under_way),
        motoring_h=_mean_h(crossings.state == MOTORING),
        hove_to_h=_mean_h(crossings.state == HOVE_TO),
        running_off_h=_mean_h(crossings.state == RUNNING_OFF),
        standing_off_h=_mean_h(crossings.state == STANDING_OFF),
        gale_seen="none" if gales == 0 else "few" if gales < 0.2 else "some",
    )


def _mean_h(hours: NDArray[np.bool_]) -> float:
    return float(hours.sum() / hours.shape[0])


def day_by_day(crossings: Crossings, every_days: int = 1) -> tuple[Day, ...]:
    """The run of the crossings at the end of every n-th day out; the last day is that on which the last boat is in (or
    the simulation ends).
    """
    step = 24 * every_days
    return tuple(_day(crossings, hour) for hour in range(step, crossings.hours + step, step))


def _day(crossings: Crossings, hour: int) -> Day:
    distance = crossings.distance_nm[:, hour] if hour < crossings.hours else _at_the_end(crossings)
    least, typical, most = np.quantile(distance, [0.1, 0.5, 0.9], method="inverted_cdf")
    arrived = float((crossings.arrival_h <= hour).mean())
    return Day(hour // 24, float(least), float(typical), float(most), arrived)


def _at_the_end(crossings: Crossings) -> NDArray[np.float32]:
    """Distances after the last hour sailed, (member,)."""
    run: NDArray[np.float32] = crossings.distance_nm[:, -1] + crossings.speed_kn[:, -1]
    return np.clip(run, np.float32(0.0), np.float32(crossings.track.length_nm))
