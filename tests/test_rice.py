"""The Rice mean and its inverse: published values, an independent library, limits and the round trip."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ive
from scipy.stats import rice

from passage.inputs.rice import FAR, rice_mean, sigma_from_means

TABLE = Path(__file__).parent / "published" / "05_rice.csv"


def rows() -> list[dict[str, str]]:
    with TABLE.open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"nu {row['vector_mean_nu']}")
def test_mean_of_the_published_table(row: dict[str, str]) -> None:
    # D: quadrature, Laguerre closed form and scipy agree in the table; half its last printed digit
    mean = rice_mean(float(row["vector_mean_nu"]), float(row["sigma_each_component"]))
    assert float(row["mean_speed_Laguerre"]) == pytest.approx(float(mean), abs=5.1e-7)


@pytest.mark.parametrize(
    ("nu", "sigma", "mean"),
    [(0, 5, 6.266571), (6, 4, 7.499743), (5, 3, 6.003628), (10, 2, 10.202139)],
)
def test_mean_of_the_closed_form(nu: float, sigma: float, mean: float) -> None:
    # D: Laguerre closed form, six decimals
    assert mean == pytest.approx(float(rice_mean(nu, sigma)), abs=5.1e-7)


def test_spread_of_the_published_inverse() -> None:
    # D: nu 5, mean 6.5 solved from the closed form to six decimals; the table's own error is below 1e-7 of the mean
    assert 3.646071 == pytest.approx(float(sigma_from_means(5, 6.5)), abs=1.5e-6)


def test_mean_agrees_with_bessel_functions_on_both_sides_of_the_change_of_formula() -> None:
    # T: scipy.special.ive, good to rounding in this range; at FAR the first series term left out is 8e-13 of nu
    x = np.concatenate([np.linspace(0, 30, 3001), FAR + np.array([-1e-6, 0, 1e-6])])
    quarter = x**2 / 4
    expected = np.sqrt(np.pi / 2) * ((1 + 2 * quarter) * ive(0, quarter) + 2 * quarter * ive(1, quarter))
    np.testing.assert_allclose(rice_mean(x, 1.0), expected, rtol=1e-11)


def test_mean_agrees_with_the_rice_distribution() -> None:
    # T: scipy.stats.rice.mean
    assert float(rice.mean(7 / 3, scale=3)) == pytest.approx(float(rice_mean(7, 3)), rel=1e-11)


def test_a_steady_wind_far_beyond_the_reach_of_bessel_functions_keeps_its_mean() -> None:
    # D: nu + sigma^2 / 2 nu
    assert np.isnan(ive(0, 1e19))
    assert 1e10 == float(rice_mean(1e10, 1))
    assert 1e4 + 0.5e-4 == pytest.approx(float(rice_mean(1e4, 1)), rel=1e-15)


def test_limits() -> None:
    np.testing.assert_allclose(rice_mean([5.0, 0.0, 0.0], [0.0, 0.0, 2.0]), [5, 0, 2 * np.sqrt(np.pi / 2)], rtol=1e-12)
    np.testing.assert_allclose(sigma_from_means([0.0, 0.0], [1.0, 0.0]), [np.sqrt(2 / np.pi), 0], rtol=1e-7)


def test_a_vector_mean_not_below_the_mean_speed_leaves_no_spread() -> None:
    assert [0.0, 0.0, 0.0] == sigma_from_means([5.0, 6.0, 1.0], [5.0, 5.0, 0.0]).tolist()


def test_the_unknown_stays_unknown() -> None:
    nan = float("nan")
    assert np.isnan(rice_mean([nan, 1.0, nan], [1.0, nan, nan])).all()
    assert np.isnan(sigma_from_means([nan, 1.0, nan], [1.0, nan, nan])).all()


@given(st.floats(0, 60), st.floats(0.5, 20))
def test_spread_comes_back_from_the_mean_it_makes(nu: float, sigma: float) -> None:
    mean = float(rice_mean(nu, sigma))
    assert sigma == pytest.approx(float(sigma_from_means(nu, mean)), rel=1e-4)
    if nu < 0.985 * mean:  # the steadiest cell the climatology keeps; linear reading of 4096 rows: 4e-7 seen
        assert sigma == pytest.approx(float(sigma_from_means(nu, mean)), rel=1e-6)


def test_arrays_broadcast() -> None:
    assert (3, 4) == rice_mean(np.ones((3, 1)), np.ones(4)).shape
    assert (3, 4) == sigma_from_means(np.ones((3, 1)), np.full(4, 2.0)).shape
