"""How long food keeps: the rate table of USDA Agriculture Handbook 66 (R2)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from passage.consequences.stores.keeping import air_by_day_c, keeps_days, spoiling_rate
from passage.inputs.pantry import Keeps
from tests.stores_cases import steady_crossings


@pytest.mark.parametrize(("celsius", "rate"), [(0, 1.0), (10, 3.0), (20, 7.5), (30, 15.0), (40, 22.5)])
def test_the_rate_is_the_published_table(celsius: float, rate: float) -> None:
    """Exact products of the published quotients."""
    assert pytest.approx(rate, rel=1e-12) == spoiling_rate(celsius)


@pytest.mark.parametrize(("celsius", "life"), [(0, 100), (10, 33), (20, 13), (30, 7), (40, 4)])
def test_the_relative_life_is_the_published_table(celsius: float, life: float) -> None:
    """Printed whole: half a unit, and 4 for 4.44."""
    assert pytest.approx(life, abs=0.51) == 100.0 / spoiling_rate(celsius)


def test_a_fraction_of_ten_degrees_is_a_power() -> None:
    assert pytest.approx(10.607, abs=0.001) == spoiling_rate(25.0)  # D: 7.5 times the root of 2


def test_cabbage_at_25_degrees() -> None:
    """D: 98 days at 0 degrees are 9.2 at 25: nine whole days."""
    assert 9 == keeps_days(Keeps(98.0, 0.0), np.full(30, 25.0))


def test_what_keeps_longer_than_the_passage_is_carried_on_at_the_last_temperature() -> None:
    """D: 100 days at 0 degrees are 13.3 at 20, whether the passage is shorter or longer."""
    assert 13 == keeps_days(Keeps(100.0, 0.0), np.full(5, 20.0)) == keeps_days(Keeps(100.0, 0.0), np.full(40, 20.0))


def test_a_warmer_track_never_keeps_longer() -> None:
    lives = [keeps_days(Keeps(98.0, 0.0), np.full(60, warm)) for warm in range(0, 41, 2)]
    assert lives == sorted(lives, reverse=True)
    assert lives[0] == 98


def test_tabulated_lives_hold_to_27_degrees_and_shorten_beyond() -> None:
    assert 28 == keeps_days(Keeps(28.0), np.full(40, 10.0)) == keeps_days(Keeps(28.0), np.full(40, 27.0))
    assert 15 == keeps_days(Keeps(21.0), np.full(40, 33.1))  # D: 21 / (2^0.3 x 1.5^0.31) = 15.04


def test_the_air_of_a_day_is_that_of_the_boats_still_out() -> None:
    air = air_by_day_c(steady_crossings([5.0, 6.0], air_c=23.0))
    assert 5 == len(air)
    assert 23.0 == pytest.approx(air)


def test_the_air_of_each_day_is_the_mean_of_its_own_hours() -> None:
    crossings = steady_crossings([5.0])  # five days
    warmer = np.array([20.0, 21.0, 23.0, 26.0, 30.0], dtype=np.float32)
    everywhere = np.tile(warmer[:, None], (1, crossings.track.nodes))
    assert [20.0, 21.0, 23.0, 26.0, 30.0] == pytest.approx(air_by_day_c(replace(crossings, air_by_day_c=everywhere)))


def test_half_an_hour_of_one_boat_is_still_a_day() -> None:
    crossings = steady_crossings([4.0])
    assert 6 == len(air_by_day_c(replace(crossings, arrival_h=np.array([120.5]))))
