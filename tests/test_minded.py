"""Hours that a small crew minds."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from passage.consequences.minded import dew_point_c, minded
from passage.crossings.simulate import sail
from passage.crossings.wind import Luck
from tests.crossing_cases import DEPART, laid, north_track, steady, vessel

TRACK = north_track(200.0)


def hours(east_kn: float, north_kn: float, sigma_kn: float = 0.01, **warmth: float | None) -> dict[str, float]:
    """In a steady, invented wind (towards), with air, sea and humidity as given all the way."""
    crossings = sail(laid(TRACK, steady(TRACK, east_kn, north_kn, sigma_kn), vessel()), DEPART, Luck(1, 20))
    like, units = crossings.air_by_day_c, {"air": "c", "sea": "c", "vapour": "g_kg"}
    known = {
        f"{name}_by_day_{units[name]}": None if value is None else np.full_like(like, value)
        for name, value in warmth.items()
    }
    return minded(replace(crossings, **known), 10.0).to_json()


def test_wind_is_strong_from_28_knots_and_calm_under_4() -> None:
    assert (100, 0) == (hours(0.0, 29.0)["strong_in_100"], hours(0.0, 27.0)["strong_in_100"])
    assert (100, 0) == (hours(0.0, 3.0)["calm_in_100"], hours(0.0, 5.0)["calm_in_100"])


def test_cold_goes_by_the_limit_given() -> None:
    assert (100, 0) == tuple(hours(0.0, 12.0, air=air)["cold_in_100"] for air in (9.5, 10.5))


def test_fog_is_likely_where_the_dew_point_comes_near_the_sea_and_not_known_without_humidity() -> None:
    """Air of 8 g/kg has its dew point near 10.7 C."""
    assert (100, 0) == tuple(hours(0.0, 12.0, vapour=8.0, sea=sea)["fog_in_100"] for sea in (10.0, 14.0))
    assert hours(0.0, 12.0, vapour=None)["fog_in_100"] is None


@pytest.mark.parametrize(("temperature_c", "pressure_hpa"), [(0.0, 6.11), (10.0, 12.27), (20.0, 23.37), (30.0, 42.43)])
def test_dew_points_are_those_of_published_saturation_pressures(temperature_c: float, pressure_hpa: float) -> None:
    """Smithsonian Meteorological Tables, saturation over water (M); a tenth of a degree is one part in 150 of it."""
    vapour = 1000.0 * 0.622 * pressure_hpa / (1013.0 - 0.378 * pressure_hpa)
    assert abs(temperature_c - float(dew_point_c(np.array([vapour]))[0])) < 0.1
