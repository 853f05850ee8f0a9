"""The helm, hour by hour, on invented winds."""

from __future__ import annotations

import numpy as np
import pytest

from passage.crossings.ensemble import HOVE_TO, MOTORING, RUNNING_OFF, SAILING
from passage.crossings.helm import AtHelm, Vessel, steer
from tests.crossing_cases import vessel


def hours(
    boat: Vessel, winds_kn: list[float], tailwind_kn: list[float], sail_kn: list[float]
) -> list[tuple[float, int]]:
    watch = AtHelm.begin(np.array([boat.motor_hours]), np.array([boat.helm.engine_below_kn]))
    done = []
    for wind, tail, sail in zip(winds_kn, tailwind_kn, sail_kn, strict=True):
        across = np.sqrt(wind**2 - tail**2)
        sailing, along, crossing = (np.array([value], dtype=np.float32) for value in (sail, tail, across))
        speed, state = steer(
            watch, boat.helm, sailing, np.array([boat.motor_speed_kn], dtype=np.float32), along, crossing
        )
        done.append((float(speed[0]), int(state[0])))
    return done


def test_above_the_limit_she_heaves_to_with_the_wind_forward_and_loses_ground() -> None:
    boat = vessel(gust_limit_kn=40.0, gust_resume_kn=34.0)
    ((speed, state),) = hours(boat, [30.0], [-30.0], [4.0])  # gusts of 42 from dead ahead
    assert HOVE_TO == state
    assert -1.0 == pytest.approx(speed)


def test_above_the_limit_she_runs_off_with_the_wind_abaft() -> None:
    boat = vessel(gust_limit_kn=40.0, gust_resume_kn=34.0)
    ((speed, state),) = hours(boat, [30.0], [15.0], [6.0])  # 60 degrees off dead astern
    assert RUNNING_OFF == state
    assert 4.0 * 15.0 / 30.0 == pytest.approx(speed)


def test_hysteresis_keeps_her_hove_to_until_the_gusts_have_eased() -> None:
    boat = vessel(gust_limit_kn=40.0, gust_resume_kn=34.0)
    winds = [28.0, 29.0, 27.0, 25.0, 24.0, 27.0]  # gusts 39.2, 40.6, 37.8, 35.0, 33.6, 37.8
    states = [state for _, state in hours(boat, winds, [-w for w in winds], [4.0] * 6)]
    assert [SAILING, HOVE_TO, HOVE_TO, HOVE_TO, SAILING, SAILING] == states


def test_the_engine_waits_starts_and_stops_with_hysteresis() -> None:
    boat = vessel(motoring=True, motor_hours=100.0, engine_below_kn=2.0, engine_after_h=3.0)
    sail = [1.0, 1.0, 1.0, 1.0, 2.2, 2.6, 1.0]
    states = [state for _, state in hours(boat, [4.0] * 7, [4.0] * 7, sail)]
    assert [SAILING, SAILING, SAILING, MOTORING, MOTORING, SAILING, SAILING] == states


def test_a_boat_that_never_motors_never_does() -> None:
    assert all(state == SAILING for _, state in hours(vessel(), [1.0] * 30, [1.0] * 30, [0.2] * 30))


def test_the_engine_is_no_help_in_a_gale() -> None:
    boat = vessel(motoring=True, motor_hours=100.0, engine_after_h=0.0, gust_limit_kn=40.0, gust_resume_kn=34.0)
    states = [state for _, state in hours(boat, [35.0] * 3, [-35.0] * 3, [1.0] * 3)]
    assert [HOVE_TO, HOVE_TO, HOVE_TO] == states
