"""The hunt is global: the best of several tracks at every spacing, and a finer lattice never makes it worse."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from benchmarks.nested_lattices import both_h
from passage.crossings.search.find import find_track, shortest_track
from passage.crossings.search.lattice import lay_lattice
from passage.crossings.search.lines import MEAN_RADIUS_NM, angle_between, normals, places_along
from passage.crossings.search.reach import reach_of
from passage.crossings.search.region import Ends
from passage.inputs.search import Prices, TrackLimits
from passage.sailings import geodesic
from passage.sailings.land import land_hits
from tests.search_cases import DEPART, SWIRLS, InPlane, Steady, plane, question

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


@pytest.mark.parametrize("name", SWIRLS)
@pytest.mark.parametrize("spacing_nm", [20.0, 6.0])
def test_of_several_tracks_that_no_small_change_betters_the_best_is_found(name: str, spacing_nm: float) -> None:
    # D, benchmarks.zermelo: every heading shot by Zermelo's equation, the soonest of those that meet the goal; 0.2 %.
    current, goal, strongest_kn, expected_h = SWIRLS[name]
    asked = question(
        plane(0.0, 0.0),
        plane(*goal),
        InPlane(current, strongest_kn),
        spacing_nm=spacing_nm,
        slack_share=2e-4,
        most_waypoints=40,
    )
    assert expected_h == pytest.approx(find_track(asked).hours, rel=2e-3)


@pytest.mark.parametrize("seed", [0, 2])
def test_a_lattice_twice_as_fine_is_never_slower(seed: int) -> None:
    """0.05 %; two hundred of them are searched by benchmarks.nested_lattices."""
    coarse_h, fine_h = both_h(seed, 8.0)
    assert fine_h <= coarse_h * 1.0005


def test_the_reach_holds_every_place_on_a_track_that_is_not_slower() -> None:
    """D: 3 knots made good, 6 at the fastest: an ellipse of twice the distance, half as wide as sqrt 3 of it."""
    ends = Ends(0.0, -40.0, 0.0, -30.0)
    direct_nm = geodesic.inverse(*ends).distance_nm
    reach, _ = reach_of(ends, Steady(6.0), direct_nm / 3.0)
    assert direct_nm / 2.0 == pytest.approx(reach.margin_nm, rel=0.02)
    assert direct_nm * np.sqrt(3.0) / 2.0 == pytest.approx(reach.half_width_nm, rel=0.02)


class SlowInTheNorth(Steady):
    """Six knots at the fastest south of the equator, two north of it."""

    def fastest_at(self, lat_deg: Floats, lon_deg: Floats, until_h: float, within_nm: float) -> Floats:
        return np.where(lat_deg < within_nm / 60.0, 6.0, 2.0)


@pytest.mark.parametrize("spacing_nm", [150.0, 37.5])
def test_no_place_is_left_out_through_which_she_could_sail_as_soon_at_her_fastest(spacing_nm: float) -> None:
    """D: in the south the straight lines to a place and on from it, at six knots; the far north is left out."""
    ends, most_h = Ends(0.0, -40.0, 0.0, -30.0), 140.0
    _, marked = reach_of(ends, SlowInTheNorth(6.0), most_h)
    assert marked is not None
    lattice = lay_lattice(ends, spacing_nm, 600.0, 300.0)
    both_nm = sum(angle_between(lattice.normal, normals(*end)) * MEAN_RADIUS_NM for end in (ends[:2], ends[2:]))
    lat_deg, held = lattice.place_deg[0], marked.on(lattice)
    south = lat_deg < 0.0
    assert held[south & (both_nm / 6.0 <= most_h)].all()
    assert not held[south & (both_nm / 6.0 > 1.5 * most_h)].any()
    assert not held[lat_deg > 5.0].any()
    inside = lattice.region(held)
    assert lattice.region().holds(inside)
    assert inside.north_deg < 6.0 < lattice.region().north_deg


@pytest.mark.parametrize("most_h", [120.0, 140.0, 160.0, 180.0])
def test_no_node_is_too_far_by_the_moves_that_is_not_by_straight_lines(most_h: float) -> None:
    """D: geodesics on the ellipsoid to a place and on from it, at six knots."""
    ends = Ends(-20.0, -40.0, -20.0, -30.0)
    _, marked = reach_of(ends, SlowInTheNorth(6.0), most_h)
    assert marked is not None
    places = list(zip(*marked.lattice.place_deg, marked.worth, strict=True))
    hours = [
        sum(geodesic.inverse(*end, float(lat), float(lon)).distance_nm for end in (ends[:2], ends[2:])) / 6.0
        for lat, lon, _ in places
    ]
    assert [] == [place for place, needs_h in zip(places, hours, strict=True) if needs_h <= most_h and not place[2]]


@pytest.mark.parametrize("price", [0.0, 1.0])
def test_a_harbour_among_islands_is_left_and_another_is_reached(price: float) -> None:
    """Galapagos to the Marquesas: both ends lie inside the distance to be kept from land."""
    limits = TrackLimits(prices=Prices(cyclone_season=price))
    start, goal = (-0.82, -90.35), (-8.95, -140.1)
    found = find_track(question(start, goal, Steady(5.0), limits=limits, land=True))
    assert geodesic.inverse(*start, *goal).distance_nm < found.distance_nm
    lat, lon = places_along(normals(found.lat_deg, found.lon_deg), 50.0)
    assert [] == land_hits(lat, lon)


def test_the_shortest_track_goes_round_the_land() -> None:
    found = shortest_track(Ends(-33.8, 18.2, -30.0, 31.3), TrackLimits(), DEPART)
    assert found.lat_deg.min() < -34.9  # Cape Agulhas, 34 50S (M, chart)
    assert [] == land_hits(*places_along(normals(found.lat_deg, found.lon_deg), 50.0))
