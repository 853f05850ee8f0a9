"""Learning: the closed form, what is recovered from invented logs of a known boat, and what a lie in the log can do."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest

from passage.journal.learning import Belief, Learned, Seen, learn, next_time

BOAT = Belief(0.9, 0.08)
KNOT = 24.0  # a day's scatter in miles when the day errs by a knot


def days(factor: float, count: int, rng: np.random.Generator, scatter_nm: float = KNOT) -> list[Seen]:
    """Invented days of a boat that makes ``factor`` of her polar, in winds that promise 40 to 150 miles."""
    expected = rng.uniform(40.0, 150.0, count)
    seen = factor * expected + scatter_nm * rng.standard_normal(count)
    return [Seen(float(e), float(s), KNOT, number) for number, (e, s) in enumerate(zip(expected, seen, strict=True), 2)]


def test_one_day_by_hand() -> None:
    """D: prior 0.9 +- 0.08, one day of 100 expected and 80 seen, scatter 24; the pooled scatter with one day on the
    line through 0.9: (4 + (10 / 24)^2) / 5 of its variance.
    """
    learned = learn(BOAT, [Seen(100.0, 80.0, 24.0, 2)])
    spread = (4.0 + (10.0 / 24.0) ** 2) / 5.0
    precision = 1 / 0.08**2 + (100.0 / 24.0) ** 2 / spread
    mean = (0.9 / 0.08**2 + 100.0 * 80.0 / 24.0**2 / spread) / precision
    assert mean == pytest.approx(learned.after.mean)
    assert 1 / sqrt(precision) == pytest.approx(learned.after.sd)
    assert 0.8 < learned.after.mean < 0.9


def test_the_step_is_bayes_rule_on_a_fine_grid() -> None:
    """Against a posterior by brute force: prior times likelihood on a grid (T), the scatter being what was stated."""
    told = [Seen(120.0, 120.0 * 0.8 + KNOT, KNOT, 2), Seen(80.0, 80.0 * 0.8 - KNOT, KNOT, 3), Seen(0.0, 12.0, KNOT, 4)]
    learned = learn(Belief(0.8, 0.08), told)
    spread = (4.0 + 2.0) / (4.0 + 2.0)
    factor = np.linspace(0.0, 2.0, 200_001)
    log_density = -((factor - 0.8) ** 2) / (2 * 0.08**2)
    for day in told[:2]:
        log_density -= (day.seen - factor * day.expected) ** 2 / (2 * spread * KNOT**2)
    density = np.exp(log_density - log_density.max())
    density /= density.sum()
    mean = float((factor * density).sum())
    assert mean == pytest.approx(learned.after.mean, abs=1e-6)
    assert float(np.sqrt(((factor - mean) ** 2 * density).sum())) == pytest.approx(learned.after.sd, abs=1e-6)


def test_nothing_seen_and_a_day_without_wind_teach_nothing() -> None:
    assert BOAT == learn(BOAT, []).after
    assert BOAT == learn(BOAT, [Seen(0.0, 30.0, KNOT, 2)]).after


@pytest.mark.parametrize("count", [2, 7, 21])
def test_the_stated_interval_covers_the_known_factor(count: int) -> None:
    """Nine logs in ten must have the boat's factor within 1.645 sd; 600 logs: four standard errors are 0.049."""
    rng = np.random.default_rng(count)
    covered = 0
    for _ in range(600):
        factor = rng.normal(BOAT.mean, BOAT.sd)
        after = learn(BOAT, days(factor, count, rng)).after
        covered += abs(after.mean - factor) <= 1.645 * after.sd
    assert 0.9 == pytest.approx(covered / 600, abs=0.049)


@pytest.mark.parametrize("scatter_kn", [0.5, 1.6])
def test_a_scatter_other_than_stated_is_learned_too(scatter_kn: float) -> None:
    """21 days at half or half as much again of the stated scatter still cover as said, within 8 points."""
    rng = np.random.default_rng(3)
    covered = 0
    for _ in range(600):
        factor = rng.normal(BOAT.mean, BOAT.sd)
        after = learn(BOAT, days(factor, 21, rng, scatter_kn * KNOT)).after
        covered += abs(after.mean - factor) <= 1.645 * after.sd
    assert 0.9 == pytest.approx(covered / 600, abs=0.08)


def test_three_weeks_bring_the_known_factor_back() -> None:
    """A factor far from the belief before, over 200 logs. D: 21 days expecting 40 to 150 miles weigh 21 x 10033 /
    24^2 = 366 against 25 of the belief, which so pulls by 25 / 391 of the 0.2 between them; three standard errors.
    """
    rng = np.random.default_rng(5)
    after = [learn(Belief(0.9, 0.2), days(0.7, 21, rng)).after for _ in range(200)]
    assert 0.7 + 0.2 * 25 / 391 == pytest.approx(np.mean([belief.mean for belief in after]), abs=0.011)
    assert 391**-0.5 == pytest.approx(np.mean([belief.sd for belief in after]), rel=0.1)


@pytest.mark.parametrize("absurd_nm", [412.0, 0.0, -300.0, 4000.0])
@pytest.mark.parametrize("count", [3, 7, 14])
def test_one_absurd_entry_does_not_swing_it(absurd_nm: float, count: int) -> None:
    """With and without it the answer differs by less than the uncertainty it states, over fifty logs."""
    rng = np.random.default_rng(count)
    for _ in range(50):
        honest = days(0.85, count, rng, 0.6 * KNOT)
        plain = learn(BOAT, honest).after
        lied = learn(BOAT, [*honest, Seen(100.0, absurd_nm, KNOT, 99)])
        assert plain.mean == pytest.approx(lied.after.mean, abs=plain.sd)


def test_an_absurd_day_is_left_out_and_named() -> None:
    rng = np.random.default_rng(8)
    honest = days(0.85, 7, rng, 0.5 * KNOT)
    assert (99,) == learn(BOAT, [*honest, Seen(100.0, 412.0, KNOT, 99)]).left_out
    assert () == learn(BOAT, honest).left_out


@pytest.mark.parametrize("count", [1, 2, 3])
def test_the_first_days_do_not_vouch_for_each_other_when_they_are_absurd(count: int) -> None:
    """Invented: the log begins with days on which six times the water planned is gone; belief does not move."""
    litres = Belief(1.0, 0.2)
    absurd = [Seen(6.4, 38.0, 2.5, number) for number in range(2, 2 + count)]
    found = learn(litres, absurd)
    assert tuple(day.number for day in absurd) == found.left_out
    assert litres.mean == pytest.approx(found.after.mean, abs=0.5 * litres.sd)


def test_what_goes_on_for_a_week_is_believed_in_the_end() -> None:
    week = learn(Belief(1.0, 0.2), [Seen(6.4, 16.0, 2.5, number) for number in range(2, 9)])
    assert () == week.left_out
    assert week.after.mean > 1.3


def test_honest_days_are_hardly_ever_left_out() -> None:
    """Four scatters off happens to a normal day once in 16,000 (D); the line is itself uncertain: fewer than 1 in
    1000.
    """
    rng = np.random.default_rng(11)
    left = sum(len(learn(BOAT, days(rng.normal(0.9, 0.08), 14, rng)).left_out) for _ in range(400))
    assert left <= 5


def test_an_error_that_all_days_share_is_not_worn_off() -> None:
    """D: with days without number the belief keeps the shared 0.05 beside the 0.08 of before; and it covers as said."""
    rng = np.random.default_rng(6)
    covered = 0
    for _ in range(600):
        factor = rng.normal(BOAT.mean, BOAT.sd)
        after = learn(BOAT, days(factor + rng.normal(0.0, 0.05), 14, rng), 0.05).after
        covered += abs(after.mean - factor) <= 1.645 * after.sd
    assert 0.9 == pytest.approx(covered / 600, abs=0.049)
    many = learn(BOAT, days(0.8, 4000, rng), 0.05).after
    assert (1 / 0.08**2 + 1 / 0.05**2) ** -0.5 == pytest.approx(many.sd, rel=0.01)


def test_the_next_passage_starts_between_belief_and_experience() -> None:
    """D: with a perfectly seen factor the boat's own half gives a weight of one half, and a spread of sqrt(3)/2 of
    before.
    """
    seen = Learned(BOAT, Belief(0.8, 1e-6), 21, ())
    after = next_time(seen)
    assert 0.85 == pytest.approx(after.mean, abs=1e-6)
    assert 0.08 * sqrt(0.75) == pytest.approx(after.sd, rel=1e-6)


def test_a_weekend_teaches_less_than_an_ocean_and_nothing_teaches_nothing() -> None:
    rng = np.random.default_rng(2)
    weekend, ocean = (next_time(learn(BOAT, days(0.75, count, rng, 1.0))) for count in (2, 21))
    assert BOAT.mean > weekend.mean > ocean.mean
    assert BOAT.sd > weekend.sd > ocean.sd
    assert BOAT == next_time(learn(BOAT, []))


def test_many_passages_find_the_boat_s_own_factor() -> None:
    """A boat 0.05 off the belief, each passage its own luck: after eight logs the mean of 100 boats has come most of
    the way, and the spread has kept the passage's own half.
    """
    rng = np.random.default_rng(4)
    ends = []
    for _ in range(100):
        belief = BOAT
        for _ in range(8):
            belief = next_time(learn(belief, days(0.85 + rng.normal(0.0, 0.08 * sqrt(0.5)), 21, rng)))
        ends.append(belief)
    assert 0.85 == pytest.approx(np.mean([belief.mean for belief in ends]), abs=0.015)
    assert np.mean([belief.sd for belief in ends]) < 0.08
