"""Hours of rest: the published examples, and the rotas of two people."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from passage.consequences.watches.rest import (
    Rests,
    judge,
    judge_pattern,
    least_in_window_h,
    least_longest_h,
    merged,
)


def alternating_rests(lengths_h: tuple[float, ...], start_h: float = 0.0, first: bool = True) -> tuple[Rests, float]:
    """Two people relieve each other by these watch lengths from start_h on; the rests of one of them, and the hours
    after which they repeat. first: whether this person stands the first.
    """
    whole = lengths_h if len(lengths_h) % 2 == 0 else lengths_h * 2
    edges = start_h + np.concatenate([[0.0], np.cumsum(whole)])
    rests = tuple((float(edges[k]), float(edges[k + 1])) for k in range(1 if first else 0, len(whole), 2))
    return rests, float(sum(whole))


def test_published_example_nine_hours_across_two_days() -> None:
    """R2: rest 00-06 and 20-24, at work from 05 the next day: 4 + 5 h from 06 to 06, though each day passes."""
    rests = ((0.0, 6.0), (20.0, 29.0))
    assert 10.0 == least_in_window_h(rests, 24.0, 24.0)
    assert 9.0 == least_in_window_h(rests, 24.0, 30.0)
    assert not judge(rests, 30.0).passes


def test_published_example_half_an_hour_late() -> None:
    """R2: rest 00-04 and 18-24 passes with ten hours; the next day 00-04 and 18:30-24 has 9.5."""
    assert 10.0 == least_in_window_h(((0.0, 4.0), (18.0, 24.0)), 24.0, 24.0)
    verdict = judge(((0.0, 4.0), (18.0, 28.0), (42.5, 48.0)), 48.0)
    assert 9.5 == verdict.least_in_day_h
    assert "9.5 h rest in the worst 24 h, 10 asked" in verdict.failures


# Derived (D): least rest in 24 h, in 7 days, longest off; both people alike. Exact.
ROTAS = [
    ((2.0,), 0.0, 12, 84, 2, False),
    ((3.0,), 0.0, 12, 84, 3, False),
    ((4.0,), 0.0, 12, 84, 4, False),
    ((6.0,), 0.0, 12, 84, 6, True),
    ((4.0, 4.0, 4.0, 4.0, 2.0, 2.0, 4.0), 0.0, 10, 82, 4, False),
    ((4.0, 4.0, 5.0, 6.0, 5.0), 0.0, 9, 81, 6, False),
    ((6.0, 6.0, 4.0, 4.0, 4.0), 8.0, 8, 80, 6, False),
]


@pytest.mark.parametrize("first", [True, False])
@pytest.mark.parametrize(("lengths", "start", "day", "week", "longest", "passes"), ROTAS)
def test_the_rotas_of_two_people(
    lengths: tuple[float, ...], start: float, day: float, week: float, longest: float, passes: bool, first: bool
) -> None:
    verdict = judge_pattern(*alternating_rests(lengths, start, first))
    assert (day, week, longest) == (verdict.least_in_day_h, verdict.least_in_week_h, verdict.longest_h)
    assert passes is verdict.passes


@pytest.mark.parametrize(("lengths", "start", "least"), [((4, 4, 5, 6, 5), 0, 5), ((6, 6, 4, 4, 4), 8, 4)])
def test_five_watch_rotas_have_windows_with_a_short_longest_rest(
    lengths: tuple[float, ...], start: float, least: float
) -> None:
    assert least == judge_pattern(*alternating_rests(lengths, start)).least_longest_in_day_h  # D


def test_short_watches_fail_by_the_six_hours_and_not_by_the_hours() -> None:
    failures = judge_pattern(*alternating_rests((4.0,))).failures
    assert any("longest rest 4 h" in failure for failure in failures)
    assert not any("worst" in failure for failure in failures)


def test_the_two_legs_of_the_labour_convention_disagree_about_two_watches() -> None:
    """R2: 84 h rest in 7 days is more than 77, and 84 h work is more than 72."""
    verdict = judge_pattern(*alternating_rests((6.0,)))
    assert verdict.passes
    assert not verdict.mlc_by_work


def test_never_off_and_never_on() -> None:
    assert 0.0 == judge_pattern((), 24.0).least_in_day_h
    assert judge_pattern(((0.0, 24.0),), 24.0).passes


def test_where_a_pattern_is_cut_makes_no_difference() -> None:
    evening = ((0.0, 5.0), (13.0, 16.0), (21.0, 24.0))
    moved = tuple((a + 3.0, b + 3.0) for a, b in ((-3.0, 5.0), (13.0, 16.0)))
    assert judge_pattern(evening, 24.0) == judge_pattern(moved, 24.0)


@given(st.lists(st.booleans(), min_size=96, max_size=96))
def test_windows_agree_with_counting_half_hours(off: list[bool]) -> None:
    """Duties that change on half hours have their worst window on one: counted by brute force."""
    rests = merged(tuple((k / 2, k / 2 + 0.5) for k, free in enumerate(off) if free))
    counted = min(np.convolve(off, np.ones(48), "valid")) / 2
    assert counted == pytest.approx(least_in_window_h(rests, 24.0, 48.0), abs=1e-9)


@given(st.lists(st.integers(0, 72), min_size=2, max_size=12, unique=True))
def test_the_worst_window_is_the_worst_of_all_that_are_tried_one_by_one(hours: list[int]) -> None:
    """By hand: every window of 24 h in three days that begins on a quarter of an hour."""
    edges = sorted(hours)[: len(hours) // 2 * 2]
    rests = tuple((float(a), float(b)) for a, b in zip(edges[::2], edges[1::2], strict=True))
    longest = []
    for quarter in range(4 * 48 + 1):
        start = quarter / 4.0
        inside = [min(b, start + 24.0) - max(a, start) for a, b in rests]
        longest.append(max(0.0, *inside))
    assert min(longest) == least_longest_h(rests, 24.0, 72.0)
