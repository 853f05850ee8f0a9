"""Ocean current: the monthly averages shipped with the tool, a person's own monthly file, or a set and drift for each
leg, brought to the nodes of a track.

A CF-NetCDF file is read by standard names: ``eastward_sea_water_velocity`` and ``northward_sea_water_velocity``, or
the ``surface_`` pair. Set is the direction *towards* which the current flows.

The shipped averages are reckoned from the sea's slope and the wind (climatology_demo/SOURCES.md). They see no narrow
stream: where one runs, and over shelves and banks, they give no figure, and none is reckoned with. About them the water
moves in eddies, of which each crossing has her own (``crossings.wind``).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

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
    read_corners,
    read_monthly,
    refuse_outside,
)
from passage.inputs.months import month_weights
from passage.inputs.voyage import NO_CURRENT
from passage.shipped import shipped

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from numpy.typing import ArrayLike, NDArray

    from passage.inputs.monthly import Floats
    from passage.inputs.voyage import CurrentChoice

_CURRENT = SPEED | {"cm s-1": Scale(36 / 1852), "cm/s": Scale(36 / 1852)}
_EAST, _NORTH = "eastward_sea_water_velocity", "northward_sea_water_velocity"
_SURFACE = "surface_"
_VARIABLES = {
    f"{layer}{name}": Wanted(False, _CURRENT, -10, 10, "kn") for layer in ("", _SURFACE) for name in (_EAST, _NORTH)
}


SHIPPED_SOURCE = "the shipped monthly averages, reckoned from the slope of the sea and the wind"

# Eddy kinetic energy by latitude, half the sum of both parts' variances, so that each part's spread is its root. R2:
# 100 to 200 cm2/s2 inside the North Atlantic's gyre and in the North Equatorial Current (Richardson 1983), 300 west of
# Scotland and 1,500 in the North Atlantic Current (Krauss and Kaese 1984). M: 300 to 600 in the equatorial currents.
EDDY_LATITUDES_DEG = (5.0, 10.0, 20.0, 40.0, 55.0)
EDDY_ENERGY_CM2_S2 = (600.0, 300.0, 150.0, 150.0, 300.0)
STREAM_ENERGY_CM2_S2 = 1500.0
KNOTS_PER_CM_S = 36.0 / 1852.0
BANKS = 1  # in the shipped file: shelves, banks and ice; greater numbers are streams
SHELF = "shelf, bank or ice"


@dataclass(frozen=True, eq=False)
class TrackCurrent:
    """The current at the nodes of a track, (12, nodes) for the middles of January to December.

    east_kn, north_kn: towards east and north positive. source: where it comes from, for the plan. eddy_kn: (nodes,)
    spread of each part about them in the eddies of each crossing's own. unseen: (nodes,) what hides the current from
    the shipped averages, empty where nothing does: there no current is reckoned with.
    """

    east_kn: Floats
    north_kn: Floats
    source: str
    eddy_kn: Floats | None = None
    unseen: NDArray[np.str_] | None = None

    @property
    def is_shipped(self) -> bool:
        return self.eddy_kn is not None

    @property
    def blind(self) -> NDArray[np.bool_]:
        """(nodes,): where the shipped averages have no figure."""
        return np.zeros(self.east_kn.shape[1], dtype=bool) if self.unseen is None else self.unseen != ""

    @property
    def unseen_streams(self) -> tuple[str, ...]:
        """The streams that run where there is no figure, in the order of the nodes."""
        names = [] if self.unseen is None else self.unseen.tolist()
        return tuple(name for name in dict.fromkeys(names) if name not in ("", SHELF))

    def at(self, nodes: NDArray[np.intp]) -> TrackCurrent:
        """At some of the nodes."""
        eddy_kn = None if self.eddy_kn is None else self.eddy_kn[nodes]
        unseen = None if self.unseen is None else self.unseen[nodes]
        return TrackCurrent(self.east_kn[:, nodes], self.north_kn[:, nodes], self.source, eddy_kn, unseen)

    def times(self, factor: float) -> TrackCurrent:
        """The same with its averages so many times as strong; the eddies stay."""
        return replace(self, east_kn=self.east_kn * factor, north_kn=self.north_kn * factor)


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


class _Averages(NamedTuple):
    """The shipped file: its grid, by cell the number of what hides the current (0: nothing), and the names of that."""

    grid: CurrentGrid
    number: NDArray[np.intp]
    names: NDArray[np.str_]


def current_at(choice: CurrentChoice, lat_deg: ArrayLike, lon_deg: ArrayLike) -> TrackCurrent | None:
    """The current at nodes in degrees: of a file of one's own, none at all, or the shipped averages.

    Raises InputFaults as ``read_current``.
    """
    if choice is None:
        return shipped_current(lat_deg, lon_deg)
    return None if choice == NO_CURRENT else read_current(Path(choice), lat_deg, lon_deg)


def shipped_current(lat_deg: ArrayLike, lon_deg: ArrayLike) -> TrackCurrent:
    """The shipped averages at nodes in degrees by any longitude convention; no current where they know none.

    A node has a figure where at least half of what lies around it by weight has one. Raises nothing: beyond the last
    row, towards the poles, there is no figure.
    """
    averages = _averages()
    grid, number, names = averages
    lat, lon = np.atleast_1d(np.asarray(lat_deg, float)), np.atleast_1d(np.asarray(lon_deg, float))
    corners, weights, reached = around(grid.lat_deg, grid.lon_deg, lat, lon)
    hiding = number[corners[1:]]
    known = (hiding == 0) * weights
    seen = reached & (known.sum(axis=-1) >= 0.5)
    hidden_by = np.take_along_axis(hiding, np.argmax(np.where(hiding > 0, weights, -1.0), axis=-1)[..., None], -1)[
        ..., 0
    ]
    hidden_by = np.where(seen, 0, np.where(reached, np.maximum(hidden_by, BANKS), BANKS))
    east, north = (np.where(seen, known_mean(part[corners], known), 0.0) for part in (grid.east_kn, grid.north_kn))
    return TrackCurrent(east, north, grid.source, eddy_speed_kn(lat, hidden_by > BANKS), names[hidden_by])


def current_on(choice: CurrentChoice, lat_deg: float, lon_deg: float, when: datetime) -> tuple[float, float]:
    """East and north parts, kn, of what ``current_at`` knows at a place and a time (UTC); nothing where it is mute."""
    try:
        current = current_at(choice, lat_deg, lon_deg)
    except InputFaults:
        return 0.0, 0.0
    if current is None:
        return 0.0, 0.0
    first, second, part = month_weights(np.datetime64(when.replace(tzinfo=None), "s"))
    east, north = (
        float((1.0 - part) * kn[first, 0] + part * kn[second, 0]) for kn in (current.east_kn, current.north_kn)
    )
    return east, north


def eddy_speed_kn(lat_deg: Floats, in_stream: NDArray[np.bool_]) -> Floats:
    """Spread of each part of the current about its average, kn; same shape as the latitude."""
    energy = np.interp(np.abs(lat_deg), EDDY_LATITUDES_DEG, EDDY_ENERGY_CM2_S2)
    return np.asarray(np.sqrt(np.where(in_stream, STREAM_ENERGY_CM2_S2, energy)) * KNOTS_PER_CM_S)


def shipped_grid() -> CurrentGrid:
    """The shipped averages on their grid, no current where they know none, land included."""
    grid = _averages().grid
    return replace(grid, east_kn=np.nan_to_num(grid.east_kn), north_kn=np.nan_to_num(grid.north_kn))


@cache
def _averages() -> _Averages:
    import netCDF4

    path = shipped("climatology_demo") / "current.nc"
    with netCDF4.Dataset(path) as dataset:
        number, meanings = np.asarray(dataset["blind"][:], dtype=np.intp), dataset["blind"].flag_meanings
    names = np.array(["", SHELF, *(name.replace("_", " ") for name in meanings.split()[1 + BANKS :])])
    return _Averages(replace(read_current_grid(path), source=SHIPPED_SOURCE), number, names)


def read_current(path: Path, lat_deg: ArrayLike, lon_deg: ArrayLike) -> TrackCurrent:
    """The current in a CF-NetCDF file of twelve monthly means, at nodes in degrees, by bilinear interpolation.

    Raises InputFaults for a file that is wrong, does not reach the track, or knows no current at a node (what lies
    on land or in a gap is left out of the mean as long as one of the four cells around the node is known).
    """
    lat, lon = np.atleast_1d(np.asarray(lat_deg, float)), np.atleast_1d(np.asarray(lon_deg, float))
    grids, weights, reached, title = read_corners(path, _VARIABLES, lat, lon)
    refuse_outside(path.name, lat, lon, reached)
    east, north = _pair(path.name, grids)
    known = np.isfinite(east + north) * weights
    _refuse_unknown(path.name, lat, lon, known.sum(axis=-1) > 0)
    return TrackCurrent(known_mean(east, known), known_mean(north, known), title)


def read_current_grid(path: Path) -> CurrentGrid:
    """The current in a CF-NetCDF file of twelve monthly means. Raises InputFaults for a file that is wrong."""
    monthly = read_monthly(path, _VARIABLES)
    return CurrentGrid(monthly.lat_deg, monthly.lon_deg, *_pair(path.name, monthly.grids), monthly.title, path.name)


def _pair(file: str, grids: dict[str, Floats]) -> tuple[Floats, Floats]:
    """The parts towards east and north, of the water or of its surface. Raises InputFaults where there is no pair."""
    for layer in ("", _SURFACE):
        if f"{layer}{_EAST}" in grids and f"{layer}{_NORTH}" in grids:
            return grids[f"{layer}{_EAST}"], grids[f"{layer}{_NORTH}"]
    wanted = f"variables with standard_name '{_EAST}' and '{_NORTH}' are wanted"
    raise InputFaults([Fault(file, 0, "", "no pair of current components", wanted)])


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
