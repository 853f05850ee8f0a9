"""Ocean current: a person's own monthly file, or a set and drift for each leg, brought to the nodes of a track.

A CF-NetCDF file is read by standard names: ``eastward_sea_water_velocity`` and ``northward_sea_water_velocity``, or
the ``surface_`` pair. Set is the direction *towards* which the current flows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.errors import Fault, InputFaults
from passage.inputs.monthly import (
    SPEED,
    Scale,
    Wanted,
    around,
    known_mean,
    named_months,
    place,
    read_monthly,
    refuse_outside,
)

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from numpy.typing import ArrayLike, NDArray

    from passage.inputs.monthly import Floats

_CURRENT = SPEED | {"cm s-1": Scale(36 / 1852), "cm/s": Scale(36 / 1852)}
_EAST, _NORTH = "eastward_sea_water_velocity", "northward_sea_water_velocity"
_SURFACE = "surface_"
_VARIABLES = {
    f"{layer}{name}": Wanted(False, _CURRENT, -10, 10, "kn") for layer in ("", _SURFACE) for name in (_EAST, _NORTH)
}


@dataclass(frozen=True, eq=False)
class TrackCurrent:
    """The current at the nodes of a track, (12, nodes) for the middles of January to December.

    east_kn, north_kn: towards east and north positive. source: where it comes from, for the plan.
    """

    east_kn: Floats
    north_kn: Floats
    source: str


@dataclass(frozen=True, eq=False)
class CurrentGrid:
    """The current on latitudes and longitudes, both ascending degrees, lon_deg in [-180, 180).

    east_kn, north_kn: (12, ny, nx), January first, towards east and north positive, NaN where unknown. source: as in
    ``TrackCurrent``; file: its name.
    """

    lat_deg: Floats
    lon_deg: Floats
    east_kn: Floats
    north_kn: Floats
    source: str
    file: str = ""


def read_current(path: Path, lat_deg: ArrayLike, lon_deg: ArrayLike) -> TrackCurrent:
    """The current in a CF-NetCDF file of twelve monthly means, at nodes in degrees, by bilinear interpolation.

    Raises InputFaults for a file that is wrong, does not reach the track, or knows no current at a node (what lies
    on land or in a gap is left out of the mean as long as one of the four cells around the node is known).
    """
    grid = read_current_grid(path)
    lat, lon = np.atleast_1d(np.asarray(lat_deg, float)), np.atleast_1d(np.asarray(lon_deg, float))
    corners, weights, reached = around(grid.lat_deg, grid.lon_deg, lat, lon)
    refuse_outside(grid.file, lat, lon, reached)
    east, north = grid.east_kn[corners], grid.north_kn[corners]
    known = np.isfinite(east + north) * weights
    _refuse_unknown(grid.file, lat, lon, known.sum(axis=-1) > 0)
    return TrackCurrent(known_mean(east, known), known_mean(north, known), grid.source)


def read_current_grid(path: Path) -> CurrentGrid:
    """The current in a CF-NetCDF file of twelve monthly means. Raises InputFaults for a file that is wrong."""
    monthly = read_monthly(path, _VARIABLES)
    names = next(
        (pair for pair in ((_EAST, _NORTH), (_SURFACE + _EAST, _SURFACE + _NORTH)) if set(pair) <= set(monthly.grids)),
        None,
    )
    if names is None:
        wanted = f"variables with standard_name '{_EAST}' and '{_NORTH}' are wanted"
        raise InputFaults([Fault(path.name, 0, "", "no pair of current components", wanted)])
    east, north = (monthly.grids[name] for name in names)
    return CurrentGrid(monthly.lat_deg, monthly.lon_deg, east, north, monthly.title, path.name)


def _refuse_unknown(file: str, lat: Floats, lon: Floats, known: NDArray[np.bool_]) -> None:
    if known.all():
        return
    node = int(np.argmin(known.all(axis=0)))
    found = f"no current is known at {place(lat[node], lon[node])} in {named_months(~known[:, node])}"
    raise InputFaults([Fault(file, 0, "", found, "leave the file out, or give set and drift for each leg")])


def set_and_drift(legs: Sequence[tuple[float, float]], leg_of_node: NDArray[np.intp]) -> TrackCurrent:
    """The current from (set towards, degrees true; drift, kn) of each leg, the same in every month."""
    towards, drift = np.array(legs, dtype=float)[leg_of_node].T
    east, north = drift * np.sin(np.radians(towards)), drift * np.cos(np.radians(towards))
    return TrackCurrent(np.tile(east, (12, 1)), np.tile(north, (12, 1)), "set and drift in the voyage file")


def along_the_course(drift_kn: float, course_deg: NDArray[np.float64]) -> TrackCurrent:
    """A current that is everywhere with her (positive) or against her; course_deg: (nodes,)."""
    return set_and_drift([(float(course), drift_kn) for course in course_deg], np.arange(len(course_deg)))
