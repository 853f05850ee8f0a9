"""A damaged boat: cut-down polars, slowed vessels; damage of size nothing is nothing."""

from __future__ import annotations

import numpy as np
import pytest

from passage.crossings.speed import speed_table
from passage.inputs.troubles import Damage
from passage.troubles.damage import damaged_polar, slowed_vessel, without_engine
from tests.crossing_cases import ROUND_POLAR, vessel


def test_no_damage_gives_the_same_polar_bit_for_bit() -> None:
    same = damaged_polar(ROUND_POLAR, Damage(speed_share=1.0, closest_deg=0.0))
    assert np.array_equal(ROUND_POLAR.wind_angle_deg, same.wind_angle_deg)
    assert np.array_equal(ROUND_POLAR.boat_speed_kn, same.boat_speed_kn)


def test_half_the_speed_is_half_the_speed_made_good_on_every_course() -> None:
    half = speed_table(damaged_polar(ROUND_POLAR, Damage(speed_share=0.5, closest_deg=0.0)))
    assert speed_table(ROUND_POLAR).made_good_kn / 2 == pytest.approx(half.made_good_kn, abs=1e-5)


def test_a_boat_that_lies_no_closer_than_abeam_makes_nothing_good_to_windward() -> None:
    table = speed_table(damaged_polar(ROUND_POLAR, Damage(speed_share=1.0, closest_deg=90.0)))
    at_15_kn = table.made_good_kn[60]
    assert 0.0 == pytest.approx(float(at_15_kn[:89].max()), abs=1e-9)
    assert 5.0 == pytest.approx(at_15_kn[91:].min(), abs=0.2)  # the table's 5 kn, less the loss of a gybe


def test_between_her_closest_and_the_wind_she_tacks() -> None:
    # D: the chord between 5 kn at 60 degrees on either tack makes 5 cos 60 = 2.5 kn good dead to windward, less 3 %.
    table = speed_table(damaged_polar(ROUND_POLAR, Damage(speed_share=1.0, closest_deg=60.0)))
    assert 2.5 * 0.97 == pytest.approx(float(table.made_good_kn[60, 0]), abs=0.01)


def test_a_vessel_slowed_by_nothing_is_the_same_bit_for_bit() -> None:
    whole = vessel(motor_hours=10.0, motoring=True)
    same = slowed_vessel(whole, 1.0)
    assert np.array_equal(whole.speeds.by_parts_kn, same.speeds.by_parts_kn)
    assert (whole.motor_speed_kn, whole.helm) == (same.motor_speed_kn, same.helm)


def test_a_slowed_vessel_starts_her_engine_in_the_same_wind() -> None:
    whole = vessel(motor_hours=10.0, motoring=True)
    slow = slowed_vessel(whole, 0.5)
    wind = whole.speeds.made_good_kn[:, 90]
    started = wind < whole.helm.engine_below_kn
    assert np.array_equal(started, slow.speeds.made_good_kn[:, 90] < slow.helm.engine_below_kn)
    assert 0.5 * whole.motor_speed_kn == slow.motor_speed_kn


def test_without_an_engine_there_are_no_hours_to_motor() -> None:
    gone = without_engine(vessel(motor_hours=10.0))
    assert (0.0, 0.0) == (gone.motor_hours, gone.motor_speed_kn)
