"""The search against problems whose answers are known in closed form, in uniform and in layered waters."""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.crossings.search.find import find_track
from passage.crossings.search.going import Going
from passage.crossings.search.labels import set_labels
from passage.crossings.search.lattice import edges_of, lay_lattice
from passage.crossings.search.lines import length_nm, normals, positions
from passage.crossings.search.polish import TrackCost, _with_a_corner_cut_off, polished
from passage.crossings.search.region import Ends
from passage.crossings.search.walls import Days, Walls
from passage.errors import OutOfRange, RouteRefused
from passage.sailings import geodesic
from passage.sailings.track import Leg, lay_track
from tests.search_cases import DEPART, InCurrent, Steady, SteadyWind, dead_zone, plane, question

if TYPE_CHECKING:
    from passage.crossings.search.going import Speeds
    from passage.crossings.search.lines import Steps

with (Path(__file__).parent / "published" / "06_router_closed_forms.csv").open(encoding="utf-8") as file:
    PUBLISHED = {row["id"]: float(row["exact"]) for row in csv.DictReader(file)}

LAS_PALMAS, CHARLOTTE_AMALIE = (28.15, -15.4167), (18.3333, -64.9333)  # in round minutes; the port table's are near


# ---------------------------------------------------------------- constant speed


def test_constant_speed_takes_the_geodesic_time() -> None:
    # D, table PO-4: geodesic / 5 kn = 555.89 h; the tolerance of 0.1 % also covers that table's own port positions.
    found = find_track(question(LAS_PALMAS, CHARLOTTE_AMALIE, Steady(5.0)))
    direct_nm = geodesic.inverse(*LAS_PALMAS, *CHARLOTTE_AMALIE).distance_nm
    assert direct_nm / 5.0 == pytest.approx(found.hours, rel=1e-5)
    assert PUBLISHED["PO-4"] == pytest.approx(found.hours, rel=1e-3)
    assert [*LAS_PALMAS, *CHARLOTTE_AMALIE] == pytest.approx(
        [found.lat_deg[0], found.lon_deg[0], found.lat_deg[-1], found.lon_deg[-1]], abs=1e-9
    )


@pytest.mark.parametrize(
    ("start", "goal"),
    [((-15.0, 170.0), (-25.0, -160.0)), ((72.0, -30.0), (74.0, 40.0)), ((60.0, -170.0), (60.0, 165.0))],
)
def test_180_degrees_and_high_latitudes_are_ordinary(start: tuple[float, float], goal: tuple[float, float]) -> None:
    found = find_track(question(start, goal, Steady(5.0)))
    assert geodesic.inverse(*start, *goal).distance_nm == pytest.approx(5.0 * found.hours, rel=1e-4)
    assert geodesic.inverse(*start, *goal).distance_nm == pytest.approx(found.distance_nm, rel=1e-4)


# ---------------------------------------------------------------- currents


def uniform(east_kn: float, north_kn: float):  # type: ignore[no-untyped-def]
    return lambda lat, lon, hour: (np.full_like(lat, east_kn), np.full_like(lat, north_kn))


# Navigation memory, section 6.2, R1 (S, formula; values recomputed D): the published 0.1 %.
@pytest.mark.parametrize(
    ("speed_kn", "miles", "along_kn", "across_kn", "expected_h"),
    [
        (5.0, 100.0, 1.0, 0.0, 16.6667),
        (5.0, 100.0, -1.0, 0.0, 25.0),
        (5.0, 100.0, 0.0, 1.0, 20.41241),
        (6.0, 1000.0, 0.6, -0.8, 152.75507),
    ],
)
def test_a_constant_current_takes_the_closed_form(
    speed_kn: float, miles: float, along_kn: float, across_kn: float, expected_h: float
) -> None:
    speeds = InCurrent(Steady(speed_kn), uniform(along_kn, across_kn), 1.0)
    found = find_track(question(plane(0.0, 0.0), plane(miles, 0.0), speeds, spacing_nm=miles / 20))
    assert expected_h == pytest.approx(found.hours, rel=1e-3)


@pytest.mark.parametrize("against", [(-5.5, 0.0), (-5.0, 3.0), (0.0, 5.5)])
def test_a_current_that_wins_is_refused(against: tuple[float, float]) -> None:
    # Dead against her, slanting, and set across faster than she sails: s along the course - c never lies in her 5 kn.
    speeds = InCurrent(Steady(5.0), uniform(*against), 6.0)
    with pytest.raises(RouteRefused, match="current wins"):
        find_track(question(plane(0.0, 0.0), plane(200.0, 0.0), speeds, spacing_nm=10.0))


def test_the_linear_shear_is_crossed_in_the_published_time() -> None:
    # R2, M (Bryson and Ho 1975), integrated, shot and transcribed: V T / h = 2 sqrt 3 + 2 = 5.464102; 40 straight
    # pieces reach 5.4648, which stays inside the 0.2 % asked.
    speed_kn, h_nm = 5.0, 30.0
    expected = 2.0 * math.sqrt(3.0) + 2.0

    def shear(lat: np.ndarray, lon: np.ndarray, hour: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return -speed_kn * (lat - plane(0.0, 0.0)[0]) * (plane(0.0, h_nm)[0] ** -1.0), np.zeros_like(lat)

    start = plane(3.6587 * h_nm, -1.8637 * h_nm)
    speeds = InCurrent(Steady(speed_kn), shear, 6.0 * speed_kn)
    asked = question(start, plane(0.0, 0.0), speeds, spacing_nm=5.0, slack_share=2e-4, most_waypoints=40)
    found = find_track(asked)
    assert expected == pytest.approx(found.hours * speed_kn / h_nm, rel=2e-3)


# ---------------------------------------------------------------- a polar with a dead zone


@pytest.mark.parametrize(("row", "off_the_wind_deg"), [("PO-1", 0.0), ("PO-2", 30.0), ("PO-3", 45.0), ("PO-3", 90.0)])
def test_a_dead_zone_takes_the_tacking_time(row: str, off_the_wind_deg: float) -> None:
    # D, hull of the polar. 1e-5: ten miles on the ellipsoid instead of the plane, and a table in single precision.
    speeds = SteadyWind(dead_zone(), 10.0, 0.0)
    goal = geodesic.direct(0.0, -30.0, off_the_wind_deg, 10.0)
    found = find_track(question((0.0, -30.0), (goal.lat_deg, goal.lon_deg), speeds, spacing_nm=1.0))
    assert PUBLISHED[row] == pytest.approx(found.hours, rel=1e-5)


# ---------------------------------------------------------------- direction


@pytest.mark.parametrize(
    ("bends", "left"),
    [
        (((0.0, 0.0), (30.0, 0.0), (50.0, 20.0), (60.0, 40.0)), ((0.0, 0.0), (40.0, 0.0), (60.0, 40.0))),
        (((60.0, 40.0), (50.0, 20.0), (30.0, 0.0), (0.0, 0.0)), ((60.0, 40.0), (40.0, 0.0), (0.0, 0.0))),
        (((0.0, 0.0), (60.0, 0.0), (40.0, 20.0), (50.0, 40.0)), None),
    ],
    ids=["beyond both", "the other way round", "behind one"],
)
def test_two_bends_are_made_one_where_the_legs_prolonged_meet(
    bends: tuple[tuple[float, float], ...], left: tuple[tuple[float, float], ...] | None
) -> None:
    """D: lines in the plane; 84.7 miles in place of 80.7, within the tenth allowed, and where they meet behind a bend
    the corner stays, though without it the way would be shorter.
    """
    track, expected = (np.stack([normals(*plane(*place)) for place in places]) for places in (bends, left or bends))
    measure = TrackCost(Steady(5.0), Walls(Days(DEPART), None), 10.0)
    now = measure.schedule(track)
    cut = _with_a_corner_cut_off(track, measure, now, 1.1 * now.total_h)
    assert expected == pytest.approx(cut, abs=1e-6)


@pytest.mark.parametrize("speeds", [Steady(5.0), SteadyWind(dead_zone(), 10.0, 75.0)], ids=["steady", "dead zone"])
def test_no_heading_is_dearer_than_another(speeds: Speeds) -> None:
    """The lattice's own moves favour their directions; after the polish nothing is left of it."""
    ends = Ends(0.0, -30.0, 0.0, -25.0)
    lattice = lay_lattice(ends, 30.0, 300.0, 300.0)
    walls = Walls(Days(DEPART), None)
    labels = set_labels(lattice, edges_of(lattice, walls), speeds, walls)
    measure = TrackCost(speeds, walls, 10.0)
    rows = [(8, 0), (8, 1), (8, 2), (8, 3), (7, 5), (6, 8), (3, 8), (1, 8), (0, 8), (-2, 7), (-7, 3), (-7, -4), (1, -9)]
    for along, across in rows:
        node = lattice.start + along * lattice.across + across
        path = lattice.normal[labels.path(node)]
        direct = measure.schedule(path[[0, -1]]).total_h
        # D: 32 moves err by up to 1 / cos(half the widest gap) - 1 = 1.3 % on an isotropic field.
        if isinstance(speeds, Steady):
            assert direct * (1.0 - 1e-4) <= labels.cost_h[node] <= direct * 1.0135
        assert direct == pytest.approx(measure.schedule(polished(path, measure, 30.0, 1e-3, 12)).total_h, rel=3e-3)


# ---------------------------------------------------------------- several valleys


@dataclass(frozen=True)
class Gradient:
    """Speed growing evenly towards the north, from start_kn on the equator."""

    start_kn: float
    per_nm: float

    @property
    def fastest_kn(self) -> float:
        return 40.0

    def along(self, steps: Steps, hour: np.ndarray) -> Going:
        north_nm = steps.lat_deg / plane(0.0, 1.0)[0] + 0.0 * hour
        speed = np.clip(self.start_kn + self.per_nm * north_nm, 0.5, self.fastest_kn)
        return Going(speed, np.zeros(speed.shape))


def test_a_bent_track_takes_the_time_of_the_diving_ray() -> None:
    # In a speed v0 + k y the quickest line between two places x apart on y = 0 is an arc of a circle, and
    # T = 2 / k asinh(k x / 2 v0) (the diving ray of refraction seismics, textbook formula, M; D by Euler's equation).
    v0, k, x = 4.0, 0.02, 400.0
    expected_h = 2.0 / k * math.asinh(k * x / (2.0 * v0))
    asked = question(plane(0.0, 0.0), plane(x, 0.0), Gradient(v0, k), spacing_nm=15.0, slack_share=2e-4)
    # 0.2 %: twice the slack for few waypoints, corners instead of an arc, an arc on the ellipsoid instead of a plane.
    assert expected_h == pytest.approx(find_track(asked).hours, rel=2e-3)
    assert expected_h < 0.9 * x / v0


@dataclass(frozen=True)
class Patchy:
    """Three lanes of different speed between slow waters, the quickest the farthest off: an invented trap."""

    fastest_kn: float = 9.0

    def along(self, steps: Steps, hour: np.ndarray) -> Going:
        lat = steps.lat_deg + 0.0 * hour
        speed = 3.0 + sum(
            top * np.exp(-(((lat - place) / 0.4) ** 2)) for top, place in ((3.0, -1.5), (6.0, 3.0), (2.0, 0.5))
        )
        return Going(speed, np.zeros(lat.shape))


WEST, EAST = (0.5, -40.0), (0.5, -20.0)


def test_the_best_of_several_lanes_is_found_though_another_was_drawn() -> None:
    """Each lane holds a track that no small change betters; the search must come back with the best of them."""
    measure = TrackCost(Patchy(), Walls(Days(DEPART), None), 10.0)
    valleys = {}
    for lane in (-1.5, 0.5, 3.0):
        corners = [WEST, (lane, -38.0), (lane, -30.0), (lane, -22.0), EAST]
        track = polished(np.stack([normals(*corner) for corner in corners]), measure, 15.0, 1e-3, 12)
        valleys[lane] = measure.schedule(track).total_h
    assert min(valleys, key=lambda lane: valleys[lane]) == 3.0
    drawn = lay_track([Leg(*WEST, -1.5, -38.0), Leg(-1.5, -38.0, -1.5, -22.0), Leg(-1.5, -22.0, *EAST)], 10.0)
    found = find_track(question(WEST, EAST, Patchy(), drawn=drawn))
    assert found.lat_deg.max() == pytest.approx(3.0, abs=0.2)
    assert found.drawn_cost_h is not None
    assert found.cost_h < found.drawn_cost_h
    assert valleys[3.0] == pytest.approx(found.cost_h, rel=3e-3)  # twice the slack for few waypoints, and rounding


# ---------------------------------------------------------------- promises


def test_the_same_question_gets_the_same_answer_in_few_round_waypoints() -> None:
    first, second = (find_track(question(WEST, EAST, Patchy())) for _ in range(2))
    assert first.lat_deg.tolist() == second.lat_deg.tolist()
    assert first.lon_deg.tolist() == second.lon_deg.tolist()
    assert first.hours == second.hours
    minutes = np.concatenate([first.lat_deg[1:-1], first.lon_deg[1:-1]]) * 60.0
    assert minutes.tolist() == pytest.approx(np.round(minutes).tolist(), abs=1e-6)
    assert 3 <= len(first.lat_deg) <= 14


def test_the_found_track_is_never_slower_than_the_drawn_one() -> None:
    """Drawn straight down the best line there is: nothing can better it, and nothing worse may come back."""
    for bend in (0.0, 0.01, 0.3):
        drawn = lay_track([Leg(0.0, -35.0, bend, -30.0), Leg(bend, -30.0, 0.0, -25.0)], 10.0)
        found = find_track(question((0.0, -35.0), (0.0, -25.0), Steady(5.0), drawn=drawn))
        assert found.drawn_cost_h is not None
        assert found.cost_h <= found.drawn_cost_h
        assert found.keeps_drawn == (bend < 0.1)


def test_lengths_and_places_agree_with_the_geodesic() -> None:
    # geographiclib is the independent answer; 1e-6 is 6 feet in a mile, far below what a search can use.
    start, goal = normals(28.0, -15.0), normals(18.0, -65.0)
    assert geodesic.inverse(28.0, -15.0, 18.0, -65.0).distance_nm == pytest.approx(
        length_nm(np.stack([start, goal]), 15.0), rel=1e-6
    )
    assert (28.0, -15.0) == pytest.approx(tuple(float(value) for value in positions(start)))


def test_a_boat_that_never_moves_is_refused() -> None:
    with pytest.raises(OutOfRange, match="does not move"):
        find_track(question((0.0, -30.0), (0.0, -25.0), Steady(0.0)))


def test_ends_too_far_apart_or_too_close_are_refused() -> None:
    with pytest.raises(RouteRefused, match="in parts"):
        find_track(question((0.0, -30.0), (0.0, 145.0), Steady(5.0)))
    with pytest.raises(RouteRefused, match="too close"):
        find_track(question((0.0, -30.0), (0.0, -29.9), Steady(5.0)))
