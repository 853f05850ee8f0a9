"""Files of hourly to 6-hourly wind at 10 m, however they are written, as one lazy pair of fields.

NetCDF, Zarr and GRIB; the two parts in one file or apart, a year or a month in each; latitudes either way, longitudes
by any convention, dimensions in any order. The parts are found by CF standard name, else by the names in use.
"""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.errors import Fault, InputFaults, MissingExtra
from passage.inputs.forecast import load_proj_before_eccodes
from passage.inputs.monthly import SPEED

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    import xarray as xr

PARTS = {
    "east": ("eastward_wind", {"u10", "10u", "u10m", "uwnd", "ugrd", "u", "u_10m", "wind_u"}),
    "north": ("northward_wind", {"v10", "10v", "v10m", "vwnd", "vgrd", "v", "v_10m", "wind_v"}),
}
AXES = {
    "time": ("time", "T", {"time", "valid_time"}),
    "lat": ("latitude", "Y", {"lat", "latitude"}),
    "lon": ("longitude", "X", {"lon", "longitude"}),
}
GRIB_ENDINGS = {".grib", ".grib2", ".grb", ".grb2"}
CHUNK = "16MiB"  # of one field at a time; each thread has a few of them
LONGEST_STEP_H = 6.0
WANTED = "hourly to 6-hourly wind at 10 m on latitudes and longitudes is wanted, as CF NetCDF, Zarr or GRIB"


@contextmanager
def open_sources(paths: Sequence[Path]) -> Iterator[xr.Dataset]:
    """One dataset of ``east`` and ``north`` in m/s over (time, lat, lon), all ascending, longitudes in [-180, 180),
    nothing of it read yet. Raises MissingExtra, and InputFaults for what cannot be what it ought to be.
    """
    try:
        import dask
    except ImportError:
        raise MissingExtra("climate", "Making a climate of your own record") from None
    load_proj_before_eccodes()  # xarray looks for all its readers, GRIB's too
    with dask.config.set({"array.chunk-size": CHUNK}):
        opened = [_opened(path) for path in paths]
        try:
            parts = [_told(dataset, path) for dataset, path in zip(opened, paths, strict=True)]
            yield _checked(_joined(parts), paths[0].name)
        finally:
            for dataset in opened:
                dataset.close()


def _opened(path: Path) -> xr.Dataset:
    import xarray as xr

    try:
        if path.is_dir():
            return xr.open_dataset(path, engine="zarr", chunks="auto")
        if path.suffix.lower() in GRIB_ENDINGS:
            return xr.open_dataset(path, engine="cfgrib", chunks="auto", backend_kwargs={"indexpath": ""})
        return xr.open_dataset(path, chunks="auto")
    except (OSError, ValueError, KeyError, RuntimeError, ImportError, EOFError, TypeError) as trouble:
        found = "no such file" if not path.exists() else f"this cannot be read ({type(trouble).__name__})"
        raise InputFaults([Fault(path.name, 0, "", found, WANTED)]) from trouble


def _told(dataset: xr.Dataset, path: Path) -> xr.Dataset:
    """The parts that a file has, named and turned as ours are."""
    file = path.name
    found = {part: _variable(dataset, file, part) for part in PARTS}
    given = {part: array for part, array in found.items() if array is not None}
    if not given:
        raise InputFaults([Fault(file, 0, "eastward_wind", "no part of the wind is in it", WANTED)])
    laid = {part: _laid(array, file) for part, array in given.items()}
    return _ascending(next(iter(laid.values())).to_dataset(name=next(iter(laid))).assign(laid))


def _variable(dataset: xr.Dataset, file: str, part: str) -> Any:
    standard, names = PARTS[part]
    by_standard = [each for each in dataset.data_vars.values() if each.attrs.get("standard_name") == standard]
    found = by_standard or [each for name, each in dataset.data_vars.items() if str(name).lower() in names]
    if len(found) > 1:
        told = ", ".join(str(each.name) for each in found)
        raise InputFaults(
            [Fault(file, 0, standard, f"{len(found)} variables may be it ({told})", "exactly one is wanted")]
        )
    return found[0] if found else None


def _laid(array: Any, file: str) -> Any:
    """(time, lat, lon) in m/s; dimensions of length one fall away."""
    name = str(array.name)
    axes = {ours: _axis(array, *what, file=file) for ours, what in AXES.items()}
    other = [dim for dim in array.dims if dim not in axes.values()]
    longer = [f"{dim} ({array.sizes[dim]})" for dim in other if array.sizes[dim] > 1]
    if longer:
        raise InputFaults(
            [Fault(file, 0, name, f"dimensions {', '.join(longer)} too", "time, latitude and longitude only")]
        )
    unit = str(array.attrs.get("units", "")).strip()
    if unit not in SPEED:
        found = f"unit '{unit}'" if unit else "no units declared"
        raise InputFaults([Fault(file, 0, name, found, f"units must be one of {', '.join(SPEED)}")])
    to_ms = SPEED[unit].factor / SPEED["m s-1"].factor
    plain = array.isel(dict.fromkeys(other, 0), drop=True).rename(
        {dim: ours for ours, dim in axes.items() if dim != ours}
    )
    plain = plain.drop_vars([each for each in plain.coords if each not in AXES]).transpose("time", "lat", "lon")
    return plain * to_ms if to_ms != 1.0 else plain


def _axis(array: Any, standard: str, letter: str, names: set[str], file: str) -> str:
    for dim in array.dims:
        about = array.coords[dim].attrs if dim in array.coords else {}
        named = about.get("standard_name") == standard or about.get("axis") == letter or str(dim).lower() in names
        if named and dim in array.coords:
            return str(dim)
    told = ", ".join(map(str, array.dims))
    raise InputFaults([Fault(file, 0, str(array.name), f"no axis of {standard} among {told}", WANTED)])


def _ascending(dataset: xr.Dataset) -> xr.Dataset:
    import xarray as xr

    if dataset.lat.size > 1 and float(dataset.lat[0]) > float(dataset.lat[-1]):
        dataset = dataset.isel(lat=slice(None, None, -1))
    lon = (dataset.lon.to_numpy().astype(float) + 180.0) % 360.0 - 180.0
    dataset = dataset.assign_coords(lon=lon, lat=dataset.lat.astype(float))
    falls = np.flatnonzero(np.diff(lon) < 0)
    if len(falls) == 1:  # a ring begun elsewhere than at 180: its two halves change places
        cut = int(falls[0]) + 1
        dataset = xr.concat([dataset.isel(lon=slice(cut, None)), dataset.isel(lon=slice(0, cut))], dim="lon")
    return dataset.drop_duplicates("lon")


def _joined(parts: list[xr.Dataset]) -> xr.Dataset:
    """Files of both parts or of one, of one time or of several."""
    import xarray

    whole = []
    for part in PARTS:
        pieces = sorted((each[part] for each in parts if part in each), key=lambda each: each.time.to_numpy()[0])
        if not pieces:
            raise InputFaults([Fault("sources", 0, PARTS[part][0], "in none of the files", "both parts are wanted")])
        try:
            whole.append(xarray.concat(pieces, dim="time", join="exact") if len(pieces) > 1 else pieces[0])
        except ValueError as trouble:
            found = "the files stand on different grids"
            raise InputFaults([Fault("sources", 0, part, found, "files of one grid are wanted")]) from trouble
    try:
        east, north = xarray.align(*whole, join="exact")
    except ValueError as trouble:
        found = "the two parts stand on different times or grids"
        raise InputFaults([Fault("sources", 0, "", found, "both parts of every hour are wanted")]) from trouble
    return xarray.Dataset({"east": east, "north": north})


def _checked(fields: xr.Dataset, file: str) -> xr.Dataset:
    """Raises InputFaults for times and grids that no record has."""
    times, faults = fields.time.to_numpy(), []
    if not np.issubdtype(times.dtype, np.datetime64):
        faults.append(Fault(file, 0, "time", "its calendar is not ours", "dates of the standard calendar are wanted"))
    elif len(times) < 2 or (steps := np.diff(times)).min() <= np.timedelta64(0):
        faults.append(Fault(file, 0, "time", "times repeat or run backwards", "each hour once, in order, is wanted"))
    elif float(np.median(steps) / np.timedelta64(1, "h")) > LONGEST_STEP_H:
        step_h = float(np.median(steps) / np.timedelta64(1, "h"))
        faults.append(Fault(file, 0, "time", f"{step_h:g} hours from one to the next", WANTED))
    elif len(missing := set(range(1, 13)) - set(fields.time.dt.month.to_numpy().tolist())):
        told = ", ".join(map(str, sorted(missing)))
        faults.append(Fault(file, 0, "time", f"no hours of month {told}", "every month of the year is wanted"))
    for name in ("lat", "lon"):
        axis = fields[name].to_numpy()
        if len(axis) < 2 or not (np.diff(axis) > 0).all() or np.abs(axis).max() > 180.0:
            faults.append(Fault(file, 0, name, "values repeat, jump or are fewer than two", WANTED))
    if faults:
        raise InputFaults(faults)
    return fields
