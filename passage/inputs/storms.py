"""Named storms on record: where they were every six hours, and how far out they blew a gale. North Atlantic only."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.shipped import shipped

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# The waters of the record: west of Africa and Europe, east of the Americas. (south, north, west, east), degrees.
WATERS = (
    (18.0, 65.0, -98.0, 0.0),
    (15.0, 18.0, -90.0, 0.0),
    (9.4, 15.0, -84.0, 0.0),
    (7.0, 9.4, -77.0, 0.0),
    (0.0, 7.0, -55.0, 0.0),
)


@dataclass(frozen=True, eq=False)
class StormRecord:
    """Six-hourly fixes of gale force and more, (fixes,) each, in the order of time.

    time: hours since 1970-01-01 UTC; lat_deg, lon_deg: of the centre; wind_kn: greatest sustained; radius_nm: how far
    from the centre 34 kn blow on the wider side, halved diagonal; storm: its number. years: first and last on record.
    """

    time: NDArray[np.int64]
    lat_deg: Floats
    lon_deg: Floats
    wind_kn: Floats
    radius_nm: Floats
    storm: NDArray[np.int64]
    years: tuple[int, int]


@cache
def storm_record() -> StormRecord:
    """The record shipped with the tool: climatology_demo/SOURCES.md."""
    import netCDF4

    with netCDF4.Dataset(shipped("climatology_demo") / "storms.nc") as dataset:

        def column(name: str) -> Any:
            return np.ma.getdata(dataset[name][:])

        return StormRecord(
            time=column("time").astype(np.int64),
            lat_deg=column("lat").astype(float),
            lon_deg=column("lon").astype(float),
            wind_kn=column("wind").astype(float),
            radius_nm=column("radius").astype(float),
            storm=column("storm").astype(np.int64),
            years=(int(dataset.first_year), int(dataset.last_year)),
        )


def recorded(lat_deg: Floats, lon_deg: Floats) -> NDArray[np.bool_]:
    """Which places, in degrees (longitudes -180 to 180), lie in the waters of the record."""
    inside = [
        (south <= lat_deg) & (lat_deg < north) & (west <= lon_deg) & (lon_deg < east)
        for south, north, west, east in WATERS
    ]
    return np.asarray(np.any(inside, axis=0))
