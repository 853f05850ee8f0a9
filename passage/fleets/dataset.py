"""The store as a Dataset: what a researcher works with."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import xarray as xr

from passage.fleets.schema import CELL, KEY, REFUSED, VARIABLES

if TYPE_CHECKING:
    from pathlib import Path

    import pandas as pd


class FleetDataset(xr.Dataset):
    """An ``xarray.Dataset`` over boat, track, departure and climate that is a table too. Of what is not sailed every
    figure is not a number; ``refused`` says why.
    """

    __slots__ = ()

    def to_frame(self) -> pd.DataFrame:
        """A row for every cell, a column for every figure; what has one for each share or store is a column for each,
        ``short_share.water``. Crossings one by one and arrivals by day are left out. ``attrs`` give the units.
        """
        columns: dict[str, Any] = {}
        units = {}
        for variable in VARIABLES:
            if set(variable.beside) & {"member", "day"}:
                continue
            for name, values in _columns(self, variable.name, variable.beside):
                columns[name], units[name] = values, variable.unit
        table = xr.Dataset(columns | {REFUSED: self[REFUSED]}).to_dataframe(dim_order=list(CELL)).reset_index()
        table.attrs["units"] = units
        return table


def _columns(dataset: xr.Dataset, name: str, beside: tuple[str, ...]) -> list[tuple[str, Any]]:
    if not beside:
        return [(name, dataset[name])]
    axis = beside[0]
    return [(f"{name}.{each:}", dataset[name].sel({axis: each}, drop=True)) for each in dataset[axis].values.tolist()]


def open_store(folder: Path) -> FleetDataset:
    """Read when it is asked for, variable by variable."""
    found = xr.open_zarr(folder, chunks=None, consolidated=True)
    texts = {name: found[name].load().fillna("") for name in (REFUSED, KEY)}
    whole = found.assign(texts)
    return FleetDataset(whole.data_vars, coords=whole.coords, attrs=whole.attrs)
