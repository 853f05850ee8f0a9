"""Ends that lie nearer land than the track is to keep: let out to open water on the shortest way.

Harbours lie in bays, behind islands, up rivers. From such an end the way to the nearest open water is found on the
raster itself, cell by cell, so that no lattice need fit into the bay. Water kept clear of is dear on that way, water
that the data may take for land dearer, and land itself is shut.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.search.lines import (
    MEAN_RADIUS_NM,
    angle_between,
    away_nm,
    between,
    length_nm,
    meeting,
    moved,
    normals,
    pieces,
    places_along,
    positions,
)
from passage.crossings.search.region import CELL_DEG, Region
from passage.sailings.geodesic import normalise_lon_deg
from passage.sailings.land import land_hits, on_land

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.search.raster import Raster
    from passage.crossings.search.walls import Walls

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Ints = NDArray[np.int64]

WINDOWS_DEG = (1, 4)  # round the end, in latitude: the smaller first
RAY_NM, RAYS, LEAST_RAYS = 90.0, 32, 5  # open water: from which so many of the courses lead so far without a wall,
AHEAD = 0.25  # of those less than 75 degrees off the other end
ROOM_NM = 5.0  # and so far from what is shut
TRIED, TRIED_APART_NM = 150, 6.0
SHUT_PRICE, DOUBTFUL_PRICE = 4.0, 12.0  # miles counted for one in water kept clear of, and in what may be land
DEARER = 3.0  # what may be land is made, each time the way found touches it after all
RETRIES = 8  # where the way found touches land after all
CLEAR_NM = 5.0  # off what may be land, a leg of the way is as good as any
CORRIDOR_NM = 3.0  # beside it, in which the track may be shifted
NEIGHBOURS = ((0, 1), (1, 0), (1, 1), (1, -1), (1, 2), (2, 1), (1, -2), (2, -1))


@dataclass(frozen=True)
class LetOut:
    """The way from an end to open water: (n, 3) normals, the end first. narrow_nm: of it nearer land than was asked."""

    way: Floats
    narrow_nm: float

    @property
    def length_nm(self) -> float:
        return length_nm(self.way, 5.0)


class _Window(NamedTuple):
    """The cells round an end: their middles, what is shut, how far each lies off what may be land, and the miles that
    one cell costs, infinite on land.
    """

    lat: Floats
    lon: Floats
    shut: Bools
    off_nm: Floats
    price: Floats


def let_out(
    walls: Walls, waters: Ints, water: int, end: tuple[float, float], other: tuple[float, float]
) -> LetOut | None:
    """The shortest way from an end to open water; None where land shuts it in or walls with boxes leave nothing.

    waters: the raster's waters by number (see ``Raster.waters``); water: the one to come out in; other: the
    other end, to which the way goes on.
    """
    raster = walls.raster
    assert raster is not None
    for size_deg in WINDOWS_DEG:
        window, where = _window(raster, end, size_deg)
        inside = waters[where] == water
        for _ in range(RETRIES):
            way = _way_out(walls, window, inside, end, normals(*other))
            if way is None:
                break
            hits = land_hits(*places_along(way, 20.0))
            if not hits:
                return LetOut(way, _narrow_nm(raster, way))
            _shut_round(window, [(hit.lat_deg, hit.lon_deg) for hit in hits])
            _dearer_what_may_be_land(window)
    return None


def open_already(walls: Walls, waters: Ints, water: int, end: tuple[float, float], other: tuple[float, float]) -> bool:
    """Whether an end lies in the water asked for, with courses open towards the other."""
    assert walls.raster is not None
    row, column = walls.raster.cell(end)
    return bool(waters[row, column] == water) and _rays(walls, normals(*end), normals(*other)) >= LEAST_RAYS


def off_lying(raster: Raster, open_water: Bools, end: tuple[float, float]) -> tuple[float, float] | None:
    """Of cells of open water in the window round an end the middle of the nearest, None where there is none."""
    where = _round(raster, end, WINDOWS_DEG[0])
    lat, lon = (middles[part] for middles, part in zip(raster.middles(), where, strict=True))
    up, across = np.nonzero(open_water[where])
    if not len(up):
        return None
    nearest = int(np.argmin(angle_between(normals(lat[up], lon[across]), normals(*end))))
    return float(lat[up[nearest]]), normalise_lon_deg(float(lon[across[nearest]]))


def _round(raster: Raster, end: tuple[float, float], size_deg: float) -> tuple[slice, slice]:
    """Rows and columns of the cells within so many degrees of latitude, and as many miles east and west."""
    row, column = raster.cell(end)
    rows = round(size_deg / CELL_DEG)
    columns = round(rows / np.cos(np.radians(min(abs(end[0]) + size_deg, 85.0))))
    return slice(max(row - rows, 0), row + rows + 1), slice(max(column - columns, 0), column + columns + 1)


def _window(raster: Raster, end: tuple[float, float], size_deg: float) -> tuple[_Window, tuple[slice, slice]]:
    (row, column), where = raster.cell(end), _round(raster, end, size_deg)
    lat, lon = raster.middles()
    lat, lon = lat[where[0]], lon[where[1]]
    inside = [np.arange(size)[part] for size, part in zip(raster.shut.shape, where, strict=True)]
    shut, land = raster.shut[where].copy(), raster.land(inside[0], inside[1])
    price = np.where(shut, SHUT_PRICE, 1.0)
    doubtful = np.nonzero(land)
    ashore = on_land(lat[doubtful[0]], lon[doubtful[1]])
    price[doubtful] = np.where(ashore, np.inf, DOUBTFUL_PRICE)
    price[row - where[0].start, column - where[1].start] = DOUBTFUL_PRICE
    return _Window(lat, lon, shut, _off_nm(~land, lat), price), where


def _off_nm(water: Bools, lat: Floats) -> Floats:
    """Of each cell of water, miles to the nearest that is none, some cells' width more or less."""
    from scipy.ndimage import distance_transform_edt

    narrow = np.cos(np.radians(np.clip(lat.mean(), -85.0, 85.0)))
    return np.asarray(distance_transform_edt(water, sampling=(CELL_DEG * 60.0, CELL_DEG * 60.0 * narrow)))


def _way_out(walls: Walls, window: _Window, inside: Bools, end: tuple[float, float], towards: Floats) -> Floats | None:
    """Of the places with courses open the one by which the other end is nearest."""
    from scipy.sparse.csgraph import dijkstra

    narrow = np.cos(np.radians(np.clip(window.lat.mean(), -85.0, 85.0)))
    room_nm = _off_nm(~window.shut, window.lat)
    start = int(np.argmin(np.abs(window.lat - end[0]))), int(np.argmin(np.abs(_east(window.lon, end[1]))))
    number = start[0] * len(window.lon) + start[1]
    miles, before = dijkstra(_graph(window, narrow), indices=number, return_predecessors=True)
    fit = np.flatnonzero(np.isfinite(miles) & (inside & (room_nm >= ROOM_NM)).ravel())
    fit = fit[np.argsort(miles[fit], kind="stable")]
    best, least_nm, most = None, np.inf, 0
    for cell in _spread(window, miles, fit, end):
        place = normals(window.lat[cell // len(window.lon)], window.lon[cell % len(window.lon)])
        on_nm = miles[cell] + float(angle_between(place, towards)) * MEAN_RADIUS_NM
        wanted = on_nm < least_nm or most < LEAST_RAYS
        courses = min(_rays(walls, place, towards), LEAST_RAYS) if wanted else 0
        if (courses, -on_nm) > (most, -least_nm):
            best, least_nm, most = cell, on_nm, courses
    return None if best is None else _straightened(window, _path(before, best), end)


def _spread(window: _Window, miles: Floats, fit: Ints, end: tuple[float, float]) -> list[int]:
    """Of cells in order of their miles, the first in every octant and every few miles."""
    lat, lon = window.lat[fit // len(window.lon)], window.lon[fit % len(window.lon)]
    east = _east(lon, end[1]) * np.cos(np.radians(end[0]))
    octant = np.floor((np.degrees(np.arctan2(east, lat - end[0])) + 22.5) % 360.0 / 45.0)
    _, first = np.unique(np.stack([np.floor(miles[fit] / TRIED_APART_NM), octant]), axis=1, return_index=True)
    return [int(fit[at]) for at in np.sort(first)[:TRIED]]


def _east(lon: Floats, from_deg: float) -> Floats:
    return (lon - from_deg + 180.0) % 360.0 - 180.0


def _graph(window: _Window, narrow: float) -> object:
    """Miles from cell to cell, each way, as a sparse matrix."""
    from scipy.sparse import coo_matrix

    rows, columns = window.price.shape
    number = np.arange(rows * columns).reshape(rows, columns)
    start, end, miles = [], [], []
    for up, across in NEIGHBOURS:
        low, high = max(0, -across), columns - max(0, across)
        one, other = number[: rows - up, low:high], number[up:, low + across : high + across]
        run_nm = CELL_DEG * 60.0 * np.hypot(up, across * narrow)
        cost = run_nm * (window.price[: rows - up, low:high] + window.price[up:, low + across : high + across]) / 2.0
        fine = np.isfinite(cost)
        start.append(one[fine])
        end.append(other[fine])
        miles.append(cost[fine])
    first, second, cost = (np.concatenate(each) for each in (start, end, miles))
    size = rows * columns
    return coo_matrix(
        (np.tile(cost, 2), (np.concatenate([first, second]), np.concatenate([second, first]))), shape=(size, size)
    ).tocsr()


def _path(before: NDArray[np.int32], cell: int) -> list[int]:
    path = [cell]
    while before[path[-1]] >= 0:
        path.append(int(before[path[-1]]))
    return path[::-1]


def _straightened(window: _Window, path: list[int], end: tuple[float, float]) -> Floats:
    """Corners of a path of cells, the end itself first: as few as keep off what may be land as the path does."""
    row, column = np.divmod(np.array(path), len(window.lon))
    corners, at = [0], 0
    while at < len(path) - 1:
        ahead = [
            step
            for step in range(len(path) - 1, at + 1, -1)
            if step - at <= 60 and _sees(window, row, column, at, step)
        ]
        at = ahead[0] if ahead else at + 1
        corners.append(at)
    lat, lon = window.lat[row[corners]].copy(), window.lon[column[corners]].copy()
    lat[0], lon[0] = end
    return normals(lat, lon)


def _sees(window: _Window, row: Ints, column: Ints, at: int, step: int) -> bool:
    """Whether the straight line between two cells of a path keeps clear of what may be land, as the path between them
    does or by some miles; the end's own cell, which may be land, is not asked.
    """
    share = np.linspace(0.0, 1.0, 2 * (step - at) + 1)
    rows = np.rint(row[at] + share * (row[step] - row[at])).astype(np.int64)
    columns = np.rint(column[at] + share * (column[step] - column[at])).astype(np.int64)
    beyond = (rows != row[0]) | (columns != column[0])
    line, path = (rows[beyond], columns[beyond]), (row[max(at, 1) : step + 1], column[max(at, 1) : step + 1])
    if window.price[line].max(initial=0.0) >= DOUBTFUL_PRICE:
        return False
    return bool(window.off_nm[line].min(initial=np.inf) >= min(window.off_nm[path].min(), CLEAR_NM))


def _rays(walls: Walls, place: Floats, on: Floats) -> int:
    """How many courses from a place are open for ninety miles, of those that lead on, more or less, to another."""
    bearing = np.arange(RAYS) * 2.0 * np.pi / RAYS
    north = np.array([0.0, 0.0, 1.0]) - place * place[2]
    north /= max(float(np.linalg.norm(north)), 1e-12)
    towards = np.cos(bearing)[:, None] * north + np.sin(bearing)[:, None] * np.cross(north, place)
    ahead = on - place * float(on @ place)
    towards = towards[towards @ ahead > AHEAD * float(np.linalg.norm(ahead))]
    starts = np.broadcast_to(place, towards.shape)
    ends = moved(starts, towards, np.full(len(towards), RAY_NM))
    always = walls.on_every_day()
    met = meeting(starts, ends, always.may_be_shut_between, lambda lat, lon, _, share: always.shut(lat, lon, share))
    return int((~met).sum())


def _degrees(way: Floats) -> tuple[Floats, Floats]:
    lat, lon = positions(way)
    return lat, np.unwrap(lon, period=360.0)


def _shut_round(window: _Window, places: list[tuple[float, float]]) -> None:
    """No way by the cells round some places, in place."""
    for lat, lon in places:
        near = np.hypot((window.lat - lat)[:, None], _east(window.lon, lon) * np.cos(np.radians(lat))) < 1.2 * CELL_DEG
        window.price[near] = np.inf


def _dearer_what_may_be_land(window: _Window) -> None:
    """In place."""
    window.price[window.price >= DOUBTFUL_PRICE] *= DEARER


def _narrow_nm(raster: Raster, way: Floats) -> float:
    """Miles of the way through cells that are shut."""
    cut = pieces(way[:-1], way[1:], 1.0)
    steps = between(cut.start, cut.end)
    return float(steps.distance_nm[raster.at(steps.lat_deg, steps.lon_deg)].sum())


def opened(raster: Raster, way: Floats) -> None:
    """Open the cells of a raster on a way, and those beside it that are surely not land, in place."""
    lat, lon = raster.middles()
    low, high = (np.degrees(np.arcsin(np.clip(pick(way[:, 2]), -1.0, 1.0))) for pick in (np.min, np.max))
    rows = np.flatnonzero((lat >= low - 0.1) & (lat <= high + 0.1))
    places = _degrees(way)[1]
    spare = 0.1 / np.cos(np.radians(min(max(abs(low), abs(high)) + 0.1, 88.0)))
    middle = places.mean()
    columns = np.flatnonzero(np.abs(_east(lon, middle)) <= np.ptp(places) / 2.0 + spare + np.abs(places - middle).max())
    if not len(rows) or not len(columns):
        return
    window = np.ix_(rows, columns)
    grid = normals(*np.meshgrid(lat[rows], lon[columns], indexing="ij"))
    near = (away_nm(grid.reshape(-1, 3), way) <= CORRIDOR_NM).reshape(grid.shape[:2])
    near &= raster.shut[window] & ~raster.land(rows, columns)
    on_it = (away_nm(grid.reshape(-1, 3), way) <= CELL_DEG * 60.0 * 0.75).reshape(grid.shape[:2])
    raster.shut[window] &= ~(near | on_it)


def region_round(ways: list[Floats]) -> Region | None:
    """In whole degrees, round some ways."""
    if not ways:
        return None
    lat, lon = _degrees(np.concatenate(ways))
    south, north = max(np.floor(lat.min()) - 5.0, -90.0), min(np.ceil(lat.max()) + 5.0, 90.0)
    wide = np.ceil(5.0 / np.cos(np.radians(min(max(abs(south), abs(north)), 85.0))))
    return Region(float(south), float(north), float(np.floor(lon.min()) - wide), float(np.ceil(lon.max()) + wide))
