"""Points and lines as the search needs them: whole arrays of short pieces of great circle at once.

A point is its normal, the unit vector square to the ellipsoid there. A piece of line is measured with the radii of
curvature at its middle: to 1 part in 10,000 at 100 miles and far better below, which is all a search asks; a track
once found is laid exactly by ``sailings.track``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.sailings.earth import NAUTICAL_MILE_M, WGS84
from passage.sailings.ragged import counted

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Ints = NDArray[np.int64]

_RADIUS_NM = WGS84.equatorial_radius_m / NAUTICAL_MILE_M
_E2 = WGS84.eccentricity_squared
MEAN_RADIUS_NM = _RADIUS_NM * (1.0 - WGS84.flattening / 3.0)
SPHERE_SHARE = 0.994  # the shortest mile of a sphere's line on the ellipsoid
_SMALL = 1e-12
LOOK_NM = 2.0  # how finely a line is looked over for walls where one may stand: the width of a cell of their raster
FAR_LOOK_NM = 30.0  # and elsewhere
PIECES_AT_ONCE = 8000


class Steps(NamedTuple):
    """Short pieces of line, arrays of one shape: their middles, their length, and the course there as direction
    cosines towards east and north.
    """

    lat_deg: Floats
    lon_deg: Floats
    distance_nm: Floats
    east: Floats
    north: Floats


def normals(lat_deg: ArrayLike, lon_deg: ArrayLike) -> Floats:
    """(..., 3) unit normals."""
    lat, lon = np.radians(lat_deg), np.radians(lon_deg)
    return np.stack([np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)], axis=-1)


def positions(normal: Floats) -> tuple[Floats, Floats]:
    """Latitude and longitude in degrees of (..., 3) normals of any length; longitude from -180 to 180."""
    x, y, z = normal[..., 0], normal[..., 1], normal[..., 2]
    return np.degrees(np.arctan2(z, np.hypot(x, y))), np.degrees(np.arctan2(y, x))


def between(start: Floats, end: Floats) -> Steps:
    """The pieces from (..., 3) normals to others."""
    middle, run = start + end, end - start
    x, y, z = middle[..., 0], middle[..., 1], middle[..., 2]
    size = np.sqrt(x * x + y * y + z * z)
    sine, cosine = z / size, np.maximum(np.hypot(x, y) / size, _SMALL)
    around, out = x / (size * cosine), y / (size * cosine)
    east = run[..., 1] * around - run[..., 0] * out
    north = run[..., 2] * cosine - (run[..., 0] * around + run[..., 1] * out) * sine
    curve = 1.0 - _E2 * sine * sine
    stretch = (1.0 + (east * east + north * north) / 24.0) * _RADIUS_NM / np.sqrt(curve)
    east, north = east * stretch, north * stretch * (1.0 - _E2) / curve
    distance = np.hypot(east, north)
    safe = np.maximum(distance, _SMALL)
    lat, lon = np.degrees(np.arctan2(sine, cosine)), np.degrees(np.arctan2(out, around))
    return Steps(lat, lon, distance, east / safe, north / safe)


def angle_between(start: Floats, end: Floats) -> Floats:
    """Angle in radians between (..., 3) normals."""
    return np.asarray(2.0 * np.arcsin(np.minimum(np.sqrt(((end - start) ** 2).sum(axis=-1)) / 2.0, 1.0)))


def away_nm(places: Floats, track: Floats) -> Floats:
    """Distance (n,) of places (n, 3) from the great circles through (m, 3) points, on the sphere."""
    start, end = track[:-1], track[1:]
    pole = np.cross(start, end)
    pole /= np.maximum(np.linalg.norm(pole, axis=1, keepdims=True), _SMALL)
    ahead, behind = np.cross(pole, start), np.cross(end, pole)
    beside = (places @ ahead.T >= 0.0) & (places @ behind.T >= 0.0)
    off = np.where(beside, np.arcsin(np.clip(np.abs(places @ pole.T), 0.0, 1.0)), np.inf).min(axis=1)
    corner = np.arccos(np.clip(places @ track.T, -1.0, 1.0)).min(axis=1)
    return np.asarray(np.minimum(off, corner) * MEAN_RADIUS_NM)


class Pieces(NamedTuple):
    """Lines cut into even pieces. line: which one each piece belongs to, in order; begins, ends: share of its line
    sailed at either end; start, end: the ends, (pieces, 3).
    """

    line: NDArray[np.int64]
    begins: Floats
    ends: Floats
    start: Floats
    end: Floats


def pieces(start: Floats, end: Floats, longest_nm: float) -> Pieces:
    """Great circles from (n, 3) to (n, 3), each cut by itself, however long the others are."""
    whole = np.maximum(angle_between(start, end), _SMALL)
    number = np.maximum(np.ceil(whole * MEAN_RADIUS_NM / longest_nm - 1e-9), 1).astype(np.int64)
    line, place = counted(number + 1)  # of pieces' ends, of which a line has one more than pieces
    share, angle = place / number[line], whole[line]
    size = np.sin(whole)[line]
    ours, theirs = np.sin(angle - share * angle) / size, np.sin(share * angle) / size
    at = start[line] * ours[:, None] + end[line] * theirs[:, None]
    first, last = np.flatnonzero(place < number[line]), np.flatnonzero(place > 0)
    return Pieces(line[first], share[first], share[last], at[first], at[last])


def length_nm(track: Floats, step_nm: float) -> float:
    """Length of the great circles through (n, 3) points."""
    cut = pieces(track[:-1], track[1:], step_nm)
    return float(between(cut.start, cut.end).distance_nm.sum())


def places_along(track: Floats, step_nm: float) -> tuple[Floats, Floats]:
    """Latitudes and unbroken longitudes every few miles of the great circles through (n, 3) points, the ends too."""
    cut = pieces(track[:-1], track[1:], step_nm)
    lat, lon = positions(np.concatenate([cut.start, cut.end[-1:]]))
    return lat, np.unwrap(lon, period=360.0)


def moved(normal: Floats, towards: Floats, distance_nm: ArrayLike) -> Floats:
    """(..., 3) normals moved by some miles along unit vectors (..., 3) square to them."""
    angle = np.asarray(distance_nm)[..., None] / MEAN_RADIUS_NM
    return np.asarray(normal * np.cos(angle) + towards * np.sin(angle))


Pair = tuple["Floats", "Floats"]


def meeting(
    start: Floats,
    end: Floats,
    may_meet: Callable[[Pair, Pair], Bools],
    holds: Callable[[Floats, Floats, Ints, Floats], Bools],
) -> Bools:
    """Which great circles from (n, 3) to (n, 3) lead through a wall.

    Pieces that ``may_meet``, given the latitudes and longitudes of their two ends, are looked over finely: ``holds`` is
    asked with latitude, longitude, number of the line and share of it sailed.
    """
    meets = np.zeros(len(start), dtype=bool)
    far = pieces(start, end, FAR_LOOK_NM)
    near = np.flatnonzero(may_meet(positions(far.start), positions(far.end)))
    for part in np.split(near, range(PIECES_AT_ONCE, len(near), PIECES_AT_ONCE)):
        fine = pieces(far.start[part], far.end[part], LOOK_NM)
        line, begins, ends = far.line[part][fine.line], far.begins[part][fine.line], far.ends[part][fine.line]
        for place, share in ((fine.start, fine.begins), (fine.end, fine.ends)):
            inside = holds(*positions(place), line, begins + share * (ends - begins))
            meets[line[inside]] = True
    return meets
