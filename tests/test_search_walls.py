"""Land, limits, boxes, cyclone basins: what the search keeps out of, and what it says when nothing is left."""

from __future__ import annotations

from datetime import UTC, datetime
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.crossings.search import find, hunt
from passage.crossings.search.find import find_track
from passage.crossings.search.letout import off_lying
from passage.crossings.search.lines import Steps
from passage.crossings.search.raster import Raster, land_raster
from passage.crossings.search.region import Ends, Region
from passage.crossings.search.walls import Days, Keep, Walls
from passage.errors import RouteRefused
from passage.inputs.search import Box, Limits, Prices, TrackLimits
from passage.sailings import geodesic
from passage.sailings.composite import composite
from passage.sailings.land import clearance, dangers_near, land_hits, nearest_land
from passage.sailings.track import Leg, Track, lay_track
from tests.search_cases import Steady, question

if TYPE_CHECKING:
    from passage.crossings.search.find import Found

PLAIN = Prices(cyclone_season=0.0)


def laid(found: Found) -> Track:
    """The waypoints found as an exact track: the check is independent of the search's own geometry and raster."""
    places = list(zip(found.lat_deg.tolist(), found.lon_deg.tolist(), strict=True))
    return lay_track([Leg(*a, *b) for a, b in pairwise(places)], 2.0)


# ---------------------------------------------------------------- land


@pytest.mark.parametrize(
    ("start", "goal"),
    [
        pytest.param((21.0, -160.9), (20.2, -153.0), id="islands in the way"),
        pytest.param((27.0, -111.4), (27.2, -116.2), id="a peninsula"),
        pytest.param((-15.4, 177.5), (-18.6, -177.6), id="islands on 180 degrees"),
        pytest.param((78.0, 6.0), (77.6, 36.0), id="high latitude"),
    ],
)
def test_land_is_never_crossed(start: tuple[float, float], goal: tuple[float, float]) -> None:
    straight = lay_track([Leg(*start, *goal)], 2.0)
    assert land_hits(straight.lat_deg, straight.lon_deg, 0.0), "the direct line must cross land, or this tests nothing"
    found = find_track(question(start, goal, Steady(5.0), land=True))
    track = laid(found)
    assert [] == land_hits(track.lat_deg, track.lon_deg, 0.0)
    at_sea = (track.distance_nm > 42.0) & (track.distance_nm < track.length_nm - 42.0)
    nearest = clearance(track.lat_deg[at_sea], track.lon_deg[at_sea], 60.0, 0.0)
    assert nearest is None or nearest.distance_nm >= found.kept_clear_nm
    coastal = (track.distance_nm > 12.0) & (track.distance_nm < track.length_nm - 12.0)
    nearest = clearance(track.lat_deg[coastal], track.lon_deg[coastal], 60.0, 0.0)
    assert nearest is None or nearest.distance_nm >= 5.0


def test_listed_dangers_are_kept_clear_of() -> None:
    """Straight over Beveridge Reef, which no coastline shows."""
    start, goal = (-20.0, -170.5), (-20.0, -165.0)
    straight = lay_track([Leg(*start, *goal)], 2.0)
    assert dangers_near(straight.lat_deg, straight.lon_deg, 1.0)
    track = laid(find_track(question(start, goal, Steady(5.0), land=True)))
    assert [] == dangers_near(track.lat_deg, track.lon_deg, 20.0)


def test_the_raster_shuts_no_less_than_was_asked() -> None:
    """Wherever land lies within the distance, its cell is shut: random places round the Azores, against exact land."""
    far = Ends(30.0, -40.0, 30.0, -39.0)
    raster = land_raster(Region(36.0, 40.0, -32.0, -24.0), far, 5.0, 12.0)
    random = np.random.default_rng(7)
    lat, lon = random.uniform(36.5, 39.5, 4000), random.uniform(-31.5, -24.5, 4000)
    near = nearest_land(lat, lon, 30.0).distance_nm
    shut = raster.at(lat, lon)
    assert shut[near < 12.0].all()
    assert not shut[(near > 12.0 + 2.2 + 4.0) & (np.hypot(lat - 37.25, lon + 24.77) > 1.0)].any()
    assert 100 < (near < 12.0).sum() < 3900


def test_a_start_on_land_is_refused_and_water_suggested() -> None:
    with pytest.raises(RouteRefused, match=r"the start .* lies on land; the nearest water is about \d"):
        find_track(question((-33.9, 18.9), (-15.9, -5.6), Steady(5.0), land=True))


# ---------------------------------------------------------------- limits and boxes


def test_a_limiting_latitude_gives_the_composite_track() -> None:
    start, goal, limit = (-34.0, 18.0), (-34.0, 115.0), -40.0
    parts = composite(*start, *goal, limit)  # exact, and tested against the textbooks on its own
    expected_nm = sum(part.distance_nm for part in parts)
    limits = TrackLimits(limits=Limits(south_limit_deg=limit), prices=PLAIN)
    found = find_track(question(start, goal, Steady(6.0), limits=limits, spacing_nm=60.0))
    # 0.2 %: a handful of great circles below the parallel instead of the parallel.
    assert expected_nm == pytest.approx(6.0 * found.hours, rel=2e-3)
    assert laid(found).lat_deg.min() >= limit - 0.02


def around_nm(start: tuple[float, float], goal: tuple[float, float], *corners: tuple[float, float]) -> float:
    places = [start, *corners, goal]
    return sum(geodesic.inverse(*a, *b).distance_nm for a, b in pairwise(places))


@pytest.mark.parametrize(("low", "high", "south_is_shorter"), [(-3.0, 2.0, False), (-2.0, 3.0, True)])
def test_the_shorter_way_round_a_box_is_found_whichever_was_drawn(
    low: float, high: float, south_is_shorter: bool
) -> None:
    start, goal = (0.0, -34.0), (0.0, -26.0)
    ways = {side: around_nm(start, goal, (side, -31.0), (side, -29.0)) for side in (low, high)}
    assert south_is_shorter == (ways[low] < ways[high])
    box = Box(name="shut", south_deg=low, north_deg=high, west_deg=-31.0, east_deg=-29.0)
    limits = TrackLimits(boxes=(box,), prices=PLAIN)
    worse = max(ways, key=lambda side: ways[side]) * 1.02
    drawn = lay_track([Leg(*start, worse, -31.2), Leg(worse, -31.2, worse, -28.8), Leg(worse, -28.8, *goal)], 10.0)
    found = find_track(question(start, goal, Steady(5.0), limits=limits, drawn=drawn))
    # 0.2 %: the slack for few waypoints, and corners rounded outward to whole minutes.
    assert min(ways.values()) == pytest.approx(5.0 * found.hours, rel=2e-3)
    assert found.drawn_cost_h is not None
    assert found.cost_h < found.drawn_cost_h
    track = laid(found)
    inside = (np.abs(track.lon_deg + 30.0) < 0.98) & (track.lat_deg > low + 0.02) & (track.lat_deg < high - 0.02)
    assert not inside.any()


@pytest.mark.parametrize("meridians", [(178.0, -178.0), (-178.0, 178.0)], ids=["eastward", "written westward"])
def test_a_box_over_180_degrees_shuts_the_same_water_either_way_round(meridians: tuple[float, float]) -> None:
    box = Box(name="shut", south_deg=-22.0, north_deg=-10.0, west_deg=meridians[0], east_deg=meridians[1])
    limits = TrackLimits(boxes=(box,), prices=PLAIN)
    start, goal = (-20.0, 174.0), (-20.0, -174.0)
    found = find_track(question(start, goal, Steady(5.0), limits=limits))
    expected_nm = around_nm(start, goal, (-22.0, 178.0), (-22.0, -178.0))
    assert expected_nm == pytest.approx(5.0 * found.hours, rel=2e-3)


@pytest.mark.parametrize(("depart", "direct"), [((2027, 6, 1), True), ((2027, 11, 10), False)])
def test_a_box_is_shut_on_its_days_only(depart: tuple[int, int, int], direct: bool) -> None:
    box = Box(
        name="winter",
        south_deg=-4.0,
        north_deg=4.0,
        west_deg=-31.0,
        east_deg=-29.0,
        first_day=(11, 1),
        last_day=(2, 28),
    )
    limits = TrackLimits(boxes=(box,), prices=PLAIN)
    start, goal = (0.0, -34.0), (0.0, -26.0)
    found = find_track(question(start, goal, Steady(5.0), limits=limits, depart=datetime(*depart, tzinfo=UTC)))
    straight_nm = geodesic.inverse(*start, *goal).distance_nm
    assert direct == (5.0 * found.hours < straight_nm * 1.001)


def test_the_day_of_arrival_counts_and_not_the_day_of_departure() -> None:
    """The box opens while she is on her way: the near side is shut, the far side open."""
    days = Days(datetime(2027, 12, 30, 12, tzinfo=UTC))
    hours = np.array([0.0, 11.0, 12.0, 36.0, 60.0])
    assert [True, True, True, True, False] == days.within(hours, (12, 30), (1, 1)).tolist()
    assert [False, False, False, True, True] == days.within(hours, (1, 1), (1, 31)).tolist()


def test_hours_in_a_cyclone_season_are_priced_until_the_wall_is_lifted() -> None:
    """A track that dips into the South-West Indian basin (5S and south, 30E to 90E) in February."""
    start, goal = (-4.0, 55.0), (-4.0, 75.0)
    dipping = lay_track([Leg(*start, -7.0, 65.0), Leg(-7.0, 65.0, *goal)], 10.0)
    walls = Walls(Days(datetime(2027, 2, 1, tzinfo=UTC)), None, season_price=1.0)
    places, none, ten = np.array([-4.0, -6.0, -20.0, -5.0]), np.zeros(4), np.full(4, 10.0)
    steps = Steps(places, np.array([65.0, 65.0, 89.9, 65.0]), ten, east=none, north=none - 1.0)
    # The last leads over the edge with half of it inside.
    assert pytest.approx([0.0, 1.0, 1.0, 0.5], abs=1e-6) == walls.price(steps, none).tolist()
    asked = (
        question(start, goal, Steady(5.0), drawn=dipping, limits=TrackLimits(prices=Prices(cyclone_season=price)))
        for price in (0.0, 1.0)
    )
    lifted, standing = (find_track(search) for search in asked)
    assert lifted.drawn_cost_h is not None
    assert standing.drawn_cost_h is not None
    # Two thirds of the way lie south of 5S, and count twice there.
    assert lifted.drawn_cost_h * (1.0 + 2.0 / 3.0) == pytest.approx(standing.drawn_cost_h, rel=0.02)
    assert standing.lat_deg.min() > -5.0


# ---------------------------------------------------------------- refusals


RING = (
    Box(name="north side", south_deg=2.0, north_deg=3.0, west_deg=-29.0, east_deg=-23.0),
    Box(name="south side", south_deg=-3.0, north_deg=-2.0, west_deg=-29.0, east_deg=-23.0),
    Box(name="west side", south_deg=-3.0, north_deg=3.0, west_deg=-29.0, east_deg=-28.0),
    Box(name="east side", south_deg=-3.0, north_deg=3.0, west_deg=-24.0, east_deg=-23.0),
)


def test_a_goal_behind_walls_is_refused_and_every_wall_that_would_open_is_named() -> None:
    limits = TrackLimits(boxes=RING, prices=PLAIN)
    with pytest.raises(RouteRefused, match=r"no track reaches the destination: .*'north side' .* or .*'south side'"):
        find_track(question((0.0, -34.0), (0.0, -26.0), Steady(5.0), limits=limits))


def test_two_walls_one_behind_the_other_are_named_together() -> None:
    outer = tuple(
        box.model_copy(update={"name": f"outer {box.name}", **bounds})
        for box, bounds in zip(
            RING,
            (
                {"south_deg": 4.0, "north_deg": 5.0, "west_deg": -31.0, "east_deg": -21.0},
                {"south_deg": -5.0, "north_deg": -4.0, "west_deg": -31.0, "east_deg": -21.0},
                {"south_deg": -5.0, "north_deg": 5.0, "west_deg": -31.0, "east_deg": -30.0},
                {"south_deg": -5.0, "north_deg": 5.0, "west_deg": -22.0, "east_deg": -21.0},
            ),
            strict=True,
        )
    )
    limits = TrackLimits(boxes=(*RING, *outer), prices=PLAIN)
    with pytest.raises(RouteRefused, match="close every way together"):
        find_track(question((0.0, -36.0), (0.0, -26.0), Steady(5.0), limits=limits))


def test_an_inland_sea_is_closed_by_land() -> None:
    with pytest.raises(RouteRefused, match="land"):
        find_track(question((42.0, 29.5), (39.0, 51.0), Steady(5.0), land=True))  # the Black Sea to the Caspian


@pytest.mark.parametrize(
    ("start", "goal", "limits"),
    [
        pytest.param((36.0, -8.0), (43.0, 34.0), TrackLimits(prices=PLAIN), id="behind the Bosporus"),
        pytest.param((0.0, -34.0), (0.0, -26.0), TrackLimits(boxes=RING, prices=PLAIN), id="in a ring of boxes"),
    ],
)
def test_what_no_lattice_can_reach_is_found_out_on_the_first(
    start: tuple[float, float],
    goal: tuple[float, float],
    limits: TrackLimits,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A few lattices and no finer ones: those of each distance from land, one without any wall, two to say what
    closes; not twelve and wider.
    """
    rows = []
    lay = hunt.lay_lattice
    monkeypatch.setattr(hunt, "lay_lattice", lambda *given: rows.append(given[1]) or lay(*given))
    with pytest.raises(RouteRefused, match=r"closes? (the|every) way"):
        find_track(question(start, goal, Steady(5.0), limits=limits, land=True))
    assert len(rows) <= 16
    assert min(rows) > 0.9 * find.HALF_DEGREE_NM / 2.0


def test_every_cell_of_a_raster_is_found_at_its_middle_and_all_beyond_it_is_shut() -> None:
    """Over the line of dates, invented."""
    raster = Raster(Region(-3.0, 2.0, 176.0, 184.0), np.random.default_rng(1).random((5, 8)) < 0.5)
    lat, lon = np.meshgrid(*raster.middles(), indexing="ij")
    assert (raster.shut == raster.at(lat, lon)).all()
    assert (raster.shut == raster.at(lat, lon - 360.0)).all()
    assert [(0, 0), (4, 7)] == [raster.cell((lat[at], lon[at])) for at in ((0, 0), (-1, -1))]
    assert raster.at(np.array([-3.1, 2.1, 0.0, 0.0]), np.array([180.0, 180.0, 175.9, -175.9])).all()


def test_open_water_off_an_end_is_looked_for_as_many_miles_east_and_west_as_north_and_south() -> None:
    """At 60 N a degree of longitude is half as long; sixty miles are looked over, invented."""
    region, end = Region(58.0, 62.0, 0.0, 10.0), (60.0, 5.0)
    for cell, found in {(60, 202): True, (60, 98): True, (86, 150): True, (60, 230): False, (100, 150): False}.items():
        water = np.zeros((120, 300), dtype=bool)
        water[cell] = True
        off = off_lying(Raster(region, ~water), water, end)
        middle = (58.0 + (cell[0] + 0.5) / 30.0, (cell[1] + 0.5) / 30.0)
        assert (pytest.approx(middle) if found else None) == off


def test_waters_are_parted_where_one_ends_within_the_raster_or_there_is_no_wider_one() -> None:
    """Ten by ten degrees with a moat round the middle, a wall through, a gap in it, and with a corner open."""
    region = Region(0.0, 10.0, -5.0, 5.0)
    moat, wall = np.zeros((10, 10), dtype=bool), np.zeros((10, 10), dtype=bool)
    moat[3:8, 3:8], moat[4:7, 4:7] = True, False
    wall[:, 5] = True
    gap, slanting = wall.copy(), moat.copy()
    gap[9, 5], slanting[7, 7], slanting[7, 6] = False, False, True
    ends = Ends(5.5, 0.5, 0.5, -4.5), Ends(5.5, -3.0, 5.5, 3.0)
    assert [True, True] == [Raster(region, moat).parts(ends[0], widest) for widest in (False, True)]
    assert [False, True] == [Raster(region, wall).parts(ends[1], widest) for widest in (False, True)]
    assert [False, False] == [Raster(region, gap).parts(ends[1], widest) for widest in (False, True)]
    assert not Raster(region, slanting).parts(ends[0], True)  # from corner to corner counts as open: never too sure


def test_a_refusal_says_where_the_wall_stands() -> None:
    limits = TrackLimits(boxes=RING, prices=PLAIN)
    with pytest.raises(RouteRefused, match=r"'west side' at 00°\d\d\.\d'. 02[89]°\d\d\.\d'W"):
        find_track(question((0.0, -34.0), (0.0, -26.0), Steady(5.0), limits=limits))


def test_an_end_beyond_a_limit_or_in_a_box_is_refused() -> None:
    with pytest.raises(RouteRefused, match=r"destination .* north_limit"):
        limits = TrackLimits(limits=Limits(north_limit_deg=5.0))
        find_track(question((0.0, -34.0), (6.0, -26.0), Steady(5.0), limits=limits))
    with pytest.raises(RouteRefused, match=r"start .* 'north side'"):
        find_track(question((2.5, -26.0), (0.0, -36.0), Steady(5.0), limits=TrackLimits(boxes=RING)))


def test_a_wall_is_its_inside_only() -> None:
    box = Keep("box", -10.0, 10.0, 170.0, 20.0)
    lat, lon = np.array([0.0, 0.0, 0.0, 10.0, -9.9, 0.0]), np.array([175.0, -175.0, 165.0, 180.0, 180.0, 170.0])
    assert [True, True, False, False, True, False] == box.holds(lat, lon).tolist()
