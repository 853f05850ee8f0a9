"""Sun and clear sky against the NREL example, pvlib and another clear-sky formula."""

from __future__ import annotations

import csv
import itertools
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from passage.consequences.power.sun import Sun, air_mass, clear_sky_w_m2, linke_turbidity, sun_at
from passage.sailings.land import may_be_land

PUBLISHED = Path(__file__).parent / "published" / "03_spa_example.csv"
pvlib = pytest.importorskip("pvlib")
pytestmark = pytest.mark.filterwarnings("ignore:DatetimeIndex.dayofyear")  # pvlib's own, under a newer pandas

PLACES = [(0.0, 0.0), (34.0, -120.0), (-33.9, 18.4), (-21.0, -175.2), (50.0, -10.0)]
YEAR = pd.date_range("2027-01-03", "2027-12-28", freq="13h", tz="UTC")


def utc(times: pd.DatetimeIndex) -> np.ndarray:
    return times.tz_convert("UTC").tz_localize(None).to_numpy().astype("datetime64[s]")


def altitude_of(sun: Sun) -> np.ndarray:
    return np.degrees(np.arcsin(np.clip(sun.up, -1.0, 1.0)))


def refraction_deg(altitude_deg: float, pressure_mbar: float, air_c: float) -> float:
    """Bennett's formula as the NREL report has it, degrees (M)."""
    bent = 1.02 / (60.0 * np.tan(np.radians(altitude_deg + 10.3 / (altitude_deg + 5.11))))
    return float(pressure_mbar / 1010.0 * 283.0 / (273.0 + air_c) * bent)


def test_the_nrel_example_is_met() -> None:
    # NREL/TP-560-34302 table A5.1 (M, recomputed): zenith with refraction at 820 mbar and 11 C, and azimuth.
    # Tolerance: the Almanac's low-precision series, 0.01 degree; azimuth magnified by 1 / sin(zenith).
    with PUBLISHED.open(encoding="utf-8") as file:
        published = {row["quantity"]: row["published"] for row in csv.DictReader(file)}
    sun = sun_at(np.datetime64("2003-10-17T19:30:30"), 39.742476, -105.1786)
    altitude = float(altitude_of(sun))
    seen = 90.0 - altitude - refraction_deg(altitude, 820.0, 11.0)
    assert float(published["topocentric zenith deg"]) == pytest.approx(seen, abs=0.012)
    assert float(published["azimuth deg (E of N)"]) == pytest.approx(float(sun.azimuth_deg), abs=0.014)


@pytest.mark.parametrize(("lat", "lon"), PLACES)
def test_altitude_and_azimuth_agree_with_the_reference_algorithm(lat: float, lon: float) -> None:
    # T: pvlib's SPA. 0.015 degree of arc on the sphere, the series' 0.01 and the parallax left out.
    theirs = pvlib.solarposition.get_solarposition(YEAR, lat, lon)
    ours = sun_at(utc(YEAR), lat, lon)
    assert theirs["elevation"].to_numpy() == pytest.approx(altitude_of(ours), abs=0.015)
    apart = (theirs["azimuth"].to_numpy() - ours.azimuth_deg + 180.0) % 360.0 - 180.0
    assert 0.015 > np.abs(apart * np.cos(np.radians(altitude_of(ours)))).max()


def test_the_vector_has_unit_length_everywhere() -> None:
    lat = np.linspace(-80.0, 80.0, 9)[None, :]
    sun = sun_at(utc(YEAR)[:, None], lat, 33.0)
    assert np.ones_like(sun.up) == pytest.approx(sun.east**2 + sun.north**2 + sun.up**2, abs=1e-9)


def test_sun_outside_the_air_follows_the_distance() -> None:
    # T: pvlib, Spencer's series, same solar constant; both are good to about 0.1 per cent.
    theirs = pvlib.irradiance.get_extra_radiation(YEAR, solar_constant=1361.0)
    assert theirs.to_numpy() == pytest.approx(sun_at(utc(YEAR), 0.0, 0.0).normal_w_m2, rel=2e-3)


def clear_of_pvlib(times: pd.DatetimeIndex, lat: float, lon: float, turbidity: float) -> np.ndarray:
    place = pvlib.solarposition.get_solarposition(times, lat, lon)
    mass = pvlib.atmosphere.get_relative_airmass(place["zenith"], model="kastenyoung1989")
    outside = pvlib.irradiance.get_extra_radiation(times, solar_constant=1361.0)
    return (
        pvlib.clearsky.ineichen(place["zenith"], mass, turbidity, altitude=0.0, dni_extra=outside)["ghi"]
        .fillna(0.0)
        .to_numpy()
    )


@pytest.mark.parametrize(("lat", "lon"), PLACES)
def test_clear_sky_agrees_with_pvlib(lat: float, lon: float) -> None:
    # T: pvlib's Ineichen and Perez at sea level; 1.5 W/m2 is 0.015 degree of altitude and 0.1 per cent of distance.
    ours = clear_sky_w_m2(sun_at(utc(YEAR), lat, lon), 3.0)
    assert clear_of_pvlib(YEAR, lat, lon, 3.0) == pytest.approx(ours, abs=1.5)


@pytest.mark.parametrize(("day", "lat"), [("2027-06-21", 34.0), ("2027-12-21", 34.0), ("2027-03-21", 0.0)])
def test_hourly_middles_give_the_days_sum(day: str, lat: float) -> None:
    # T: pvlib minute by minute; half a per cent is left to the hours of sunrise and sunset.
    minutes = pd.date_range(day, periods=1440, freq="1min", tz="UTC") + pd.Timedelta("30s")
    hours = pd.date_range(day, periods=24, freq="1h", tz="UTC") + pd.Timedelta("30min")
    ours_wh = clear_sky_w_m2(sun_at(utc(hours), lat, 10.0), 3.0).sum()
    assert clear_of_pvlib(minutes, lat, 10.0, 3.0).sum() / 60.0 == pytest.approx(ours_wh, rel=5e-3)


@pytest.mark.parametrize("lat", [-60.0, -34.0, 0.0, 34.0, 60.0])
def test_the_days_sum_is_pvlib_s_at_the_same_hours(lat: float) -> None:
    # T: pvlib. 0.15 per cent: its series of the distance (Spencer) and ours differ by 0.1, the altitude does the rest.
    for day in pd.date_range("2027-01-05", periods=8, freq="45D", tz="UTC"):
        hours = pd.date_range(day, periods=24, freq="1h") + pd.Timedelta("30min")
        ours_wh = clear_sky_w_m2(sun_at(utc(hours), lat, 10.0), 3.0).sum()
        assert clear_of_pvlib(hours, lat, 10.0, 3.0).sum() == pytest.approx(ours_wh, rel=1.5e-3)


def test_clear_sky_is_of_the_size_that_another_formula_gives() -> None:
    # T: Haurwitz (1945) by pvlib, made from one station; to zeniths of 70 degrees simple models agree within 8 %.
    lat = np.arange(-70.0, 71.0, 10.0)
    sun = sun_at(np.datetime64("2027-03-21T12:07:00"), lat, 0.0)
    theirs = pvlib.clearsky.haurwitz(pd.Series(90.0 - altitude_of(sun)))["ghi"].to_numpy()
    assert theirs == pytest.approx(clear_sky_w_m2(sun, linke_turbidity(lat, 0.0)), rel=0.08)


def test_air_mass_is_one_overhead_and_38_on_the_horizon() -> None:
    # Kasten and Young 1989 print 37.92 for the horizon (M).
    assert [1.0, 37.92] == pytest.approx(air_mass(np.array([1.0, 0.0])), abs=0.03)


def test_turbidity_stands_near_the_world_map_over_open_sea() -> None:
    # T: pixels of the map of Remund et al. shipped with pvlib, open sea, January and July; tolerance 2 rms residuals.
    for lat, lon in ((-40.0, 100.0), (-15.0, -20.0), (10.0, -150.0), (40.0, -40.0)):
        for month, declination in (("2027-01-15", -21.2), ("2027-07-15", 21.5)):
            when = pd.DatetimeIndex([month], tz="UTC")
            theirs = pvlib.clearsky.lookup_linke_turbidity(when, lat, lon, interp_turbidity=False).iloc[0]
            assert theirs == pytest.approx(float(linke_turbidity(lat, declination)), abs=0.7)


def test_turbidity_is_the_world_map_s_in_the_mean_of_all_seas() -> None:
    # T: the same map, every month and every 10 by 20 degrees of sea. It was fitted to it: nothing is left in the mean,
    # and 0.35 or a little more, for dust and smoke are among these places, in the root of the mean square.
    months = pd.DatetimeIndex([f"2027-{month:02d}-15" for month in range(1, 13)], tz="UTC")
    declination = 23.45 * np.cos(np.radians(0.98563 * (months.dayofyear.to_numpy() - 172.0)))
    apart = []
    for lat, lon in itertools.product(range(-55, 60, 10), range(-175, 180, 20)):
        if not may_be_land(np.array([float(lat)]), np.array([float(lon)]))[0]:
            theirs = pvlib.clearsky.lookup_linke_turbidity(months, lat, lon, interp_turbidity=False).to_numpy()
            apart.append(theirs - linke_turbidity(float(lat), declination))
    assert len(apart) > 100
    assert 0.0 == pytest.approx(np.mean(apart), abs=0.05)
    assert 0.4 > np.sqrt(np.mean(np.square(apart)))


def test_no_sun_at_night() -> None:
    assert 0.0 == clear_sky_w_m2(sun_at(np.datetime64("2027-06-21T00:00"), 34.0, 0.0), 3.0)
