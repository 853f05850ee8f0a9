"""What the slow end hangs on: the same crossings with one doubtful figure changed, and with another current: none and a
stronger one for the shipped averages, half a knot where there is none.

How long weather lasts and how much a crew's speed differs from one passage to the next make the slow end; her mean
speed and the mean wind move it and the typical passage together. None is known well. Every line is the road walked
again with the same luck, and says which stores would then run short.
"""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from math import inf
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.ensemble import passage_time_h
from passage.crossings.lanes import Lane, lane_of, performance_of
from passage.crossings.simulate import arrivals_h
from passage.crossings.wind import Luck
from passage.errors import RouteRefused
from passage.inputs.current import along_the_course
from passage.tell.records import Record, reckoned, told, up

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.crossings.ground import Ground
    from passage.inputs.climate import TrackClimate
    from passage.inputs.current import TrackCurrent

DRIFT_KN = 0.5
ROUNDING = 1e-6  # of a litre: nobody runs short of that
OFF_SHARE = 0.1  # of her mean speed, and of the wind: our choice
STRONGER = 1.7  # what the shipped averages are short by beside published ones (guide: "The current beside others")


class Assumption(StrEnum):
    """What is changed in a line of the bracket."""

    WEATHER_HALF = "weather half as long"
    WEATHER_TWICE = "weather twice as long"
    SPEED_HALF = "speed half as uneven"
    SPEED_TWICE = "speed twice as uneven"
    SLOWER = "slower"
    QUICKER = "quicker"
    WIND_LIGHTER = "wind lighter"
    WIND_STRONGER = "wind stronger"
    CURRENT_WITH = "current with her"
    CURRENT_AGAINST = "current against her"
    CURRENT_NONE = "current none"
    CURRENT_STRONGER = "current stronger"

    @property
    def words(self) -> str:
        return _WORDS[self]


_WORDS = {
    Assumption.WEATHER_HALF: "if weather lasts half as long as we think",
    Assumption.WEATHER_TWICE: "if weather lasts twice as long as we think",
    Assumption.SPEED_HALF: "if her speed differs half as much from passage to passage",
    Assumption.SPEED_TWICE: "if her speed differs twice as much from passage to passage",
    Assumption.SLOWER: "if she is a tenth slower than we think",
    Assumption.QUICKER: "if she is a tenth quicker than we think",
    Assumption.WIND_LIGHTER: "if the wind is a tenth lighter than we think",
    Assumption.WIND_STRONGER: "if the wind is a tenth stronger than we think",
    Assumption.CURRENT_WITH: "with half a knot of current with her all the way",
    Assumption.CURRENT_AGAINST: "with half a knot of current against her all the way",
    Assumption.CURRENT_NONE: "in water that does not move",
    Assumption.CURRENT_STRONGER: f"if the current is {STRONGER:g} times as strong",
}
_Case = tuple[
    Assumption, str, Lane | None
]  # what is changed, to what, and what is sailed: nothing where the current wins


class Used(NamedTuple):
    """A store that goes by the day: what each crossing takes out of it, (members,), and what may be used of it."""

    name: str
    by_crossing: NDArray[np.float64]
    usable: float


class RunsShort(Record):
    """A store of which some crossings run short."""

    store: str = told("its name")
    short_in_100: float = up("crossings in a hundred that run out of it")


class BracketLine(Record):
    """One line; times are infinite where not reached."""

    change: Assumption = told("what is changed")
    to: str = told("to what")
    typical_h: float
    slow_end_h: float
    short: tuple[RunsShort, ...] = told("stores that some crossings then run out of; fuel is not tried", default=())

    @reckoned("typical passage with that changed, days")
    def typical_days(self) -> float:
        return self.typical_h / 24.0

    @reckoned("slow end with that changed, days")
    def slow_end_days(self) -> float:
        return self.slow_end_h / 24.0


class Bracket(Record):
    """The lines, and what stands unchanged: typical passage and slow end (h) of the crossings themselves."""

    typical_h: float
    slow_end_h: float
    crossings: int = told("how many crossings were sailed for each line")
    by_days: bool = told("whether landfall waits for daylight, so that the lines go by steps of a day")
    lines: tuple[BracketLine, ...] = told("typical passage and slow end with one doubtful figure changed")


def bracket(ground: Ground, depart: datetime, luck: Luck, slow_share: float, stores: Sequence[Used] = ()) -> Bracket:
    """The slow end at half and twice the persistence and the spread of performance, with her mean speed and the wind a
    tenth less and more.

    Arguments as for ``sail``; slow_share 0.95 makes the slow end the time that 1 crossing in 20 exceeds; stores: what
    the same crossings use as they stand. In the shipped averages of the current, still water and a stronger current are
    added; without any, half a knot with her and against her all the way. Raises RouteRefused as ``sail`` does.
    """
    as_given = lane_of(ground, depart, luck)
    cases = [*_persistence(as_given), *_unevenness(as_given), *_performance(as_given)]
    for share, change in ((1.0 - OFF_SHARE, Assumption.WIND_LIGHTER), (1.0 + OFF_SHARE, Assumption.WIND_STRONGER)):
        windier = replace(ground, climate=_windier(ground.climate, share))
        cases.append((change, f"{100.0 * share:.0f} %", _unless_refused(windier, depart, luck)))
    for change, to, other in _other_currents(ground):
        cases.append((change, to, _unless_refused(replace(ground, current=other), depart, luck)))
    arrived = iter(arrivals_h([as_given, *(lane for _, _, lane in cases if lane is not None)]))
    base_h = next(arrived)
    lines = []
    for change, to, lane in cases:
        arrival_h = np.full(luck.members, inf) if lane is None else next(arrived)
        lines.append(BracketLine(change, to, *_times_h(arrival_h, slow_share), _shortages(stores, base_h, arrival_h)))
    return Bracket(*_times_h(base_h, slow_share), luck.members, ground.vessel.helm.stand_off, tuple(lines))


def _shortages(
    stores: Sequence[Used], base_h: NDArray[np.float64], arrival_h: NDArray[np.float64]
) -> tuple[RunsShort, ...]:
    """Each store that some crossings are short of where every crossing goes on using as much by the hour as she does as
    it stands; those that never arrived, as much as the middle one.
    """
    found = []
    for store in stores:
        rate = np.divide(store.by_crossing, base_h, out=np.full(base_h.shape, np.nan), where=np.isfinite(base_h))
        rate = np.where(np.isnan(rate), np.nanmedian(rate) if np.isfinite(base_h).any() else inf, rate)
        short = 100.0 * float((rate * arrival_h > store.usable + ROUNDING).mean())
        found += [RunsShort(store.name, short)] if short > 0 else []
    return tuple(found)


def _windier(climate: TrackClimate, share: float) -> TrackClimate:
    names = ("wind_east_kn", "wind_north_kn", "sigma_kn", "speed_kn")
    return replace(climate, **{name: share * getattr(climate, name) for name in names})


def _times_h(arrival_h: NDArray[np.float64], slow_share: float) -> tuple[float, float]:
    return passage_time_h(arrival_h, 0.5), passage_time_h(arrival_h, slow_share)


def _persistence(lane: Lane) -> Iterator[_Case]:
    luck = lane.luck
    for change, times in ((Assumption.WEATHER_HALF, 0.5), (Assumption.WEATHER_TWICE, 2.0)):
        fast_h, slow_h = times * luck.fast_efolding_h, times * luck.slow_efolding_h
        value = f"{fast_h:.0f} h and {slow_h / 24.0:.0f} days"
        yield change, value, lane._replace(luck=Luck(luck.seed, luck.members, fast_h, slow_h))


def _performance(lane: Lane) -> Iterator[_Case]:
    for change, share in ((Assumption.SLOWER, 1.0 - OFF_SHARE), (Assumption.QUICKER, 1.0 + OFF_SHARE)):
        mean = share * lane.vessel.helm.performance_mean_share
        helm = lane.vessel.helm.model_copy(update={"performance_mean_share": mean})
        yield change, f"{100.0 * mean:.0f} %", lane._replace(performance=performance_of(helm, lane.luck))


def _unevenness(lane: Lane) -> Iterator[_Case]:
    for change, times in ((Assumption.SPEED_HALF, 0.5), (Assumption.SPEED_TWICE, 2.0)):
        spread = times * lane.vessel.helm.performance_sd_share
        helm = lane.vessel.helm.model_copy(update={"performance_sd_share": spread})
        yield change, f"{100.0 * spread:.0f} %", lane._replace(performance=performance_of(helm, lane.luck))


def _other_currents(ground: Ground) -> Iterator[tuple[Assumption, str, TrackCurrent | None]]:
    """What else the water might do, as printed; a person's own current is taken as it is."""
    current = ground.current
    if current is None:
        for drift_kn, change in ((DRIFT_KN, Assumption.CURRENT_WITH), (-DRIFT_KN, Assumption.CURRENT_AGAINST)):
            word = change.value.removeprefix("current ")
            yield change, f"{DRIFT_KN:g} kn {word}", along_the_course(drift_kn, ground.track.course_deg)
    elif current.is_shipped:
        yield Assumption.CURRENT_NONE, "none", None
        yield Assumption.CURRENT_STRONGER, f"x {STRONGER:g}", current.times(STRONGER)


def _unless_refused(ground: Ground, depart: datetime, luck: Luck) -> Lane | None:
    try:
        return lane_of(ground, depart, luck)
    except RouteRefused:
        return None
