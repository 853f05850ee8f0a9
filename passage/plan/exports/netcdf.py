"""The crossings themselves as CF-NetCDF, every attribute of a variable from the one schema table."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from passage import __version__
from passage.crossings.ensemble import to_dataset

if TYPE_CHECKING:
    from passage.road import Outcome


def export(outcome: Outcome) -> bytes:
    """NetCDF-4; the hour is CF's time, UTC, the member its realization, latitude and longitude go with every value."""
    dataset = to_dataset(outcome.crossings)
    dataset.attrs["source"] = f"passage {__version__}, from a climatology of the wind"
    packed = {name: {"zlib": True, "complevel": 4} for name in dataset.data_vars}
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "crossings.nc"
        dataset.to_netcdf(path, engine="netcdf4", encoding=packed)
        return path.read_bytes()
