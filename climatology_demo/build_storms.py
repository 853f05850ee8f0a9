"""Builds storms.nc from the data of Debian's package r-cran-dplyr:

    python climatology_demo/build_storms.py /usr/lib/R/site-library/dplyr/data/Rdata.rdb

It needs ``pyreadr``, which is needed for nothing else. The same source gives the same arrays: nothing of the clock or
the machine goes into the file. What was done to the record: SOURCES.md.
"""

from __future__ import annotations

import gzip
import sys
import tempfile
import zlib
from pathlib import Path
from typing import TYPE_CHECKING, Any

import netCDF4
import numpy as np
import pandas as pd

if TYPE_CHECKING:
    from collections.abc import Iterator

OUT = Path(__file__).with_name("storms.nc")
MARK = b"tropicalstorm_force_diameter"
YEARS = (1991, 2020)
GALE_KN = 34
WIND_CLASSES_KN = [50, 64, 83]  # gale, storm, hurricane, strong hurricane
LATITUDES_DEG = [20, 30]

ABOUT = {
    "Conventions": "CF-1.10",
    "title": "Named storms of the North Atlantic, six-hourly, 1991-2020",
    "institution": "Data: NOAA, US National Hurricane Center",
    "source": "Atlantic hurricane database (HURDAT2) as carried by dplyr 1.0.10, data set 'storms'",
    "references": (
        "Landsea and Franklin 2013, Atlantic Hurricane Database Uncertainty and Presentation of a New Database Format, "
        "Mon. Wea. Rev. 141, 3576-3592"
    ),
    "license": "Work of the United States government, public domain; the package is under the MIT licence",
    "comment": "About one named storm in six of these years is missing. See SOURCES.md.",
}
FIELDS = {
    "lat": ("latitude of the centre", "degrees_north", "i2", 0.1),
    "lon": ("longitude of the centre", "degrees_east", "i2", 0.1),
    "wind": ("greatest sustained wind", "knot", "i2", 1),
    "radius": ("how far from the centre 34 knots blow: half the longer diagonal of four quadrants", "nmi", "i2", 1),
    "measured": (
        "1 where the radius is on record (from 2004), 0 where it is the usual",
        "1",
        "i1",
        1,
    ),
    "storm": ("number of the storm", "1", "i2", 1),
}


def read(file: Path) -> pd.DataFrame:
    """The data set 'storms' of the package's data base, as it is there."""
    import pyreadr

    (found,) = (each for each in unpacked(file.read_bytes()) if MARK in each and len(each) > 100_000)
    with tempfile.TemporaryDirectory() as folder:
        alone = Path(folder) / "storms.rds"
        alone.write_bytes(gzip.compress(found))
        return pyreadr.read_r(str(alone))[None]


def unpacked(packed: bytes) -> Iterator[bytes]:
    """What stands one after another in an .rdb file: four bytes of length, then a zlib stream."""
    while packed:
        stream = zlib.decompressobj()
        yield stream.decompress(packed[4:]) + stream.flush()
        packed = stream.unused_data


def fixes(raw: pd.DataFrame) -> pd.DataFrame:
    """Six-hourly fixes of gale force and more, with a radius each, in the order of time and storm."""
    kept = raw[raw.year.between(*YEARS) & (raw.wind >= GALE_KN) & (raw.hour % 6 == 0)].copy()
    kept["time"] = pd.to_datetime({name: kept[name].astype(int) for name in ("year", "month", "day", "hour")})
    kept["storm"] = pd.factorize(kept.name + kept.year.astype(int).astype(str))[0]
    across = pd.to_numeric(kept.tropicalstorm_force_diameter, errors="coerce")
    kept["measured"] = across > 0
    kind = np.digitize(kept.wind, WIND_CLASSES_KN) * 10 + np.digitize(kept.lat, LATITUDES_DEG)
    half = (across / 2).where(kept.measured)
    usual = half.groupby(kind).median()
    kept["radius"] = half.fillna(pd.Series(kind, index=kept.index).map(usual)).round()
    return kept.rename(columns={"long": "lon"}).sort_values(["time", "storm"], kind="stable")


def write(out: Path, file: Path) -> list[str]:
    """Builds the file; gives the lines to print."""
    kept = fixes(read(file))
    with netCDF4.Dataset(out, "w", format="NETCDF4") as dataset:
        dataset.setncatts(ABOUT | {"first_year": np.int16(YEARS[0]), "last_year": np.int16(YEARS[1])})
        dataset.createDimension("fix", len(kept))
        hours = (kept.time - pd.Timestamp("1970-01-01")) // pd.Timedelta(hours=1)
        _variable(dataset, "time", "i4", hours.to_numpy(), {"units": "hours since 1970-01-01", "standard_name": "time"})
        for name, (words, unit, kind, step) in FIELDS.items():
            steps = np.round(kept[name].to_numpy(float) / step).astype(kind)
            _variable(dataset, name, kind, steps, {"long_name": words, "units": unit, "scale_factor": step})
    storms, measured = kept.storm.nunique(), int(kept.measured.sum())
    return [
        f"{len(kept)} fixes of {storms} storms, {storms / (YEARS[1] - YEARS[0] + 1):.1f} a year",
        f"radius on record: {measured}; the usual one: {len(kept) - measured}",
        f"{out.name}: {out.stat().st_size} bytes",
    ]


def _variable(dataset: Any, name: str, kind: str, steps: np.ndarray[Any, Any], about: dict[str, Any]) -> None:
    variable = dataset.createVariable(name, kind, ("fix",), zlib=True, complevel=9, shuffle=True)
    variable.setncatts(about)
    variable.set_auto_maskandscale(False)
    variable[:] = steps


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    print("\n".join(write(OUT, Path(sys.argv[1]))))
