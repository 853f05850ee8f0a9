"""Alternator, towed generator, wind generator."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from passage.consequences.power.sources import apparent_wind_kn, motoring_w, towed_w, wind_w
from passage.crossings.ensemble import MOTORING, SAILING
from passage.inputs.electrics import Alternator, Generator, SpeedPoint
from tests.power_cases import anchored, sailed, sailed_scene

CURVE = Generator(curve=(SpeedPoint(speed_kn=4.0, power_w=20.0), SpeedPoint(speed_kn=6.0, power_w=100.0)))


def moving(state: int, speed_kn: float, wind_north_kn: float):
    """Bow north, wind from astern where positive."""
    scene = anchored()
    return replace(
        scene,
        state=np.full_like(scene.state, state),
        speed_kn=np.full_like(scene.speed_kn, speed_kn),
        wind_north_kn=np.full_like(scene.wind_north_kn, wind_north_kn),
        wind_east_kn=np.zeros_like(scene.wind_east_kn),
    )


def test_the_alternator_charges_in_the_hours_under_engine_only() -> None:
    crossings, _ = sailed()
    watts = motoring_w(sailed_scene(), Alternator(current_a=40.0, voltage_v=14.0, consumption_l_h=1.0))
    assert crossings.motoring_h.sum() > 0
    assert crossings.motoring_h * 560.0 == pytest.approx(watts.sum(axis=0))


@pytest.mark.parametrize(("speed", "watts"), [(3.9, 0.0), (4.0, 20.0), (5.0, 60.0), (9.0, 100.0)])
def test_a_towed_generator_follows_its_curve(speed: float, watts: float) -> None:
    assert watts == pytest.approx(float(towed_w(moving(SAILING, speed, 15.0), CURVE)[0, 0]), abs=1e-3)


def test_a_towed_generator_is_taken_in_under_engine() -> None:
    assert not towed_w(moving(MOTORING, 5.0, 0.0), CURVE).any()


@pytest.mark.parametrize(("wind", "apparent"), [(15.0, 10.0), (-15.0, 20.0), (5.0, 0.0)])
def test_apparent_wind_is_the_wind_less_the_boat(wind: float, apparent: float) -> None:
    assert apparent == pytest.approx(float(apparent_wind_kn(moving(SAILING, 5.0, wind))[0, 0]), abs=1e-4)


def test_a_wind_generator_runs_on_the_apparent_wind() -> None:
    assert 60.0 == pytest.approx(float(wind_w(moving(SAILING, 5.0, 10.0), CURVE)[0, 0]), abs=1e-3)
