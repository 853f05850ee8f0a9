"""Tracks judged beside the land, and a found track sailed against the drawn one."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from passage.crossings.wind import Luck
from passage.errors import RouteRefused
from passage.ground import legs_of
from passage.inputs.folder import Facts, read_folder
from passage.inputs.search import Limits, Prices, TrackLimits
from passage.inputs.voyage import Voyage, Waypoint
from passage.near_land import judge, over_land
from passage.positions import Position
from passage.sailings.land import clearance
from passage.sailings.track import lay_track
from passage.tracks import Comparison, better, open_sea

ROUTES = Path(__file__).parents[1] / "routes"
LIFTED = TrackLimits(prices=Prices(cyclone_season=0.0))


@cache
def facts(name: str) -> Facts:
    return read_folder(ROUTES / name)


def drawn_by(voyage: Voyage, *places: tuple[float, float]) -> Voyage:
    waypoints = tuple(Waypoint(name=f"place {n}", position=Position(*place)) for n, place in enumerate(places))
    return voyage.model_copy(update={"waypoints": waypoints})


@cache
def compared(name: str) -> Comparison:
    voyage = facts(name)
    return better(voyage, LIFTED, Luck(1, 200), voyage.voyage.departure.depart)


# ---------------------------------------------------------------- judging


def test_every_leg_is_judged_with_its_nearest_land() -> None:
    rows = judge(facts("cape-town-st-helena").voyage, TrackLimits())
    assert [1, 2, 3] == [row.number for row in rows]
    ocean = rows[1]
    assert ("west of Robben Island", "north-east of St Helena") == (ocean.from_name, ocean.to_name)
    assert ocean.nearest_land is not None
    # The island's own north-east corner, about 15 55S 5 39W (M, chart): within the coastline's three miles.
    assert -15.9 == pytest.approx(ocean.nearest_land.land_lat_deg, abs=0.05)
    assert -5.65 == pytest.approx(ocean.nearest_land.land_lon_deg, abs=0.05)
    assert ocean.too_near_by_night
    assert ocean.land == ()


def test_a_leg_over_land_is_judged_and_not_refused() -> None:
    voyage = drawn_by(facts("lagos-azores").voyage, (36.5, -9.5), (38.0, -9.5), (38.8, -5.0), (44.5, -5.0))
    rows = judge(voyage, TrackLimits())
    assert [False, True, True] == [bool(row.land) for row in rows]
    assert rows[1].nearest_land is not None
    assert rows[1].nearest_land.distance_nm == 0.0
    assert rows[1].land[0].across_nm > 100.0
    assert rows[1].too_near_by_day


FROM_THE_QUAY = (38.5364, -28.6265)  # Horta's, where these data have water; the spit south of it is land (M, chart)


def test_land_on_the_way_out_is_told_within_the_harbours_miles_too() -> None:
    voyage = drawn_by(
        facts("lagos-azores").voyage, FROM_THE_QUAY, (38.5283, -28.6316), (38.4717, -28.6667), (38.2, -27.9)
    )
    rows = judge(voyage, TrackLimits())
    assert {1, 2} == set(over_land(voyage))
    assert [True, True, False] == [bool(row.land) for row in rows]
    assert rows[0].nearest_land is not None  # a leg that ends within them has its nearest land too
    assert rows[0].nearest_land.distance_nm == 0.0
    assert not rows[0].too_near_by_day


def test_a_harbour_inside_the_coast_of_the_data_is_no_land_on_the_way() -> None:
    inland, off = (38.6533, -27.2183), (38.62, -27.19)  # Angra do Heroismo's town, and off it, east of the hill
    voyage = drawn_by(facts("lagos-azores").voyage, inland, off, (38.2, -27.9))
    assert {} == over_land(voyage)
    assert {} == over_land(drawn_by(voyage, (38.2, -27.9), off, inland))


def test_a_listed_danger_counts_like_land() -> None:
    voyage = drawn_by(facts("opua-tonga").voyage, (-20.0, -168.7), (-20.0, -165.5))  # Niue is over 60 nm off
    (row,) = judge(voyage, TrackLimits())
    assert row.danger is not None
    assert row.danger.danger.name == "Beveridge Reef"
    assert row.danger.clear_nm == 0.0
    assert row.too_near_by_day
    assert row.nearest_land is None


def test_the_distances_wanted_are_the_skippers() -> None:
    voyage = facts("opua-tonga").voyage
    assert [True, False] == [
        judge(voyage, TrackLimits(limits=Limits(clear_by_day_nm=day, clear_by_night_nm=20.0)))[1].too_near_by_day
        for day in (6.0, 5.0)
    ]


# ---------------------------------------------------------------- open sea


def test_pilotage_waypoints_stay_the_skippers() -> None:
    voyage = facts("lagos-azores").voyage
    assert (1, 2) == open_sea(voyage)
    found = compared("lagos-azores").found_voyage
    assert voyage.waypoints[:2] == found.waypoints[:2]
    assert voyage.waypoints[-2:] == found.waypoints[-2:]


def test_a_voyage_without_open_sea_is_refused() -> None:
    with pytest.raises(RouteRefused, match="open sea"):
        open_sea(drawn_by(facts("lagos-azores").voyage, (36.5, -9.5), (36.9, -9.6), (37.2, -9.7)))


# ---------------------------------------------------------------- comparing


def test_found_and_drawn_meet_the_same_luck() -> None:
    comparison = compared("lagos-azores")
    assert comparison.drawn_outcome is not None
    assert comparison.found_outcome.crossings.seed == comparison.drawn_outcome.crossings.seed
    drawn, found = comparison.drawn_outcome.crossings.performance, comparison.found_outcome.crossings.performance
    assert drawn.tolist() == found.tolist()


def test_the_found_track_is_clear_where_the_drawn_one_is_not() -> None:
    comparison = compared("lagos-azores")
    assert comparison.drawn_side is not None
    assert comparison.drawn_side.nearest_land is not None
    assert comparison.drawn_side.nearest_land.distance_nm < 5.0
    first, last = open_sea(comparison.found_voyage)
    track = lay_track(legs_of(comparison.found_voyage)[first:last])
    kept = (track.distance_nm > 42.0) & (track.distance_nm < track.length_nm - 42.0)
    nearest = clearance(track.lat_deg[kept], track.lon_deg[kept], 60.0, 0.0)
    assert nearest is None or nearest.distance_nm >= comparison.found.kept_clear_nm
    assert comparison.found.drawn_cost_h == np.inf


def test_it_is_said_when_the_found_track_is_not_better_at_the_slow_end() -> None:
    for name in ("lagos-azores", "cape-town-st-helena"):
        comparison = compared(name)
        assert comparison.drawn_side is not None
        # less than half a part in a hundred shorter counts for nothing
        slower = comparison.found_side.slow_end_days >= 0.995 * comparison.drawn_side.slow_end_days
        assert comparison.better_at_slow_end == (not slower)
        assert slower == ("not better" in comparison.words or "No better track" in comparison.words)


def test_a_drawn_track_that_cannot_be_bettered_is_kept() -> None:
    """The track found before is drawn, and nothing betters it."""
    drawn = replace(facts("cape-town-st-helena"), voyage=compared("cape-town-st-helena").found_voyage)
    comparison = better(drawn, LIFTED, Luck(1, 200), drawn.voyage.departure.depart)
    assert comparison.found.keeps_drawn
    assert comparison.found_voyage == drawn.voyage
    assert "No better track" in comparison.words
    assert not comparison.better_at_slow_end
