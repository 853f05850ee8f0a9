"""Monthly climatology of wind, temperature and cloud: shipped or a person's own, and read along a track.

A CF-NetCDF file is read by standard names (CF standard name table), never by variable names:
``eastward_wind``, ``northward_wind`` and ``wind_speed`` (the mean of the speeds, not the speed of the mean)
must be there; ``air_temperature``, ``sea_surface_temperature``, ``cloud_area_fraction`` and
``number_of_observations`` may be.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from passage.errors import Fault, InputFaults, RouteRefused
from passage.inputs.rice import rice_mean, sigma_from_means
from passage.shipped import shipped

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Indices = NDArray[np.intp]

FEW_REPORTS = 30  # ship reports of a month's cell below which its wind says little
MONTHS: tuple[str, ...] = ("January", "February", "March", "April", "May", "June", "July")
MONTHS += ("August", "September", "October", "November", "December")


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
_SPEED = dict.fromkeys(("m s-1", "m/s", "m s^-1", "m s**-1", "meter second-1", "metre second-1"), _KNOTS_PER_M_S)
_SPEED |= dict.fromkeys(("kn", "knot", "knots", "kt", "kts"), Scale(1.0))
_SPEED |= dict.fromkeys(("km/h", "km h-1", "km hour-1", "km hr-1"), Scale(1 / 1.852))
_WARMTH = {
    name: Scale(1.0) for name in ("degC", "deg_C", "degree_Celsius", "degrees_Celsius", "Celsius", "degree_C", "°C")
}
_WARMTH |= {name: Scale(1.0, -273.15) for name in ("K", "kelvin", "Kelvin")}
_SHARE = {"1": Scale(1.0), "%": Scale(0.01), "percent": Scale(0.01)}
_COUNT = {"1": Scale(1.0), "count": Scale(1.0)}

_VARIABLES = {
    "eastward_wind": Wanted(True, _SPEED, -100, 100, "kn"),
    "northward_wind": Wanted(True, _SPEED, -100, 100, "kn"),
    "wind_speed": Wanted(True, _SPEED, 0, 100, "kn"),
    "air_temperature": Wanted(False, _WARMTH, -80, 60, "degC"),
    "sea_surface_temperature": Wanted(False, _WARMTH, -5, 45, "degC"),
    "cloud_area_fraction": Wanted(False, _SHARE, -0.01, 1.01, "(fraction)"),
    "number_of_observations": Wanted(False, _COUNT, 0, 1e12, "reports"),
}
_LATITUDE_UNITS = {"degrees_north", "degree_north", "degree_N", "degrees_N", "degreeN", "degreesN"}
_LONGITUDE_UNITS = {"degrees_east", "degree_east", "degree_E", "degrees_E", "degreeE", "degreesE"}


@dataclass(frozen=True, eq=False)
class Climate:
    """Monthly means on a grid of latitudes and longitudes, both ascending degrees, spacing even or not.

    lat_deg: (ny,); lon_deg: (nx,) in [-180, 180). All else (12, ny, nx), January first, NaN where unknown.
    wind_east_kn, wind_north_kn: components of the vector mean, towards east and north positive.
    wind_speed_kn: mean of the speeds. air_c, sea_c: degrees Celsius. cloud: share of the sky, 0-1. reports:
    ship reports behind the month's cell. few_reports: the wind there was mended from its surroundings or
    rests on fewer than FEW_REPORTS. source: the file's own title; file: its name.
    """

    lat_deg: Floats
    lon_deg: Floats
    wind_east_kn: Floats
    wind_north_kn: Floats
    wind_speed_kn: Floats
    air_c: Floats
    sea_c: Floats
    cloud: Floats
    reports: Floats
    few_reports: Flags
    source: str
    file: str


@dataclass(frozen=True, eq=False)
class TrackClimate:
    """The climate at the nodes of a track; every array (12, nodes), for the middles of January to December.

    wind_east_kn, wind_north_kn: vector mean, towards east and north positive. sigma_kn: spread of each of
    them. speed_kn: mean speed that the three make together. air_c, sea_c, cloud (0-1): NaN where the file is
    mute. few_reports: at least half of what was interpolated rests on few ship reports.
    """

    wind_east_kn: Floats
    wind_north_kn: Floats
    sigma_kn: Floats
    speed_kn: Floats
    air_c: Floats
    sea_c: Floats
    cloud: Floats
    few_reports: Flags


# ---------------------------------------------------------------- reading a file


def read_climate(path: Path | None = None) -> Climate:
    """The climate in a CF-NetCDF file of twelve monthly means; without a path, the one shipped with the tool.

    Longitudes may run by any convention and latitudes either way; dimensions may stand in any order. The
    units of every variable must be declared. Raises InputFaults, every fault of the file at once.
    """
    import netCDF4

    path = path or shipped("climatology_demo") / "climatology.nc"
    try:
        with netCDF4.Dataset(path) as dataset:
            return _Reader(dataset, path.name).climate()
    except (OSError, RuntimeError) as trouble:
        found = "no such file" if isinstance(trouble, FileNotFoundError) else "this is not a readable NetCDF file"
        wanted = "a CF-NetCDF file of twelve monthly means is wanted"
        raise InputFaults([Fault(path.name, 0, "", found, wanted)]) from trouble


class _Reader:
    """One open file; collects its faults so that all are told at once."""

    def __init__(self, dataset: Any, file: str) -> None:
        self.dataset = dataset
        self.file = file
        self.faults: list[Fault] = []

    def fault(self, key: str, found: str, wanted: str) -> None:
        self.faults.append(Fault(self.file, 0, key, found, wanted))

    def climate(self) -> Climate:
        time = self.coordinate("time", set())
        lat = self.coordinate("latitude", _LATITUDE_UNITS)
        lon = self.coordinate("longitude", _LONGITUDE_UNITS)
        if time is not None:
            self.check_months(time)
        fields = {name: self.find(name, wanted.required) for name, wanted in _VARIABLES.items()}
        if time is None or lat is None or lon is None:
            raise InputFaults(self.faults)
        dims = (time.dimensions[0], lat.dimensions[0], lon.dimensions[0])
        grids = {name: self.grid(variable, name, dims) for name, variable in fields.items() if variable is not None}
        lat_order = self.rows(_values(lat))
        lon_order, lon_deg = self.columns(_values(lon))
        few = self.dataset.variables.get("few_reports")
        flags = None if few is None else self.arranged(few, dims)
        if self.faults:
            raise InputFaults(self.faults)
        ordered = {name: values[:, lat_order][:, :, lon_order] for name, values in grids.items()}
        few_ordered = None if flags is None else flags[:, lat_order][:, :, lon_order]
        return self.assemble(_values(lat)[lat_order], lon_deg, ordered, few_ordered)

    def assemble(self, lat_deg: Floats, lon_deg: Floats, grids: dict[str, Floats], few: Floats | None) -> Climate:
        unknown = np.full_like(grids["wind_speed"], np.nan)
        reports = grids.get("number_of_observations", unknown)
        return Climate(
            lat_deg=lat_deg,
            lon_deg=lon_deg,
            wind_east_kn=grids["eastward_wind"],
            wind_north_kn=grids["northward_wind"],
            wind_speed_kn=grids["wind_speed"],
            air_c=grids.get("air_temperature", unknown),
            sea_c=grids.get("sea_surface_temperature", unknown),
            cloud=np.clip(grids.get("cloud_area_fraction", unknown), 0, 1),
            reports=reports,
            few_reports=reports < FEW_REPORTS if few is None else few == 1,
            source=str(getattr(self.dataset, "title", self.file)),
            file=self.file,
        )

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
        if len(found) == 1:
            return found[0]
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

    def arranged(self, variable: Any, dims: tuple[str, str, str]) -> Floats | None:
        """Values as (12, ny, nx), whatever the order of the dimensions; those of length one fall away."""
        values = _values(variable)
        names = [name for name in variable.dimensions if name in dims or self.dataset.dimensions[name].size != 1]
        if sorted(names) != sorted(dims):
            found = f"dimensions {', '.join(variable.dimensions) or 'none'}"
            self.fault(variable.name, found, f"{', '.join(dims)} are wanted, and nothing longer than one beside them")
            return None
        squeezed = values.reshape([self.dataset.dimensions[name].size for name in names])
        return squeezed.transpose([names.index(name) for name in dims])

    def grid(self, variable: Any, standard_name: str, dims: tuple[str, str, str]) -> Floats:
        wanted = _VARIABLES[standard_name]
        values = self.arranged(variable, dims)
        unit = str(getattr(variable, "units", "")).strip()
        if unit not in wanted.units:
            found = f"unit '{unit}'" if unit else "no units declared"
            self.fault(variable.name, found, f"units must be one of {', '.join(wanted.units)}")
        if values is None or unit not in wanted.units:
            return np.empty((0, 0, 0))
        inside = values * wanted.units[unit].factor + wanted.units[unit].offset
        known = inside[np.isfinite(inside)]
        if known.size and (known.min() < wanted.lowest or known.max() > wanted.highest):
            found = f"values from {known.min():.4g} to {known.max():.4g} {wanted.inside}"
            self.fault(
                variable.name,
                found,
                f"monthly means lie within {wanted.lowest:g} to {wanted.highest:g}; are the units right?",
            )
        return inside

    def rows(self, lat: Floats) -> Indices:
        order = np.argsort(lat)
        if not (np.all(np.abs(lat) <= 90) and len(lat) > 1 and np.all(np.diff(lat[order]) > 0)):
            self.fault(
                "latitude",
                "latitudes repeat, leave -90 to 90, or are fewer than two",
                "two or more different ones are wanted",
            )
        return order

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


def _values(variable: Any) -> Floats:
    return np.ma.filled(np.ma.asarray(variable[:], dtype=float), np.nan)


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
    except (ValueError, OverflowError, TypeError):
        return None
    return [int(date.month) for date in dates]


# ---------------------------------------------------------------- along a track


class _Between(NamedTuple):
    """Each node's two grid lines on one axis, the share of the second, and whether the grid reaches it."""

    first: Indices
    second: Indices
    share: Floats
    reached: Flags


def along(climate: Climate, lat_deg: ArrayLike, lon_deg: ArrayLike) -> TrackClimate:
    """The climate at nodes, given in degrees by any longitude convention, by bilinear interpolation.

    Cells without a value are left out and the weights of the others stretched to make one. Up to half a cell
    beyond the outermost line of the grid its edge is used. What is interpolated is the vector mean and the
    *square* of sigma, and the mean speed is made from them again: interpolating the mean speed itself would,
    between two winds that oppose each other, count the difference of their means as spread. Raises
    InputFaults where the grid does not reach the track, RouteRefused at a node with no wind in some month.
    """
    lat, lon = np.atleast_1d(np.asarray(lat_deg, float)), np.atleast_1d(np.asarray(lon_deg, float))
    corners, weights, reached = around(climate.lat_deg, climate.lon_deg, lat, lon)
    _refuse_outside(climate, lat, lon, reached)
    east, north, speed = (
        grid[corners] for grid in (climate.wind_east_kn, climate.wind_north_kn, climate.wind_speed_kn)
    )
    windy = np.isfinite(east + north + speed) * weights
    _refuse_windless(climate, lat, lon, windy.sum(axis=-1) > 0)
    variance = known_mean(sigma_from_means(np.hypot(east, north), speed) ** 2, windy)
    east_kn, north_kn, sigma_kn = known_mean(east, windy), known_mean(north, windy), np.sqrt(variance)
    return TrackClimate(
        wind_east_kn=east_kn,
        wind_north_kn=north_kn,
        sigma_kn=sigma_kn,
        speed_kn=rice_mean(np.hypot(east_kn, north_kn), sigma_kn),
        air_c=known_mean(climate.air_c[corners], weights),
        sea_c=known_mean(climate.sea_c[corners], weights),
        cloud=known_mean(climate.cloud[corners], weights),
        few_reports=known_mean(climate.few_reports[corners].astype(float), windy) >= 0.5,
    )


def rests_on_few_reports(track: TrackClimate, months: Iterable[int]) -> Flags:
    """Which nodes (nodes,) rest on few ship reports in any of the months (0 January ... 11 December)."""
    return np.asarray(track.few_reports[sorted(set(months))].any(axis=0))


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


def _place(lat: float, lon: float) -> str:
    lon = (lon + 180) % 360 - 180
    return f"{abs(lat):.1f} {'N' if lat >= 0 else 'S'} {abs(lon):.1f} {'E' if lon >= 0 else 'W'}"


def _refuse_outside(climate: Climate, lat: Floats, lon: Floats, reached: Flags) -> None:
    if reached.all():
        return
    node = int(np.argmin(reached))
    found = f"the grid does not reach the track at {_place(lat[node], lon[node])}"
    raise InputFaults([Fault(climate.file, 0, "", found, "a grid that covers the whole track is wanted")])


def _refuse_windless(climate: Climate, lat: Floats, lon: Floats, windy: Flags) -> None:
    if windy.all():
        return
    node = int(np.argmin(windy.all(axis=0)))
    months = ", ".join(MONTHS[month] for month in range(12) if not windy[month, node])
    place = _place(lat[node], lon[node])
    raise RouteRefused(f"{climate.file} knows no wind at {place} in {months}; lead the track where ships have reported")


# ---------------------------------------------------------------- through the year


def month_weights(time_utc: ArrayLike) -> tuple[Indices, Indices, Floats]:
    """Which two mid-months a time lies between: (month0, month1, weight1), months 0-11, weight1 in [0, 1).

    time_utc: array of numpy datetime64, any shape. The value then is month0's * (1 - weight1) + month1's *
    weight1: linear between the middles of calendar months, continuous over December-January, leap years
    included.
    """
    time = np.asarray(time_utc, dtype="datetime64[s]")
    month = time.astype("datetime64[M]")
    month = np.where(time < _middle(month), month - 1, month)
    begin = _middle(month)
    weight = (time - begin) / (_middle(month + 1) - begin)
    first = month.astype(np.intp) % 12  # datetime64[M] counts months from January 1970
    return first, (first + 1) % 12, np.asarray(weight, float)


def _middle(month: NDArray[np.datetime64]) -> NDArray[np.datetime64]:
    begin = month.astype("datetime64[s]")
    half: NDArray[np.timedelta64] = ((month + 1).astype("datetime64[s]") - begin) // 2
    return np.asarray(begin + half)
