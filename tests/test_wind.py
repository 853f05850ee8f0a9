"""Persistence of the wind. Peers: the closed forms of two first-order autoregressions (D)."""

from __future__ import annotations

import numpy as np
import pytest

from passage.crossings.wind import CHUNK_H, FAST_EFOLDING_H, SLOW_EFOLDING_H, Luck, slow_share

MEMBERS, HOURS = 1500, 480


@pytest.fixture(scope="module")
def rows() -> np.ndarray:
    luck = Luck(seed=7, members=MEMBERS)
    return np.stack([luck.hour(hour) for hour in range(HOURS)])  # (hours, 4, members)


def test_deviations_start_and_stay_standardised(rows: np.ndarray) -> None:
    """Mean 0 and variance 1 from the first hour; tolerance four standard errors of 1500 independent members."""
    for hour in (0, 100, HOURS - 1):
        assert 0.0 == pytest.approx(rows[hour].mean(axis=1), abs=4 / np.sqrt(MEMBERS))
        assert 1.0 == pytest.approx(rows[hour].var(axis=1), abs=4 * np.sqrt(2 / MEMBERS))


@pytest.mark.parametrize(("series", "efolding_h"), [(0, FAST_EFOLDING_H), (1, FAST_EFOLDING_H), (2, SLOW_EFOLDING_H)])
@pytest.mark.parametrize("lag_h", [12, 36, 120])
def test_deviations_last_as_long_as_they_should(rows: np.ndarray, series: int, efolding_h: float, lag_h: int) -> None:
    """Autocorrelation exp(-lag / e-folding) across members, four standard errors."""
    start, later = rows[50, series], rows[50 + lag_h, series]
    expected = np.exp(-lag_h / efolding_h)
    assert expected == pytest.approx(
        np.corrcoef(start, later)[0, 1], abs=4 * (1 - expected**2) / np.sqrt(MEMBERS) + 1e-3
    )


def test_series_are_strangers_to_one_another(rows: np.ndarray) -> None:
    correlation = np.corrcoef(rows[100]) - np.eye(4)
    assert 0.0 == pytest.approx(correlation, abs=4 / np.sqrt(MEMBERS))


def test_a_member_has_the_same_luck_however_many_sail_with_it() -> None:
    few, many = Luck(seed=3, members=8), Luck(seed=3, members=50)
    assert np.array_equal(few.performance_z, many.performance_z[:8])
    for hour in (0, 5, CHUNK_H + 3):
        assert np.array_equal(few.hour(hour), many.hour(hour)[:, :8])


def test_luck_does_not_depend_on_the_order_of_asking() -> None:
    forward, backward = Luck(seed=3, members=4), Luck(seed=3, members=4)
    last = backward.hour(2 * CHUNK_H)
    assert np.array_equal(backward.hour(1), forward.hour(1))
    assert np.array_equal(last, forward.hour(2 * CHUNK_H))


def test_other_seeds_have_other_luck() -> None:
    assert not np.array_equal(Luck(seed=1, members=4).hour(0), Luck(seed=2, members=4).hour(0))


def test_the_slow_share_is_the_designs() -> None:
    """Design figures (buoys): 0.12 within 20 degrees, 0.03 from 30 degrees, linear between, both hemispheres alike."""
    assert [0.12, 0.12, 0.075, 0.03, 0.03] == pytest.approx(slow_share(np.array([0.0, -20.0, 25.0, -30.0, 60.0])))
