"""The crossings themselves as CF-NetCDF, every attribute of a variable from the one schema table."""

from __future__ import annotations

import re
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from passage import __version__
from passage.crossings.ensemble import to_dataset

if TYPE_CHECKING:
    import xarray as xr

    from passage.crossings.ensemble import Crossings
    from passage.road import Outcome


def export(outcome: Outcome) -> bytes:
    """NetCDF-4; the hour is CF's time, UTC, the member its realization, latitude and longitude go with every value."""
    dataset = _described(to_dataset(outcome.crossings), outcome.crossings)
    packed = {name: {"zlib": True, "complevel": 4} for name in dataset.data_vars}
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "crossings.nc"
        dataset.to_netcdf(path, engine="netcdf4", encoding=packed)
        return path.read_bytes()


def _described(dataset: xr.Dataset, crossings: Crossings) -> xr.Dataset:
    """With what CF wants said of the axes and of the flags."""
    dataset = dataset.set_coords(["lat_deg", "lon_deg"])
    dataset["hour"].attrs = {
        "units": f"hours since {crossings.depart:%Y-%m-%d %H:%M:%S}",
        "calendar": "standard",
        "standard_name": "time",
        "long_name": "when the hour begins, UTC",
        "axis": "T",
    }
    dataset["member"].attrs = {"units": "1", "standard_name": "realization", "long_name": "which crossing, from 0"}
    flags = re.findall(r"(\d) ([a-z ]+)", dataset["state"].attrs["long_name"])
    dataset["state"].attrs |= {
        "flag_values": np.array([value for value, _ in flags], dtype=np.uint8),
        "flag_meanings": " ".join(meaning.strip().replace(" ", "_") for _, meaning in flags),
    }
    dataset.attrs["source"] = f"passage {__version__}, from a climatology of the wind"
    return dataset
