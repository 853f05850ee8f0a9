"""Rhumb-line (Mercator) sailing on the ellipsoid.

On a rhumb line longitude grows in proportion to isometric latitude and distance in proportion to rectifying
latitude: C. F. F. Karney, "The area of rhumb polygons", Stud. Geophys. Geod. 68 (2024) 99-120. Differences of
isometric latitude are taken in closed form without cancellation and meridian arcs by quadrature, so a course
due east, a meridian and a pole need no cases of their own and nothing is divided by zero.

Latitude north and longitude east positive, degrees; longitudes come back in [-180, 180), courses true in [0,
360).
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from passage.errors import OutOfRange
from passage.sailings.earth import NAUTICAL_MILE_M, WGS84, Ellipsoid
from passage.sailings.geodesic import (
    CourseAndDistance,
    LinePoint,
    Positions,
    check_position,
    difference_of_longitude_deg,
    normalise_course_deg,
    normalise_lon_deg,
)

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    FloatArray = NDArray[np.float64]

QUADRATURE_POINTS = 20  # a meridian arc from pole to pole comes out to rounding error
NEWTON_STEPS = 5  # the meridian is nearly a circle: three steps already reach rounding error
SAME_LATITUDE_RAD = 1e-14  # closer than 0.1 micrometre: a due east or west course
POLE_TOLERANCE = 1e-12


@lru_cache(maxsize=1)
def _gauss_legendre() -> tuple[FloatArray, FloatArray]:
    """Points and weights for the mean over [0, 1]."""
    points, weights = np.polynomial.legendre.leggauss(QUADRATURE_POINTS)
    return (points + 1.0) / 2.0, weights / 2.0


def _at_pole(lat_rad: ArrayLike) -> NDArray[np.bool_]:
    return np.asarray(np.abs(lat_rad) >= math.pi / 2.0 * (1.0 - POLE_TOLERANCE))


def _meridian_radius_m(lat_rad: ArrayLike, ellipsoid: Ellipsoid) -> FloatArray:
    e2 = ellipsoid.eccentricity_squared
    return np.asarray(ellipsoid.equatorial_radius_m * (1.0 - e2) / (1.0 - e2 * np.sin(lat_rad) ** 2) ** 1.5)


def _parallel_radius_m(lat_rad: ArrayLike, ellipsoid: Ellipsoid) -> FloatArray:
    e2 = ellipsoid.eccentricity_squared
    return np.asarray(ellipsoid.equatorial_radius_m * np.cos(lat_rad) / np.sqrt(1.0 - e2 * np.sin(lat_rad) ** 2))


def _meridian_arc_m(from_rad: float, to_rad: ArrayLike, ellipsoid: Ellipsoid) -> FloatArray:
    """Length along the meridian, north positive; exact in relative terms however short."""
    points, weights = _gauss_legendre()
    run_rad = np.asarray(to_rad, dtype=float) - from_rad
    radii_m = _meridian_radius_m(from_rad + run_rad[..., np.newaxis] * points, ellipsoid)
    return np.asarray(run_rad * (radii_m @ weights))


def _isometric_run(from_rad: float, to_rad: ArrayLike, ellipsoid: Ellipsoid) -> FloatArray:
    """Difference of isometric latitude in radians, infinite at a pole.

    The two inverse hyperbolic tangents of the definition are subtracted by their addition theorem, which
    leaves no cancellation between neighbouring latitudes.
    """
    to_rad = np.asarray(to_rad, dtype=float)
    half_run, middle = (to_rad - from_rad) / 2.0, (to_rad + from_rad) / 2.0
    eccentricity = math.sqrt(ellipsoid.eccentricity_squared)
    difference_of_sines = 2.0 * np.cos(middle) * np.sin(half_run)
    product_of_sines = math.sin(from_rad) * np.sin(to_rad)
    flattened = np.arctanh(
        eccentricity * difference_of_sines / (1.0 - ellipsoid.eccentricity_squared * product_of_sines)
    )
    polar = _at_pole(from_rad) | _at_pole(to_rad)
    spherical = 2.0 * np.arctanh(np.where(polar, 0.0, np.sin(half_run) / np.cos(middle)))
    return np.where(polar, np.copysign(math.inf, half_run), spherical - eccentricity * flattened)


def _metres_per_radian(from_rad: float, to_rad: ArrayLike, ellipsoid: Ellipsoid) -> FloatArray:
    """Departure for one radian of longitude: the radius of the parallel, averaged as the rhumb line crosses
    latitudes.
    """
    to_rad = np.asarray(to_rad, dtype=float)
    along_parallel = np.abs(to_rad - from_rad) < SAME_LATITUDE_RAD
    run = np.where(along_parallel, 1.0, _isometric_run(from_rad, to_rad, ellipsoid))
    climbing_m = _meridian_arc_m(from_rad, to_rad, ellipsoid) / run
    level_m = _parallel_radius_m((to_rad + from_rad) / 2.0, ellipsoid)
    return np.where(along_parallel, level_m, climbing_m)


def meridional_parts(lat_deg: float, ellipsoid: Ellipsoid = WGS84) -> float:
    """Isometric latitude in minutes of arc, north positive, infinite at a pole (the table navigators call by
    this name).
    """
    check_position(lat_deg, 0.0)
    return math.degrees(float(_isometric_run(0.0, math.radians(lat_deg), ellipsoid))) * 60.0


def inverse(
    from_lat_deg: float,
    from_lon_deg: float,
    to_lat_deg: float,
    to_lon_deg: float,
    ellipsoid: Ellipsoid = WGS84,
) -> CourseAndDistance:
    """Course and distance by rhumb line, the shorter way round in longitude; exactly half-way round goes
    east.

    Raises OutOfRange for a latitude beyond the poles or a value not finite.
    """
    check_position(from_lat_deg, from_lon_deg)
    check_position(to_lat_deg, to_lon_deg)
    from_rad, to_rad = math.radians(from_lat_deg), math.radians(to_lat_deg)
    dlon_rad = math.radians(difference_of_longitude_deg(from_lon_deg, to_lon_deg))
    northing_m = float(_meridian_arc_m(from_rad, to_rad, ellipsoid))
    departure_m = float(_metres_per_radian(from_rad, to_rad, ellipsoid)) * dlon_rad
    course_deg = normalise_course_deg(math.degrees(math.atan2(departure_m, northing_m)))
    return CourseAndDistance(math.hypot(departure_m, northing_m) / NAUTICAL_MILE_M, course_deg, course_deg)


def direct(
    lat_deg: float, lon_deg: float, course_deg: float, distance_nm: float, ellipsoid: Ellipsoid = WGS84
) -> LinePoint:
    """Where a constant true course and a distance lead. Raises OutOfRange as ``along``."""
    lat, lon, course = along(lat_deg, lon_deg, course_deg, [distance_nm], ellipsoid)
    return LinePoint(float(lat[0]), float(lon[0]), float(course[0]))


def along(
    lat_deg: float, lon_deg: float, course_deg: float, distance_nm: ArrayLike, ellipsoid: Ellipsoid = WGS84
) -> Positions:
    """Waypoints at distances (n,) from one point on a constant true course.

    Raises OutOfRange for a start that is no position, values not finite, and a line that would run past a
    pole, where it ends; to or from the pole itself the longitude of the start is kept.
    """
    check_position(lat_deg, lon_deg)
    distances_m = np.asarray(distance_nm, dtype=float) * NAUTICAL_MILE_M
    if not (math.isfinite(course_deg) and np.isfinite(distances_m).all()):
        raise OutOfRange(f"course {course_deg:g} and every distance along it must be finite numbers")
    from_rad, course_rad = math.radians(lat_deg), math.radians(course_deg)
    to_rad = _latitude_after(from_rad, distances_m * math.cos(course_rad), ellipsoid)
    polar = _at_pole(from_rad) | _at_pole(to_rad)
    per_radian_m = np.where(polar, math.inf, _metres_per_radian(from_rad, to_rad, ellipsoid))
    dlon_deg = np.degrees(distances_m * math.sin(course_rad) / per_radian_m)
    return Positions(
        np.degrees(to_rad),
        normalise_lon_deg(lon_deg + dlon_deg),
        np.full(to_rad.shape, normalise_course_deg(course_deg)),
    )


def _latitude_after(from_rad: float, northing_m: FloatArray, ellipsoid: Ellipsoid) -> FloatArray:
    """Latitude (radians) after a run along the meridian, north positive; OutOfRange past a pole."""
    pole_rad = math.pi / 2.0
    to_north_m = _meridian_arc_m(from_rad, pole_rad, ellipsoid)
    to_south_m = _meridian_arc_m(from_rad, -pole_rad, ellipsoid)
    slack_m = POLE_TOLERANCE * ellipsoid.equatorial_radius_m
    if (northing_m > to_north_m + slack_m).any() or (northing_m < to_south_m - slack_m).any():
        raise OutOfRange("a rhumb line ends at the pole, and this one is asked to run past it")
    lat_rad = from_rad + northing_m / ellipsoid.equatorial_radius_m
    for _ in range(NEWTON_STEPS):
        miss_m = northing_m - _meridian_arc_m(from_rad, lat_rad, ellipsoid)
        lat_rad = np.clip(lat_rad + miss_m / _meridian_radius_m(lat_rad, ellipsoid), -pole_rad, pole_rad)
    return lat_rad
