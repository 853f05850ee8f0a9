"""Loads are on when their word says so."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from passage.consequences.power.loads import is_on, load_w
from passage.crossings.ensemble import ARRIVED, HOVE_TO, MOTORING, RUNNING_OFF, SAILING, STANDING_OFF
from passage.inputs.electrics import Load, WatchHours
from tests.power_cases import anchored

STATES = {"sailing": SAILING, "motoring": MOTORING, "hove to": HOVE_TO, "running off": RUNNING_OFF}
STATES |= {"standing off": STANDING_OFF, "arrived": ARRIVED}


def in_state(state: int, wind_kn: float = 0.0):
    scene = anchored()
    return replace(
        scene, state=np.full_like(scene.state, state), wind_east_kn=np.full_like(scene.wind_east_kn, wind_kn)
    )


@pytest.mark.parametrize(
    ("when", "states"),
    [
        ("under way", {"sailing", "motoring", "hove to", "running off", "standing off"}),
        ("sailing", {"sailing", "running off"}),
        ("motoring", {"motoring"}),
        ("not motoring", {"sailing", "hove to", "running off", "standing off", "arrived"}),
        ("hove to", {"hove to", "standing off"}),
        ("at anchor", set()),
    ],
)
def test_states(when: str, states: set[str]) -> None:
    assert states == {name for name, state in STATES.items() if is_on(when, in_state(state), WatchHours()).all()}
    assert states == {name for name, state in STATES.items() if is_on(when, in_state(state), WatchHours()).any()}


def test_at_anchor_is_at_anchor() -> None:
    assert is_on("at anchor", anchored(), WatchHours()).all()
    assert not is_on("under way", anchored(), WatchHours()).any()


def test_night_and_day_share_the_hours_as_the_sun_does() -> None:
    scene = anchored()
    night, day = (is_on(when, scene, WatchHours())[:, 0] for when in ("night", "day"))
    # 34N in June: 9 h 36 min from sunset to sunrise, by standard day-length tables (M); whole hours by their middles.
    assert np.array_equal(night, ~day)
    assert 9.6 == pytest.approx(night.sum() / 2.0, abs=0.6)


def test_a_watch_over_midnight_is_kept_under_way_only() -> None:
    watch = WatchHours(from_hour=20, to_hour=8)
    assert 12 * 2 == is_on("on watch", in_state(SAILING), watch)[:, 0].sum()
    assert not is_on("on watch", anchored(), watch).any()


def test_duty_events_and_litres_give_the_same_energy_as_hours() -> None:
    scene = anchored()
    ways = (
        {"duty_share": 0.1},
        {"hours_per_day_h": 2.4},
        {"times_a_day": 12.0, "each_h": 0.2},
        {"water_l_per_day": 24.0, "output_l_h": 10.0},
    )
    for way in ways:
        watts = load_w(Load(name="one", power_w=50.0, **way), scene, WatchHours())
        assert 2.0 * 120.0 == pytest.approx(float(watts[:, 0].sum()), rel=1e-5)


def test_amps_at_a_voltage_are_watts() -> None:
    assert 30.0 == Load(name="one", current_a=2.5, voltage_v=12.0).watts


@pytest.mark.parametrize(("wind", "watts"), [(5.0, 20.0), (10.0, 20.0), (17.5, 40.0), (25.0, 60.0), (40.0, 60.0)])
def test_a_pilot_works_harder_in_a_rough_sea(wind: float, watts: float) -> None:
    pilot = Load(name="pilot", power_w=20.0, rough_power_w=60.0, when="under way")
    assert watts == pytest.approx(float(load_w(pilot, in_state(SAILING, wind), WatchHours())[0, 0]), abs=1e-3)


def test_self_steering_gear_draws_nothing() -> None:
    assert not load_w(Load(name="vane", power_w=0.0, when="sailing"), in_state(SAILING), WatchHours()).any()
