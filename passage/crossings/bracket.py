"""What the slow end hangs on: the same crossings with one of two doubtful figures halved and doubled, and with another
current: none and a stronger one for the shipped averages, half a knot where there is none.

How long weather lasts and how much a crew's speed differs from one passage to the next are the two figures that make
the slow end, and neither is known well. Every line is the road walked again with the same luck.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf
from typing import TYPE_CHECKING

from passage.crossings.ensemble import passage_time_h
from passage.crossings.lanes import Lane, lane_of, performance_of
from passage.crossings.simulate import arrivals_h
from passage.crossings.wind import Luck
from passage.errors import RouteRefused
from passage.inputs.current import along_the_course

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    import numpy as np
    from numpy.typing import NDArray

    from passage.crossings.ground import Ground
    from passage.inputs.current import TrackCurrent

DRIFT_KN = 0.5
STRONGER = 1.7  # what the shipped averages are short by beside published ones (guide: "The current beside others")

_Case = tuple[str, str, Lane | None]  # figure, value, and what is sailed: nothing where the current wins


@dataclass(frozen=True)
class BracketLine:
    """One line: what was changed, to what, and the passage times it gives (h, infinite where not reached).

    figure: ``persistence``, ``performance`` or ``current``. value: the changed figure as printed.
    """

    figure: str
    value: str
    typical_h: float
    slow_end_h: float


@dataclass(frozen=True)
class Bracket:
    """The lines, and what stands unchanged: typical passage and slow end (h) of the crossings themselves."""

    typical_h: float
    slow_end_h: float
    lines: tuple[BracketLine, ...]

    @property
    def slow_end_range_h(self) -> tuple[float, float]:
        """Shortest and longest slow end that persistence and performance leave open; current is another matter."""
        ends = [line.slow_end_h for line in self.lines if line.figure != "current"]
        return min(ends), max(ends)


def bracket(ground: Ground, depart: datetime, luck: Luck, slow_share: float) -> Bracket:
    """The slow end at half and twice the persistence and at half and twice the spread of performance.

    Arguments as for ``sail``; slow_share 0.95 makes the slow end the time that 1 crossing in 20 exceeds. In the shipped
    averages of the current, still water and a stronger current are added; without any, half a knot with her and against
    her all the way. Raises RouteRefused as ``sail`` does.
    """
    as_given = lane_of(ground, depart, luck)
    cases = [*_persistence(as_given), *_performance(as_given)]
    for value, other in _other_currents(ground):
        cases.append(("current", value, _unless_refused(replace(ground, current=other), depart, luck)))
    arrived = iter(arrivals_h([as_given, *(lane for _, _, lane in cases if lane is not None)]))
    base = _times_h(next(arrived), slow_share)
    never = inf, inf
    lines = [
        BracketLine(figure, value, *(never if lane is None else _times_h(next(arrived), slow_share)))
        for figure, value, lane in cases
    ]
    return Bracket(*base, tuple(lines))


def _times_h(arrival_h: NDArray[np.float64], slow_share: float) -> tuple[float, float]:
    return passage_time_h(arrival_h, 0.5), passage_time_h(arrival_h, slow_share)


def _persistence(lane: Lane) -> Iterator[_Case]:
    luck = lane.luck
    for times in (0.5, 2.0):
        fast_h, slow_h = times * luck.fast_efolding_h, times * luck.slow_efolding_h
        value = f"{fast_h:.0f} h and {slow_h / 24.0:.0f} days"
        yield "persistence", value, lane._replace(luck=Luck(luck.seed, luck.members, fast_h, slow_h))


def _performance(lane: Lane) -> Iterator[_Case]:
    for times in (0.5, 2.0):
        spread = times * lane.vessel.helm.performance_sd_share
        helm = lane.vessel.helm.model_copy(update={"performance_sd_share": spread})
        yield "performance", f"{100.0 * spread:.0f} %", lane._replace(performance=performance_of(helm, lane.luck))


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
