"""The true time of a piece of line while the speed changes on the way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.crossings.search.going import Even, Going, sailed
from passage.crossings.search.lines import between, normals
from passage.crossings.search.polish import TrackCost
from passage.crossings.search.walls import Days, Walls
from tests.search_cases import DEPART, plane

if TYPE_CHECKING:
    from collections.abc import Callable

    from passage.crossings.search.lines import Steps

WALLS = Walls(Days(DEPART), None)


@dataclass(frozen=True)
class ByTheClock:
    """A speed that hangs on the hour alone."""

    speed_kn: Callable[[np.ndarray], np.ndarray]
    fastest_kn: float = 8.0

    def along(self, steps: Steps, hour: np.ndarray) -> Going:
        speed = self.speed_kn(hour) + 0.0 * steps.distance_nm
        return Going(speed, np.zeros(speed.shape))


def first_slow(hour: np.ndarray) -> np.ndarray:
    return np.where(hour < 48.0, 1.0, 6.0)


def hours(speeds: ByTheClock, miles: float, legs: int, step_nm: float = 10.0) -> float:
    track = np.stack([normals(*plane(miles * at / legs, 0.0)) for at in range(legs + 1)])
    return float(TrackCost(speeds, WALLS, step_nm).schedule(track).hours.sum())


@pytest.mark.parametrize("legs", [1, 2, 7, 50])
@pytest.mark.parametrize("step_nm", [3.0, 10.0, 30.0, 500.0])
def test_a_wind_that_comes_after_two_days_takes_the_same_time_in_any_number_of_pieces(
    legs: int, step_nm: float
) -> None:
    # D: 48 nm in 48 h, the other 452 nm at 6 kn: 123.33 h. 0.05 h: the change is found to the minute.
    assert 48.0 + 452.0 / 6.0 == pytest.approx(hours(ByTheClock(first_slow), 500.0, legs, step_nm), abs=0.05)


def test_a_speed_that_grows_evenly_takes_the_root() -> None:
    # D: s = 2 t + 0.05 t^2 / 2 = 200 nm.
    expected_h = (-2.0 + np.sqrt(4.0 + 2.0 * 0.05 * 200.0)) / 0.05
    grows = ByTheClock(lambda hour: 2.0 + 0.05 * hour)
    assert expected_h == pytest.approx(hours(grows, 200.0, 4), rel=1e-3)


def test_in_a_calm_that_ends_she_waits_and_in_one_that_does_not_there_is_no_way() -> None:
    ends = ByTheClock(lambda hour: np.where(hour < 30.0, 0.0, 5.0))
    assert 30.0 + 20.0 == pytest.approx(hours(ends, 100.0, 3), abs=0.1)
    assert np.isinf(hours(ByTheClock(lambda hour: 0.0 * hour), 100.0, 3))


@pytest.mark.parametrize("seed", range(5))
def test_who_sets_out_later_never_arrives_earlier(seed: int) -> None:
    """By winds that jump every six hours. 0.15 h: half of a jump of 5 %, taken as even, over a stride of six hours."""
    knots = np.random.default_rng(seed).uniform(0.0, 8.0, 200)
    speeds = ByTheClock(lambda hour: knots[np.clip(hour / 6.0, 0, 199).astype(int)])
    begins = np.linspace(0.0, 60.0, 121)
    start, end = (np.tile(normals(*plane(x, 0.0)), (121, 1)) for x in (0.0, 40.0))
    arrives = begins + sailed(between(start, end), begins, speeds, WALLS).hours
    assert (np.diff(arrives) > -0.15).all()


def test_an_even_speed_is_the_same_everywhere() -> None:
    track = np.stack([normals(*plane(0.0, 0.0)), normals(*plane(60.0, 80.0))])
    assert 20.0 == pytest.approx(TrackCost(Even(5.0), WALLS, 10.0).schedule(track).hours.sum(), rel=1e-4)
