"""What the slow end hangs on: the same crossings with one of two doubtful figures halved and doubled, and what half a
knot of current would do where none is given.

How long weather lasts and how much a crew's speed differs from one passage to the next are the two figures that make
the slow end, and neither is known well. Every line is the road walked again with the same luck.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from passage.crossings.ensemble import passage_time_h
from passage.crossings.simulate import sail
from passage.crossings.wind import Luck
from passage.errors import RouteRefused
from passage.inputs.current import along_the_course

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from passage.crossings.ensemble import Crossings
    from passage.crossings.helm import Vessel
    from passage.inputs.climate import TrackClimate
    from passage.inputs.current import TrackCurrent
    from passage.inputs.forecast import TrackForecast
    from passage.sailings.track import Track

DRIFT_KN = 0.5


@dataclass(frozen=True)
class Line:
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
    lines: tuple[Line, ...]

    @property
    def slow_end_range_h(self) -> tuple[float, float]:
        """Shortest and longest slow end that persistence and performance leave open; current is another matter."""
        ends = [line.slow_end_h for line in self.lines if line.figure != "current"]
        return min(ends), max(ends)


def bracket(
    track: Track,
    climate: TrackClimate,
    vessel: Vessel,
    depart: datetime,
    luck: Luck,
    slow_share: float,
    current: TrackCurrent | None = None,
    forecast: TrackForecast | None = None,
    progress: Callable[[float], None] | None = None,
) -> Bracket:
    """The slow end at half and twice the persistence and at half and twice the spread of performance.

    Arguments as for ``sail``; slow_share 0.95 makes the slow end the time that 1 crossing in 20 exceeds. Where no
    current is given, half a knot with her and against her all the way are added.
    """
    cases = _cases(luck, vessel, track, current)
    tell = progress or (lambda share: None)

    def sailed(number: int, luck: Luck, vessel: Vessel, current: TrackCurrent | None) -> Crossings | None:
        tell(number / (len(cases) + 1))
        try:
            return sail(track, climate, vessel, depart, luck, None, current, forecast)
        except RouteRefused:
            return None

    base = sailed(0, luck, vessel, current)
    lines = [
        Line(figure, value, *_times_h(sailed(number, *changed), slow_share))
        for number, (figure, value, changed) in enumerate(cases, start=1)
    ]
    return Bracket(*_times_h(base, slow_share), tuple(lines))


def _times_h(crossings: Crossings | None, slow_share: float) -> tuple[float, float]:
    if crossings is None:
        return float("inf"), float("inf")
    return passage_time_h(crossings.arrival_h, 0.5), passage_time_h(crossings.arrival_h, slow_share)


_Case = tuple[str, str, tuple[Luck, "Vessel", "TrackCurrent | None"]]


def _cases(luck: Luck, vessel: Vessel, track: Track, current: TrackCurrent | None) -> list[_Case]:
    cases: list[_Case] = []
    for times in (0.5, 2.0):
        fast_h, slow_h = times * luck.fast_efolding_h, times * luck.slow_efolding_h
        value = f"{fast_h:.0f} h and {slow_h / 24.0:.0f} days"
        cases.append(("persistence", value, (Luck(luck.seed, luck.members, fast_h, slow_h), vessel, current)))
    for times in (0.5, 2.0):
        spread = times * vessel.helm.performance_sd_share
        helm = vessel.helm.model_copy(update={"performance_sd_share": spread})
        cases.append(("performance", f"{100.0 * spread:.0f} %", (luck, replace(vessel, helm=helm), current)))
    for drift_kn, word in ((DRIFT_KN, "with her"), (-DRIFT_KN, "against her")) if current is None else ():
        flow = along_the_course(drift_kn, track.course_deg)
        cases.append(("current", f"{DRIFT_KN:g} kn {word}", (luck, vessel, flow)))
    return cases
