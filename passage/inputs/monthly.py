"""Twelve monthly means on a grid: a CF-NetCDF file read by standard names, and places found in it. Wind and current
share it. Where the places are known beforehand, only the cells around them are read, month by month.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from passage.errors import Fault, InputFaults
from passage.inputs.months import MONTHS

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Indices = NDArray[np.intp]

Read = TypeVar("Read")


class Scale(NamedTuple):
    """A unit as a file may write it: value inside = value in the file * factor + offset."""

    factor: float
    offset: float = 0.0


class Wanted(NamedTuple):
    """What is asked of one variable: its units, and the range outside which it cannot mean what it says."""

    required: bool
    units: dict[str, Scale]
    lowest: float
    highest: float
    inside: str


_KNOTS_PER_M_S = Scale(3600 / 1852)
SPEED = dict.fromkeys(("m s-1", "m/s", "m s^-1", "m s**-1", "meter second-1", "metre second-1"), _KNOTS_PER_M_S)
SPEED |= dict.fromkeys(("kn", "knot", "knots", "kt", "kts"), Scale(1.0))
SPEED |= dict.fromkeys(("km/h", "km h-1", "km hour-1", "km hr-1"), Scale(1 / 1.852))
_LATITUDE_UNITS = {"degrees_north", "degree_north", "degree_N", "degrees_N", "degreeN", "degreesN"}
_LONGITUDE_UNITS = {"degrees_east", "degree_east", "degree_E", "degrees_E", "degreeE", "degreesE"}


MOST_ALONG_AN_AXIS = 100_000
MOST_OF_A_MONTH = 12_000_000  # cells read at once: the whole globe every thirteenth of a degree
MOST_OF_A_BLOCK = 30_000_000  # cells that a file keeps as one compressed block, which can only be read whole
MOST_OF_A_GRID = 260_000  # cells held for all months and variables: the whole globe every half degree


class Monthly(NamedTuple):
    """What a file holds. lat_deg: (ny,) ascending; lon_deg: (nx,) ascending in [-180, 180); grids: by standard name or,
    for the plain ones, by variable name, each (12, ny, nx), January first, NaN where unknown; title: the file's own.
    """

    lat_deg: Floats
    lon_deg: Floats
    grids: dict[str, Floats]
    title: str


class Corners(NamedTuple):
    """What a file holds around some places: grids as in ``Monthly``, each (12, places, 4) at the corners of the cells
    they lie in, with the corners' bilinear weights (places, 4), and whether the grid reaches each place.
    """

    grids: dict[str, Floats]
    weights: Floats
    reached: Flags
    title: str


def read_monthly(path: Path, variables: Mapping[str, Wanted], plain: tuple[str, ...] = ()) -> Monthly:
    """Read the variables, by standard name, of a CF-NetCDF file of twelve monthly means. A grid of more than
    ``MOST_OF_A_GRID`` cells is thinned evenly until it is not.

    Longitudes may run by any convention and latitudes either way; dimensions may stand in any order. The
    units of every variable must be declared. plain: variables of ours that bear no standard name, taken as
    they are. Raises InputFaults, every fault of the file at once.
    """
    return _opened(path, variables, lambda reader: reader.monthly(plain))


def read_corners(
    path: Path, variables: Mapping[str, Wanted], lat: Floats, lon: Floats, plain: tuple[str, ...] = ()
) -> Corners:
    """As ``read_monthly``, around places (n,) in degrees only, of a grid however fine."""
    return _opened(path, variables, lambda reader: reader.corners(plain, lat, lon))


def _opened(path: Path, variables: Mapping[str, Wanted], read: Callable[[_Reader], Read]) -> Read:
    import netCDF4

    try:
        with netCDF4.Dataset(path) as dataset:
            return read(_Reader(dataset, path.name, variables))
    except (OSError, RuntimeError, ValueError, TypeError, IndexError, MemoryError) as trouble:  # of a damaged file
        found = "no such file" if isinstance(trouble, FileNotFoundError) else "this is not a readable NetCDF file"
        wanted = "a CF-NetCDF file of twelve monthly means is wanted"
        raise InputFaults([Fault(path.name, 0, "", found, wanted)]) from trouble


class _Axes(NamedTuple):
    """lat_deg, lon_deg: as the file has them; dims: names of the dimensions of time, latitude and longitude."""

    lat_deg: Floats
    lon_deg: Floats
    dims: tuple[str, str, str]


class _Window(NamedTuple):
    """Which rows and columns of the file to read, and which cells of what is read to keep."""

    rows: slice
    columns: slice
    cells: Any


class _Reader:
    """One open file; collects its faults so that all are told at once."""

    def __init__(self, dataset: Any, file: str, variables: Mapping[str, Wanted]) -> None:
        self.dataset = dataset
        self.file = file
        self.variables = variables
        self.faults: list[Fault] = []
        self.found: dict[str, Any] = {}

    def fault(self, key: str, found: str, wanted: str) -> None:
        self.faults.append(Fault(self.file, 0, key, found, wanted))

    def monthly(self, plain: tuple[str, ...]) -> Monthly:
        axes = self.axes()
        lat, lon = axes.lat_deg, axes.lon_deg
        step = max(int(np.ceil(np.sqrt(lat.size * lon.size / MOST_OF_A_GRID))), 1)
        rows, (columns, lon_deg) = np.argsort(lat[::step]), self.columns(lon[::step])
        window = _Window(slice(0, lat.size, step), slice(0, lon.size, step), np.ix_(rows, columns))
        return Monthly(lat[::step][rows], lon_deg, self.taken(plain, axes, window), self.title)

    def corners(self, plain: tuple[str, ...], lat: Floats, lon: Floats) -> Corners:
        axes = self.axes()
        order = np.argsort(axes.lat_deg)
        lon_order, lon_deg = self.columns(axes.lon_deg)
        (_, row, column), weights, reached = around(axes.lat_deg[order], lon_deg, lat, lon)
        rows, columns = order[row], lon_order[column]
        first = rows.min(), columns.min()
        read_rows, read_columns = (slice(int(each.min()), int(each.max()) + 1) for each in (rows, columns))
        window = _Window(read_rows, read_columns, (rows - first[0], columns - first[1]))
        return Corners(self.taken(plain, axes, window), weights, reached, self.title)

    @property
    def title(self) -> str:
        return str(getattr(self.dataset, "title", self.file))

    def axes(self) -> _Axes:
        """The axes of a sound file. Raises InputFaults where they are not."""
        time = self.coordinate("time", set())
        lat = self.coordinate("latitude", _LATITUDE_UNITS)
        lon = self.coordinate("longitude", _LONGITUDE_UNITS)
        if time is not None:
            self.check_months(time)
        self.found = {name: self.find(name, wanted.required) for name, wanted in self.variables.items()}
        if time is None or lat is None or lon is None:
            raise InputFaults(self.faults)
        lat_deg, lon_deg = _values(lat), _values(lon)
        self.check_rows(lat_deg)
        self.columns(lon_deg)
        axes = _Axes(lat_deg, lon_deg, (time.dimensions[0], lat.dimensions[0], lon.dimensions[0]))
        self.check_units(axes)
        if self.faults:
            raise InputFaults(self.faults)
        return axes

    def taken(self, plain: tuple[str, ...], axes: _Axes, window: _Window) -> dict[str, Floats]:
        """The variables in a window, by name, in our units. Raises InputFaults."""
        cells = _cells_of(window.rows) * _cells_of(window.columns)
        if cells > MOST_OF_A_MONTH:
            wanted = "cut it down to the waters of the voyage, or take a coarser one"
            raise InputFaults([Fault(self.file, 0, "", f"a grid of {cells:,.0f} cells around the track", wanted)])
        named = {name: variable for name, variable in self.found.items() if variable is not None}
        found = {name: self.inside(variable, name, axes, window) for name, variable in named.items()}
        given = {name: self.dataset.variables[name] for name in plain if name in self.dataset.variables}
        for variable in given.values():
            self.check_dimensions(variable, axes.dims)
        if self.faults:
            raise InputFaults(self.faults)
        found |= {name: self.block(variable, axes, window) for name, variable in given.items()}
        if self.faults:
            raise InputFaults(self.faults)
        return found

    def find(self, standard_name: str, required: bool) -> Any:
        """The one variable of that standard name, or None."""
        found = self.dataset.get_variables_by_attributes(standard_name=standard_name)
        if len(found) == 1:
            return found[0]
        if found:
            names = ", ".join(variable.name for variable in found)
            self.fault(
                standard_name,
                f"{len(found)} variables bear this standard_name ({names})",
                "exactly one is wanted",
            )
        elif required:
            self.fault(standard_name, "missing", f"a variable with standard_name '{standard_name}' is wanted")
        return None

    def coordinate(self, standard_name: str, units: set[str]) -> Any:
        """The coordinate variable of that standard name or, failing it, in those units (time: 'since')."""

        def serves(variable: Any) -> bool:
            unit = str(getattr(variable, "units", ""))
            return unit in units or (standard_name == "time" and " since " in unit)

        single = [variable for variable in self.dataset.variables.values() if variable.dimensions == (variable.name,)]
        named = [variable for variable in single if getattr(variable, "standard_name", "") == standard_name]
        found = named or [variable for variable in single if serves(variable)]
        if len(found) == 1 and max(found[0].size, _cells_of_a_block(found[0])) <= MOST_ALONG_AN_AXIS:
            return found[0]
        if len(found) == 1:
            self.fault(standard_name, f"{found[0].size:,} values", "no grid is as fine as that")
            return None
        wanted = f"one coordinate variable with standard_name '{standard_name}', named as its dimension, is wanted"
        self.fault(standard_name, "more than one" if found else "missing", wanted)
        return None

    def check_months(self, time: Any) -> None:
        months = _months(time)
        if months is None:
            unit = getattr(time, "units", "none")
            self.fault(
                time.name,
                f"times cannot be read (units '{unit}')",
                "units such as 'days since 2000-01-01' are wanted",
            )
            return
        missing = [MONTHS[month - 1] for month in range(1, 13) if month not in months]
        if missing:
            self.fault(time.name, f"no values for {', '.join(missing)}", "twelve monthly means are wanted")
        elif len(months) > len(MONTHS):
            self.fault(
                time.name,
                f"{len(months)} times",
                "twelve monthly means are wanted, one for each month of the year",
            )
        elif months != sorted(months):
            order = ", ".join(MONTHS[month - 1] for month in months)
            self.fault(time.name, f"months out of order ({order})", "January to December is wanted")

    def check_units(self, axes: _Axes) -> None:
        """Units, dimensions and blocks of every variable that will be read."""
        for name, wanted in self.variables.items():
            variable = self.found.get(name)
            if variable is None:
                continue
            self.check_dimensions(variable, axes.dims)
            unit = str(getattr(variable, "units", "")).strip()
            if unit not in wanted.units:
                found = f"unit '{unit}'" if unit else "no units declared"
                self.fault(variable.name, found, f"units must be one of {', '.join(wanted.units)}")

    def check_dimensions(self, variable: Any, dims: tuple[str, str, str]) -> None:
        names = [name for name in variable.dimensions if name in dims or self.dataset.dimensions[name].size != 1]
        if sorted(names) != sorted(dims):
            found = f"dimensions {', '.join(variable.dimensions) or 'none'}"
            self.fault(variable.name, found, f"{', '.join(dims)} are wanted, and nothing longer than one beside them")
        if (cells := _cells_of_a_block(variable)) > MOST_OF_A_BLOCK:
            wanted = "write the file anew in smaller blocks (chunks), a month each"
            self.fault(variable.name, f"compressed blocks of {cells:,.0f} cells", wanted)

    def block(self, variable: Any, axes: _Axes, window: _Window) -> Floats:
        """Values in the window, (12, ...), whatever the order of the dimensions; those of length one fall away."""
        cells = _cells_of(window.rows) * _cells_of(window.columns)
        together = max(MOST_OF_A_MONTH // max(cells, 1), 1)
        turn = [name for name in variable.dimensions if name in axes.dims]
        months = []
        for first in range(0, len(MONTHS), together):
            wanted = dict(zip(axes.dims, (slice(first, first + together), window.rows, window.columns), strict=True))
            values = _values(variable, tuple(wanted.get(name, 0) for name in variable.dimensions))
            months.append(values.transpose([turn.index(name) for name in axes.dims])[:, *window.cells])
        return np.concatenate(months)

    def inside(self, variable: Any, standard_name: str, axes: _Axes, window: _Window) -> Floats:
        """Values in our units; a fault where they cannot be what they say."""
        wanted = self.variables[standard_name]
        unit = wanted.units[str(variable.units).strip()]
        values = self.block(variable, axes, window) * unit.factor + unit.offset
        known = values[np.isfinite(values)]
        if known.size and (known.min() < wanted.lowest or known.max() > wanted.highest):
            found = f"values from {known.min():.4g} to {known.max():.4g} {wanted.inside}"
            self.fault(
                variable.name,
                found,
                f"monthly means lie within {wanted.lowest:g} to {wanted.highest:g}; are the units right?",
            )
        return values

    def check_rows(self, lat: Floats) -> None:
        order = np.argsort(lat)
        if not (np.all(np.abs(lat) <= 90) and len(lat) > 1 and np.all(np.diff(lat[order]) > 0)):
            self.fault(
                "latitude",
                "latitudes repeat, leave -90 to 90, or are fewer than two",
                "two or more different ones are wanted",
            )

    def columns(self, lon: Floats) -> tuple[Indices, Floats]:
        """Order of the columns and their longitudes in [-180, 180); a meridian given twice counts once."""
        lon_deg, order = np.unique((lon + 180) % 360 - 180, return_index=True)
        if not np.all(np.isfinite(lon)) or len(lon_deg) < 2:
            self.fault(
                "longitude",
                "longitudes are not numbers or fewer than two",
                "two or more different ones are wanted",
            )
        return order, lon_deg


def _values(variable: Any, taken: Any = slice(None)) -> Floats:
    return np.ma.filled(np.ma.asarray(variable[taken], dtype=float), np.nan)


def _cells_of(taken: slice) -> int:
    """How many rows or columns a window takes."""
    return len(range(taken.start, taken.stop, taken.step or 1))


def _cells_of_a_block(variable: Any) -> float:
    """How many values must be read to read one of them."""
    chunks = variable.chunking()
    return 1.0 if chunks in (None, "contiguous") else float(np.prod(np.array(chunks, dtype=float)))


def _months(time: Any) -> list[int] | None:
    """Months 1-12 of a CF time axis; None if it cannot be read.

    'months since', which climatologies use though no calendar of varying months defines it, counts whole
    months.
    """
    import netCDF4

    unit, calendar = str(getattr(time, "units", "")), str(getattr(time, "calendar", "standard"))
    try:
        if unit.startswith("month"):
            begin: Any = netCDF4.num2date(np.zeros(1), unit.replace(unit.split()[0], "days", 1), calendar)
            return [int(begin[0].month - 1 + np.floor(value)) % 12 + 1 for value in _values(time)]
        dates: Any = netCDF4.num2date(_values(time), unit, calendar)
        return [int(date.month) for date in dates]
    except (ValueError, OverflowError, TypeError, AttributeError):  # the last of a date that is missing
        return None


# ---------------------------------------------------------------- along a track


class _Between(NamedTuple):
    """Each node's two grid lines on one axis, the share of the second, and whether the grid reaches it."""

    first: Indices
    second: Indices
    share: Floats
    reached: Flags


def _rows_between(grid: Floats, lat: Floats) -> _Between:
    first = np.clip(np.searchsorted(grid, lat, side="right") - 1, 0, len(grid) - 2)
    share = (lat - grid[first]) / (grid[first + 1] - grid[first])
    return _Between(first, first + 1, np.clip(share, 0, 1), (share >= -0.5) & (share <= 1.5))


def _columns_between(grid: Floats, lon: Floats) -> _Between:
    """The grid is a ring; a step over twice as wide as any other is the gap of a grid that does not close."""
    steps = np.diff(grid, append=grid[0] + 360)
    second_widest, widest = np.sort(steps)[-2:]
    first = (np.searchsorted(grid, (lon + 180) % 360 - 180, side="right") - 1) % len(grid)
    beyond = (lon - grid[first]) % 360
    share = beyond / steps[first]
    in_gap = (steps[first] == widest) & (widest > 2 * second_widest)
    reach = second_widest / 2
    reached = ~in_gap | (beyond <= reach) | (beyond >= widest - reach)
    return _Between(first, (first + 1) % len(grid), np.where(in_gap, np.round(share), share), reached)


def around(grid_lat: Floats, grid_lon: Floats, lat: Floats, lon: Floats) -> tuple[tuple[Any, ...], Floats, Flags]:
    """The four cells around each place of any shape, all in degrees, grid_lon ascending in [-180, 180).

    Gives an index that makes (12, ..., 4) of a (12, ny, nx) grid, the corners' bilinear weights (..., 4), and
    whether the grid reaches the place.
    """
    rows, columns = _rows_between(grid_lat, lat), _columns_between(grid_lon, lon)
    row = np.stack((rows.first, rows.first, rows.second, rows.second), axis=-1)
    column = np.stack((columns.first, columns.second, columns.first, columns.second), axis=-1)
    up, right = rows.share, columns.share
    weights = np.stack(((1 - up) * (1 - right), (1 - up) * right, up * (1 - right), up * right), axis=-1)
    return (slice(None), row, column), weights, rows.reached & columns.reached


def known_mean(values: Floats, weights: Floats) -> Floats:
    """Weighted mean over the last axis of the values that are known; NaN where none is."""
    known = np.isfinite(values) * weights
    total = known.sum(axis=-1)
    mean = (np.where(known > 0, values, 0) * known).sum(axis=-1) / np.where(total > 0, total, 1)
    return np.asarray(np.where(total > 0, mean, np.nan))


def place(lat: float, lon: float) -> str:
    """A place for a message: ``33.9 S 18.4 E``."""
    lon = (lon + 180) % 360 - 180
    return f"{abs(lat):.1f} {'N' if lat >= 0 else 'S'} {abs(lon):.1f} {'E' if lon >= 0 else 'W'}"


def named_months(which: Flags) -> str:
    """The chosen of the twelve (12,), for a message."""
    return "every month" if which.all() else ", ".join(MONTHS[month] for month in np.flatnonzero(which))


def refuse_outside(file: str, lat: Floats, lon: Floats, reached: Flags) -> None:
    """InputFaults at the first node that the grid of ``file`` does not reach."""
    if reached.all():
        return
    node = int(np.argmin(reached))
    found = f"the grid does not reach the track at {place(lat[node], lon[node])}"
    raise InputFaults([Fault(file, 0, "", found, "a grid that covers the whole track is wanted")])
