"""Rhumb lines on WGS 84, on other ellipsoids and on the sphere, all by the same code."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from passage.errors import OutOfRange
from passage.sailings import geodesic, rhumb
from passage.sailings.earth import NAUTICAL_MILE_M, NAUTICAL_SPHERE, WGS84, Ellipsoid
from passage.sailings.geodesic import normalise_lon_deg

PUBLISHED = Path(__file__).parent / "published"

CLARKE_1866 = Ellipsoid("Clarke 1866", 6378206.4, 1 / 294.978698214, "a and b of the NAD 27 datum [M]")
CLARKE_1880 = Ellipsoid("Clarke 1880", 6378249.145, 1 / 293.465, "older tables of meridional parts [M]")
INTERNATIONAL = Ellipsoid("International 1924", 6378388.0, 1 / 297.0, "IUGG Madrid 1924 [M]")


def published(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader((PUBLISHED / name).read_text(encoding="utf-8").splitlines()))


def random_legs(count: int, seed: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    return np.column_stack(
        [
            rng.uniform(-80, 80, count),
            rng.uniform(-180, 180, count),
            rng.uniform(-80, 80, count),
            rng.uniform(-180, 180, count),
        ]
    )


def half_tangent(lat_deg: float) -> float:
    return math.tan(math.radians(45 + lat_deg / 2))


def parallel_radius_nm(lat_deg: float) -> float:
    """WGS 84, textbook form a cos(phi) / sqrt(1 - e2 sin(phi)^2)."""
    lat, e2 = math.radians(lat_deg), WGS84.eccentricity_squared
    return WGS84.equatorial_radius_m * math.cos(lat) / math.sqrt(1 - e2 * math.sin(lat) ** 2) / NAUTICAL_MILE_M


@pytest.mark.parametrize("row", published("01_rhumb_wgs84.csv"), ids=lambda row: row["id"])
def test_rhumb_lines_of_a_second_program(row: dict[str, str]) -> None:
    # RhumbSolve 2.1.2 of GeographicLib [T]; positions are kept to 1e-7 degree where the source gave seconds of arc.
    # Tolerance 1e-5 m: the two agree to 5e-6 m where quadrature was tried independently.
    line = rhumb.inverse(float(row["lat1"]), float(row["lon1"]), float(row["lat2"]), float(row["lon2"]))
    exact_ends = row["id"] not in {"RH-1", "RH-5"}
    assert (
        pytest.approx(float(row["s12_RhumbSolve_m"]), abs=1e-5 if exact_ends else 0.06)
        == line.distance_nm * NAUTICAL_MILE_M
    )
    assert pytest.approx(0.0, abs=1e-10 if exact_ends else 1e-6) == normalise_lon_deg(
        float(row["azi_RhumbSolve"]) - line.initial_course_deg
    )
    assert line.initial_course_deg == line.final_course_deg


def test_new_york_to_singapore_of_the_rhumbsolve_manual() -> None:
    # RhumbSolve(1) manual [S]: 103:34:58.2 and 18,523,563 m; half the last digit.
    new_york = (40 + 38 / 60 + 23 / 3600, -(73 + 46 / 60 + 44 / 3600))
    singapore = (1 + 21 / 60 + 33 / 3600, 103 + 59 / 60 + 22 / 3600)
    line = rhumb.inverse(*new_york, *singapore)
    assert pytest.approx(18_523_563, abs=0.5) == line.distance_nm * NAUTICAL_MILE_M
    assert pytest.approx(103 + 34 / 60 + 58.2 / 3600, abs=0.05 / 3600) == line.initial_course_deg
    # The same ends by RhumbSolve 2.1.2 run on seconds of arc [T].
    assert pytest.approx(18_523_563.042373, abs=1e-5) == line.distance_nm * NAUTICAL_MILE_M


def test_waypoints_of_the_rhumbsolve_manual() -> None:
    # RhumbSolve(1) manual [S], positions to 0.1 arc second, of which half, and a hair for those stored to 1e-6 degree.
    rows = published("01_rhumb_waypoints_JFK_SIN.csv")
    distance_nm = np.array([float(row["s_m"]) for row in rows]) / NAUTICAL_MILE_M
    lat, lon, _ = rhumb.along(40.6397222222, -73.7788888889, 103 + 34 / 60 + 58.2 / 3600, distance_nm)
    for row, lat_deg, lon_deg in zip(rows, lat, lon, strict=True):
        assert abs(float(row["lat_pub"]) - lat_deg) * 3600 < 0.055
        assert abs(float(row["lon_pub"]) - lon_deg) * 3600 < 0.055


def test_equator_to_pole() -> None:
    # GeographicLib tests/CMakeLists [S]: 10,001,965.729 m, half the last digit.
    for lon in (0.0, 77.0, -180.0):
        line = rhumb.inverse(0.0, 0.0, 90.0, lon)
        assert pytest.approx(10_001_965.729, abs=5e-4) == line.distance_nm * NAUTICAL_MILE_M
        assert line.initial_course_deg == 0.0


def test_one_problem_three_answers() -> None:
    # American Practical Navigator, Mercator sailing [M]: its printed 538.2 mixes spheroidal parts with 1' = 1
    # mile; the true rhumb line is 995,125.019 m by RhumbSolve [T], and the
    # sphere's comes from the logarithm of tangents [D].
    ends = (32 + 14.7 / 60, -(66 + 28.9 / 60), 36 + 58.7 / 60, -(75 + 42.2 / 60))
    line = rhumb.inverse(*ends)
    assert pytest.approx(995_125.019, abs=1e-3) == line.distance_nm * NAUTICAL_MILE_M
    stretched_deg = math.degrees(math.log(half_tangent(ends[2]) / half_tangent(ends[0])))
    sphere_nm = 60 * (ends[2] - ends[0]) * math.hypot(1.0, (ends[3] - ends[1]) / stretched_deg)
    assert pytest.approx(sphere_nm, abs=1e-9) == rhumb.inverse(*ends, NAUTICAL_SPHERE).distance_nm
    hybrid_course = math.atan2(
        60 * (ends[3] - ends[1]), rhumb.meridional_parts(ends[2]) - rhumb.meridional_parts(ends[0])
    )
    assert pytest.approx(538.2, abs=0.05) == 60 * (ends[2] - ends[0]) / math.cos(hybrid_course)


def test_los_angeles_to_new_york_on_the_sphere() -> None:
    # E. Williams, Aviation Formulary V1.47 [S]: 1.384464 rad, 2164.6 miles, one unit of the last digit.
    line = rhumb.inverse(33.95, -118.4, 40 + 38 / 60, -(73 + 47 / 60), NAUTICAL_SPHERE)
    assert pytest.approx(1.384464, abs=2e-6) == math.radians(line.initial_course_deg)
    assert pytest.approx(2164.6, abs=0.05) == line.distance_nm


def test_ocean_legs() -> None:
    # Pub. 151 positions [S]; distance by RhumbSolve [T] to 0.01, course to 0.01.
    for row in published("08_ocean_legs.csv"):
        line = rhumb.inverse(float(row["lat1"]), float(row["lon1"]), float(row["lat2"]), float(row["lon2"]))
        assert pytest.approx(float(row["rhumb_wgs84_nm"]), abs=0.006) == line.distance_nm
        assert pytest.approx(float(row["rhumb_course"]), abs=0.006) == line.initial_course_deg


@pytest.mark.parametrize(
    ("column", "ellipsoid"),
    [
        ("sphere", NAUTICAL_SPHERE),
        ("WGS84", WGS84),
        ("WGS84_pyproj_merc_northing_over_a_in_min", WGS84),
        ("Clarke1866", CLARKE_1866),
        ("Clarke1880_f293.465", CLARKE_1880),
        ("Intl1924", INTERNATIONAL),
    ],
)
def test_table_of_meridional_parts(column: str, ellipsoid: Ellipsoid) -> None:
    # Closed form, checked against pyproj's Mercator northing [T]; half the last digit and a hair.
    for row in published("01_meridional_parts.csv"):
        parts = rhumb.meridional_parts(float(row["lat_deg"]), ellipsoid)
        assert pytest.approx(float(row[column]), abs=6e-4) == parts
        assert pytest.approx(-parts, abs=1e-9) == rhumb.meridional_parts(-float(row["lat_deg"]), ellipsoid)


@pytest.mark.parametrize(
    ("lat_deg", "expected"),
    [(36.8, 2363.60), (6 + 10 / 60, 368.20), (59 + 55 / 60, 4497.11), (38.3, 2476.64)],
)
def test_printed_meridional_parts_of_a_college_key(lat_deg: float, expected: float) -> None:
    # A marine college's exercise key [S], on Clarke 1880; half the last digit and a hair.
    assert pytest.approx(expected, abs=0.006) == rhumb.meridional_parts(lat_deg, CLARKE_1880)


def test_meridional_parts_at_the_pole_are_endless() -> None:
    assert math.inf == rhumb.meridional_parts(90.0)
    assert -math.inf == rhumb.meridional_parts(-90.0)


def test_due_east_and_west_follow_the_parallel() -> None:
    # 40 S, 20 E to 116 E: 8,197,810.268027 m by RhumbSolve [T].
    east = rhumb.inverse(-40.0, 20.0, -40.0, 116.0)
    west = rhumb.inverse(-40.0, 116.0, -40.0, 20.0)
    assert (east.initial_course_deg, west.initial_course_deg) == (90.0, 270.0)
    assert pytest.approx(8_197_810.268027, abs=1e-5) == east.distance_nm * NAUTICAL_MILE_M
    assert east.distance_nm == west.distance_nm


@pytest.mark.parametrize("step_deg", [1e-300, 1e-16, 1e-13, 1e-11, 1e-9, 1e-7, 1e-5])
def test_nearly_due_east_is_as_good_as_due_east(step_deg: float) -> None:
    due_nm = rhumb.inverse(0.0, 0.0, 0.0, 1.0).distance_nm
    assert pytest.approx(due_nm, rel=1e-9) == rhumb.inverse(0.0, 0.0, step_deg, 1.0).distance_nm
    # So short a climb is a right-angled triangle on the middle parallel [D].
    northing_nm = geodesic.inverse(50.0, 0.0, 50.0 + step_deg, 0.0).distance_nm
    departure_nm = parallel_radius_nm(50.0 + step_deg / 2) * math.radians(1.0)
    line = rhumb.inverse(50.0, 0.0, 50.0 + step_deg, 1.0)
    assert pytest.approx(math.hypot(northing_nm, departure_nm), rel=1e-13) == line.distance_nm


def test_meridians_and_places_that_coincide() -> None:
    north = rhumb.inverse(10.0, 33.0, 20.0, 33.0)
    assert north.initial_course_deg == 0.0
    assert pytest.approx(geodesic.inverse(10.0, 33.0, 20.0, 33.0).distance_nm, abs=1e-9) == north.distance_nm
    assert rhumb.inverse(20.0, 33.0, 10.0, 33.0).initial_course_deg == 180.0
    assert rhumb.inverse(20.0, 33.0, 20.0, 393.0).distance_nm == 0.0


def test_half_way_round_goes_east_from_either_end() -> None:
    for lon1, lon2 in ((-90.0, 90.0), (90.0, -90.0), (0.0, 180.0), (0.0, -180.0)):
        line = rhumb.inverse(10.0, lon1, 10.0, lon2)
        assert line.initial_course_deg == 90.0
        assert pytest.approx(math.pi * parallel_radius_nm(10.0), rel=1e-14) == line.distance_nm


def test_poles() -> None:
    assert pytest.approx(rhumb.inverse(90.0, 0.0, 90.0, 50.0).distance_nm, abs=1e-9) == 0.0
    assert (
        pytest.approx(2 * 10_001_965.7293, abs=1e-3)
        == rhumb.inverse(90.0, 0.0, -90.0, 50.0).distance_nm * NAUTICAL_MILE_M
    )
    at_pole = rhumb.direct(80.0, 25.0, 0.0, rhumb.inverse(80.0, 25.0, 90.0, 25.0).distance_nm)
    assert (pytest.approx(at_pole.lat_deg, abs=1e-9), at_pole.lon_deg) == (90.0, 25.0)
    assert rhumb.direct(90.0, 25.0, 180.0, 60.0).lon_deg == 25.0
    with pytest.raises(OutOfRange, match="ends at the pole"):
        rhumb.direct(80.0, 25.0, 10.0, 1000.0)
    with pytest.raises(OutOfRange, match="ends at the pole"):
        rhumb.direct(-80.0, 25.0, 200.0, 1000.0)


@pytest.mark.parametrize("lat", [95.0, -91.0, math.nan])
def test_what_is_no_position_is_refused(lat: float) -> None:
    with pytest.raises(OutOfRange):
        rhumb.inverse(lat, 0.0, 0.0, 0.0)
    with pytest.raises(OutOfRange):
        rhumb.inverse(0.0, 0.0, lat, 0.0)
    with pytest.raises(OutOfRange):
        rhumb.direct(lat, 0.0, 0.0, 1.0)
    with pytest.raises(OutOfRange):
        rhumb.meridional_parts(lat)


def test_direct_after_inverse_returns() -> None:
    for lat1, lon1, lat2, lon2 in random_legs(200, seed=11).tolist():
        line = rhumb.inverse(lat1, lon1, lat2, lon2)
        arrival = rhumb.direct(lat1, lon1, line.initial_course_deg, line.distance_nm)
        assert pytest.approx(0.0, abs=1e-9) == geodesic.inverse(*arrival[:2], lat2, lon2).distance_nm


def test_a_turn_of_longitude_changes_nothing() -> None:
    for lat1, lon1, lat2, lon2 in random_legs(50, seed=12).tolist():
        line, turned = (
            rhumb.inverse(lat1, lon1, lat2, lon2),
            rhumb.inverse(lat1, lon1 - 360.0, lat2, lon2 + 720.0),
        )
        assert pytest.approx(line.distance_nm, abs=1e-8) == turned.distance_nm
        assert pytest.approx(line.initial_course_deg, abs=1e-9) == turned.initial_course_deg


@pytest.mark.parametrize("ellipsoid", [WGS84, NAUTICAL_SPHERE], ids=lambda ellipsoid: ellipsoid.name)
def test_rhumb_is_never_shorter_than_great_circle(ellipsoid: Ellipsoid) -> None:
    for leg in random_legs(300, seed=13).tolist():
        shortest = geodesic.inverse(*leg, ellipsoid).distance_nm
        assert rhumb.inverse(*leg, ellipsoid).distance_nm >= shortest - 1e-9


def test_conversion_angle() -> None:
    # Half the difference of longitude times the sine of the middle latitude [M formula]: 13.43 exact for this leg [D].
    ends = (33.95, -118.4, 40 + 38 / 60, -(73 + 47 / 60))
    angle = (
        rhumb.inverse(*ends, NAUTICAL_SPHERE).initial_course_deg
        - geodesic.inverse(*ends, NAUTICAL_SPHERE).initial_course_deg
    )
    assert pytest.approx(13.43, abs=0.005) == angle


@pytest.mark.parametrize(("course_deg", "distance_nm"), [(math.nan, 10.0), (math.inf, 10.0), (90.0, math.nan)])
def test_a_course_or_distance_that_is_no_number_is_refused(course_deg: float, distance_nm: float) -> None:
    with pytest.raises(OutOfRange, match="finite"):
        rhumb.along(10.0, 20.0, course_deg, [1.0, distance_nm])
