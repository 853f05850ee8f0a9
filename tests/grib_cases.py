"""GRIB messages made for the tests; the winds are invented."""

from __future__ import annotations

import sqlite3  # noqa: F401  # before eccodes, as in passage.inputs.forecast
from typing import TYPE_CHECKING

import eccodes
import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from pathlib import Path

LAT, LON = np.arange(0.0, -31.0, -2.0), np.arange(340.0, 361.0, 2.0)  # north to south, eastward, up to Greenwich
WIDE_LAT, WIDE_LON = np.arange(0.0, -41.0, -2.0), np.arange(340.0, 381.0, 2.0)


def message(
    parameter: int,
    value: float,
    step_h: int,
    member: int | None = None,
    edition: int = 2,
    issued: tuple[int, int] = (20270201, 0),
    missing: bool = False,
    lat: np.ndarray = LAT,
    lon: np.ndarray = LON,
) -> bytes:
    """One field, the same everywhere (m/s). parameter: ecCodes' paramId; issued: (yyyymmdd, hhmm)."""
    handle = eccodes.codes_grib_new_from_samples("regular_ll_sfc_grib1" if edition == 1 else "regular_ll_pl_grib2")
    keys: dict[str, int | float | str] = {"Ni": len(lon), "Nj": len(lat)}
    keys |= {"latitudeOfFirstGridPointInDegrees": lat[0], "latitudeOfLastGridPointInDegrees": lat[-1]}
    keys |= {"longitudeOfFirstGridPointInDegrees": lon[0], "longitudeOfLastGridPointInDegrees": lon[-1] % 360}
    keys |= {"iDirectionIncrementInDegrees": 2.0, "jDirectionIncrementInDegrees": 2.0, "jScansPositively": 0}
    if member is not None:
        keys |= {"productDefinitionTemplateNumber": 1, "number": member}
    keys |= {"paramId": parameter, "dataDate": issued[0], "dataTime": issued[1], "step": step_h}
    for key, setting in keys.items():
        eccodes.codes_set(handle, key, setting)
    values = np.full(len(lon) * len(lat), value)
    if missing:
        eccodes.codes_set(handle, "bitmapPresent", 1)
        values[:] = eccodes.codes_get(handle, "missingValue")
    eccodes.codes_set_values(handle, values)
    try:
        return bytes(eccodes.codes_get_message(handle))
    finally:
        eccodes.codes_release(handle)


def write(
    path: Path,
    wind: Callable[[int, int], tuple[float, float]] = lambda step_h, member: (5.0, -3.0),
    steps_h: Iterable[int] = range(0, 241, 6),
    members: int = 1,
    edition: int = 2,
    issued: tuple[int, int] = (20270201, 0),
    wide: bool = False,
) -> Path:
    """A forecast of the same wind everywhere: ``wind(step_h, member)`` towards east and north, m/s. wide: to 40 S and
    20 E.
    """
    lat, lon = (WIDE_LAT, WIDE_LON) if wide else (LAT, LON)
    with path.open("wb") as file:
        for step_h in steps_h:
            for member in range(members):
                for parameter, value in zip((165, 166), wind(step_h, member), strict=True):
                    number = member if members > 1 else None
                    file.write(message(parameter, value, step_h, number, edition, issued, lat=lat, lon=lon))
    return path
