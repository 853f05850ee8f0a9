"""Land and the waters round it as a raster of cells of two minutes.

A cell is shut where the filter of ``sailings.land`` or a listed danger could bring land within the distance to keep;
the width of the cells is added, so that the raster shuts up to four miles more than was asked and never less. Water
that this shuts is narrow water, and a track through it is the skipper's to draw.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.search.region import CELL_DEG, PER_DEGREE, Region
from passage.sailings.land import HARBOUR_NM, known_dangers, land_cells, on_land

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from passage.crossings.search.region import Ends
    from passage.sailings.land import Danger

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Ints = NDArray[np.int64]

CELL_SLACK_NM = 2.2  # land may lie half a minute outside its cell, and the track a whole one from the middle of hers
POOL = 15  # cells to the half degree: to pass over open water quickly
APPROACH_NM = 10.0  # from either end: only land and what lies within two minutes of it
COASTAL_NM = 40.0  # from either end the distance by day is kept, beyond it the one by night: the hour is not known
SQUARE_DEG = 5  # of the squares in which the raster is made
SQUARE_CELLS = round(SQUARE_DEG / CELL_DEG)
FAR_CELLS = 10_000  # more than are in any row of a square and what lies round it
MOST_CELLS = 30_000_000  # of a raster whose waters are told apart: some 200 MB


@dataclass(frozen=True)
class Raster:
    """Cells (rows north from the region's south edge, columns east from its west edge) that are shut."""

    region: Region
    shut: Bools

    @property
    def _cell_deg(self) -> tuple[float, float]:
        south, north, west, east = self.region
        return (north - south) / self.shut.shape[0], (east - west) / self.shut.shape[1]

    def at(self, lat_deg: Floats, lon_deg: Floats) -> Bools:
        """Whether places are shut; outside the raster everything is."""
        row, column, inside = self._cells(lat_deg, lon_deg)
        return np.asarray(self.shut[row, column] | ~inside)

    def land(self, rows: Ints, columns: Ints) -> Bools:
        """Which of the cells (rows, columns) of a region of whole degrees may be land itself."""
        south, west = (int(low) for low in (self.region.south_deg, self.region.west_deg))
        low, high, left, right = (int(cells) // PER_DEGREE for cells in _ends_of(rows) + _ends_of(columns))
        box = Region(south + low, south + high + 1, west + left, west + right + 1)
        land = _pieced(box, _kept_clear, 0.0)
        return land[np.ix_(rows - low * PER_DEGREE, columns - left * PER_DEGREE)]

    def middles(self) -> tuple[Floats, Floats]:
        """Latitudes of the rows and longitudes of the columns."""
        tall, wide = self._cell_deg
        rows, columns = (np.arange(0.5, size) for size in self.shut.shape)
        return self.region.south_deg + rows * tall, self.region.west_deg + columns * wide

    def cell(self, place_deg: tuple[float, float]) -> tuple[int, int]:
        """Row and column of a place inside."""
        row, column, _ = self._cells(np.array(place_deg[:1]), np.array(place_deg[1:]))
        return int(row[0]), int(column[0])

    def waters(self) -> Ints:
        """Every cell's water, numbered from 1, 0 where it is shut; from corner to corner counts as open."""
        from scipy.ndimage import label

        numbered, _ = label(~self.shut, structure=np.ones((3, 3)))
        return np.asarray(numbered)

    def parts(self, ends: Ends, widest: bool) -> bool:
        """Whether two open places lie in different waters: one of them in water that ends within the raster or, where
        the raster is the ``widest`` there will be, in any.
        """
        if self.shut.size > MOST_CELLS:
            return False
        row, column, inside = self._cells(np.array(ends[::2]), np.array(ends[1::2]))
        waters = self.waters()
        start, goal = waters[row, column].tolist()
        if start == goal or 0 in (start, goal) or not inside.all():
            return False
        if widest:
            return True
        edge = np.concatenate([waters[0], waters[-1], waters[:, 0], waters[:, -1]])
        return bool({start, goal} - set(edge.tolist()))

    def _cells(self, lat_deg: Floats, lon_deg: Floats) -> tuple[Ints, Ints, Bools]:
        tall, wide = self._cell_deg
        row = np.floor((lat_deg - self.region.south_deg) / tall).astype(np.int64)
        column = np.floor((lon_deg - self.region.west_deg) % 360.0 / wide).astype(np.int64)
        inside = (row >= 0) & (row < self.shut.shape[0]) & (column < self.shut.shape[1])
        return np.clip(row, 0, self.shut.shape[0] - 1), np.minimum(column, self.shut.shape[1] - 1), inside

    @cached_property
    def _sums(self) -> Ints:
        """Shut pools south and west of each corner of a pool."""
        rows, columns = (-(-size // POOL) for size in self.shut.shape)
        padded = np.ones((rows * POOL, columns * POOL), dtype=bool)
        padded[: self.shut.shape[0], : self.shut.shape[1]] = self.shut
        pools = padded.reshape(rows, POOL, columns, POOL).any(axis=(1, 3))
        return np.pad(pools.astype(np.int64).cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0)))

    def may_be_shut_between(self, first: tuple[Floats, Floats], second: tuple[Floats, Floats]) -> Bools:
        """False where all water round two places (latitude, longitude) is open, a cell wider than their box."""
        row_a, column_a, inside_a = self._cells(*first)
        row_b, column_b, inside_b = self._cells(*second)
        south, north = (np.minimum(row_a, row_b) - 1) // POOL, (np.maximum(row_a, row_b) + 1) // POOL + 1
        west, east = (np.minimum(column_a, column_b) - 1) // POOL, (np.maximum(column_a, column_b) + 1) // POOL + 1
        south, west = np.maximum(south, 0), np.maximum(west, 0)
        north, east = np.minimum(north, self._sums.shape[0] - 1), np.minimum(east, self._sums.shape[1] - 1)
        total = self._sums
        count = total[north, east] - total[south, east] - total[north, west] + total[south, west]
        return np.asarray((count > 0) | ~inside_a | ~inside_b)


def land_raster(region: Region, ends: Ends, by_day_nm: float, by_night_nm: float) -> Raster:
    """The raster of a region: by night's distance from land, by day's near the ends, land itself at the ends."""
    rows, columns = (round((high - low) / CELL_DEG) for low, high in (region[:2], region[2:]))
    lat, lon = _middles(region.south_deg, rows), _middles(region.west_deg, columns)
    by_night = _pieced(region, _kept_clear, by_night_nm)
    for end in (ends[:2], ends[2:]):
        _open_up(by_night, by_day_nm, lat, lon, end)
    return Raster(region, by_night)


def _ends_of(cells: Ints) -> tuple[int, int]:
    return int(cells.min()), int(cells.max())


def _middles(from_deg: float, cells: int) -> Floats:
    """Of so many cells in a row."""
    return np.asarray(from_deg + np.arange(0.5, cells) * CELL_DEG, dtype=np.float64)


def _pieced(region: Region, square: Callable[[int, int, float], Bools], distance_nm: float) -> Bools:
    """A region of whole degrees put together from squares that are kept from one search to the next."""
    south, west = (SQUARE_DEG * int(np.floor(low / SQUARE_DEG)) for low in (region.south_deg, region.west_deg))
    band = []
    for row in range(south, int(region.north_deg), SQUARE_DEG):
        squares = [
            square(row, (column + 180) % 360 - 180, distance_nm)
            for column in range(west, int(region.east_deg), SQUARE_DEG)
        ]
        band.append(np.concatenate(squares, axis=1))
    first_row, first_column = round((region.south_deg - south) / CELL_DEG), round((region.west_deg - west) / CELL_DEG)
    shut = np.concatenate(band)[first_row:, first_column:]
    rows, columns = (round((high - low) / CELL_DEG) for low, high in (region[:2], region[2:]))
    return np.array(shut[:rows, :columns])


@lru_cache(maxsize=1)
def _open_square() -> Bools:
    """One for all squares without any land, as most are."""
    return np.zeros((SQUARE_CELLS, SQUARE_CELLS), dtype=bool)


@lru_cache(maxsize=8192)
def _land(south: int, west: int, _: float = 0.0) -> Bools:
    """A square's cells that may be land or a listed danger."""
    land = _land_between(south, south + SQUARE_DEG, west, west + SQUARE_DEG)
    return land if land.any() else _open_square()


def _land_between(south: int, north: int, west: int, east: int) -> Bools:
    """Cells that may be land or a listed danger between whole degrees."""
    land = land_cells(south, north, west, east)
    dangers = _near(south, north, west, east)
    if dangers:
        lat, lon = _middles(south, land.shape[0]), _middles(west, land.shape[1])
        land |= _in_discs(dangers, lat, lon)
    return land


@lru_cache(maxsize=8192)
def _kept_clear(south: int, west: int, distance_nm: float) -> Bools:
    """A square's cells within a distance of a land cell."""
    if distance_nm == 0.0:
        return _land(south, west)
    high = int(np.ceil((distance_nm + CELL_SLACK_NM + 2.0) / 60.0))
    narrow = np.cos(np.radians(min(max(abs(south), abs(south + SQUARE_DEG)) + high, 89.0)))
    wide = min(int(np.ceil((distance_nm + CELL_SLACK_NM + 2.0) / 60.0 / narrow)), 30)
    bottom, top = max(south - high, -90), min(south + SQUARE_DEG + high, 90)
    land = _land_between(bottom, top, west - wide, west + SQUARE_DEG + wide)
    if not land.any():
        return _open_square()
    lat = _middles(bottom, land.shape[0])
    row, column = round((south - bottom) / CELL_DEG), round(wide / CELL_DEG)
    where = slice(row, row + SQUARE_CELLS), slice(column, column + SQUARE_CELLS)
    return land[where] if land[where].all() else _within(land, lat, distance_nm, where)


def _open_up(shut: Bools, by_day_nm: float, lat: Floats, lon: Floats, end: tuple[float, float]) -> None:
    """Keep less clear near an end, in place."""
    half_deg = COASTAL_NM / 60.0
    east_deg = (lon - end[1] + 180.0) % 360.0 - 180.0
    row = np.flatnonzero(np.abs(lat - end[0]) <= half_deg)
    column = np.flatnonzero(np.abs(east_deg) * np.cos(np.radians(min(abs(end[0]) + half_deg, 89.0))) <= half_deg)
    window = np.ix_(row, column)
    east_nm = east_deg[column] * 60.0 * np.cos(np.radians(lat[row]))[:, None]
    away_nm = np.hypot((lat[row] - end[0])[:, None] * 60.0, east_nm)
    if not away_nm.size:
        return
    box = Region(
        float(np.floor(lat[row[0]])),
        float(np.ceil(lat[row[-1]])),
        float(np.floor(end[1] + east_deg[column].min())),
        float(np.ceil(end[1] + east_deg[column].max())),
    )
    by_day, land = (_pieced(box, _kept_clear, distance_nm) for distance_nm in (by_day_nm, 0.0))
    down = np.rint((lat[row] - box.south_deg) / CELL_DEG - 0.5).astype(np.int64)
    across = np.rint((end[1] + east_deg[column] - box.west_deg) / CELL_DEG - 0.5).astype(np.int64)
    there = np.ix_(down, across)
    cells = np.where(away_nm <= COASTAL_NM, by_day[there], shut[window])
    cells = np.where(away_nm <= APPROACH_NM, land[there], cells)
    near = np.nonzero(away_nm <= HARBOUR_NM)
    cells[near] = on_land(lat[row][near[0]], lon[column][near[1]]) & (away_nm[near] > CELL_SLACK_NM)
    shut[window] = cells


def _within(land: Bools, lat: Floats, distance_nm: float, where: tuple[slice, slice]) -> Bools:
    """Cells of a part that lie within a distance of a land cell of the whole: from row to row, how far the nearest of a
    row may be, against how far it is.
    """
    beside = _beside(land)[:, where[1]]
    first, last = where[0].start, min(where[0].stop, len(lat))
    radius_nm, cell_nm = distance_nm + CELL_SLACK_NM, CELL_DEG * 60.0
    narrow = np.maximum(np.cos(np.radians(lat[first:last])), 0.01)
    found = land[where].copy()
    reach = int(radius_nm / cell_nm)
    for up in range(-reach, reach + 1):
        half_nm = np.sqrt(radius_nm**2 - (up * cell_nm) ** 2)
        half = np.minimum(np.ceil(half_nm / (cell_nm * narrow)), FAR_CELLS - 1).astype(np.int16)[:, None]
        low, high = max(first, up), min(last, len(lat) + up)
        part = slice(low - first, high - first)
        found[part] |= beside[low - up : high - up] <= half[part]
    return found


def _beside(land: Bools) -> NDArray[np.int16]:
    """Of each cell, the cells to the nearest land cell of its row, FAR_CELLS or more where there is none."""
    columns = np.arange(land.shape[1], dtype=np.int16)
    west = np.maximum.accumulate(np.where(land, columns, np.int16(-FAR_CELLS)), axis=1)
    east = np.minimum.accumulate(np.where(land, columns, np.int16(2 * FAR_CELLS))[:, ::-1], axis=1)[:, ::-1]
    return np.minimum(columns - west, east - columns)


def _near(south: int, north: int, west: int, east: int) -> list[Danger]:
    """Listed dangers inside or near some degrees."""
    return [
        danger
        for danger in known_dangers()
        if south - 2.0 < danger.lat_deg < north + 2.0 and (danger.lon_deg - west + 10.0) % 360.0 < east - west + 20.0
    ]


def _in_discs(dangers: list[Danger], lat: Floats, lon: Floats) -> Bools:
    """Cells inside the rough extent of some dangers."""
    inside = np.zeros((len(lat), len(lon)), dtype=bool)
    for danger in dangers:
        up_nm = (lat - danger.lat_deg) * 60.0
        across_nm = ((lon - danger.lon_deg + 180.0) % 360.0 - 180.0) * 60.0
        radius_nm = danger.extent_nm + CELL_SLACK_NM + CELL_DEG * 60.0
        row = np.flatnonzero(np.abs(up_nm) <= radius_nm)
        narrow = np.maximum(np.cos(np.radians(lat[row])), 0.01)[:, None]
        inside[row] |= np.hypot(up_nm[row][:, None], across_nm * narrow) <= radius_nm
    return inside
