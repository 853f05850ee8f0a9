"""What the electrics see of the boat agrees with what the crossings say."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest

from passage.consequences.power.scene import (
    AT_ANCHOR,
    PLACE_NM,
    Berth,
    scene_at_anchor,
    scene_under_way,
)
from passage.consequences.power.sun import sun_at
from passage.crossings.ensemble import ARRIVED, positions
from passage.errors import OutOfRange
from tests.power_cases import anchored, sailed, sailed_scene, still_climate


def test_every_place_lies_within_half_its_length_of_the_boat() -> None:
    crossings, climate = sailed()
    scene = scene_under_way(crossings, climate)
    latitude, _, _ = positions(crossings)
    miles = 60.0 * np.abs(latitude.T - scene.here(scene.lat_deg.astype(np.float32)[None, :].repeat(scene.hours, 0)))
    assert PLACE_NM / 2 + crossings.track.spacing_nm >= miles.max()


def test_hours_at_sea_are_the_passage_time() -> None:
    crossings, climate = sailed()
    assert crossings.arrival_h == pytest.approx(scene_under_way(crossings, climate).at_sea.sum(axis=0), abs=1e-3)


def test_under_way_ends_at_landfall_and_never_begins_at_anchor() -> None:
    scene = sailed_scene()
    assert np.array_equal(scene.under_way, scene.state != ARRIVED)
    assert not anchored().under_way.any()


def test_the_sun_from_the_boats_axes_is_the_sun_turned_by_the_course() -> None:
    berth = Berth(34.0, -120.0, bow_true_course_deg=90.0)  # bow to the east: ahead is east, starboard is south
    scene = scene_at_anchor(berth, still_climate(0.0), datetime(2027, 6, 21, 15, tzinfo=UTC), 1, 1, 1)
    sun = sun_at(scene.middles, 34.0, -120.0)
    assert sun.east == pytest.approx(scene.sky.ahead[:, 0], abs=1e-6)
    assert -sun.north == pytest.approx(scene.sky.starboard[:, 0], abs=1e-6)


def test_a_boat_at_anchor_lies_to_the_wind() -> None:
    scene = scene_at_anchor(Berth(34.0, -120.0, 270.0, 10.0), still_climate(0.0), datetime(2027, 6, 21), 1, 1, 1)
    assert (10.0, 0.0) == pytest.approx((scene.wind_east_kn[0, 0], scene.wind_north_kn[0, 0]), abs=1e-5)
    assert (scene.state == AT_ANCHOR).all()


def test_ships_time_is_noon_when_the_sun_is_highest() -> None:
    scene = anchored()
    # Equation of time within a quarter of an hour, hours stand by their middles.
    assert 12.0 == pytest.approx(float(scene.solar_hour()[scene.sky.up[:, 0].argmax(), 0]), abs=0.76)


def test_gaps_in_the_cloud_are_filled_along_the_track_and_none_at_all_is_refused() -> None:
    crossings, climate = sailed(members=2)
    climate.cloud[:, :60] = np.nan
    assert np.isfinite(scene_under_way(crossings, climate).cloud).all()
    climate.cloud[:] = np.nan
    with pytest.raises(OutOfRange, match="no cloud"):
        scene_under_way(crossings, climate)
