"""Great-circle sailing done exactly: geodesics on an ellipsoid, in nautical miles and degrees.

C. F. F. Karney, "Algorithms for geodesics", Journal of Geodesy 87 (2013) 43-55, through ``geographiclib``;
accurate to some nanometres. The ellipsoid is an argument so that textbook answers, worked on a sphere, are
met by the same code with flattening 0 instead of by a loose tolerance.

Latitude north and longitude east positive, degrees; longitudes come back in [-180, 180), courses true in [0,
360).
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING, Any, NamedTuple, overload

import numpy as np

from passage.errors import OutOfRange
from passage.sailings.earth import NAUTICAL_MILE_M, WGS84, Ellipsoid

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


class CourseAndDistance(NamedTuple):
    """What an inverse problem answers. Courses are true, degrees [0, 360), in the direction of travel at each
    end.
    """

    distance_nm: float
    initial_course_deg: float
    final_course_deg: float


class LinePoint(NamedTuple):
    """One point of a line and the true course along the line there."""

    lat_deg: float
    lon_deg: float
    course_deg: float


class Positions(NamedTuple):
    """Points of a line, arrays of one shape: latitude, longitude in [-180, 180), true course in [0, 360)."""

    lat_deg: NDArray[np.float64]
    lon_deg: NDArray[np.float64]
    course_deg: NDArray[np.float64]


@overload
def normalise_lon_deg(lon_deg: float) -> float: ...
@overload
def normalise_lon_deg(lon_deg: NDArray[np.float64]) -> NDArray[np.float64]: ...
def normalise_lon_deg(lon_deg: float | NDArray[np.float64]) -> float | NDArray[np.float64]:
    """The same longitude, or difference of longitude, in [-180, 180); one already there stays untouched."""
    turned = np.asarray(lon_deg, dtype=float)
    turned = turned - 360.0 * np.floor((turned + 180.0) / 360.0)
    # Rounding next to the seam can leave the value one unit outside on either side.
    turned = np.where(turned < -180.0, turned + 360.0, np.where(turned >= 180.0, turned - 360.0, turned))
    return turned if isinstance(lon_deg, np.ndarray) else float(turned)


@overload
def normalise_course_deg(course_deg: float) -> float: ...
@overload
def normalise_course_deg(course_deg: NDArray[np.float64]) -> NDArray[np.float64]: ...
def normalise_course_deg(course_deg: float | NDArray[np.float64]) -> float | NDArray[np.float64]:
    """The same course in [0, 360)."""
    turned = np.mod(np.asarray(course_deg, dtype=float), 360.0)
    # The remainder of a hair below north rounds up to 360 itself.
    turned = np.where(turned >= 360.0, 0.0, turned)
    return turned if isinstance(course_deg, np.ndarray) else float(turned)


def difference_of_longitude_deg(from_lon_deg: float, to_lon_deg: float) -> float:
    """The shorter way round, east positive, in (-180, 180]: exactly half-way round goes east."""
    return -normalise_lon_deg(from_lon_deg - to_lon_deg)


def check_position(lat_deg: float, lon_deg: float) -> None:
    """Refuse what is no place on earth, with OutOfRange; any finite longitude is one."""
    if not (math.isfinite(lat_deg) and abs(lat_deg) <= 90.0):
        raise OutOfRange(f"latitude {lat_deg:g} is not on the earth; it must lie between -90 and 90 degrees")
    if not math.isfinite(lon_deg):
        raise OutOfRange(f"longitude {lon_deg:g} is not a number of degrees")


@lru_cache(maxsize=8)
def _solver(ellipsoid: Ellipsoid) -> Any:
    from geographiclib.geodesic import Geodesic

    return Geodesic(ellipsoid.equatorial_radius_m, ellipsoid.flattening)


def inverse(
    from_lat_deg: float,
    from_lon_deg: float,
    to_lat_deg: float,
    to_lon_deg: float,
    ellipsoid: Ellipsoid = WGS84,
) -> CourseAndDistance:
    """Course and distance by the shortest way. OutOfRange for a latitude beyond the poles or a value not
    finite.
    """
    check_position(from_lat_deg, from_lon_deg)
    check_position(to_lat_deg, to_lon_deg)
    found = _solver(ellipsoid).Inverse(from_lat_deg, from_lon_deg, to_lat_deg, to_lon_deg)
    return CourseAndDistance(
        found["s12"] / NAUTICAL_MILE_M, normalise_course_deg(found["azi1"]), normalise_course_deg(found["azi2"])
    )


def direct(
    lat_deg: float, lon_deg: float, course_deg: float, distance_nm: float, ellipsoid: Ellipsoid = WGS84
) -> LinePoint:
    """Where an initial true course and a distance lead, with the course on arrival. Raises OutOfRange as
    ``inverse``.
    """
    lat, lon, course = along(lat_deg, lon_deg, course_deg, [distance_nm], ellipsoid)
    return LinePoint(float(lat[0]), float(lon[0]), float(course[0]))


def along(
    lat_deg: float, lon_deg: float, course_deg: float, distance_nm: ArrayLike, ellipsoid: Ellipsoid = WGS84
) -> Positions:
    """Waypoints at distances (n,) from one point along the geodesic that leaves it on a true course."""
    check_position(lat_deg, lon_deg)
    distances_m = np.asarray(distance_nm, dtype=float) * NAUTICAL_MILE_M
    if not (math.isfinite(course_deg) and np.isfinite(distances_m).all()):
        raise OutOfRange(f"course {course_deg:g} and every distance along it must be finite numbers")
    solver = _solver(ellipsoid)
    return _positions(solver._SinCosSeries, solver.Line(lat_deg, lon_deg, course_deg), distances_m)


def _positions(series: Any, line: Any, distances_m: NDArray[np.float64]) -> Positions:
    """What ``line.Position`` answers for each distance, for all of them at once: the library works out one at a time,
    fifty microseconds each. By its own coefficients of the line (Karney 2013, section 3) for a flattening of less than
    a hundredth; a test holds it to the library's answers.
    """
    tau = distances_m / (line._b * (1.0 + line._A1m1))
    sine, cosine = np.sin(tau), np.cos(tau)
    ahead = line._stau1 * cosine + line._ctau1 * sine, line._ctau1 * cosine - line._stau1 * sine
    arc = tau + series(True, *ahead, line._C1pa) + line._B11
    sine, cosine = np.sin(arc), np.cos(arc)
    sine, cosine = line._ssig1 * cosine + line._csig1 * sine, line._csig1 * cosine - line._ssig1 * sine
    east, north = line._salp0, line._calp0 * cosine  # of the course there
    away = east * sine
    turned = np.arctan2(away * line._comg1 - cosine * line._somg1, cosine * line._comg1 + away * line._somg1)
    turned += line._A3c * (arc + (series(True, sine, cosine, line._C3a) - line._B31))
    return Positions(
        np.degrees(np.arctan2(line._calp0 * sine, line._f1 * np.hypot(east, north))),
        normalise_lon_deg(line.lon1 + np.degrees(turned)),
        normalise_course_deg(np.degrees(np.arctan2(east, north))),
    )


def reduced_latitude_rad(lat_deg: float, ellipsoid: Ellipsoid = WGS84) -> float:
    """Latitude on the auxiliary sphere, tan(beta) = (1 - f) tan(phi)."""
    lat = math.radians(lat_deg)
    return math.atan2((1.0 - ellipsoid.flattening) * math.sin(lat), math.cos(lat))


def at_next_vertex(
    lat_deg: float, lon_deg: float, course_deg: float, northern: bool = True, ellipsoid: Ellipsoid = WGS84
) -> tuple[LinePoint, float]:
    """Next vertex ahead (highest point, or lowest when not northern) and its distance in nautical miles, 0 or
    more.

    On the auxiliary sphere of reduced latitudes the vertex lies a quarter turn past the node, and arcs there
    are exact for the ellipsoid too (Karney 2013, eqs 5-11).
    """
    check_position(lat_deg, lon_deg)
    beta = reduced_latitude_rad(lat_deg, ellipsoid)
    from_node_deg = math.degrees(math.atan2(math.sin(beta), math.cos(math.radians(course_deg)) * math.cos(beta)))
    arc_deg = (90.0 if northern else -90.0) - from_node_deg
    # A start on the vertex itself must not be sent round the world by rounding.
    arc_deg = 0.0 if abs(arc_deg) < 1e-9 else arc_deg % 360.0
    found = _solver(ellipsoid).Line(lat_deg, lon_deg, course_deg).ArcPosition(arc_deg)
    vertex = LinePoint(found["lat2"], normalise_lon_deg(found["lon2"]), normalise_course_deg(found["azi2"]))
    return vertex, found["s12"] / NAUTICAL_MILE_M


def extreme_latitudes(
    from_lat_deg: float,
    from_lon_deg: float,
    to_lat_deg: float,
    to_lon_deg: float,
    ellipsoid: Ellipsoid = WGS84,
) -> tuple[LinePoint, LinePoint]:
    """Northernmost and southernmost point of the leg: a vertex where the leg holds one, else an end."""
    line = inverse(from_lat_deg, from_lon_deg, to_lat_deg, to_lon_deg, ellipsoid)
    points = [
        LinePoint(from_lat_deg, normalise_lon_deg(from_lon_deg), line.initial_course_deg),
        LinePoint(to_lat_deg, normalise_lon_deg(to_lon_deg), line.final_course_deg),
    ]
    for northern in (True, False):
        vertex, distance_nm = at_next_vertex(from_lat_deg, from_lon_deg, line.initial_course_deg, northern, ellipsoid)
        if distance_nm < line.distance_nm:
            points.append(vertex)
    return max(points, key=lambda point: point.lat_deg), min(points, key=lambda point: point.lat_deg)
