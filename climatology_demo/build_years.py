"""Builds years.nc from monthly_navy_winds.cdf of Debian's package ferret-datasets:

    python climatology_demo/build_years.py /usr/share/ferret-vis/data/monthly_navy_winds.cdf

The same source gives the same arrays: nothing of the clock or the machine goes into the file. What was done:
SOURCES.md.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import netCDF4
import numpy as np

OUT = Path(__file__).with_name("years.nc")
FIRST_YEAR = 1982
STEP_MS = 0.25
NORTHMOST_DEG = 65.0  # beyond it few sail, and ice

ABOUT = {
    "Conventions": "CF-1.10",
    "title": "Monthly mean winds of 1982 to 1992 as departures from their mean",
    "institution": "Data: Fleet Numerical Oceanography Center, United States Navy",
    "source": "monthly_navy_winds.cdf of ferret-datasets 7.6.0-5",
    "license": "Distributed by NOAA, United States government, as public domain; conditions in SOURCES.md",
    "comment": "Monthly means: no day of these years is in them, and no storm. See SOURCES.md.",
}


def departures(file: Path) -> tuple[np.ndarray[Any, Any], ...]:
    """Latitudes, longitudes (-180 to 180, ascending), and the two parts' departures in m/s, (months, lat, lon)."""
    with netCDF4.Dataset(file) as data:
        lat, lon = (np.asarray(data[name][:], float) for name in ("FNOCY", "FNOCX"))
        parts = [np.asarray(data[name][:], float) for name in ("UWND", "VWND")]
    rows = np.abs(lat) <= NORTHMOST_DEG
    order = np.argsort((lon + 180) % 360)
    pairs = order.reshape(-1, 2)  # two columns of 2.5 degrees make one of 5
    lon = ((lon + 180) % 360 - 180)[pairs].mean(axis=1)
    thinned = [part[:, rows][:, :, pairs].mean(axis=3) for part in parts]
    by_year = [part.reshape(-1, 12, *part.shape[1:]) for part in thinned]
    return lat[rows], lon, *((part - part.mean(axis=0)).reshape(-1, *part.shape[2:]) for part in by_year)


def write(out: Path, file: Path) -> list[str]:
    """Builds the file; gives the lines to print."""
    lat, lon, east, north = departures(file)
    with netCDF4.Dataset(out, "w", format="NETCDF4") as dataset:
        dataset.setncatts(ABOUT)
        _axis(dataset, "lat", lat, "degrees_north")
        _axis(dataset, "lon", lon, "degrees_east")
        _axis(dataset, "month_of_record", np.arange(len(east), dtype="i2"), "1")
        dataset["month_of_record"].first_year = np.int16(FIRST_YEAR)
        for name, part in (("east_off", east), ("north_off", north)):
            variable = dataset.createVariable(
                name, "i1", ("month_of_record", "lat", "lon"), zlib=True, complevel=9, chunksizes=part.shape
            )
            variable.setncatts({"units": "m s-1", "scale_factor": STEP_MS, "largest_rounding_error": STEP_MS / 2})
            variable.set_auto_maskandscale(False)
            variable[:] = np.round(part / STEP_MS).astype("i1")
    most = max(np.abs(part).max() for part in (east, north))
    return [f"{len(east)} months, {len(lat)} x {len(lon)} cells, at most {most:.1f} m/s", f"{out.stat().st_size} bytes"]


def _axis(dataset: Any, name: str, values: np.ndarray[Any, Any], unit: str) -> None:
    dataset.createDimension(name, len(values))
    dataset.createVariable(name, values.dtype, (name,))[:] = values
    dataset[name].units = unit


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    print("\n".join(write(OUT, Path(sys.argv[1]))))
