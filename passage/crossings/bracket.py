"""What the slow end hangs on: the same crossings with one doubtful figure changed, and with another current: none and a
stronger one for the shipped averages, half a knot where there is none.

How long weather lasts and how much a crew's speed differs from one passage to the next make the slow end; her mean
speed and the mean wind move it and the typical passage together. None is known well. Every line is the road walked
again with the same luck, and says which stores would then run short.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.ensemble import passage_time_h
from passage.crossings.lanes import Lane, lane_of, performance_of
from passage.crossings.simulate import arrivals_h
from passage.crossings.wind import Luck
from passage.errors import RouteRefused
from passage.inputs.current import along_the_course

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.crossings.ground import Ground
    from passage.inputs.climate import TrackClimate
    from passage.inputs.current import TrackCurrent

DRIFT_KN = 0.5
OFF_SHARE = 0.1  # of her mean speed, and of the wind: our choice
STRONGER = 1.7  # what the shipped averages are short by beside published ones (guide: "The current beside others")

_Case = tuple[str, str, Lane | None]  # figure, value, and what is sailed: nothing where the current wins


class Used(NamedTuple):
    """A store that goes by the day: what each crossing takes out of it, (members,), and what may be used of it."""

    name: str
    by_crossing: NDArray[np.float64]
    usable: float


@dataclass(frozen=True)
class Line:
    """One line: what was changed, to what, and the passage times it gives (h, infinite where not reached).

    figure: ``persistence``, ``unevenness`` (of performance from one passage to the next), ``performance`` (its mean),
    ``wind`` or ``current``. value: the changed figure as printed. short: share of the crossings that then run out of a
    store, of those of which any do.
    """

    figure: str
    value: str
    typical_h: float
    slow_end_h: float
    short: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Bracket:
    """The lines, and what stands unchanged: typical passage and slow end (h) of the crossings themselves."""

    typical_h: float
    slow_end_h: float
    lines: tuple[Line, ...]

    @property
    def slow_end_range_h(self) -> tuple[float, float]:
        """Shortest and longest slow end that all but the current leave open."""
        ends = [line.slow_end_h for line in self.lines if line.figure != "current"]
        return min(ends), max(ends)


def bracket(ground: Ground, depart: datetime, luck: Luck, slow_share: float, stores: Sequence[Used] = ()) -> Bracket:
    """The slow end at half and twice the persistence and the spread of performance, with her mean speed and the wind a
    tenth less and more.

    Arguments as for ``sail``; slow_share 0.95 makes the slow end the time that 1 crossing in 20 exceeds; stores: what
    the same crossings use as they stand. In the shipped averages of the current, still water and a stronger current are
    added; without any, half a knot with her and against her all the way. Raises RouteRefused as ``sail`` does.
    """
    as_given = lane_of(ground, depart, luck)
    cases = [*_persistence(as_given), *_unevenness(as_given), *_performance(as_given)]
    for share in (1.0 - OFF_SHARE, 1.0 + OFF_SHARE):
        windier = replace(ground, climate=_windier(ground.climate, share))
        cases.append(("wind", f"{100.0 * share:.0f} %", _unless_refused(windier, depart, luck)))
    for value, other in _other_currents(ground):
        cases.append(("current", value, _unless_refused(replace(ground, current=other), depart, luck)))
    arrived = iter(arrivals_h([as_given, *(lane for _, _, lane in cases if lane is not None)]))
    base_h = next(arrived)
    lines = []
    for figure, value, lane in cases:
        arrival_h = np.full(luck.members, inf) if lane is None else next(arrived)
        lines.append(Line(figure, value, *_times_h(arrival_h, slow_share), _shortages(stores, base_h, arrival_h)))
    return Bracket(*_times_h(base_h, slow_share), tuple(lines))


def _shortages(
    stores: Sequence[Used], base_h: NDArray[np.float64], arrival_h: NDArray[np.float64]
) -> tuple[tuple[str, float], ...]:
    """Share of crossings short of each store where every crossing goes on using as much by the hour as she does as it
    stands; those that never arrived, as much as the middle one.
    """
    found = []
    for store in stores:
        rate = np.where(np.isfinite(base_h), store.by_crossing / base_h, np.nan)
        rate = np.where(np.isnan(rate), np.nanmedian(rate) if np.isfinite(base_h).any() else inf, rate)
        short = float((rate * arrival_h > store.usable + 1e-6).mean())
        found += [(store.name, short)] if short > 0 else []
    return tuple(found)


def _windier(climate: TrackClimate, share: float) -> TrackClimate:
    names = ("wind_east_kn", "wind_north_kn", "sigma_kn", "speed_kn")
    return replace(climate, **{name: share * getattr(climate, name) for name in names})


def _times_h(arrival_h: NDArray[np.float64], slow_share: float) -> tuple[float, float]:
    return passage_time_h(arrival_h, 0.5), passage_time_h(arrival_h, slow_share)


def _persistence(lane: Lane) -> Iterator[_Case]:
    luck = lane.luck
    for times in (0.5, 2.0):
        fast_h, slow_h = times * luck.fast_efolding_h, times * luck.slow_efolding_h
        value = f"{fast_h:.0f} h and {slow_h / 24.0:.0f} days"
        yield "persistence", value, lane._replace(luck=Luck(luck.seed, luck.members, fast_h, slow_h))


def _performance(lane: Lane) -> Iterator[_Case]:
    for share in (1.0 - OFF_SHARE, 1.0 + OFF_SHARE):
        mean = share * lane.vessel.helm.performance_mean_share
        helm = lane.vessel.helm.model_copy(update={"performance_mean_share": mean})
        yield "performance", f"{100.0 * mean:.0f} %", lane._replace(performance=performance_of(helm, lane.luck))


def _unevenness(lane: Lane) -> Iterator[_Case]:
    for times in (0.5, 2.0):
        spread = times * lane.vessel.helm.performance_sd_share
        helm = lane.vessel.helm.model_copy(update={"performance_sd_share": spread})
        yield "unevenness", f"{100.0 * spread:.0f} %", lane._replace(performance=performance_of(helm, lane.luck))


def _other_currents(ground: Ground) -> Iterator[tuple[str, TrackCurrent | None]]:
    """What else the water might do, as printed; a person's own current is taken as it is."""
    current = ground.current
    if current is None:
        for drift_kn, word in ((DRIFT_KN, "with her"), (-DRIFT_KN, "against her")):
            yield f"{DRIFT_KN:g} kn {word}", along_the_course(drift_kn, ground.track.course_deg)
    elif current.is_shipped:
        yield "none", None
        yield f"x {STRONGER:g}", current.times(STRONGER)


def _unless_refused(ground: Ground, depart: datetime, luck: Luck) -> Lane | None:
    try:
        return lane_of(ground, depart, luck)
    except RouteRefused:
        return None
