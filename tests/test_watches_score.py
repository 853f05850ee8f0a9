"""Scores of rotas: the derived table of two-person rotas, symmetry, and more sleep."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passage.consequences.watches.rest import judge_pattern
from passage.consequences.watches.rotas import Bounds, Fixed, Rotas, enumerate_rotas, rota_of
from passage.consequences.watches.score import (
    Conditions,
    Keeper,
    dark_hours_by_day,
    half_hours,
    rests_of,
    score,
)

NIGHT = half_hours([1] * 6 + [0] * 12 + [1] * 6)  # dark from 18:00 to 06:00, invented
CONDITIONS = Conditions(dark=NIGHT)
ALL = [rotas for bounds in (Bounds(2), Bounds(2, 2.5, 4.0)) for rotas in enumerate_rotas(bounds)]


def even(length: int, first: int = 0) -> Rotas:
    return rota_of(tuple(((k + first) % 2, float(k * length), float((k + 1) * length)) for k in range(24 // length)), 2)


def two(sleep_h: float, other_h: float | None = None) -> tuple[Keeper, Keeper]:
    return Keeper("one", sleep_h), Keeper("other", other_h or sleep_h)


# Derived (D): the person with the first watch from midnight; mean, worst, share of the watch at 7 or more. Half the
# last digit; for the worst, looked for every half hour, 0.0045 more: what the rhythms' curvature hides between two.
# The table counts sleep in whole minutes: of 6.5 h on three and three each of the four sleeps is 98 and not 97.5.
TABLE = [
    (3, 4 * 98 / 60, 4.9, 6.3, 0),
    (4, 6.5, 5.0, 6.5, 0),
    (6, 6.5, 5.2, 6.4, 0),
    (3, 5.0, 6.1, 7.5, 14),
    (4, 5.0, 6.1, 7.5, 22),
    (6, 5.0, 6.3, 7.5, 38),
]


@pytest.mark.parametrize(("length", "sleep_h", "mean", "worst", "share"), TABLE)
def test_the_table_of_two_person_rotas(length: int, sleep_h: float, mean: float, worst: float, share: int) -> None:
    scores = score(even(length), two(sleep_h), CONDITIONS)
    assert mean == pytest.approx(scores.mean_kss[0, 0], abs=0.05)
    assert worst == pytest.approx(scores.worst_kss[0, 0], abs=0.0545)
    assert share == pytest.approx(100 * scores.sleepy_h[0, 0] / scores.watch_h[0, 0], abs=0.5)


@pytest.mark.parametrize("group", range(len(ALL)))
def test_swapping_the_people_swaps_the_results(group: int) -> None:
    rotas = ALL[group].pick(np.arange(0, len(ALL[group]), 37))
    mirrored = Rotas(1 - rotas.keeper, 2, rotas.grain_h)
    there, back = score(rotas, two(5.0, 7.0), CONDITIONS), score(mirrored, two(7.0, 5.0), CONDITIONS)
    for column in fields(there):
        np.testing.assert_allclose(
            getattr(there, column.name), getattr(back, column.name)[:, ::-1], atol=1e-9, err_msg=column.name
        )


@settings(max_examples=30)
@given(st.integers(0, len(ALL) - 1), st.floats(0, 1), st.floats(2, 9), st.floats(0, 3))
def test_more_sleep_never_makes_anyone_sleepier(group: int, which: float, sleep_h: float, more_h: float) -> None:
    rota = ALL[group].pick(np.array([round(which * (len(ALL[group]) - 1))]))
    less, more = (score(rota, two(hours), CONDITIONS) for hours in (sleep_h, sleep_h + more_h))
    assert (more.mean_kss <= less.mean_kss + 1e-5).all()
    assert (more.worst_kss <= less.worst_kss + 1e-5).all()
    assert (more.asleep_h >= less.asleep_h - 1e-9).all()


def test_how_much_is_slept_matters_more_than_the_shape() -> None:
    """The finding of the table: an hour and a half of sleep moves the mean by more than any even rota does."""
    means = [score(even(length), two(6.5), CONDITIONS).mean_kss[0, 0] for length in (3, 4, 6)]
    short = score(even(4), two(5.0), CONDITIONS).mean_kss[0, 0]
    assert max(means) - min(means) < short - max(means)


def test_hours_add_up_to_days_and_nights() -> None:
    for rotas in ALL:
        scores = score(rotas.pick(np.arange(0, len(rotas), 53)), two(6.0), CONDITIONS)
        assert (scores.watch_h.sum(axis=1) == 24.0).all()
        assert (scores.dark_h.sum(axis=1) == 12.0).all()
        assert (scores.graveyard_h.sum(axis=1) == 4.0).all()
        assert (scores.dawn_h.sum(axis=1) == 4.0).all()


def test_a_two_day_rota_shares_the_graveyard_and_a_daily_one_need_not() -> None:
    daily, alternating = even(4), ALL[0]
    assert 2 == alternating.days
    assert [4.0, 0.0] == list(score(daily, two(6.5), CONDITIONS).graveyard_h[0])
    assert (score(alternating, two(6.5), CONDITIONS).graveyard_h == 2.0).all()


def test_rest_counted_in_bulk_is_rest_counted_exactly() -> None:
    rng = np.random.default_rng(6)
    conditions = replace(CONDITIONS, fixed=(Fixed("meal", 18.0, 1.0),))
    for rotas in ALL:
        some = rotas.pick(rng.integers(0, len(rotas), 12))
        scores = score(some, two(6.0), conditions)
        for row in range(len(some)):
            one = some.pick(np.array([row]))
            verdicts = [judge_pattern(*rests_of(one, person, conditions)) for person in (0, 1)]
            assert [v.least_in_day_h for v in verdicts] == pytest.approx(list(scores.least_rest_h[row]))
            assert [v.longest_h for v in verdicts] == pytest.approx(list(scores.unbroken_h[row]))


def test_dark_hours_follow_the_days() -> None:
    """Nights of 12 and of 8 hours; four on, four off, whose person 0 keeps 00-04, 08-12 and 16-20."""
    short = half_hours([1] * 4 + [0] * 16 + [1] * 4)
    by_day = dark_hours_by_day(even(4), CONDITIONS, np.array([NIGHT, short]))
    assert [[6.0, 6.0], [4.0, 4.0]] == by_day.tolist()


def test_a_body_clock_that_lags_makes_the_morning_sleepier() -> None:
    """Ship's clocks put on six hours: eight in the morning is the body's two at night."""
    usual, shifted = (
        score(even(6), two(6.5), replace(CONDITIONS, acrophase_h=16.8 + lag)).mean_kss[0, 1] for lag in (0.0, 6.0)
    )
    assert usual < shifted
