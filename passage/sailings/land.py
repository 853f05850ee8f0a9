"""Does a track run over land, how near does it pass, and which dangers does no coastline show?

A filter of one-minute cells answers "surely water" for nearly all of an ocean without reading the coastline; what
is left is worked out exactly on the rings of ``coast``. Distances are chords between points of the ellipsoid
turned into arcs, within 0.01 nm of the geodesic up to 60 nm. The data may be miles wrong at a remote island and
shows no reef awash: a clear answer from here is a reason to look at the chart, never a reason not to.

Positions between the nodes of a track are taken on the great circle that joins them.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.errors import OutOfRange
from passage.sailings.coast import Bools, Boxes, Floats, Ints, coast
from passage.sailings.earth import NAUTICAL_MILE_M, WGS84
from passage.sailings.geodesic import normalise_lon_deg
from passage.sailings.ragged import counted
from passage.shipped import shipped

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray
    from shapely import Polygon

NODES_APART_NM = 100.0  # up to here a great circle through geodetic latitudes keeps to the geodesic
FIRST_LOOK_NM = 15.0
FARTHEST_LOOK_NM = 600.0
NEAR_LAND_NM = 60.0  # land farther from a track is not told
HARBOUR_NM = 3.0  # from the two ends of a track land is forgiven: harbours lie inside the coast of the data
POINTS_AT_ONCE = 2000
CLEARANCE_EXACT_NM = 0.02
RADIUS_NM = 6371008.8 / NAUTICAL_MILE_M
ALL_WATER, ALL_LAND = -1, -2  # tiles of a degree in the filter that have no block of bits
NM_PER_DEGREE = 59.7  # of latitude where it is shortest, at the equator


class LandHit(NamedTuple):
    """Where a track runs on to land. distance_nm: from the track's start; across_nm: how far it runs over land."""

    lat_deg: float
    lon_deg: float
    distance_nm: float
    across_nm: float


class NearestLand(NamedTuple):
    """Arrays of the shape asked: distance_nm (0 on land, inf where none was within reach) and where (nan there)."""

    distance_nm: Floats
    lat_deg: Floats
    lon_deg: Floats


class Clearance(NamedTuple):
    """The closest a track comes to land: distance, where on land, where on the track and how far from its start."""

    distance_nm: float
    land_lat_deg: float
    land_lon_deg: float
    track_lat_deg: float
    track_lon_deg: float
    along_nm: float


class Danger(NamedTuple):
    """A reef, bank or rock that the coastline lacks. extent_nm: about how far it reaches from its position."""

    name: str
    lat_deg: float
    lon_deg: float
    extent_nm: float
    kind: str
    standing: str


class DangerNear(NamedTuple):
    """A danger beside a track. clear_nm: to the danger's rough edge, 0 inside it; along_nm: from the start."""

    danger: Danger
    clear_nm: float
    along_nm: float


# Positions and lines


def _checked(lat_deg: ArrayLike, lon_deg: ArrayLike) -> tuple[Floats, Floats]:
    """Arrays of one shape, longitudes in [-180, 180)."""
    lat, lon = np.broadcast_arrays(np.asarray(lat_deg, np.float64), np.asarray(lon_deg, np.float64))
    if not (np.isfinite(lon).all() and (np.abs(lat) <= 90).all()):
        raise OutOfRange("a position has no number or a latitude beyond 90 degrees; give -90 to 90")
    return lat, normalise_lon_deg(lon)


def _in_space(lat_deg: Floats, lon_deg: Floats) -> Floats:
    """(..., 3) nautical miles from the centre of the ellipsoid."""
    phi, lam = np.radians(lat_deg), np.radians(lon_deg)
    eccentricity_squared = WGS84.eccentricity_squared
    vertical = WGS84.equatorial_radius_m / NAUTICAL_MILE_M / np.sqrt(1 - eccentricity_squared * np.sin(phi) ** 2)
    across = vertical * np.cos(phi)
    up = vertical * (1 - eccentricity_squared) * np.sin(phi)
    return np.stack([across * np.cos(lam), across * np.sin(lam), up], axis=-1)


def _arc_nm(chord_nm: Floats) -> Floats:
    return 2 * RADIUS_NM * np.arcsin(np.minimum(chord_nm / (2 * RADIUS_NM), 1.0))


def _to_segment(point: Floats, start: Floats, end: Floats) -> tuple[Floats, Floats]:
    """Chord from points to straight segments (..., 3), and the fraction of the segment at its foot."""
    along = end - start
    length_squared = (along**2).sum(axis=-1)
    fraction = ((point - start) * along).sum(axis=-1) / np.where(length_squared > 0, length_squared, 1.0)
    fraction = np.clip(fraction, 0.0, 1.0)
    return np.sqrt(((start + fraction[..., None] * along - point) ** 2).sum(axis=-1)), fraction


@dataclass(frozen=True)
class _Line:
    """A track at steps of a minute of arc at most. lon_deg runs on over 180 degrees; distance_nm from the start."""

    lat_deg: Floats
    lon_deg: Floats
    distance_nm: Floats

    @property
    def length_nm(self) -> float:
        return float(self.distance_nm[-1])

    def at(self, distance_nm: Floats) -> tuple[Floats, Floats]:
        lat = np.interp(distance_nm, self.distance_nm, self.lat_deg)
        return lat, normalise_lon_deg(np.interp(distance_nm, self.distance_nm, self.lon_deg))


def _line(lat_deg: ArrayLike, lon_deg: ArrayLike) -> _Line:
    lat, lon = _checked(lat_deg, lon_deg)
    if lat.ndim != 1 or len(lat) < 2:
        raise OutOfRange("a track needs two nodes or more, in order")
    phi, lam = np.radians(lat), np.radians(lon)
    node = np.stack([np.cos(phi) * np.cos(lam), np.cos(phi) * np.sin(lam), np.sin(phi)], axis=1)
    angle = 2 * np.arcsin(np.minimum(np.sqrt((np.diff(node, axis=0) ** 2).sum(axis=1)) / 2, 1.0))
    if angle.max() * RADIUS_NM > NODES_APART_NM:
        raise OutOfRange(
            f"nodes are up to {angle.max() * RADIUS_NM:.0f} nm apart; land is looked for up to {NODES_APART_NM:.0f}"
        )
    minutes = 60 * np.maximum(np.abs(np.diff(lat)), np.abs(normalise_lon_deg(np.diff(lon))))
    number = np.maximum(np.ceil(minutes), 1).astype(np.int64)
    piece, place = counted(number)
    part, whole = (place / number[piece])[:, None], np.maximum(angle, 1e-12)[piece, None]
    point = (node[piece] * np.sin((1 - part) * whole) + node[piece + 1] * np.sin(part * whole)) / np.sin(whole)
    point = np.concatenate([point, node[-1:]])
    dense_lat = np.degrees(np.arctan2(point[:, 2], np.hypot(point[:, 0], point[:, 1])))
    dense_lon = np.unwrap(np.degrees(np.arctan2(point[:, 1], point[:, 0])), period=360.0)
    step_nm = np.sqrt((np.diff(_in_space(dense_lat, dense_lon), axis=0) ** 2).sum(axis=1))
    return _Line(dense_lat, dense_lon, np.concatenate([[0.0], np.cumsum(step_nm)]))


def _portions(number: int) -> list[Ints]:
    """Places 0 to number in portions that bound the memory a crowd of points asks for."""
    return np.split(np.arange(number), range(POINTS_AT_ONCE, number, POINTS_AT_ONCE))


# Land or water


@cache
def _filter() -> tuple[Ints, NDArray[np.uint8]]:
    with np.load(shipped("coastline") / "land_filter.npz") as packed:
        return packed["tile"].astype(np.int64), packed["block"]


def may_be_land(lat_deg: ArrayLike, lon_deg: ArrayLike) -> Bools:
    """False where no land lies within a minute of latitude and of longitude; true means look closer. Shape kept."""
    lat, lon = _checked(lat_deg, lon_deg)
    row = np.minimum(((lat + 90) * 60).astype(np.int64), 180 * 60 - 1)
    column = np.minimum(((lon + 180) * 60).astype(np.int64), 360 * 60 - 1)
    tile, block = _filter()
    number = tile[row // 60, column // 60]
    bit = row % 60 * 60 + column % 60
    look = block[np.maximum(number, 0), bit // 8] >> (7 - bit % 8).astype(np.uint8) & 1
    return np.asarray(np.where(number < 0, number == ALL_LAND, look != 0), bool)


@cache
def _halved_blocks() -> NDArray[np.bool_]:
    """(blocks + 2, 30, 30) every other row and column of the filter's blocks, then one of water and one of land."""
    _, block = _filter()
    bits = np.unpackbits(block, axis=1).reshape(-1, 60, 60)[:, 1::2, 1::2].astype(bool)
    return np.concatenate([bits, np.zeros((1, 30, 30), bool), np.ones((1, 30, 30), bool)])


def land_cells(south_deg: int, north_deg: int, west_deg: int, east_deg: int) -> Bools:
    """Between whole degrees the cells of two minutes, rows north and columns east, for whose middle ``may_be_land`` is
    true: all that hold land, to half a minute round them. Columns may run over 180 degrees; beyond a pole is land.
    """
    tile, _ = _filter()
    blocks = _halved_blocks()
    rows = np.arange(south_deg, north_deg) + 90
    columns = (np.arange(west_deg, east_deg) + 180) % 360
    number = tile[np.clip(rows, 0, 179)[:, None], columns]
    number[(rows < 0) | (rows > 179)] = ALL_LAND
    water, land = len(blocks) - 2, len(blocks) - 1
    cells = blocks[np.where(number == ALL_WATER, water, np.where(number == ALL_LAND, land, number))]
    return np.asarray(cells.transpose(0, 2, 1, 3).reshape(len(rows) * 30, len(columns) * 30))


@cache
def _polygon(ring: int) -> Polygon:
    import shapely

    polygon = shapely.Polygon(coast("high").ring(ring))
    shapely.prepare(polygon)
    return polygon


def _inside(lat: Floats, lon: Floats) -> Bools:
    """Exactly, for points (n,); a point on the coast itself is on land."""
    import shapely

    rings = coast("high").rings
    inside = np.zeros(len(lat), bool)
    for part in _portions(len(lat)):
        point, ring = rings.touching(Boxes(lon[part], lat[part], lon[part], lat[part]))
        by_ring = part[point[np.argsort(ring, kind="stable")]]
        number, count = np.unique(ring, return_counts=True)
        last = np.cumsum(count)
        for one, start, end in zip(number, last - count, last, strict=True):
            points = by_ring[start:end]
            west = rings.boxes.west[one]
            x = west + (lon[points] - west) % 360
            inside[points] |= shapely.intersects_xy(_polygon(int(one)), x, lat[points])
    return inside


def on_land(lat_deg: ArrayLike, lon_deg: ArrayLike) -> Bools:
    """Whether points lie inside the high-resolution coastline; lakes are land. Shape kept.

    Raises OutOfRange for what is no position.
    """
    lat, lon = _checked(lat_deg, lon_deg)
    land = np.array(may_be_land(lat, lon))
    if land.any():
        land[land] = _inside(lat[land], lon[land])
    return land


# Tracks over land


def _coast_crossings(line: _Line, step: Ints) -> tuple[Ints, Floats]:
    """Where the steps asked cross the coast: (step, fraction of the step)."""
    land = coast("high")
    x, y = line.lon_deg, line.lat_deg
    west, east = np.minimum(x[step], x[step + 1]), np.maximum(x[step], x[step + 1])
    south, north = np.minimum(y[step], y[step + 1]), np.maximum(y[step], y[step + 1])
    place, run = land.runs.touching(Boxes(west, south, east, north))
    owner, point = land.edges(run)
    step = step[place[owner]]
    edge_x, edge_y = land.lon_deg[point], land.lat_deg[point]
    along_x, along_y = land.lon_deg[point + 1] - edge_x, land.lat_deg[point + 1] - edge_y
    step_x, step_y = x[step + 1] - x[step], y[step + 1] - y[step]
    to_x, to_y = edge_x - x[step], edge_y - y[step]
    to_x -= 360 * np.round(to_x / 360)
    cross = step_x * along_y - step_y * along_x
    slanted = np.where(cross == 0, np.inf, cross)
    on_step = (to_x * along_y - to_y * along_x) / slanted
    on_edge = (to_x * step_y - to_y * step_x) / slanted
    meet = (cross != 0) & (on_step >= 0) & (on_step <= 1) & (on_edge >= 0) & (on_edge <= 1)
    return step[meet], on_step[meet]


def _stretches_on_land(line: _Line) -> list[tuple[float, float]]:
    """From and to, nm along the line, of every stretch over land."""
    look = may_be_land(line.lat_deg, line.lon_deg)
    near = np.flatnonzero(look[:-1] | look[1:])
    if not len(near):
        return []
    step, fraction = _coast_crossings(line, near)
    knot = np.unique(np.concatenate([near, near + 1, step + fraction]))
    start, end = knot[:-1], knot[1:]
    distance_nm = np.interp(knot, np.arange(len(line.lat_deg)), line.distance_nm)
    land = on_land(*line.at((distance_nm[:-1] + distance_nm[1:]) / 2))
    land &= np.isin(np.floor((start + end) / 2).astype(np.int64), near)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], land, [False]])))
    return [(float(distance_nm[a]), float(distance_nm[b])) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def _hits(line: _Line, harbour_nm: float) -> list[LandHit]:
    hits = []
    for start, end in _stretches_on_land(line):
        start, end = max(start, harbour_nm), min(end, line.length_nm - harbour_nm)
        if start < end:
            lat, lon = line.at(np.array(start))
            hits.append(LandHit(float(lat), float(lon), start, end - start))
    return hits


def land_hits(lat_deg: ArrayLike, lon_deg: ArrayLike, harbour_nm: float = 3.0) -> list[LandHit]:
    """Every stretch of a track over land, in order. lat_deg, lon_deg: nodes (n,), at most 100 nm apart.

    harbour_nm: the first and last miles of the track, as sailed, where land is forgiven: harbours lie inside the
    coast of the data. A stretch that begins there is told from where the allowance ends. Raises OutOfRange.
    """
    return _hits(_line(lat_deg, lon_deg), harbour_nm)


# Clearance


@cache
def _run_balls() -> tuple[Floats, Floats]:
    """Centre (runs, 3) and radius (runs,) of a ball round each run of coast, nautical miles."""
    box = coast("high").runs.boxes
    centre = _in_space((box.south + box.north) / 2, (box.west + box.east) / 2)
    corners = [_in_space(lat, lon) for lat in (box.south, box.north) for lon in (box.west, box.east)]
    radius = np.max([np.sqrt(((corner - centre) ** 2).sum(axis=1)) for corner in corners], axis=0)
    return centre, radius * 1.01 + 0.01


def _runs_worth_measuring(lat: Floats, lon: Floats, point: Floats, reach_nm: float) -> tuple[Ints, Ints]:
    """(point, run): only runs whose ball may hold the nearest coast."""
    tall = reach_nm / NM_PER_DEGREE
    wide = np.minimum(tall / np.cos(np.radians(np.minimum(np.abs(lat) + tall, 89.0))), 180.0)
    asked = Boxes(lon - wide, lat - tall, lon + wide, lat + tall)
    owner, run = coast("high").runs.touching(asked)
    centre, radius = _run_balls()
    away = np.sqrt(((centre[run] - point[owner]) ** 2).sum(axis=1))
    surely = np.full(len(lat), np.inf)
    np.minimum.at(surely, owner, away + radius[run])
    worth = away - radius[run] <= np.minimum(surely[owner], reach_nm)
    return owner[worth], run[worth]


def _nearest_coast(lat: Floats, lon: Floats, reach_nm: float) -> NearestLand:
    land = coast("high")
    point = _in_space(lat, lon)
    owner, run = _runs_worth_measuring(lat, lon, point, reach_nm)
    place, edge = land.edges(run)
    owner = owner[place]
    x, y = land.lon_deg, land.lat_deg
    start, end = _in_space(y[edge], x[edge]), _in_space(y[edge + 1], x[edge + 1])
    chord_nm, fraction = _to_segment(point[owner], start, end)
    order = np.lexsort((chord_nm, owner))
    found, first = np.unique(owner[order], return_index=True)
    best = order[first]
    edge, fraction = edge[best], fraction[best]
    nearest = NearestLand(*(np.full(len(lat), fill) for fill in (np.inf, np.nan, np.nan)))
    nearest.distance_nm[found] = _arc_nm(chord_nm[best])
    nearest.lat_deg[found] = y[edge] + fraction * (y[edge + 1] - y[edge])
    nearest.lon_deg[found] = normalise_lon_deg(x[edge] + fraction * (x[edge + 1] - x[edge]))
    return nearest


def nearest_land(lat_deg: ArrayLike, lon_deg: ArrayLike, within_nm: float = 60.0) -> NearestLand:
    """The nearest land to each point, within a reach of at most 600 nm; arrays of the shape asked.

    A point on land is its own nearest land at 0. Raises OutOfRange for what is no position or too far a reach.
    """
    if not 0 < within_nm <= FARTHEST_LOOK_NM:
        raise OutOfRange(f"land is looked for within {within_nm:g} nm; 0 to {FARTHEST_LOOK_NM:g} nm is possible")
    lat, lon = _checked(lat_deg, lon_deg)
    flat_lat, flat_lon = lat.ravel(), lon.ravel()
    ashore = on_land(flat_lat, flat_lon)
    answer = np.stack([np.where(ashore, 0.0, np.inf), *(np.where(ashore, v, np.nan) for v in (flat_lat, flat_lon))])
    reach_nm = min(FIRST_LOOK_NM, within_nm)
    while True:
        left = np.flatnonzero(np.isinf(answer[0]))
        for part in (left[portion] for portion in _portions(len(left))):
            found = np.stack(_nearest_coast(flat_lat[part], flat_lon[part], reach_nm))
            answer[:, part] = np.where(found[0] <= reach_nm, found, answer[:, part])
        if reach_nm >= within_nm:
            return NearestLand(*answer.reshape(3, *lat.shape))
        reach_nm = min(2 * reach_nm, within_nm)


def clearance(
    lat_deg: ArrayLike, lon_deg: ArrayLike, within_nm: float = 60.0, harbour_nm: float = 3.0
) -> Clearance | None:
    """The closest a track comes to land beyond harbour_nm from its two ends, or none within reach.

    Exact to 0.02 nm on the data: no point of a stretch can be nearer land than its ends allow, so stretches
    are halved only where they might still hold the closest point. Raises OutOfRange.
    """
    line = _line(lat_deg, lon_deg)
    start, end = harbour_nm, line.length_nm - harbour_nm
    if end <= start:
        raise OutOfRange(f"the track of {line.length_nm:.1f} nm lies wholly within {harbour_nm:g} nm of its ends")
    if hits := _hits(line, harbour_nm):
        lat, lon = hits[0].lat_deg, hits[0].lon_deg
        return Clearance(0.0, lat, lon, lat, lon, hits[0].distance_nm)
    along = np.linspace(start, end, int((end - start) / 10) + 2)
    found = np.stack(nearest_land(*line.at(along), within_nm))
    while True:
        least = np.minimum(found[0], within_nm)
        could_be = (least[:-1] + least[1:] - np.diff(along)) / 2
        split = could_be < least.min() - CLEARANCE_EXACT_NM
        if not split.any():
            break
        middle = ((along[:-1] + along[1:]) / 2)[split]
        found = np.concatenate([found, np.stack(nearest_land(*line.at(middle), within_nm))], axis=1)
        along = np.concatenate([along, middle])
        order = np.argsort(along)
        along, found = along[order], found[:, order]
    best = int(np.argmin(found[0]))
    if np.isinf(found[0, best]):
        return None
    lat_at, lon_at = line.at(along[best])
    distance_nm, land_lat, land_lon = (float(value) for value in found[:, best])
    return Clearance(distance_nm, land_lat, land_lon, float(lat_at), float(lon_at), float(along[best]))


def clear_water(lat_deg: float, lon_deg: float) -> tuple[float, float]:
    """The middle of the nearest one-minute cell that is clear of land by a minute all round. Raises OutOfRange where
    there is none within some 950 nm.
    """
    here = _in_space(np.array(lat_deg), np.array(lon_deg))
    for half_deg in (0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0):
        wide_deg = min(half_deg / np.cos(np.radians(min(abs(lat_deg) + half_deg, 89.0))), 180.0)
        lat = _cell_middles(max(lat_deg - half_deg, -90.0), min(lat_deg + half_deg, 90.0))
        lon = _cell_middles(lon_deg - wide_deg, lon_deg + wide_deg)
        rows, columns = np.nonzero(~may_be_land(lat[:, None], lon[None, :]))
        away_nm = np.sqrt(((_in_space(lat[rows], lon[columns]) - here) ** 2).sum(axis=1))
        if len(away_nm) and away_nm.min() <= half_deg * NM_PER_DEGREE - 1:
            best = int(np.argmin(away_nm))
            return float(lat[rows[best]]), normalise_lon_deg(float(lon[columns[best]]))
    raise OutOfRange(f"no open water within reach of {lat_deg:.2f}, {lon_deg:.2f}")


def _cell_middles(low_deg: float, high_deg: float) -> Floats:
    return (np.arange(np.floor(low_deg * 60), np.ceil(high_deg * 60)) + 0.5) / 60


# Dangers no coastline shows


@cache
def known_dangers() -> tuple[Danger, ...]:
    """The hand list ``coastline/dangers.csv``: far from complete, positions to a minute or two. The chart decides."""
    with (shipped("coastline") / "dangers.csv").open(encoding="utf-8", newline="") as file:
        return tuple(
            Danger(
                row["name"],
                float(row["lat_deg"]),
                float(row["lon_deg"]),
                float(row["extent_nm"]),
                row["kind"],
                row["standing"],
            )
            for row in csv.DictReader(file)
        )


def dangers_near(lat_deg: ArrayLike, lon_deg: ArrayLike, within_nm: float = 25.0) -> list[DangerNear]:
    """Known dangers whose edge lies within some miles of a track, in the order met. lat_deg, lon_deg: nodes (n,)."""
    line = _line(lat_deg, lon_deg)
    point = _in_space(line.lat_deg, line.lon_deg)
    near = []
    for danger in known_dangers():
        place = _in_space(np.array(danger.lat_deg), np.array(danger.lon_deg))
        chord_nm, fraction = _to_segment(place, point[:-1], point[1:])
        best = int(np.argmin(chord_nm))
        clear_nm = max(float(_arc_nm(chord_nm[best])) - danger.extent_nm, 0.0)
        if clear_nm <= within_nm:
            along_nm = np.interp(best + fraction[best], np.arange(len(point)), line.distance_nm)
            near.append(DangerNear(danger, clear_nm, float(along_nm)))
    return sorted(near, key=lambda found: found.along_nm)
