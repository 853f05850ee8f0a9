"""Composite sailing: the shortest track that keeps below a limiting latitude.

A geodesic that touches the limiting parallel, that parallel, and a geodesic that leaves it, touching. The
touching geodesics follow from Clairaut's relation, cos(beta) sin(course) constant with beta the reduced
latitude, so the answer is exact on the ellipsoid; with flattening 0 it is the textbook rule of Napier. The
limit may be set for ice, storms or cold, but it is the skipper's: this code knows of none of them.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from passage.errors import OutOfRange, RouteRefused
from passage.sailings import geodesic
from passage.sailings.earth import NAUTICAL_MILE_M, WGS84, Ellipsoid
from passage.sailings.geodesic import check_position, difference_of_longitude_deg, normalise_lon_deg

NEGLIGIBLE_NM = 1e-6  # 2 mm; a part shorter than this is rounding, not sailing


class CompositePart(NamedTuple):
    """One piece of a composite track; the rhumb line among them follows the limiting parallel."""

    sailing: Literal["great circle", "rhumb line"]
    from_lat_deg: float
    from_lon_deg: float
    to_lat_deg: float
    to_lon_deg: float
    distance_nm: float

    @property
    def ends(self) -> tuple[float, float, float, float]:
        return self.from_lat_deg, self.from_lon_deg, self.to_lat_deg, self.to_lon_deg


def composite(
    from_lat_deg: float,
    from_lon_deg: float,
    to_lat_deg: float,
    to_lon_deg: float,
    limiting_lat_deg: float,
    ellipsoid: Ellipsoid = WGS84,
) -> tuple[CompositePart, ...]:
    """One to three parts, in sailing order, none of them empty; a single part where the limit does not bind.

    limiting_lat_deg: north positive; 47 means never north of 47 N, -40 never south of 40 S. OutOfRange for a
    limit of 0 or beyond a pole; RouteRefused where an end lies beyond the limit.
    """
    ends = (from_lat_deg, from_lon_deg, to_lat_deg, to_lon_deg)
    _check(from_lat_deg, to_lat_deg, limiting_lat_deg)
    whole = geodesic.inverse(*ends, ellipsoid)
    north, south = geodesic.extreme_latitudes(*ends, ellipsoid)
    northern = limiting_lat_deg > 0.0
    if north.lat_deg <= limiting_lat_deg if northern else south.lat_deg >= limiting_lat_deg:
        return (CompositePart("great circle", *ends, whole.distance_nm),)
    eastward = difference_of_longitude_deg(from_lon_deg, to_lon_deg) > 0.0
    reach_lon_deg, first_nm = _touch(from_lat_deg, from_lon_deg, limiting_lat_deg, eastward, ellipsoid)
    leave_lon_deg, last_nm = _touch(to_lat_deg, to_lon_deg, limiting_lat_deg, not eastward, ellipsoid)
    along_deg = abs(difference_of_longitude_deg(reach_lon_deg, leave_lon_deg))
    parallel_nm = math.radians(along_deg) * _parallel_radius_nm(limiting_lat_deg, ellipsoid)
    reach, leave = (limiting_lat_deg, reach_lon_deg), (limiting_lat_deg, leave_lon_deg)
    parts = (
        CompositePart("great circle", from_lat_deg, from_lon_deg, *reach, first_nm),
        CompositePart("rhumb line", *reach, *leave, parallel_nm),
        CompositePart("great circle", *leave, to_lat_deg, to_lon_deg, last_nm),
    )
    return tuple(part for part in parts if part.distance_nm > NEGLIGIBLE_NM)


def _check(from_lat_deg: float, to_lat_deg: float, limiting_lat_deg: float) -> None:
    check_position(limiting_lat_deg, 0.0)
    if limiting_lat_deg == 0.0:
        raise OutOfRange(
            "a limiting latitude of 0 does not say which hemisphere to keep out of; give one north or south"
        )
    side = math.copysign(1.0, limiting_lat_deg)
    for lat_deg in (from_lat_deg, to_lat_deg):
        if side * lat_deg > side * limiting_lat_deg:
            raise RouteRefused(
                f"an end of the leg at latitude {lat_deg:g} lies beyond the limiting latitude "
                f"{limiting_lat_deg:g}; choose a limit that both ends keep"
            )


def _touch(
    lat_deg: float, lon_deg: float, limiting_lat_deg: float, eastward: bool, ellipsoid: Ellipsoid
) -> tuple[float, float]:
    """Longitude where the geodesic from a point, bound east or west, touches the limiting parallel; distance
    to there.
    """
    beta = geodesic.reduced_latitude_rad(lat_deg, ellipsoid)
    limit = geodesic.reduced_latitude_rad(limiting_lat_deg, ellipsoid)
    from_meridian_deg = math.degrees(math.asin(min(1.0, math.cos(limit) / math.cos(beta))))
    northern = limiting_lat_deg > 0.0
    course_deg = from_meridian_deg if northern else 180.0 - from_meridian_deg
    vertex, distance_nm = geodesic.at_next_vertex(
        lat_deg, lon_deg, course_deg if eastward else -course_deg, northern, ellipsoid
    )
    return normalise_lon_deg(vertex.lon_deg), distance_nm


def _parallel_radius_nm(lat_deg: float, ellipsoid: Ellipsoid) -> float:
    beta = geodesic.reduced_latitude_rad(lat_deg, ellipsoid)
    return ellipsoid.equatorial_radius_m * math.cos(beta) / NAUTICAL_MILE_M
