"""Great-circle sailing on WGS 84 and, for the textbooks' answers, on the sphere by the same code."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from passage.errors import OutOfRange
from passage.sailings import geodesic
from passage.sailings.earth import NAUTICAL_MILE_M, NAUTICAL_SPHERE
from passage.sailings.geodesic import normalise_lon_deg

PUBLISHED = Path(__file__).parent / "published"


def published(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader((PUBLISHED / name).read_text(encoding="utf-8").splitlines()))


def angle_between_deg(one_deg: float, other_deg: float) -> float:
    return abs(normalise_lon_deg(one_deg - other_deg))


def random_legs(count: int, seed: int) -> list[tuple[float, float, float, float]]:
    """Ends anywhere on earth, kept from being antipodal, where the shortest way is not unique."""
    rng = np.random.default_rng(seed)
    lats = np.degrees(np.arcsin(rng.uniform(-1, 1, (count, 2))))
    lons = rng.uniform(-180, 180, (count, 2))
    legs = [(float(a), float(b), float(c), float(d)) for (a, c), (b, d) in zip(lats, lons, strict=True)]
    return [leg for leg in legs if geodesic.inverse(*leg).distance_nm < 10_000]


@pytest.mark.parametrize("row", published("01_geodesic_wgs84.csv"), ids=lambda row: row["id"])
def test_geodesics_of_the_published_test_set(row: dict[str, str]) -> None:
    # GeographicLib tests/geodtest.cpp, from Karney's test set doi:10.5281/zenodo.32156 [S; the last row M].
    # Tolerance: the set claims some 1e-8 m; 2e-8 m allows for rounding on 17,000 km turned into miles and back.
    line = geodesic.inverse(float(row["lat1"]), float(row["lon1"]), float(row["lat2"]), float(row["lon2"]))
    assert pytest.approx(float(row["s12_m"]), abs=2e-8) == line.distance_nm * NAUTICAL_MILE_M
    assert angle_between_deg(float(row["azi1"]), line.initial_course_deg) < 1e-11
    assert angle_between_deg(float(row["azi2"]), line.final_course_deg) < 1e-11


def test_waypoints_of_the_geodsolve_manual() -> None:
    # GeodSolve(1) manual, New York to Singapore in ten equal parts, printed to 0.1 arc second [S].
    # Tolerance: half the last digit, and a hair for the positions stored here to 1e-6 degree.
    rows = published("01_geodesic_waypoints_JFK_SIN.csv")
    line = geodesic.inverse(40.6397222, -73.7788889, 1.3591667, 103.9894444)
    assert pytest.approx(15_347_628, abs=0.5) == line.distance_nm * NAUTICAL_MILE_M
    fractions = np.array([float(row["fraction"]) for row in rows])
    found = geodesic.along(40.6397222, -73.7788889, line.initial_course_deg, line.distance_nm * fractions)
    for row, lat, lon, course in zip(rows, *found, strict=True):
        assert abs(float(row["lat_pub"]) - lat) * 3600 < 0.055
        assert angle_between_deg(float(row["lon_pub"]), lon) * 3600 < 0.055
        assert angle_between_deg(float(row["azi_pub"]), course) * 3600 < 0.055


def test_los_angeles_to_new_york_on_the_sphere() -> None:
    # E. Williams, Aviation Formulary V1.47, worked examples [S]; one unit of its last digit, in radians.
    lax, jfk = (33.95, -118.4), (40 + 38 / 60, -(73 + 47 / 60))
    line = geodesic.inverse(*lax, *jfk, NAUTICAL_SPHERE)
    assert pytest.approx(0.623585, abs=1e-6) == math.radians(line.distance_nm / 60)
    assert pytest.approx(2144, abs=0.5) == line.distance_nm
    assert pytest.approx(1.150035, abs=2e-6) == math.radians(line.initial_course_deg)
    on = geodesic.direct(*lax, line.initial_course_deg, 100.0, NAUTICAL_SPHERE)
    assert pytest.approx(0.604180, abs=1e-6) == math.radians(on.lat_deg)
    assert pytest.approx(-2.034206, abs=1e-6) == math.radians(on.lon_deg)
    part = geodesic.direct(*lax, line.initial_course_deg, 0.4 * line.distance_nm, NAUTICAL_SPHERE)
    assert pytest.approx(38 + 40.167 / 60, abs=2e-5) == part.lat_deg
    assert pytest.approx(-(101 + 37.570 / 60), abs=2e-5) == part.lon_deg


def test_los_angeles_to_new_york_on_wgs84_differs() -> None:
    # geographiclib and pyproj [T]; half the last digit.
    line = geodesic.inverse(33.95, -118.4, 40 + 38 / 60, -(73 + 47 / 60))
    assert pytest.approx(2149.892, abs=5e-4) == line.distance_nm
    assert pytest.approx(65.934, abs=5e-4) == line.initial_course_deg


# US Coast Guard deck examination, public question bank, key letters printed [S]: spherical great circles. Tolerances:
# 0.5 mile and 0.06 degree are half the printed digit and a hair; 0.7' for vertices, worked from a rounded course.
USCG = [
    (8 + 50 / 60, -80.35, 12.6, 128 + 16 / 60, 8664, 306.6, 37 + 30.2 / 60),
    (38 + 17 / 60, -(123 + 16 / 60), 35 + 1 / 60, 142.35, 4330, 300.9, 47 + 40.5 / 60),
    (24 + 25.3 / 60, -(83 + 2.6 / 60), 35 + 57.2 / 60, -(5 + 45.7 / 60), 3966.5, None, 38 + 9.4 / 60),
    (35 + 57.2 / 60, -(5 + 45.7 / 60), 24 + 25.3 / 60, -(83 + 2.6 / 60), 3966.5, 283.7, 38 + 9.4 / 60),
    (25 + 50 / 60, -77.0, 35 + 56 / 60, -6.25, 3616, 61.7, 37 + 34.9 / 60),
    (-(35 + 8 / 60), 19 + 26 / 60, -(33 + 16 / 60), 115.6, 4559, 121.0, -(45 + 30.9 / 60)),
]


@pytest.mark.parametrize(("lat1", "lon1", "lat2", "lon2", "distance", "course", "vertex"), USCG)
def test_great_circles_of_the_deck_examination(
    lat1: float, lon1: float, lat2: float, lon2: float, distance: float, course: float | None, vertex: float
) -> None:
    line = geodesic.inverse(lat1, lon1, lat2, lon2, NAUTICAL_SPHERE)
    north, south = geodesic.extreme_latitudes(lat1, lon1, lat2, lon2, NAUTICAL_SPHERE)
    assert pytest.approx(distance, abs=0.5) == line.distance_nm
    assert course is None or pytest.approx(course, abs=0.06) == line.initial_course_deg
    assert pytest.approx(vertex, abs=0.7 / 60) == (north if vertex > 0 else south).lat_deg


def test_bowditch_great_circle_and_its_vertex() -> None:
    # American Practical Navigator, The Sailings [M, reproduced]: distance to 0.1, course to 0.1, vertex D to 0.1'.
    ends = (12 + 45.2 / 60, 124 + 20.1 / 60, 33 + 48.8 / 60, -(120 + 7.1 / 60))
    line = geodesic.inverse(*ends, NAUTICAL_SPHERE)
    vertex, _ = geodesic.extreme_latitudes(*ends, NAUTICAL_SPHERE)
    assert pytest.approx(6185.9, abs=0.05) == line.distance_nm
    assert pytest.approx(50.3, abs=0.05) == line.initial_course_deg
    assert pytest.approx(41 + 21.1 / 60, abs=0.1 / 60) == vertex.lat_deg
    assert pytest.approx(-(160 + 34.0 / 60), abs=0.1 / 60) == vertex.lon_deg
    assert pytest.approx(90.0, abs=1e-9) == vertex.course_deg


@pytest.mark.parametrize(
    "row", published("08_ocean_legs.csv"), ids=lambda row: f"{row['from_port'][:9]}-{row['to_port'][:9]}"
)
def test_ocean_legs(row: dict[str, str]) -> None:
    # Positions: NGA Pub. 151 [S]; distances from geographiclib [T], to 0.01 from positions kept to 1e-5 degree.
    ends = (float(row["lat1"]), float(row["lon1"]), float(row["lat2"]), float(row["lon2"]))
    line = geodesic.inverse(*ends)
    sphere_nm = geodesic.inverse(*ends, NAUTICAL_SPHERE).distance_nm
    highest = max(geodesic.extreme_latitudes(*ends), key=lambda point: abs(point.lat_deg))
    assert pytest.approx(float(row["geodesic_wgs84_nm"]), abs=0.006) == line.distance_nm
    assert pytest.approx(float(row["gc_sphere_nm"]), abs=0.006) == sphere_nm
    assert pytest.approx(float(row["initial_course"]), abs=0.006) == line.initial_course_deg
    assert pytest.approx(float(row["final_course"]), abs=0.006) == line.final_course_deg
    assert pytest.approx(float(row["max_abs_lat_on_geodesic"]), abs=0.001) == highest.lat_deg
    # Pub. 151 was computed on the sphere: but for rounding it prints nothing shorter than that great circle.
    assert float(row["pub151_nm"]) >= sphere_nm - 1.0


@pytest.mark.parametrize(("lat", "lon"), [(95.0, 0.0), (-90.1, 0.0), (math.nan, 0.0), (0.0, math.nan), (0.0, math.inf)])
def test_what_is_no_position_is_refused(lat: float, lon: float) -> None:
    with pytest.raises(OutOfRange):
        geodesic.inverse(lat, lon, 10.0, 10.0)
    with pytest.raises(OutOfRange):
        geodesic.inverse(10.0, 10.0, lat, lon)
    with pytest.raises(OutOfRange):
        geodesic.direct(lat, lon, 10.0, 10.0)


@pytest.mark.parametrize(("course", "distance"), [(math.nan, 10.0), (10.0, math.nan), (10.0, math.inf)])
def test_a_run_that_is_no_number_is_refused(course: float, distance: float) -> None:
    with pytest.raises(OutOfRange):
        geodesic.direct(0.0, 0.0, course, distance)


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        (0, 0),
        (180, -180),
        (-180, -180),
        (540, -180),
        (359, -1),
        (-181, 179),
        (179.99999, 179.99999),
        (1e-300, 1e-300),
    ],
)
def test_longitudes_are_normalised(given: float, expected: float) -> None:
    assert pytest.approx(expected, abs=1e-12) == normalise_lon_deg(given)


@pytest.mark.parametrize(("given", "expected"), [(360, 0), (-90, 270), (725, 5), (-1e-17, 0), (0, 0)])
def test_courses_are_normalised(given: float, expected: float) -> None:
    assert expected == geodesic.normalise_course_deg(given)
    assert expected == geodesic.normalise_course_deg(np.array([given]))[0]


def test_normalised_longitudes_stay_in_range_next_to_the_seam() -> None:
    seam = np.array([180.0, -180.0, 540.0, -540.0])
    lons = np.concatenate([np.nextafter(seam, 1e9), seam, np.nextafter(seam, -1e9)])
    normalised = normalise_lon_deg(lons)
    assert ((normalised >= -180.0) & (normalised < 180.0)).all()
    inside = np.random.default_rng(1).uniform(-180, 180, 1000)
    assert (inside == normalise_lon_deg(inside)).all()


@pytest.mark.parametrize("course_deg", [0.0, 37.0, 90.0, 180.0, 251.0])
@pytest.mark.parametrize("place", [(0.0, 0.0), (-33.9, 18.4), (61.0, 179.99), (90.0, 5.0), (-90.0, 5.0)])
def test_a_line_at_once_is_the_library_s_point_by_point(place: tuple[float, float], course_deg: float) -> None:
    """T: geographiclib's own Position, to a rounding of some 0.1 mm."""
    miles = np.linspace(-3000.0, 10_500.0, 28)
    line = Geodesic.WGS84.Line(*place, course_deg)
    found = [line.Position(mile * NAUTICAL_MILE_M) for mile in miles.tolist()]
    lat_deg, lon_deg, there_deg = geodesic.along(*place, course_deg, miles)
    for number, point in enumerate(found):
        assert point["lat2"] == pytest.approx(lat_deg[number], abs=1e-11)
        assert angle_between_deg(point["lon2"], float(lon_deg[number])) < 1e-11
        assert angle_between_deg(point["azi2"], float(there_deg[number])) < 1e-11


def test_direct_after_inverse_returns() -> None:
    for leg in random_legs(200, seed=2):
        line = geodesic.inverse(*leg)
        arrival = geodesic.direct(leg[0], leg[1], line.initial_course_deg, line.distance_nm)
        assert pytest.approx(0.0, abs=1e-9) == geodesic.inverse(*arrival[:2], *leg[2:]).distance_nm


def test_a_turn_of_longitude_changes_nothing() -> None:
    for lat1, lon1, lat2, lon2 in random_legs(50, seed=3):
        line = geodesic.inverse(lat1, lon1, lat2, lon2)
        turned = geodesic.inverse(lat1, lon1 + 360.0, lat2, lon2 - 720.0)
        assert pytest.approx(line.distance_nm, abs=1e-8) == turned.distance_nm
        assert angle_between_deg(line.initial_course_deg, turned.initial_course_deg) < 1e-8


def test_no_waypoint_is_beyond_the_extreme_latitudes() -> None:
    for leg in random_legs(100, seed=4):
        line = geodesic.inverse(*leg)
        lat, _, _ = geodesic.along(leg[0], leg[1], line.initial_course_deg, np.linspace(0, line.distance_nm, 60))
        north, south = geodesic.extreme_latitudes(*leg)
        assert lat.max() <= north.lat_deg + 1e-9
        assert lat.min() >= south.lat_deg - 1e-9
        # 60 points miss a vertex by at most half a step: sagitta of the arc between two of them.
        assert lat.max() >= north.lat_deg - math.degrees((line.distance_nm / 3438 / 59) ** 2 / 8) * 60
