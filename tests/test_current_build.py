"""How the shipped current is made: geostrophy and wind drift against closed forms, and what is not seen."""

from __future__ import annotations

import importlib.util
from typing import Any

import netCDF4
import numpy as np
import pytest

from passage.shipped import shipped

FOLDER = shipped("climatology_demo")
LAT, LON = np.arange(-59.5, 60.0), np.arange(-179.5, 180.0)
G, RADIUS_M, SPIN = 9.81, 6.371e6, 7.2921e-5


@pytest.fixture(scope="module")
def build() -> Any:
    spec = importlib.util.spec_from_file_location("build_current", FOLDER / "build_current.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def row(lat_deg: float) -> int:
    return int(np.abs(LAT - lat_deg).argmin())


@pytest.mark.parametrize("lat_deg", [-45.5, -20.5, 12.5, 40.5])
def test_a_sea_that_rises_northwards_flows_west_in_the_north_and_east_in_the_south(build: Any, lat_deg: float) -> None:
    """D, closed form: a metre in ten degrees of latitude; u = -g h_y / f with f = 2 Omega sin(latitude)."""
    height = np.repeat((LAT / 10.0)[:, None], len(LON), axis=1)
    u, v = build.slope_current(height, LAT, LON)
    slope = 0.1 / (np.radians(1.0) * RADIUS_M)
    expected = -G * slope / (2.0 * SPIN * np.sin(np.radians(lat_deg)))
    assert expected == pytest.approx(u[row(lat_deg)], rel=1e-6)
    assert 0.0 == pytest.approx(v[row(lat_deg)], abs=1e-12)


def test_a_sea_that_rises_eastwards_flows_north_in_the_north(build: Any) -> None:
    """D: v = g h_x / f, on a wave around the globe, whose slope is known everywhere, the dateline included."""
    height = np.repeat(np.sin(np.radians(LON))[None, :], len(LAT), axis=0)
    _, v = build.slope_current(height, LAT, LON)
    east_m = RADIUS_M * np.cos(np.radians(30.5))
    expected = G * np.cos(np.radians(LON)) / east_m / (2.0 * SPIN * np.sin(np.radians(30.5)))
    assert expected == pytest.approx(v[row(30.5)], rel=1e-3)


def test_on_the_equator_the_bend_of_the_sea_makes_the_jet(build: Any) -> None:
    """D: on the beta plane a sea of h = U beta L^2 / g exp(-y^2 / 2 L^2) flows with u = U exp(-y^2 / 2 L^2) at every
    latitude. Within 6 %: the bend is fitted over 3 degrees either side, L is 10, and the earth is no plane.
    """
    beta, width_m, speed = 2.0 * SPIN / RADIUS_M, np.radians(10.0) * RADIUS_M, 0.5
    y_m = np.radians(LAT) * RADIUS_M
    bell = np.exp(-0.5 * (y_m / width_m) ** 2)
    height = np.repeat((speed * beta * width_m**2 / G * bell)[:, None], len(LON), axis=1)
    u, v = build.slope_current(height, LAT, LON)
    assert 0.0 == pytest.approx(v[5:-5], abs=1e-12)
    for lat_deg in (-6.5, -2.5, -0.5, 0.5, 1.5, 3.5, 6.5):
        assert speed * bell[row(lat_deg)] == pytest.approx(u[row(lat_deg), 0], rel=0.06), lat_deg


def test_no_height_is_no_current(build: Any) -> None:
    height = np.repeat((LAT / 10.0)[:, None], len(LON), axis=1)
    height[row(30.5), 100] = np.nan
    u, _ = build.slope_current(height, LAT, LON)
    assert np.isnan(u[[row(29.5), row(31.5)], 100]).all()
    assert np.isfinite(u[row(30.5), 102])


def steady(build: Any, east: float, north: float) -> Any:
    """Of a wind that never strays."""
    wind = np.full((1, len(LAT), 1), 1.0)
    return build.mean_stress(east * wind, north * wind, 0.0 * wind)


def test_the_stress_of_a_steady_wind_is_the_formula_of_large_and_pond(build: Any) -> None:
    """M: 1.2e-3 up to 11 m/s and (0.49 + 0.065 U) 1e-3 above; air of 1.22 kg/m3."""
    light, fresh = steady(build, -8.0, 0.0), steady(build, 0.0, 15.0)
    assert -1.22 * 1.2e-3 * 64.0 == pytest.approx(light.east)
    assert 1.22 * (0.49 + 0.065 * 15.0) * 1e-3 * 225.0 == pytest.approx(fresh.north)
    assert np.sqrt(1.22 * 1.2e-3) * -8.0 == pytest.approx(light.root_east)


def test_a_wind_that_strays_drags_more_than_its_mean(build: Any) -> None:
    wind = np.full((1, len(LAT), 1), 6.0)
    assert (build.mean_stress(wind, 0.0 * wind, 0.5 * wind).east > steady(build, 6.0, 0.0).east).all()


def test_in_the_tropics_the_drift_is_a_slab_with_friction(build: Any) -> None:
    """D, Lagerloef and others 1999: tau / (rho (r + i f H)), r 2.15e-4 m/s, H 32.5 m: downwind on the equator, and
    turned by the arc tangent of f H / r, to the right of the wind in the north, poleward of it.
    """
    u, v = build.wind_current(steady(build, -8.0, 0.0), LAT)
    stress = 1.22 * 1.2e-3 * 64.0
    for lat_deg in (-9.5, 0.5, 9.5):
        f = 2.0 * SPIN * np.sin(np.radians(lat_deg))
        speed = stress / 1025.0 / np.hypot(2.15e-4, f * 32.5)
        at = row(lat_deg)
        assert speed == pytest.approx(np.hypot(u[0, at, 0], v[0, at, 0]), rel=1e-6)
        turned = np.degrees(np.arctan2(v[0, at, 0], -u[0, at, 0]))  # north of west: right of a wind towards the west
        assert np.degrees(np.arctan2(f * 32.5, 2.15e-4)) == pytest.approx(turned, abs=1e-6)


def test_poleward_the_drift_is_ralph_and_niilers(build: Any) -> None:
    """R2, as Rypina and others 2012 use it: 0.065 u* / sqrt f, 55 degrees to the right in the north, to the left in the
    south.
    """
    u, v = build.wind_current(steady(build, 0.0, 10.0), LAT)
    friction = np.sqrt(1.22 * 1.2e-3 * 100.0 / 1025.0)
    for lat_deg, side in ((40.5, 1.0), (-40.5, -1.0)):
        f, at = 2.0 * SPIN * np.sin(np.radians(40.5)), row(lat_deg)
        assert 0.065 * friction / np.sqrt(f) == pytest.approx(np.hypot(u[0, at, 0], v[0, at, 0]), rel=1e-6)
        assert side * 55.0 == pytest.approx(np.degrees(np.arctan2(u[0, at, 0], v[0, at, 0])))


def test_what_is_shallow_icy_or_narrow_is_not_seen(build: Any) -> None:
    """An invented sea: deep but for one cell at 29.5 N 40.5 W, which hides those around it too."""
    temperature = np.zeros((2, len(LAT), len(LON)))
    temperature[1, row(29.5), int(np.abs(LON + 40.5).argmin())] = np.nan
    number, names = build.blind_spots(temperature, np.array([0.0, 500.0]), LAT, LON)

    def at(lat_deg: float, lon_deg: float) -> int:
        return int(number[row(lat_deg), int(np.abs(LON - lon_deg).argmin())])

    assert [1, 1, 0] == [at(29.5, -40.5), at(30.5, -41.5), at(31.5, -40.5)]
    assert "shelf_bank_or_ice" == names[0]
    assert ["Agulhas_Current", "Kuroshio", "Equatorial_Undercurrent"] == [
        names[at(lat, lon) - 1] for lat, lon in ((-35.5, 24.5), (31.5, 133.5), (0.5, -140.5))
    ]


def test_a_hole_in_a_deep_layer_is_filled_from_around_and_land_beyond_is_not(build: Any) -> None:
    layer = np.full((9, 12), np.nan)
    layer[:, :4] = 3.0
    found = build.filled(layer, 2)
    assert np.isnan(found[:, 7:9]).all()
    assert 3.0 == pytest.approx(found[:, [4, 5, 10, 11]])  # around the globe as well


def test_a_season_keeps_its_waves_of_a_year_and_half_a_year(build: Any) -> None:
    months = np.arange(12)[:, None, None] * 2.0 * np.pi / 12.0
    smooth = 1.0 + 0.2 * np.cos(months) + 0.1 * np.sin(2.0 * months) + np.zeros((12, len(LAT), len(LON)))
    assert np.abs(smooth - build.calmed(smooth)).max() <= 1e-9
    assert np.abs(smooth - build.calmed(smooth + 0.3 * np.cos(5.0 * months))).max() <= 1e-9


def test_the_file_is_small_and_says_what_it_is() -> None:
    file = FOLDER / "current.nc"
    assert 1_000_000 > file.stat().st_size
    with netCDF4.Dataset(file) as dataset:
        assert "Levitus" in dataset.title
        assert "surface_eastward_sea_water_velocity" == dataset["u"].standard_name
        assert len(dataset["blind"].flag_meanings.split()) == len(dataset["blind"].flag_values)
