"""The coastline that comes with the tool: reading it, finding what lies near, cutting out what a chart shows.

Source: GSHHG 2.3.6 (Wessel and Smith 1996, J. Geophys. Res. 101, 8741-8743), land in the sea and Antarctica to
its ice front. Lakes are land here. ``coastline/SOURCES.md`` tells how it was packed and what is wrong with it:
remote islands may stand a mile or more out of place and reefs awash are missing. The chart decides.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
import numpy.typing as npt

from passage.sailings.ragged import counted
from passage.shipped import shipped

if TYPE_CHECKING:
    from shapely import Polygon

Detail = Literal["intermediate", "high"]
Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

EDGES_IN_A_RUN = 32


@dataclass(frozen=True)
class Boxes:
    """Limits in degrees, arrays of one shape (n,). East is never less than west and may pass 180."""

    west: Floats
    south: Floats
    east: Floats
    north: Floats

    def take(self, which: Ints | slice) -> Boxes:
        return Boxes(self.west[which], self.south[which], self.east[which], self.north[which])

    def tiles(self) -> tuple[Ints, Ints]:
        """(box, tile) for every one-degree tile a box touches; tiles run east from 180 W, rows north from 90 S."""
        row = np.clip(np.floor(self.south + 90).astype(np.int64), 0, 179)
        rows = np.clip(np.floor(self.north + 90).astype(np.int64), 0, 179) - row + 1
        column = np.floor(self.west + 180).astype(np.int64)
        columns = np.minimum(np.floor(self.east + 180).astype(np.int64) - column + 1, 360)
        box, place = counted(rows * columns)
        tile_row = row[box] + place // columns[box]
        return box, tile_row * 360 + (column[box] + place % columns[box]) % 360


def _overlap(a: Boxes, b: Boxes) -> Bools:
    eastward = (b.west - a.west) % 360 <= a.east - a.west
    westward = (a.west - b.west) % 360 <= b.east - b.west
    return (eastward | westward) & (a.south <= b.north) & (b.south <= a.north)


class TileIndex:
    """Which of many boxes touch a box, round the world; built in hundredths of a second, a tree takes tenths."""

    def __init__(self, boxes: Boxes) -> None:
        self.boxes = boxes
        box, tile = boxes.tiles()
        order = np.argsort(tile, kind="stable")
        self._box = box[order]
        self._first = np.searchsorted(tile[order], np.arange(180 * 360 + 1))

    def touching(self, asked: Boxes) -> tuple[Ints, Ints]:
        """Pairs (place in asked, place in the index), each once, sorted."""
        box, tile = asked.tiles()
        owner, place = counted(self._first[tile + 1] - self._first[tile])
        found = self._box[self._first[tile[owner]] + place]
        meet = _overlap(asked.take(box[owner]), self.boxes.take(found))
        pair = np.unique(box[owner[meet]] * np.int64(len(self.boxes.west)) + found[meet])
        a, b = np.divmod(pair, len(self.boxes.west))
        return a, b


def _limits(values: Floats, first: Ints, last: Ints) -> tuple[Floats, Floats]:
    """Least and greatest of values[first..last], both ends taken."""
    ends = np.stack([first, last + 1], axis=1).ravel()
    padded = np.append(values, values[-1])
    return np.minimum.reduceat(padded, ends)[::2], np.maximum.reduceat(padded, ends)[::2]


@dataclass(frozen=True)
class Coast:
    """Closed rings of land one after the other.

    lon_deg, lat_deg: (n,), continuous within a ring, -180 to 190.4; first: (rings + 1,), where each begins.
    """

    lon_deg: Floats
    lat_deg: Floats
    first: Ints

    def _boxes(self, first: Ints, last: Ints) -> Boxes:
        (west, east), (south, north) = _limits(self.lon_deg, first, last), _limits(self.lat_deg, first, last)
        return Boxes(west, south, east, north)

    @cached_property
    def rings(self) -> TileIndex:
        return TileIndex(self._boxes(self.first[:-1], self.first[1:] - 1))

    @cached_property
    def _run_ends(self) -> tuple[Ints, Ints]:
        edges = np.diff(self.first) - 1
        ring, place = counted(-(-edges // EDGES_IN_A_RUN))
        start = self.first[ring] + place * EDGES_IN_A_RUN
        return start, np.minimum(start + EDGES_IN_A_RUN, self.first[ring + 1] - 1)

    @cached_property
    def runs(self) -> TileIndex:
        """Runs of up to 32 neighbouring edges, the unit in which the coast is searched."""
        return TileIndex(self._boxes(*self._run_ends))

    def edges(self, run: Ints) -> tuple[Ints, Ints]:
        """(place in run, first point of an edge) for the edges of the runs asked; an edge ends at the next point."""
        start, end = self._run_ends
        owner, place = counted((end - start)[run])
        return owner, start[run][owner] + place

    def ring(self, number: int) -> Floats:
        """(n, 2) longitude and latitude, closed."""
        part = slice(self.first[number], self.first[number + 1])
        return np.stack([self.lon_deg[part], self.lat_deg[part]], axis=1)


def _unpacked(packed: Any) -> Coast:
    first = np.concatenate([[0], np.cumsum(packed["count"].astype(np.int64) + 1)])
    inner = np.ones(first[-1], bool)
    inner[first[:-1]] = inner[first[1:] - 1] = False
    low, high, start = packed["low"], packed["high"], packed["first"]
    units = float(packed["units_per_degree"])
    lon_deg, lat_deg = (_summed(low[axis], high[axis], start[axis], first, inner) / units for axis in (0, 1))
    return Coast(lon_deg, lat_deg, first)


def _summed(
    low: npt.NDArray[np.uint8], high: npt.NDArray[np.uint8], start: npt.NDArray[np.int32], first: Ints, inner: Bools
) -> npt.NDArray[np.int32]:
    """All steps summed in one go: at its end each ring steps back to its start, and from there to the next. In place,
    for on a small computer the memory of ten such arrays costs more time than the sums.
    """
    folded = high.astype(np.int32)
    folded <<= 8
    folded |= low
    sign = folded & 1
    np.negative(sign, out=sign)
    folded >>= 1
    folded ^= sign
    step = np.zeros(first[-1], np.int32)
    step[inner] = folded
    step[first[1:] - 1] = -np.add.reduceat(step, first[:-1])
    step[first[:-1]] = start
    return np.cumsum(step, out=step)


@cache
def coast(detail: Detail) -> Coast:
    """The whole coastline; read once, in some hundredths of a second."""
    with np.load(shipped("coastline") / f"coast_{detail}.npz") as packed:
        return _unpacked(packed)


def _wrapped(west_deg: float, east_deg: float) -> tuple[float, float]:
    """West in [-180, 180) and east beyond it, at most a whole turn."""
    west = (west_deg + 180) % 360 - 180
    width = east_deg - west_deg if east_deg > west_deg else (east_deg - west_deg) % 360
    return west, west + min(width, 360.0)


def _cut(polygon: Polygon, box: tuple[float, float, float, float]) -> list[Floats]:
    import shapely

    parts = shapely.get_parts(shapely.clip_by_rect(polygon, *box))
    return [shapely.get_coordinates(part.exterior) for part in parts if part.area > 0]


def coast_polygons(
    west_deg: float, south_deg: float, east_deg: float, north_deg: float, detail: Detail = "intermediate"
) -> list[Floats]:
    """Land inside a box, for drawing: closed rings (n, 2) of longitude and latitude, degrees, in a fixed order.

    A box over 180 degrees is asked with east less than west or past 180; longitudes in the answer are
    continuous and lie between the box's west edge as asked and the east edge beyond it. Where land goes on
    outside the box, rings run along the box's edge: draw a little more than the chart shows.
    """
    import shapely

    west, east = _wrapped(west_deg, east_deg)
    land = coast(detail)
    asked = Boxes(*(np.array([limit]) for limit in (west, south_deg, east, north_deg)))
    rings: list[Floats] = []
    for number in land.rings.touching(asked)[1]:
        ring = land.ring(number)
        for turn_deg in (-360.0, 0.0, 360.0):
            placed = ring + np.array([turn_deg, 0.0])
            low, high = placed.min(axis=0), placed.max(axis=0)
            if high[0] <= west or low[0] >= east:
                continue
            if low[0] >= west and high[0] <= east and low[1] >= south_deg and high[1] <= north_deg:
                rings.append(placed)
            else:
                rings += _cut(shapely.Polygon(placed), (west, south_deg, east, north_deg))
    return [ring + np.array([west_deg - west, 0.0]) for ring in rings]
