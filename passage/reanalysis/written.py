"""The climate file of a record: what ``inputs.climate`` and ``inputs.years`` read, and what was counted beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.reanalysis.sums import Record

MISSING = -32768
BY_MONTH = {  # of the record: name in the file, standard name, unit, step, meaning
    "east_ms": ("uwnd", "eastward_wind", "m s-1", 0.002, "eastward part of the vector mean wind"),
    "north_ms": ("vwnd", "northward_wind", "m s-1", 0.002, "northward part of the vector mean wind"),
    "speed_ms": ("wspd", "wind_speed", "m s-1", 0.002, "mean of the wind speeds"),
    "spread_ms": ("spread", "", "m s-1", 0.002, "spread of each part of the wind about the vector mean, measured"),
    "strong_share": ("strong", "", "1", 0.0001, "share of the hours with 28 knots and more, counted"),
    "gale_share": ("gale", "", "1", 0.0001, "share of the hours with 34 knots and more, counted"),
    "persistence_h": ("persistence", "", "h", 0.1, "e-folding of the wind's departures from the mean, measured"),
}
OFF_STEP_MS = 0.02


def climate_file(record: Record, title: str, years: tuple[int, int]) -> bytes:
    """The file, whole in memory, for whoever keeps it."""
    import netCDF4

    dataset = netCDF4.Dataset("climate", "w", format="NETCDF4", memory=1 << 20)
    dataset.setncatts({"Conventions": "CF-1.10", "title": title})
    _axes(dataset, record, years)
    for field, (name, standard, unit, step, words) in BY_MONTH.items():
        about = {"long_name": words, "units": unit} | ({"standard_name": standard} if standard else {})
        _packed(dataset, name, ("time", "lat", "lon"), getattr(record, field), step, about)
    hours = dataset.createVariable("hours", "i4", ("time", "lat", "lon"), zlib=True)
    hours.long_name = "values behind the month"
    hours[:] = record.hours
    if len(record.east_off_ms):
        _years(dataset, record)
    return bytes(dataset.close())


def _axes(dataset: Any, record: Record, years: tuple[int, int]) -> None:
    named = {"lat": ("latitude", "degrees_north", record.lat_deg), "lon": ("longitude", "degrees_east", record.lon_deg)}
    for name, (standard, unit, values) in named.items():
        _axis(dataset, name, values).setncatts({"standard_name": standard, "units": unit})
    first = np.datetime64(f"{years[0]}-01") + np.arange(13)
    days = (first.astype("datetime64[D]") - first[0].astype("datetime64[D]")).astype(float)
    time = _axis(dataset, "time", (days[:-1] + days[1:]) / 2)
    time.setncatts({"standard_name": "time", "units": f"days since {years[0]}-01-01", "calendar": "standard"})


def _years(dataset: Any, record: Record) -> None:
    _axis(dataset, "lat_off", record.lat_off).long_name = "latitude of the middles of blocks"
    _axis(dataset, "lon_off", record.lon_off).long_name = "longitude of the middles of blocks"
    months = _axis(dataset, "month_of_record", np.arange(len(record.east_off_ms), dtype="i4"))
    months.first_year = np.int32(record.first_year)
    dims = ("month_of_record", "lat_off", "lon_off")
    for name, values in (("east_off", record.east_off_ms), ("north_off", record.north_off_ms)):
        _packed(dataset, name, dims, values, OFF_STEP_MS, {"units": "m s-1"})


def _axis(dataset: Any, name: str, values: NDArray[Any]) -> Any:
    dataset.createDimension(name, len(values))
    axis = dataset.createVariable(name, values.dtype, (name,))
    axis[:] = values
    return axis


def _packed(
    dataset: Any, name: str, dims: tuple[str, ...], values: NDArray[np.float64], step: float, about: dict[str, str]
) -> None:
    chunks = (1, *values.shape[1:])
    variable = dataset.createVariable(name, "i2", dims, zlib=True, shuffle=True, fill_value=MISSING, chunksizes=chunks)
    variable.set_auto_maskandscale(False)
    steps = np.where(np.isfinite(values), np.clip(np.round(np.nan_to_num(values) / step), -32767, 32767), MISSING)
    variable[:] = steps.astype("i2")
    variable.setncatts(about | {"scale_factor": step})
