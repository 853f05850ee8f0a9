"""Which facts the answer hangs on: each tried a little otherwise, by the same crossings, and the answers compared.

How much otherwise is the doubt there is: two standard deviations of the published hulls where a measure was told from
her length, the spread of common practice elsewhere.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from functools import partial
from math import isfinite
from typing import TYPE_CHECKING, NamedTuple

from passage.consequences.power.power import charging_fuel_l, power_to_landfall
from passage.consequences.stores.water import water_to_landfall
from passage.crossings.at_sea import sailing_polar
from passage.crossings.helm import rig_out
from passage.crossings.wind import Luck
from passage.errors import PassageError
from passage.follows import electrics_of, laden
from passage.inputs.by_length import DISPLACEMENT_KG, SAIL_AREA_M2
from passage.inputs.changes import changed
from passage.inputs.told import plainly
from passage.inputs.toml import key_of
from passage.road import Outcome, walk
from passage.tell.records import Record, told, up

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from datetime import datetime

    from passage.crossings.ground import Ground
    from passage.inputs.by_length import Law
    from passage.inputs.electrics import Load
    from passage.inputs.folder import Facts

TRIED_CROSSINGS = 200
FEW = 3
FEWEST_MOVES = 0.02  # of an answer: a fact that moves none by more is not told


class Weighed(Record):
    """A fact tried at both ends of its doubt, and the answers there."""

    fact: str = told("what was tried otherwise")
    low: str = told("the one end of the doubt")
    high: str = told("the other end")
    slow_end_low_days: float = up("days to the slow end there")
    slow_end_high_days: float = up("days to the slow end there")
    water_low_l: float = up("litres of water to load there")
    water_high_l: float = up("litres of water to load there")
    battery_low_in_100: float = up("of 100 crossings, those whose battery falls below its floor there")
    battery_high_in_100: float = up("of 100 crossings, those whose battery falls below its floor there")
    moves_in_100: float = told("how far it moves the answer it moves most, per cent of it")


class _Answer(NamedTuple):
    slow_end_days: float
    water_l: float
    below_in_100: float


class _Ends(NamedTuple):
    """A fact, its two ends in words, and the answers there."""

    fact: str
    words: tuple[str, str]
    answers: tuple[_Answer, _Answer]


def weigh(outcome: Outcome) -> tuple[Weighed, ...]:
    """The facts that move the answer most, the weightiest first; none that moves it by less than a fiftieth."""
    usual = _sailed(outcome.facts, outcome.ground, outcome.crossings.depart, outcome.crossings.seed)
    answer = _answer(usual)
    found = [_weighed(ends, answer) for ends in _doubts(usual)]
    found.sort(key=lambda weighed: -weighed.moves_in_100)
    return tuple(weighed for weighed in found[:FEW] if weighed.moves_in_100 >= 100.0 * FEWEST_MOVES)


def _doubts(usual: Outcome) -> Iterator[_Ends]:
    facts = usual.facts
    hull, drink = facts.boat.hull, facts.crew.water.drink_and_cook_l_per_day
    measured = {
        "performance_mean_share": ("her speed, as a share of the table she sails by", "share", (0.8, 1.0)),
        "displacement_kg": ("her weight", "mass", _scattered(hull.displacement_kg, DISPLACEMENT_KG)),
        "sail_area_m2": ("her sail area", "area", _scattered(hull.sail_area_m2, SAIL_AREA_M2)),
    }
    for key, (fact, kind, ends) in measured.items():
        if key == "performance_mean_share" or key_of(key) in hull.not_measured:
            words = tuple(plainly(float(f"{end:.2g}"), kind) for end in ends)
            yield from _both(fact, words, [partial(_otherwise, usual, key, end) for end in ends])
    weeks = [timedelta(days=days) for days in (-14.0, 14.0)]
    yield from _both(
        "the day she leaves", ("two weeks before", "two weeks after"), [partial(_leaving, usual, by) for by in weeks]
    )
    litres = (max(drink - 0.5, facts.crew.water.survival_l_per_day), drink + 1.0)
    words = tuple(f"{plainly(round(end, 2), 'daily volume')} each" for end in litres)
    drunk = [changed(facts, drink_and_cook_l_per_day=end) for end in litres]
    yield from _both("what you drink and cook with", words, [partial(_drinking, usual, each) for each in drunk])
    if facts.electrics is not None:
        loads = [partial(_drawing, usual, share) for share in (0.7, 1.3)]
        yield from _both("what draws on the battery", ("70 % of what is listed", "130 %"), loads)


def _scattered(value: float, law: Law) -> tuple[float, float]:
    return value * (1.0 - 2.0 * law.scatter), value * (1.0 + 2.0 * law.scatter)


def _both(fact: str, words: Sequence[str], answers: Sequence[Callable[[], _Answer]]) -> Iterator[_Ends]:
    """Nothing where she cannot be sailed so."""
    try:
        low, high = (answer() for answer in answers)
    except PassageError:
        return
    yield _Ends(fact, (words[0], words[1]), (low, high))


def _otherwise(usual: Outcome, key: str, value: float) -> _Answer:
    """With another figure of hers, which changes how fast she sails."""
    facts = changed(usual.facts, **{key: value})
    polar = sailing_polar(facts.boat, facts.polar)
    ground = replace(usual.ground, polar=polar, vessel=rig_out(facts.boat, polar))
    return _answer(_sailed(facts, ground, usual.crossings.depart, usual.crossings.seed))


def _leaving(usual: Outcome, later: timedelta) -> _Answer:
    return _answer(_sailed(usual.facts, usual.ground, usual.crossings.depart + later, usual.crossings.seed))


def _drinking(usual: Outcome, facts: Facts) -> _Answer:
    """The same crossings, and another thirst in them."""
    return _answer(usual)._replace(water_l=_water_l(replace(usual, facts=facts)))


def _drawing(usual: Outcome, share: float) -> _Answer:
    """The same crossings, and so much of every load."""
    electrics = usual.facts.electrics
    assert electrics is not None
    loads = tuple(_load_times(load, share) for load in electrics.loads)
    facts = replace(usual.facts, electrics=electrics.model_copy(update={"loads": loads}))
    return _answer(usual)._replace(below_in_100=_below_in_100(replace(usual, facts=facts)))


def _load_times(load: Load, share: float) -> Load:
    drawn = {name: getattr(load, name) for name in ("power_w", "current_a", "rough_power_w")}
    return load.model_copy(update={name: value * share for name, value in drawn.items() if value})


def _sailed(facts: Facts, ground: Ground, depart: datetime, seed: int) -> Outcome:
    return walk(facts, ground, Luck(seed, TRIED_CROSSINGS), depart)


def _answer(outcome: Outcome) -> _Answer:
    return outcome.once(_worked_out)


def _worked_out(outcome: Outcome) -> _Answer:
    return _Answer(outcome.times.slow_end_h / 24.0, _water_l(outcome), _below_in_100(outcome))


def _water_l(outcome: Outcome) -> float:
    return water_to_landfall(laden(outcome.facts, outcome.crossings, outcome.slow_share, 0.0)).load.amount


def _below_in_100(outcome: Outcome) -> float:
    electrics = electrics_of(outcome.facts)
    if electrics is None:
        return 0.0
    fuel_l = charging_fuel_l(outcome.facts.boat)
    power = power_to_landfall(outcome.crossings, outcome.ground.climate, electrics, fuel_l, remedies=False)
    return power.answer.below_in_100


def _weighed(ends: _Ends, usual: _Answer) -> Weighed:
    low, high = ends.answers
    moves = [abs(above - below) / scale for below, above, scale in zip(low, high, (*usual[:2], 100.0), strict=True)]
    return Weighed(
        fact=ends.fact,
        low=ends.words[0],
        high=ends.words[1],
        slow_end_low_days=low.slow_end_days,
        slow_end_high_days=high.slow_end_days,
        water_low_l=low.water_l,
        water_high_l=high.water_l,
        battery_low_in_100=low.below_in_100,
        battery_high_in_100=high.below_in_100,
        moves_in_100=100.0 * max((each for each in moves if isfinite(each)), default=0.0),
    )
