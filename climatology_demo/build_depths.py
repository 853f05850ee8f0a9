"""Builds depths.npz, lines of 200, 1,000 and 2,000 m, from the relief named in SOURCES.md:

    python climatology_demo/build_depths.py FOLDER_WITH_ETOPO5

The same source gives the same arrays. A line is points on the sphere that follow one another; one that runs round the
world is cut at 180 degrees. Contoured by contourpy, made simpler by shapely, both of which the charts need anyway.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import contourpy
import netCDF4
import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray

SOURCE = "etopo5.cdf"
OUT = Path(__file__).with_name("depths.npz")
LEVELS_M = (200, 1000, 2000)
SIMPLER_DEG = {200: 0.04, 1000: 0.06, 2000: 0.08}  # of a grid of 0.083: no finer than it knows
LEAST_AROUND_DEG = {
    200: 0.2,
    1000: 1.0,
    2000: 2.0,
}  # rings smaller than this round are left out; a bank of 200 m is not
STEPS_A_DEGREE = 100
MOST_DEG = 80.0  # poleward of it no chart of ours is drawn by relief


def relief(folder: Path) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float32]]:
    """Longitudes from -180 to 180, both there; latitudes northwards; metres, the sea below nothing."""
    with netCDF4.Dataset(folder / SOURCE) as source:
        lon, lat = (np.asarray(source[name][:]) for name in ("ETOPO05_X", "ETOPO05_Y"))
        high_m = np.asarray(source["ROSE"][:])
    order = np.argsort((lon + 180.0) % 360.0)
    lon, high_m = (lon[order] + 180.0) % 360.0 - 180.0, high_m[:, order]
    lon, high_m = np.append(lon, 180.0), np.concatenate([high_m, high_m[:, :1]], axis=1)
    rows = np.argsort(lat)
    rows = rows[np.abs(lat[rows]) <= MOST_DEG]
    return lon, lat[rows], high_m[rows]


def lines(folder: Path) -> dict[int, list[NDArray[np.int16]]]:
    """By depth in metres: latitudes and longitudes (n, 2) of each line, hundredths of a degree."""
    lon, lat, high_m = relief(folder)
    drawn = contourpy.contour_generator(lon, lat, high_m)
    found: dict[int, list[NDArray[np.int16]]] = {}
    for level in LEVELS_M:
        rings = [shapely.LineString(line) for line in drawn.lines(-float(level)) if len(line) > 2]
        kept = [ring.simplify(SIMPLER_DEG[level]) for ring in rings if ring.length >= LEAST_AROUND_DEG[level]]
        points = [np.round(STEPS_A_DEGREE * shapely.get_coordinates(ring)[:, ::-1]).astype(np.int16) for ring in kept]
        found[level] = [line for line in points if len(line) > 2]
    return found


def main(folder: Path) -> None:
    kept = {}
    for level, found in lines(folder).items():
        steps = [np.concatenate([line[:1], np.diff(line, axis=0)]) for line in found]
        kept[f"steps_{level}m"] = np.concatenate(steps).T.astype(np.int16)
        kept[f"points_{level}m"] = np.array([len(line) for line in found], dtype=np.uint16)
        print(f"{level:>5} m: {len(found)} lines, {kept[f'steps_{level}m'].shape[1]} points")
    np.savez_compressed(OUT, **kept)
    print(f"{OUT.name}: {OUT.stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
