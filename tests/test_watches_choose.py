"""The best rota of all there are, and two of them side by side."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from passage.consequences.watches.alertness import MODEL_ERROR_KSS
from passage.consequences.watches.choose import (
    NOTICED_H,
    SAME_SLEEPINESS,
    best,
    compare,
    complaints,
    equally_sleepy,
    given,
)
from passage.consequences.watches.rotas import Bounds, Fixed, Rotas, choose_grain, duties, enumerate_rotas, rota_of
from passage.consequences.watches.score import Conditions, Keeper, half_hours, score
from passage.errors import OutOfRange

NIGHT = half_hours([1] * 6 + [0] * 12 + [1] * 6)  # invented
CONDITIONS = Conditions(dark=NIGHT)
PAIR = (Keeper("one", 6.0), Keeper("other", 6.0))


def every_daily_rota_by_hand(shortest: int, longest: int) -> list[Rotas]:
    """Every assignment of the four-hour and of the two-hour blocks of a day to two people, with fair watch lengths."""
    found = []
    for hours in (4, 2):
        for owners in product((0, 1), repeat=24 // hours):
            keeper = np.repeat(owners, 2 * hours).astype(np.int8)
            starts = np.flatnonzero(keeper != np.roll(keeper, 1))
            lengths = np.diff([*starts, starts[0] + 48]) / 2 if len(starts) else np.array([24.0])
            if lengths.min() >= shortest and lengths.max() <= longest:
                found.append(Rotas(keeper.reshape(1, 1, 48), 2, 0.5))
    return found


def cost(rota: Rotas, keepers: tuple[Keeper, ...], conditions: Conditions) -> float:
    return float(sum(hours[0] for hours in complaints(score(rota, keepers, conditions), keepers).values()))


def noticed(hours: float) -> int:
    """Complaints are told apart by a quarter of an hour a day."""
    return round(hours / NOTICED_H)


@pytest.mark.parametrize(
    "keepers",
    [
        PAIR,
        (Keeper("one", 6.0, bad_at_dawn=True), Keeper("other", 6.0)),
        (Keeper("one", 6.0), Keeper("other", 5.0, bad_at_dawn=True, cooks=True)),
    ],
)
def test_no_rota_made_by_hand_is_better_than_the_best(keepers: tuple[Keeper, ...]) -> None:
    conditions = replace(CONDITIONS, cooking_h=(17.0, 1.0))
    found = best(Bounds(2, 2.0, 4.0), keepers, conditions)
    least = sum(found.complaints_h.values())
    by_hand = every_daily_rota_by_hand(2, 4)
    assert len(by_hand) > 50
    worst = found.scores.worst_kss.max()
    equal = [rota for rota in by_hand if score(rota, keepers, conditions).worst_kss.max() <= worst]
    assert equal
    assert noticed(least) <= min(noticed(cost(rota, keepers, conditions)) for rota in equal)


def test_the_best_of_a_small_case_is_the_best_of_all_scored_one_by_one() -> None:
    bounds = Bounds(2, 5.5, 6.5)
    found = best(bounds, PAIR, CONDITIONS)
    ones = [group.pick(np.array([k])) for group in enumerate_rotas(bounds) for k in range(len(group))]
    assert found.tried == len(ones)
    scores = [score(one, PAIR, CONDITIONS) for one in ones]
    least_worst = min(s.worst_kss.max() for s in scores)
    near = [s.worst_kss.max() <= least_worst + MODEL_ERROR_KSS for s in scores]
    least_mean = min(s.mean_kss.max() for s, is_near in zip(scores, near, strict=True) if is_near)
    equal = [
        k
        for k, s in enumerate(scores)
        if near[k] and s.mean_kss.max() <= least_mean + MODEL_ERROR_KSS and s.asleep_h.min() > 5.75
    ]
    assert found.equal == len(equal)
    costs = [noticed(cost(ones[k], PAIR, CONDITIONS)) for k in equal]
    assert min(costs) == noticed(sum(found.complaints_h.values()))


def test_who_is_bad_at_dawn_is_spared_it() -> None:
    for who in (0, 1):
        keepers = tuple(Keeper(str(k), 6.5, bad_at_dawn=k == who) for k in (0, 1))
        assert 0.0 == best(Bounds(2, 4.0, 6.0), keepers, CONDITIONS).scores.dawn_h[0, who]


def test_the_cook_is_not_on_watch_when_cooking() -> None:
    keepers = (Keeper("one", 6.5, cooks=True), Keeper("other", 6.5))
    conditions = replace(CONDITIONS, cooking_h=(17.0, 1.5), fixed=(Fixed("cooking", 17.0, 1.5, (0,)),))
    found = best(Bounds(2, 4.0, 6.0), keepers, conditions)
    assert 0.0 == found.scores.cooking_h[0, 0]
    assert {2} == set(duties(found.rota, conditions.asked, 0, conditions.fixed)[0, 0, :, 34:37].ravel())


def test_hours_in_which_one_may_not_stand_are_kept() -> None:
    may_stand = np.ones((2, 48), dtype=bool)
    may_stand[1, :10] = False
    found = best(Bounds(2, 3.0, 6.0), PAIR, CONDITIONS, may_stand)
    assert (found.rota.keeper[0, :, :10] == 0).all()


def test_hours_on_the_half_hour_are_kept_where_rotas_of_three_are_tried_on_the_hour() -> None:
    """Eight hours each from half past, so that no change on the hour will do."""
    may_stand = np.zeros((3, 48), dtype=bool)
    for person in range(3):
        may_stand[person, [(16 * person + 9 + k) % 48 for k in range(16)]] = True
    bounds = Bounds(3, 3.0, 8.0)
    assert 1 < choose_grain(bounds)
    found = best(bounds, (*PAIR, Keeper("third", 6.0)), CONDITIONS, may_stand).rota
    assert may_stand[found.keeper[0, 0], np.arange(48)].all()


def test_no_rota_at_all_is_said() -> None:
    may_stand = np.ones((2, 48), dtype=bool)
    may_stand[1, :20] = False  # ten hours for one, and watches of six at the most
    with pytest.raises(OutOfRange, match="no rota of 2 people"):
        best(Bounds(2, 3.0, 6.0), PAIR, CONDITIONS, may_stand)


def test_of_rotas_with_like_complaints_the_one_with_changes_on_the_hour_is_taken() -> None:
    found = best(Bounds(2, 2.0, 3.0), PAIR, CONDITIONS).rota.keeper.reshape(-1)
    assert not (found != np.roll(found, 1))[1::2].any()


def test_the_best_is_among_the_least_sleepy() -> None:
    found = best(Bounds(2, 4.0, 6.0), PAIR, CONDITIONS)
    for group in enumerate_rotas(Bounds(2, 4.0, 6.0)):
        scores = score(group, PAIR, CONDITIONS)
        assert found.scores.worst_kss.max() <= scores.worst_kss.max(axis=1).min() + MODEL_ERROR_KSS
        assert equally_sleepy(scores).any()


def four_and_four() -> Rotas:
    return rota_of(tuple((k % 2, 4.0 * k, 4.0 * k + 4) for k in range(6)), 2)


def test_rotas_within_the_model_error_are_called_equal() -> None:
    six = rota_of(tuple((k % 2, 6.0 * k, 6.0 * k + 6) for k in range(4)), 2)
    sides = compare(given(four_and_four(), PAIR, CONDITIONS), given(six, PAIR, CONDITIONS))
    assert SAME_SLEEPINESS == sides.verdict
    unbroken = next(row for row in sides.measures if row.what == "longest unbroken rest")
    assert ((4.0, 4.0), (6.0, 6.0)) == (unbroken.own, unbroken.best)


def test_a_rota_that_leaves_no_sleep_is_called_sleepier() -> None:
    """An hour on, an hour off: no block is worth lying down for."""
    short = rota_of(tuple((k % 2, float(k), float(k + 1)) for k in range(24)), 2)
    sides = compare(given(short, PAIR, CONDITIONS), given(four_and_four(), PAIR, CONDITIONS))
    assert "own rota is sleepier" in sides.verdict
