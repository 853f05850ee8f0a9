"""What ships' errors add to the wind's spread, against reports made up with known errors, and its taking out."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm

from passage.inputs.reports import (
    DIRECTION_ERROR_DEG,
    LEAST_LEFT,
    SPEED_ERROR_KN,
    read_too_high,
    vector_mean_kept,
    without_error,
)
from passage.inputs.rice import rice_mean, sigma_from_means

KN = 3600 / 1852


def reported(nu_kn: float, sigma_kn: float, reports: int = 400_000) -> tuple[float, float]:
    """Vector mean and mean speed of invented reports: the wind's own scatter, then the errors; none under nothing."""
    rng = np.random.default_rng(3)
    along, across, speed_off, turned = rng.standard_normal((4, reports))
    wind = nu_kn + sigma_kn * (along + 1j * across)
    speed = np.maximum(np.abs(wind) + SPEED_ERROR_KN * speed_off, 0.0)
    seen = speed * np.exp(1j * (np.angle(wind) + np.radians(DIRECTION_ERROR_DEG) * turned))
    return float(abs(seen.mean())), float(speed.mean())


def test_the_speeds_error_is_that_of_kent_and_others() -> None:
    """Kent, Challenor and Taylor 1999, abstract: 2.1 +- 0.2 m/s (R)."""
    assert 2.1 == pytest.approx(SPEED_ERROR_KN / KN)


@pytest.mark.parametrize(("nu_m_s", "sigma_m_s"), [(6.5, 1.8), (6.5, 2.5), (8.0, 2.5), (6.0, 5.0), (3.0, 4.0)])
def test_a_known_wind_comes_back_from_its_reports(nu_m_s: float, sigma_m_s: float) -> None:
    """D: 1 per cent of the spread; the vector mean too."""
    vector, speed = reported(nu_m_s * KN, sigma_m_s * KN)
    assert sigma_from_means(vector, speed) > 1.005 * sigma_m_s * KN
    corrected = without_error(np.array([vector]), np.array([speed]))
    assert nu_m_s * KN == pytest.approx(corrected[0][0], rel=0.01)
    assert sigma_m_s * KN == pytest.approx(sigma_from_means(*corrected)[0], rel=0.012)


def test_steady_trades_are_read_six_per_cent_too_uneven() -> None:
    """The design's figure against tropical moored buoys (their records are not shipped): sigma 6 per cent high."""
    vector, speed = reported(6.5 * KN, 2.3 * KN)
    assert 1.06 == pytest.approx(float(sigma_from_means(vector, speed)) / (2.3 * KN), abs=0.02)


def test_light_airs_are_read_too_high_and_strong_winds_are_not() -> None:
    """D: in a dead calm half of a normal error counts, its mean c / sqrt(2 pi); at twenty times the error nothing."""
    assert SPEED_ERROR_KN / np.sqrt(2 * np.pi) == pytest.approx(float(read_too_high(0.0, 1e-9, SPEED_ERROR_KN)))
    still = 3.0 * norm.pdf(1.0) - 3.0 * norm.sf(1.0)  # a steady wind as strong as the error
    assert still == pytest.approx(float(read_too_high(3.0, 1e-9, 3.0)))
    assert 0.0 == pytest.approx(float(read_too_high(60.0, 1.0, 3.0)), abs=1e-12)


def test_directions_that_scatter_shorten_the_vector_mean() -> None:
    """D: the mean cosine of a normal angle; the independent way by a sum over it."""
    turned = np.linspace(-1.5, 1.5, 30001)
    density = norm.pdf(turned, scale=np.radians(12.0))
    assert np.sum(density * np.cos(turned)) / density.sum() == pytest.approx(vector_mean_kept(12.0), rel=1e-9)
    assert 1.0 == vector_mean_kept(0.0)


def test_the_spread_never_grows_and_never_falls_under_the_floor() -> None:
    vector, sigma = (grid.ravel() for grid in np.meshgrid(np.linspace(0.0, 25.0, 20), np.linspace(0.5, 14.0, 20)))
    speed = rice_mean(vector, sigma)
    left = sigma_from_means(*without_error(vector, speed)) / sigma_from_means(vector, speed)
    assert (left <= 1.0 + 1e-4).all()  # what reading the spread from a table leaves in the steadiest winds
    assert (left >= LEAST_LEFT - 1e-4).all()
    assert (left < 0.76).any()  # the floor is met


def test_the_unknown_stays_unknown() -> None:
    assert np.isnan(without_error(np.array([np.nan]), np.array([np.nan]))).all()
