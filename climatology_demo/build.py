"""Builds climatology.nc from the two source files named in SOURCES.md:

    python climatology_demo/build.py FOLDER_WITH_THE_TWO_FILES

The same sources give the same arrays: nothing of the clock or the machine goes into the file.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any, NamedTuple

import netCDF4
import numpy as np
from numpy.typing import NDArray

from passage.inputs import sparse
from passage.inputs.monthly import around, known_mean
from passage.inputs.reports import without_error

Floats = NDArray[np.float64]

SHIPS = "coads_climatology.cdf"
HEAT = "esku_heat_budget.cdf"
OUT = Path(__file__).with_name("climatology.nc")
KNOTS_PER_M_S = 3600 / 1852
BOX_CELLS = 5  # 2-degree cells in the area of one box of 5 by 4 degrees
UNKNOWN = sparse.FEW - 1  # weight of a cell whose reports nobody counted: flagged, but it stands
MISSING = {"i2": -32768, "i1": -128}


class Field(NamedTuple):
    """One packed variable of the output: how it is named, in what steps it is written."""

    name: str
    standard_name: str
    units: str
    step: float
    kind: str
    long_name: str


FIELDS = (
    Field("uwnd", "eastward_wind", "m s-1", 0.002, "i2", "eastward part of the vector mean wind"),
    Field("vwnd", "northward_wind", "m s-1", 0.002, "i2", "northward part of the vector mean wind"),
    Field("wspd", "wind_speed", "m s-1", 0.002, "i2", "mean of the wind speeds"),
    Field("airt", "air_temperature", "degC", 0.01, "i2", "air temperature"),
    Field("sst", "sea_surface_temperature", "degC", 0.01, "i2", "sea surface temperature"),
    Field("humidity", "specific_humidity", "g kg-1", 0.25, "i1", "water vapour in the air by mass"),
    Field("cloud", "cloud_area_fraction", "1", 0.01, "i1", "share of the sky under cloud"),
    Field("reports", "number_of_observations", "1", 1, "i2", "estimated ship reports behind the month's cell"),
)

ABOUT = {
    "Conventions": "CF-1.10",
    "title": "Monthly wind, warmth, humidity and cloud over the sea from ship reports (COADS 1946-1989)",
    "institution": "Data: NOAA; cloud and numbers of reports: Oregon State University",
    "source": "surface marine observations: coads_climatology.cdf, esku_heat_budget.cdf of ferret-datasets 7.6.0-5",
    "references": (
        "Woodruff, Slutz, Jenne and Steurer 1987, A Comprehensive Ocean-Atmosphere Data Set, "
        "Bull. Amer. Meteor. Soc. 68, 1239-1250; Esbensen and Kushnir 1981, The Heat Budget of the Global Ocean: "
        "An Atlas Based on Estimates from Surface Marine Observations, Climatic Research Institute Report 29, "
        "Oregon State University"
    ),
    "license": "Distributed by NOAA, United States government, as public domain; conditions in SOURCES.md",
    "comment": (
        "Not for gales: winds spread about these means by one normal law give wrong hours of force 8. "
        "A climatology is no forecast. See SOURCES.md for what was dropped, smoothed and filled."
    ),
}


# ---------------------------------------------------------------- the sources, on one grid


def read(file: Path, names: tuple[str, ...]) -> list[Floats]:
    """Variables of a source file as float arrays, NaN where missing."""
    with netCDF4.Dataset(file) as dataset:
        return [np.ma.filled(np.ma.asarray(dataset[name][:], dtype=float), np.nan) for name in names]


def ring(lon_deg: Floats) -> tuple[NDArray[np.intp], Floats]:
    """Order of the columns, and longitudes ascending in [-180, 180)."""
    lon = (lon_deg + 180) % 360 - 180
    order = np.argsort(lon)
    return order, lon[order]


def report_counts(log_count: Floats, box_lat: Floats, box_lon: Floats, lat: Floats, lon: Floats) -> Floats:
    """Reports per 2-degree cell (12, ny, nx) from log10 of those per box: an even share of the box the cell lies in.

    A box nobody counted (coasts) takes the least of the counted boxes around it, and is NaN where there is none.
    """
    counts = 10**log_count / BOX_CELLS
    counts = np.where(np.isfinite(counts), counts, least_around(counts))
    row = np.abs(box_lat[:, None] - lat).argmin(axis=0)
    column = np.abs((box_lon[:, None] - lon + 180) % 360 - 180).argmin(axis=0)
    return counts[:, row][:, :, column]


def least_around(boxes: Floats) -> Floats:
    framed = np.pad(np.where(np.isfinite(boxes), boxes, np.inf), ((0, 0), (1, 1), (0, 0)), constant_values=np.inf)
    column = np.minimum(np.minimum(framed[:, :-2], framed[:, 1:-1]), framed[:, 2:])
    least = np.minimum(np.minimum(np.roll(column, 1, axis=2), np.roll(column, -1, axis=2)), column)
    return np.where(np.isfinite(least), least, np.nan)


def cloud_cover(cloud: Floats, box_lat: Floats, box_lon: Floats, lat: Floats, lon: Floats) -> Floats:
    """Cloud on the 2-degree grid: bilinear between boxes, then filled towards coasts like everything else."""
    corners, weights, _ = around(box_lat, box_lon, *np.meshgrid(lat, lon, indexing="ij"))
    between = known_mean(cloud[corners], weights)
    return sparse.smooth(between, np.full_like(between, sparse.ENOUGH), lat)


def build(folder: Path) -> tuple[Floats, Floats, dict[str, Floats], NDArray[np.bool_], sparse.Mended]:
    """Latitudes, longitudes, the fields of FIELDS by standard name in their units, and the few-reports flag."""
    lon, lat, east, north, speed, air, sea, vapour = read(
        folder / SHIPS, ("COADSX", "COADSY", "UWND", "VWND", "WSPD", "AIRT", "SST", "SPEH")
    )
    box_lon, box_lat, cloud, log_count = read(folder / HEAT, ("ESKUX", "ESKUY", "CLD", "KSPD"))
    order, lon = ring(lon)
    east, north, speed, air, sea, vapour = (grid[:, :, order] for grid in (east, north, speed, air, sea, vapour))
    box_order, box_lon = ring(box_lon)
    cloud, log_count = cloud[:, :, box_order], log_count[:, :, box_order]

    counted = report_counts(log_count, box_lat, box_lon, lat, lon)
    reports = np.where(np.isfinite(counted), counted, UNKNOWN)
    mended = sparse.mend_wind(east * KNOTS_PER_M_S, north * KNOTS_PER_M_S, speed * KNOTS_PER_M_S, reports, lat)
    reported_kn = np.hypot(mended.east_kn, mended.north_kn)
    vector_kn, speed_kn = without_error(reported_kn, mended.speed_kn)
    longer = vector_kn / np.where(reported_kn > 0, reported_kn, 1.0)
    fields = {
        "eastward_wind": longer * mended.east_kn / KNOTS_PER_M_S,
        "northward_wind": longer * mended.north_kn / KNOTS_PER_M_S,
        "wind_speed": speed_kn / KNOTS_PER_M_S,
        "air_temperature": sparse.smooth(air, reports, lat),
        "sea_surface_temperature": sparse.smooth(sea, reports, lat),
        "specific_humidity": sparse.smooth(vapour, reports, lat),
        "cloud_area_fraction": cloud_cover(cloud, box_lat, box_lon, lat, lon),
        "number_of_observations": np.where(np.isfinite(speed), counted, 0),
    }
    sailed = np.isfinite(mended.speed_kn)
    return lat, lon, {name: np.where(sailed, grid, np.nan) for name, grid in fields.items()}, mended.few_reports, mended


# ---------------------------------------------------------------- packing


def packed(values: Floats, step: float, kind: str) -> tuple[NDArray[Any], float]:
    """Whole steps with MISSING for NaN, and the largest error of rounding to them."""
    steps = np.round(values / step)
    if np.nanmax(np.abs(steps)) >= -MISSING[kind]:
        raise ValueError(f"a step of {step} is too fine for {kind}")
    error = float(np.nanmax(np.abs(steps * step - values)))
    return np.where(np.isfinite(values), steps, MISSING[kind]).astype(kind), error


def write_axes(dataset: Any, lat: Floats, lon: Floats) -> None:
    """Latitude, longitude and the climatological months of 1946-1989 (CF conventions, section 7.4)."""
    for name, length in (("time", 12), ("lat", len(lat)), ("lon", len(lon)), ("bounds", 2)):
        dataset.createDimension(name, length)
    for name, values in (("lat", lat), ("lon", lon)):
        axis = dataset.createVariable(name, "f4", (name,))
        axis[:] = values
        axis.standard_name = {"lat": "latitude", "lon": "longitude"}[name]
        axis.units = {"lat": "degrees_north", "lon": "degrees_east"}[name]
    first = np.datetime64("1946-01") + np.arange(13)
    last = np.datetime64("1989-01") + np.arange(13)
    days = [(month.astype("datetime64[D]") - np.datetime64("1946-01-01")).astype(float) for month in (first, last)]
    time = dataset.createVariable("time", "f8", ("time",))
    time.setncatts({"standard_name": "time", "units": "days since 1946-01-01", "calendar": "standard"})
    time.climatology = "climatology_bounds"
    time[:] = (days[0][:-1] + days[0][1:]) / 2
    dataset.createVariable("climatology_bounds", "f8", ("time", "bounds"))[:] = np.stack((days[0][:-1], days[1][1:]), 1)


def write_field(dataset: Any, field: Field, values: Floats) -> str:
    """Adds one packed variable; gives a line about its range and its rounding error."""
    steps, error = packed(values, field.step, field.kind)
    variable = dataset.createVariable(
        field.name,
        field.kind,
        ("time", "lat", "lon"),
        zlib=True,
        complevel=9,
        shuffle=True,
        fill_value=MISSING[field.kind],
    )
    variable.set_auto_maskandscale(False)
    variable[:] = steps
    variable.setncatts(
        {
            "standard_name": field.standard_name,
            "long_name": field.long_name,
            "units": field.units,
            "scale_factor": field.step,
            "cell_methods": "time: mean within years time: mean over years",
            "largest_rounding_error": error,
        }
    )
    low, high = np.nanmin(values), np.nanmax(values)
    return f"{field.standard_name:25s} {low:9.3f} to {high:9.3f} {field.units:6s} largest rounding error {error:.6f}"


def write_flag(dataset: Any, few: NDArray[np.bool_]) -> None:
    flag = dataset.createVariable("few_reports", "i1", ("time", "lat", "lon"), zlib=True, complevel=9)
    flag[:] = few
    flag.setncatts(
        {
            "long_name": "wind rests on under 30 ship reports of this cell, on an unknown number, or on neighbours",
            "flag_values": np.array([0, 1], "i1"),
            "flag_meanings": "enough_reports few_reports",
        }
    )


def write(file: Path, folder: Path) -> list[str]:
    """Builds the climatology into the file; gives the lines to print."""
    lat, lon, fields, few, mended = build(folder)
    with netCDF4.Dataset(file, "w", format="NETCDF4") as dataset:
        dataset.setncatts(ABOUT)
        write_axes(dataset, lat, lon)
        lines = [write_field(dataset, field, fields[field.standard_name]) for field in FIELDS]
        write_flag(dataset, few)
    known = np.isfinite(mended.speed_kn)
    lines.append(f"cells with wind {known.sum()}, on few reports {few.sum()}, dropped {mended.dropped.sum()}")
    return [*lines, f"{file.name}: {file.stat().st_size} bytes"]


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    print("\n".join(write(OUT, Path(sys.argv[1]))))
