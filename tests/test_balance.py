"""The balance of forces in its limits."""

from __future__ import annotations

import numpy as np
import pytest

from passage.crossings.balance import Trim, best, under_kite, working_sails
from passage.crossings.coefficients import FITTED
from passage.crossings.estimate import form_of
from tests.boat_cases import hull

KNOT_MS = 0.514444
FORM = form_of(hull(spinnaker_area_m2=70.0))


def speed_kn(wind_kn: float, off_deg: float, **trim: float | bool) -> float:
    found = working_sails(FORM, Trim()._replace(**trim), np.array(wind_kn * KNOT_MS), np.radians(off_deg), FITTED)
    return float(found.speed_ms) / KNOT_MS


@pytest.mark.parametrize("off_deg", [40.0, 90.0, 180.0])
def test_no_wind_gives_no_speed(off_deg: float) -> None:
    assert 0.0 == pytest.approx(speed_kn(0.0, off_deg), abs=1e-4)


def test_she_does_not_sail_into_the_wind() -> None:
    assert 0.0 == pytest.approx(speed_kn(15.0, 5.0), abs=1e-4)


def test_a_run_is_slower_than_the_wind() -> None:
    assert speed_kn(8.0, 180.0, pole=True) < 8.0


@pytest.mark.parametrize(
    "worse", [{"friction": 1.3}, {"windage": 2.0}, {"carried": 0.5}, {"hiking": 0.0}, {"waves": 1.0}]
)
def test_everything_that_resists_slows_her_to_windward(worse: dict[str, float]) -> None:
    assert speed_kn(18.0, 48.0, **worse) < speed_kn(18.0, 48.0)


def test_a_pole_helps_only_well_abaft_the_beam() -> None:
    assert speed_kn(10.0, 170.0, pole=True) > speed_kn(10.0, 170.0) + 0.2
    assert speed_kn(10.0, 80.0) == pytest.approx(speed_kn(10.0, 80.0, pole=True), abs=1e-6)


def test_a_beat_makes_leeway_of_the_size_that_is_published() -> None:
    """R2, a textbook's table: beating in force 4 to 5, 4 degrees for a deep keel and 8 for a shoal one; Garrett 1987
    (R2): 8 heel / speed^2, at 20 degrees and 5.5 kn 5.3 degrees."""
    found = working_sails(FORM, Trim(), np.array(15.0 * KNOT_MS), np.radians(45.0), FITTED)
    assert 4.0 < np.degrees(float(found.leeway_rad)) < 8.0


def test_a_kite_is_set_where_it_helps_and_is_allowed() -> None:
    winds, angles = np.array([8.0, 20.0])[:, None] * KNOT_MS, np.radians([50.0, 120.0])
    plain = working_sails(FORM, Trim(), winds, angles, FITTED).speed_ms
    found = best(FORM, Trim(), winds, angles, FITTED, 12.0 * KNOT_MS).speed_ms
    assert [[False, True], [False, False]] == (found > plain).tolist()


def test_many_boats_at_once_are_as_each_alone() -> None:
    winds, angles = np.array([6.0, 14.0])[:, None] * KNOT_MS, np.radians([60.0, 150.0])
    fleet = form_of(hull(spinnaker_area_m2=70.0))
    stacked = type(fleet)(**{name: np.full((2, 1, 1), value) for name, value in vars(fleet).items()})
    alone = under_kite(fleet, Trim(), winds, angles, FITTED).speed_ms
    assert alone == pytest.approx(under_kite(stacked, Trim(), winds, angles, FITTED).speed_ms[1])
