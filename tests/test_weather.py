"""What every member meets alike, hour by hour: closed forms of invented climates (D) and the sky's own altitude."""

from __future__ import annotations

import tracemalloc
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from passage.crossings.weather import ACROSS, ALONG, COSINE, DAY_SHARE, EAST, EDDY, FAST, NORTH, SINE, SLOW, Weather
from passage.crossings.wind import CHUNK_H
from passage.inputs.current import TrackCurrent, along_the_course, set_and_drift
from passage.sailings.sky import SUNRISE_DEG, sun_altitude_deg
from passage.sailings.track import Leg, lay_track
from tests.crossing_cases import DEPART, north_track, steady


def test_night_is_where_the_sun_is_down_in_the_middle_of_the_hour() -> None:
    """The scalar product against the altitude itself, at every node of a track over 180 degrees; no hour may differ."""
    track = lay_track([Leg(-40.0, 170.0, 15.0, -150.0)], spacing_nm=60.0)
    weather = Weather(track, steady(track, 0.0, 10.0), DEPART, night_speed_share=0.5)
    for hour in (0, 5, 11, 17, 23, CHUNK_H + 3):
        moment = np.datetime64((DEPART + timedelta(hours=hour, minutes=30)).replace(tzinfo=None), "s")
        night = sun_altitude_deg(moment, track.lat_deg, track.lon_deg) < SUNRISE_DEG
        assert np.array_equal(np.where(night, 0.5, 1.0), weather.table(hour)[DAY_SHARE])
        assert night[-1] == weather.dark_at_landfall(hour)


def test_the_tables_of_two_months_take_no_more_room_than_those_of_five_days_and_are_laid_again_the_same() -> None:
    track = lay_track([Leg(-40.0, 0.0, 40.0, 60.0)])
    weather = Weather(track, steady(track, 3.0, 9.0, 6.0), DEPART, night_speed_share=0.5)
    begun = weather.table(5).copy()
    tracemalloc.start()
    for hour in range(0, 60 * 24, 24):
        weather.table(hour)
    kept_bytes = tracemalloc.get_traced_memory()[0]
    tracemalloc.stop()
    assert kept_bytes < 1.5 * CHUNK_H * begun.nbytes
    assert np.array_equal(begun, weather.table(5))


def test_the_spread_is_shared_out_between_weather_and_season() -> None:
    track = lay_track([Leg(-40.0, 0.0, 0.0, 0.0)])
    table = Weather(track, steady(track, 0.0, 10.0, 6.0), DEPART, 1.0).table(7)
    assert 6.0 == pytest.approx(np.hypot(table[FAST], table[SLOW]), rel=1e-6)
    share = table[SLOW] ** 2 / 36.0
    assert (0.03, 0.20) == pytest.approx((share[0], share[-1]), rel=1e-5)


def test_a_crew_that_settles_in_is_slower_for_so_long_and_no_longer() -> None:
    track = north_track(60.0)
    plain = Weather(track, steady(track, 0.0, 10.0), DEPART, 0.8)
    settling = Weather(track, steady(track, 0.0, 10.0), DEPART, 0.8, settling=(130.0, 0.9))
    for hour, share in ((0, 0.9), (119, 0.9), (129, 0.9), (130, 1.0), (500, 1.0)):
        assert share * plain.table(hour)[DAY_SHARE] == pytest.approx(settling.table(hour)[DAY_SHARE])


def test_the_course_is_the_tracks() -> None:
    track = lay_track([Leg(-20.0, -10.0, -10.0, -25.0)])
    table = Weather(track, steady(track, 0.0, 10.0), DEPART, 1.0).table(0)
    assert np.radians(track.course_deg) == pytest.approx(np.arctan2(table[SINE], table[COSINE]) % (2 * np.pi), rel=1e-6)


def test_wind_is_the_months_at_its_middle_and_continuous_over_the_new_year() -> None:
    """Winds of 0 to 11 kn by month: mid-March has March's; over the new year it goes from 11 to 0 without a step."""
    track = north_track(60.0)
    rising = replace(
        steady(track, 0.0, 0.0),
        wind_east_kn=np.arange(12.0)[:, None] * np.ones(track.nodes),
        wind_north_kn=np.zeros((12, track.nodes)),
    )
    march = Weather(track, rising, datetime(2027, 3, 16, 12, tzinfo=UTC), 1.0).table(0)
    assert (2.0, 0.0) == pytest.approx((march[EAST, 0], march[NORTH, 0]), abs=1e-5)
    winter = Weather(track, rising, datetime(2027, 12, 20, tzinfo=UTC), 1.0)
    east = np.array([winter.table(hour)[EAST, 0] for hour in range(600)])
    assert np.abs(np.diff(east)).max() == pytest.approx(11.0 / (31 * 24), rel=0.01)
    assert 5.5 == pytest.approx(east[24 * 12], abs=0.02)  # the new year lies halfway between the two middles


def test_air_and_sea_are_the_climates() -> None:
    track = north_track(60.0)
    warmth = Weather(track, steady(track, 0.0, 10.0), DEPART, 1.0).warmth(50)
    air, sea = warmth["air_by_day_c"], warmth["sea_by_day_c"]
    assert warmth["vapour_by_day_g_kg"] is None
    assert (3, track.nodes) == air.shape == sea.shape
    assert (20.0, 21.0) == pytest.approx((air.min(), sea.max()))


def test_the_current_is_turned_into_the_course() -> None:
    """East on a course of 045: along and to the right are both 1 / sqrt 2 (D)."""
    track = lay_track([Leg(0.0, 0.0, 1.0, 1.0, "rhumb line")])
    climate = steady(track, 0.0, 10.0)
    weather = Weather(track, climate, DEPART, 1.0, set_and_drift([(90.0, 1.0)], track.leg))
    assert np.sqrt(0.5) == pytest.approx(weather.table(30)[[ALONG, ACROSS]], abs=3e-3)
    assert np.sqrt(0.5) == pytest.approx(weather.strongest_across_kn, abs=3e-3)
    against = Weather(track, climate, DEPART, 1.0, along_the_course(-0.5, track.course_deg)).table(0)
    assert -0.5 == pytest.approx(against[ALONG], abs=1e-6)
    assert 0.0 == pytest.approx(against[[ACROSS, EDDY]], abs=1e-6)


def test_eddies_are_as_strong_as_the_current_tells() -> None:
    track = north_track(60.0)
    still = np.zeros((12, track.nodes))
    current = TrackCurrent(still, still, "invented", eddy_kn=np.linspace(0.2, 0.4, track.nodes))
    weather = Weather(track, steady(track, 0.0, 10.0), DEPART, 1.0, current)
    assert np.linspace(0.2, 0.4, track.nodes) == pytest.approx(weather.table(77)[EDDY])
    assert weather.stirred


def test_without_a_current_nothing_moves() -> None:
    track = north_track(60.0)
    weather = Weather(track, steady(track, 0.0, 10.0), DEPART, 1.0)
    assert (False, False, 7) == (weather.moving, weather.stirred, len(weather.table(0)))
