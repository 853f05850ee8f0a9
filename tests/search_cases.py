"""Invented questions for the tests of the search; nothing here is a real voyage."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.search.find import Search
from passage.crossings.search.walls import Ends
from passage.crossings.speed import speed_table
from passage.inputs.climate import Climate
from passage.inputs.polar import PolarTable
from passage.inputs.search import TrackLimits

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.search.going import Speeds
    from passage.crossings.speed import SpeedTable

DEPART = datetime(2027, 2, 1, 8, tzinfo=UTC)
NO_WALLS = TrackLimits()

# Miles to the degree of longitude and of latitude at the equator, WGS84: pi a / 180 and pi a (1 - e^2) / 180.
EAST_NM, NORTH_NM = 60.107716, 59.705326


def plane(east_nm: float, north_nm: float) -> tuple[float, float]:
    """Latitude and longitude of a point so far from 0N 30W, near which the sea is as good as flat."""
    return north_nm / NORTH_NM, -30.0 + east_nm / EAST_NM


def question(start: tuple[float, float], goal: tuple[float, float], speeds: Speeds, **changes: object) -> Search:
    """A search of open water without any wall, unless changed."""
    given: dict[str, object] = {"limits": NO_WALLS, "depart": DEPART, "land": False}
    return Search(Ends(*start, *goal), speeds, **(given | changes))  # type: ignore[arg-type]


def dead_zone() -> SpeedTable:
    """6 kn at 45 degrees off the wind or more, nothing closer, and no loss in tacking."""
    polar = PolarTable(np.array([8.0, 12.0]), np.array([45.0, 90.0, 180.0]), np.full((2, 3), 6.0))
    return speed_table(polar, tacking_loss=0.0)


def even_climate(east_kn: NDArray[np.float64] | float, north_kn: float, speed_kn: float) -> Climate:
    """One wind everywhere; east_kn may be (12, 1, 1) by month."""
    lat, lon = np.arange(-89.0, 90.0, 2.0), np.arange(-179.0, 180.0, 2.0)
    shape = (12, len(lat), len(lon))
    flat = {name: np.full(shape, 20.0) for name in ("air_c", "sea_c", "cloud", "reports")}
    return Climate(
        lat_deg=lat,
        lon_deg=lon,
        wind_east_kn=np.broadcast_to(east_kn, shape).astype(float),
        wind_north_kn=np.full(shape, north_kn),
        wind_speed_kn=np.full(shape, speed_kn),
        few_reports=np.zeros(shape, dtype=bool),
        source="invented",
        file="invented.nc",
        **flat,
    )
