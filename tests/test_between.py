"""What one reading of the wind tells of the day around it: closed forms, and the sampled wind itself."""

from __future__ import annotations

import numpy as np
import pytest

from passage.crossings.between import READING_SD_KN, Reading, Usual, covariance_kn2, given, promised
from passage.crossings.wind import FAST_EFOLDING_H, SLOW_EFOLDING_H, Luck
from tests.crossing_cases import vessel

TRADE = Usual(-12.0, 8.0, 5.0, 0.0)
SPEEDS = vessel().speeds


def test_without_a_reading_the_day_is_the_months() -> None:
    mean, left = given((), np.array([0.0, 12.0]), TRADE)
    assert [[-12.0, -12.0], [8.0, 8.0]] == mean.tolist()
    assert [25.0, 25.0] == pytest.approx(np.diag(left))


def test_one_reading_pulls_by_what_lasts_and_by_what_it_is_worth() -> None:
    """D: one reading h hours off, no slow part: r = exp(-h / 36) s^2 / (s^2 + e^2), variance s^2 - r^2 (s^2 + e^2)."""
    worth = 25.0 + READING_SD_KN**2
    for hours in (0.0, 12.0, 36.0, 1000.0):
        mean, left = given((Reading(0.0, 3.0, 8.0),), np.array([hours]), TRADE)
        pull = np.exp(-hours / FAST_EFOLDING_H) * 25.0 / worth
        assert [-12.0 + 15.0 * pull, 8.0] == pytest.approx(mean[:, 0])
        assert 25.0 - pull**2 * worth == pytest.approx(left[0, 0])


def test_two_readings_tell_more_than_one_and_the_order_of_them_nothing() -> None:
    hours = np.array([6.0, 12.0])
    first, second = Reading(0.0, -5.0, 2.0), Reading(24.0, -9.0, 11.0)
    both = given((first, second), hours, TRADE)
    assert np.allclose(both[0], given((second, first), hours, TRADE)[0])
    assert (np.diag(both[1]) < np.diag(given((first,), hours, TRADE)[1])).all()


def test_the_covariance_is_that_of_the_wind_the_crossings_meet() -> None:
    """The sampled deviations themselves, 24 hours apart, to four standard errors of a covariance from 4,000 pairs."""
    luck, share = Luck(3, 2000), 0.2
    wind = [5.0 * (np.sqrt(1 - share) * row.fast + np.sqrt(share) * row.slow) for row in (luck.hour(0), luck.hour(24))]
    (expected,) = covariance_kn2(np.array([0.0]), np.array([24.0]), Usual(0.0, 0.0, 5.0, share))[0]
    assert expected == pytest.approx(float((wind[0] * wind[1]).mean()), abs=4 * 25.0 * np.sqrt(2.0 / 4000))
    assert 25.0 * (0.8 * np.exp(-24 / FAST_EFOLDING_H) + 0.2 * np.exp(-24 / SLOW_EFOLDING_H)) == pytest.approx(expected)


def test_a_wind_that_never_strays_promises_just_what_she_makes_in_it() -> None:
    """5 kn in any wind from 10 kn up (D), and no doubt about it."""
    steady = promised((Reading(0.0, 0.0, 15.0),), 24.0, Usual(0.0, 15.0, 1e-3, 0.0), 0.0, SPEEDS)
    assert (5.0, 0.0) == pytest.approx(steady, abs=1e-3)


def test_a_noon_squall_promises_little_more_than_the_month_does() -> None:
    """Half as much wind again at one noon is not half as much for the day: light airs, speed by the wind."""
    light = Usual(0.0, 5.0, 2.0, 0.05)
    usual = promised((), 24.0, light, 0.0, SPEEDS).mean_kn
    squall = promised((Reading(0.0, 0.0, 10.0),), 24.0, light, 0.0, SPEEDS)
    certain = promised((), 24.0, Usual(0.0, 10.0, 1e-3, 0.0), 0.0, SPEEDS).mean_kn
    assert usual < squall.mean_kn < (usual + certain) / 2.0
    assert squall.sd_kn > 0.2


def test_equal_logs_teach_equal_things() -> None:
    day = (Reading(0.0, 1.0, 5.0), Reading(24.0, 2.0, 6.0)), 24.0, TRADE, 45.0, SPEEDS
    assert promised(*day) == promised(*day)
