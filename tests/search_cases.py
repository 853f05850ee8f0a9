"""Invented questions for the tests of the search; nothing here is a real voyage."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.search.find import Search
from passage.crossings.search.walls import Ends
from passage.crossings.speed import speed_table
from passage.inputs.climate import Climate
from passage.inputs.current import CurrentGrid
from passage.inputs.forecast import AreaForecast, TrackForecast
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


def even_current(east_kn: NDArray[np.float64] | float, north_kn: float) -> CurrentGrid:
    """One current everywhere; east_kn may be (ny, 1) by latitude, every half degree from 10 S to 10 N."""
    lat, lon = np.arange(-10.0, 10.1, 0.5), np.arange(-60.0, 1.0, 0.5)
    shape = (12, len(lat), len(lon))
    east = np.broadcast_to(east_kn, shape).astype(float)
    return CurrentGrid(lat, lon, east, np.full(shape, north_kn), "invented", "invented.nc")


def area_forecast(
    *members: tuple[NDArray[np.float64] | float, NDArray[np.float64] | float],
    aged_h: float = 0.0,
    trust_h: tuple[float, float] = (120.0, 240.0),
) -> AreaForecast:
    """Every six hours from its issue, ``aged_h`` before DEPART, for ten days: each member's wind towards east and
    north, kn, each one figure or (steps, ny, nx) or what spreads to that, every half degree from 10 S to 10 N and from
    60 W to Greenwich.
    """
    lat, lon = np.arange(-10.0, 10.1, 0.5), np.arange(-60.0, 0.1, 0.5)
    issued = DEPART - timedelta(hours=aged_h)
    valid = np.datetime64(issued.replace(tzinfo=None), "s") + np.arange(0, 241, 6) * np.timedelta64(3600, "s")
    shape = (len(valid), len(lat), len(lon))
    winds = np.stack(
        [[np.broadcast_to(part, shape).reshape(len(valid), -1) for part in member] for member in members], axis=1
    ).astype(np.float32)
    covered = np.ones(winds.shape[-1], dtype=bool)
    cells = TrackForecast(issued, valid, winds[0], winds[1], covered, *trust_h, "invented.grib", "invented")
    return AreaForecast(lat, lon, cells)
