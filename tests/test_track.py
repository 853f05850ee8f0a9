"""Tracks: evenly spaced, ending exactly at the destination, ordinary across 180 degrees."""

from __future__ import annotations

import csv
import math
from itertools import pairwise
from pathlib import Path
from timeit import repeat
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.errors import OutOfRange, RouteRefused
from passage.sailings import geodesic, rhumb
from passage.sailings.composite import composite
from passage.sailings.earth import NAUTICAL_MILE_M
from passage.sailings.geodesic import normalise_lon_deg
from passage.sailings.track import Leg, Track, at_distance, lay_track, leg_summaries, through_waypoints

if TYPE_CHECKING:
    from collections.abc import Sequence

OCEAN_LEGS = Path(__file__).parent / "published" / "08_ocean_legs.csv"

# Invented for these tests: every sailing, a turn of the course, and the 180th meridian.
SUVA_TO_OREGON = (
    Leg(-18.13, 178.42, -15.0, -170.0),
    Leg(-15.0, -170.0, 10.0, -150.0, "rhumb line"),
    Leg(10.0, -150.0, 45.0, -125.0),
    Leg(45.0, -125.0, 46.0, 160.0, "composite", 47.0),
)


def steps_nm(track: Track) -> np.ndarray:
    places = list(zip(track.lat_deg, track.lon_deg, strict=True))
    return np.array([geodesic.inverse(*one, *other).distance_nm for one, other in pairwise(places)])


def joined(legs: Sequence[Leg]) -> float:
    return sum(summary.distance_nm for summary in leg_summaries(legs))


def ocean_legs() -> list[Leg]:
    rows = csv.DictReader(OCEAN_LEGS.read_text(encoding="utf-8").splitlines())
    return [Leg(float(row["lat1"]), float(row["lon1"]), float(row["lat2"]), float(row["lon2"])) for row in rows]


@pytest.mark.parametrize("spacing_nm", [1.0, 5.0, 7.3, 1e5])
def test_the_line_through_the_waypoints_cuts_no_corner(spacing_nm: float) -> None:
    """Miles run to each waypoint as the legs measure them; a great circle of any length is one step of the line."""
    track = lay_track(SUVA_TO_OREGON, spacing_nm)
    line = through_waypoints(track)
    assert track.nodes + 3 == len(line.distance_nm)
    for leg, summary in zip(SUVA_TO_OREGON[1:], leg_summaries(SUVA_TO_OREGON)[1:], strict=True):
        (at,) = np.flatnonzero((line.lat_deg == leg.from_lat_deg) & (line.lon_deg == leg.from_lon_deg))
        if spacing_nm < 10.0:
            assert pytest.approx(summary.starts_at_nm, abs=0.01) == line.distance_nm[at]
    assert (np.diff(line.distance_nm) >= 0.0).all() or spacing_nm > 10.0
    bare = lay_track(SUVA_TO_OREGON[:1], spacing_nm)
    assert bare.distance_nm.tolist() == through_waypoints(bare).distance_nm.tolist()


@pytest.mark.parametrize("spacing_nm", [1.0, 5.0, 7.3, 1e5])
def test_nodes_are_evenly_spaced_and_end_at_the_destination(spacing_nm: float) -> None:
    track = lay_track(SUVA_TO_OREGON, spacing_nm)
    assert math.ceil(track.length_nm / spacing_nm) + 1 == track.nodes
    assert pytest.approx(track.length_nm / (track.nodes - 1), rel=1e-12) == track.spacing_nm
    assert pytest.approx(track.spacing_nm, rel=1e-9) == np.diff(track.distance_nm)
    assert track.spacing_nm <= spacing_nm
    assert (track.lat_deg[0], track.lon_deg[0]) == (-18.13, 178.42)
    assert (track.lat_deg[-1], track.lon_deg[-1]) == (46.0, 160.0)
    assert pytest.approx(joined(SUVA_TO_OREGON), rel=1e-12) == track.length_nm


def test_nodes_really_stand_that_far_apart() -> None:
    track = lay_track(SUVA_TO_OREGON)
    steps = steps_nm(track)
    on_one_leg = np.diff(track.leg) == 0
    # On a rhumb line the straight way between nodes is shorter by d^3 tan^2(lat) / 24 R^2, under a micromile.
    assert pytest.approx(track.spacing_nm, abs=1e-6) == steps[on_one_leg]
    # Over a waypoint the step cuts the corner, so it is shorter, never longer.
    assert (steps <= track.spacing_nm + 1e-9).all()
    assert np.count_nonzero(~on_one_leg) == len(SUVA_TO_OREGON) - 1


def test_a_whole_number_of_spacings_adds_no_node() -> None:
    whole = lay_track([Leg(0.0, 0.0, 0.0, 10.0)])
    assert whole.nodes == lay_track([Leg(0.0, 0.0, 0.0, 10.0)], whole.spacing_nm).nodes


def test_courses_are_those_of_the_leg_at_the_node() -> None:
    track = lay_track(SUVA_TO_OREGON)
    # geodesic towards the destination from anywhere on the first leg; a rhumb line's course never changes.
    for node in np.flatnonzero(track.leg == 0)[::20]:
        ahead = geodesic.inverse(track.lat_deg[node], track.lon_deg[node], -15.0, -170.0)
        assert pytest.approx(ahead.initial_course_deg, abs=1e-6) == track.course_deg[node]
    rhumb_course = rhumb.inverse(-15.0, -170.0, 10.0, -150.0).initial_course_deg
    assert pytest.approx(rhumb_course, abs=1e-9) == track.course_deg[track.leg == 1]
    assert pytest.approx(leg_summaries(SUVA_TO_OREGON)[-1].final_course_deg, abs=1e-6) == track.course_deg[-1]


def test_a_composite_leg_follows_its_limit() -> None:
    track = lay_track(SUVA_TO_OREGON[3:])
    on_limit = np.abs(track.lat_deg - 47.0) < 1e-9
    assert track.lat_deg.max() <= 47.0 + 1e-9
    parts = composite(*SUVA_TO_OREGON[3].ends, 47.0)
    assert pytest.approx(parts[1].distance_nm / track.spacing_nm, abs=1.0) == np.count_nonzero(on_limit)
    assert pytest.approx(270.0, abs=1e-6) == track.course_deg[on_limit]


@pytest.mark.parametrize("sailing", ["great circle", "rhumb line"])
def test_over_180_degrees_is_ordinary(sailing: str) -> None:
    """The same leg moved round the earth lays the same track."""
    track = lay_track([Leg(-18.0, 170.0, 21.0, -160.0, sailing)])  # type: ignore[arg-type]
    moved = lay_track([Leg(-18.0, 10.0, 21.0, 40.0, sailing)])  # type: ignore[arg-type]
    assert pytest.approx(moved.lat_deg, abs=1e-9) == track.lat_deg
    assert pytest.approx(0.0, abs=1e-9) == np.abs(normalise_lon_deg(track.lon_deg - moved.lon_deg - 160.0))
    assert ((track.lon_deg >= -180.0) & (track.lon_deg < 180.0)).all()
    halfway = at_distance(track, np.linspace(0.0, track.length_nm, 5000))
    assert (np.abs(normalise_lon_deg(np.diff(halfway.lon_deg))) < 0.05).all()


def test_a_turn_of_longitude_changes_nothing() -> None:
    track = lay_track([Leg(40.0, -70.0, 50.0, -10.0)])
    turned = lay_track([Leg(40.0, 290.0, 50.0, 350.0)])
    assert pytest.approx(track.lon_deg, abs=1e-9) == turned.lon_deg
    assert turned.lon_deg[-1] == -10.0


def test_places_between_nodes_lie_on_the_leg() -> None:
    # The docstring promises 5 m up to 65 degrees; this geodesic climbs from 45 to 63.
    leg = Leg(45.0, -20.0, 45.1, 100.0)
    line = geodesic.inverse(*leg.ends)
    track = lay_track([leg])
    assert 60.0 < track.lat_deg.max() < 65.0
    distances = np.linspace(0.0, track.length_nm, 1999)
    exact = geodesic.along(45.0, -20.0, line.initial_course_deg, distances)
    found = at_distance(track, distances)
    apart_m = [
        geodesic.inverse(*one, *other).distance_nm * NAUTICAL_MILE_M
        for one, other in zip(zip(*exact[:2], strict=True), zip(*found[:2], strict=True), strict=True)
    ]
    assert max(apart_m) < 5.0
    assert np.abs(exact.course_deg - found.course_deg).max() < 1e-3


def test_at_distance_keeps_shapes_ends_and_nodes() -> None:
    track = lay_track(SUVA_TO_OREGON)
    assert at_distance(track, np.zeros((3, 4))).lat_deg.shape == (3, 4)
    assert at_distance(track, 10.0).course_deg.shape == ()
    nodes = at_distance(track, track.distance_nm)
    assert pytest.approx(track.lat_deg, abs=1e-9) == nodes.lat_deg
    assert pytest.approx(track.course_deg, abs=1e-6) == nodes.course_deg
    outside = at_distance(track, [-10.0, track.length_nm + 10.0])
    assert (track.lat_deg[0], track.lat_deg[-1]) == tuple(outside.lat_deg)
    assert (track.lon_deg[0], track.lon_deg[-1]) == tuple(outside.lon_deg)
    assert (track.course_deg[0], track.course_deg[-1]) == tuple(outside.course_deg)


def test_a_course_through_north_is_interpolated_the_short_way() -> None:
    track = lay_track([Leg(10.0, 0.0, 20.0, 0.0)])
    assert np.isin(at_distance(track, np.linspace(0, 500, 999)).course_deg % 360.0, [0.0]).all()
    # Invented: a leg whose course backs from 001 to 359 across north.
    backing = Track(np.array([0.0, 5.0]), np.zeros(2), np.zeros(2), np.array([1.0, 359.0]), np.zeros(2, np.intp), 5.0)
    assert pytest.approx(0.0, abs=1e-12) == at_distance(backing, 2.5).course_deg


def test_across_a_waypoint_the_course_is_that_of_the_leg_behind() -> None:
    legs = [Leg(0.0, 0.0, 1.0, 0.0, "rhumb line"), Leg(1.0, 0.0, 1.0, 1.0, "rhumb line")]
    courses = set(at_distance(lay_track(legs), np.linspace(0.0, 119.0, 500)).course_deg.round(9))
    assert courses == {0.0, 90.0}


def test_leg_summaries() -> None:
    summaries = leg_summaries(SUVA_TO_OREGON)
    assert [leg.sailing for leg in SUVA_TO_OREGON] == [summary.sailing for summary in summaries]
    assert summaries[0].starts_at_nm == 0.0
    for before, after in pairwise(summaries):
        assert pytest.approx(before.starts_at_nm + before.distance_nm, rel=1e-12) == after.starts_at_nm
    first, second, _, composite_leg = summaries
    assert first.distance_nm == first.great_circle_nm < first.rhumb_line_nm
    assert second.distance_nm == second.rhumb_line_nm > second.great_circle_nm
    assert composite_leg.great_circle_nm < composite_leg.distance_nm < composite_leg.rhumb_line_nm
    assert tuple(summary.highest_lat_deg for summary in summaries[:3]) == (-18.13, -15.0, 45.0)
    assert pytest.approx(47.0, abs=1e-9) == composite_leg.highest_lat_deg


def test_the_highest_latitude_of_a_great_circle_is_its_vertex() -> None:
    # Cape Town to Fremantle: 45 31.0' S on the sphere, USCG [S]; the geodesic's differs by some minutes.
    (summary,) = leg_summaries([Leg(-(35 + 8 / 60), 19 + 26 / 60, -(33 + 16 / 60), 115.6)])
    assert pytest.approx(-45.5, abs=0.2) == summary.highest_lat_deg
    (westward,) = leg_summaries([Leg(-20.0, 10.0, 5.0, -30.0)])
    assert westward.highest_lat_deg == -20.0


@pytest.mark.parametrize("leg", ocean_legs(), ids=lambda leg: f"{leg.from_lat_deg:.0f} {leg.from_lon_deg:.0f}")
def test_published_ocean_legs_measure_the_same_as_tracks(leg: Leg) -> None:
    # Positions of NGA Pub. 151 [S]. The nodes' own steps, summed, must give the geodesic.
    track = lay_track([leg])
    assert pytest.approx(geodesic.inverse(*leg.ends).distance_nm, abs=1e-6) == steps_nm(track).sum()


@pytest.mark.parametrize(
    ("legs", "reason"),
    [
        ([], "at least one leg"),
        ([Leg(10.0, 20.0, 10.0, 20.0)], "twice running"),
        ([Leg(10.0, 20.0, 10.0, 380.0)], "twice running"),
        ([Leg(0.0, 0.0, 1.0, 1.0), Leg(1.0, 1.0, 1.0, 1.0, "rhumb line")], "twice running"),
        ([Leg(0.0, 0.0, 1.0, 1.0), Leg(1.0, 1.1, 2.0, 2.0)], "leg 2 does not begin where leg 1 ends"),
        ([Leg(0.0, 0.0, 1.0, 1.0, "composite")], "a composite leg needs one"),
        ([Leg(0.0, 0.0, 1.0, 1.0, "great circle", 40.0)], "no other leg takes one"),
        ([Leg(0.0, 0.0, 1.0, 1.0, "straight line")], "cannot be sailed by"),  # type: ignore[arg-type]
        ([Leg(50.0, 0.0, 50.0, 40.0, "composite", 45.0)], "beyond the limiting latitude"),
    ],
)
def test_a_track_that_makes_no_sense_is_refused(legs: list[Leg], reason: str) -> None:
    for lay in (lay_track, leg_summaries):
        with pytest.raises(RouteRefused, match=reason):
            lay(legs)


def test_numbers_off_the_earth_are_refused() -> None:
    with pytest.raises(OutOfRange, match="latitude 95"):
        lay_track([Leg(95.0, 0.0, 1.0, 1.0)])
    for spacing_nm in (0.0, -5.0, math.nan, math.inf):
        with pytest.raises(OutOfRange, match="spacing"):
            lay_track(SUVA_TO_OREGON, spacing_nm)


def test_waypoints_join_across_180_whichever_way_it_is_written() -> None:
    track = lay_track([Leg(0.0, 170.0, 0.0, 180.0), Leg(0.0, -180.0, 0.0, -170.0)])
    assert pytest.approx(geodesic.inverse(0.0, 170.0, 0.0, -170.0).distance_nm, abs=1e-9) == track.length_nm


def test_four_thousand_miles_are_laid_in_a_tenth_of_a_second() -> None:
    # Best of five, to time the code and not the machine's other work.
    seconds = min(repeat(lambda: lay_track([Leg(50.0, -5.0, 13.0, -74.0)]), number=1, repeat=5))
    assert seconds < 0.1


def test_a_stop_stands_where_its_leg_ends_and_at_the_last_end_is_none() -> None:
    legs = [Leg(0.0, 0.0, 1.0, 0.0, stop_h=24.0), Leg(1.0, 0.0, 3.0, 0.0, stop_h=5.0)]
    track = lay_track(legs)
    (stop,) = track.stops
    assert (24.0, 24.0) == (stop.hours, track.stop_h)
    assert leg_summaries(legs)[0].distance_nm == pytest.approx(stop.distance_nm, abs=1e-6)
