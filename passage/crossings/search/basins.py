"""Cyclone basins in their season, as the search asks of them: of many short pieces at once, what share lies inside."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from passage.sailings.cyclones import basins

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.search.lines import Steps
    from passage.crossings.search.region import Region
    from passage.crossings.search.walls import Days

    Floats = NDArray[np.float64]

NEAR_DEG = 2.0  # farther from a region than this no piece in it reaches


class Seasons:
    """The basins that a region meets, or all of them, in the days of a departure."""

    def __init__(self, days: Days, region: Region | None) -> None:
        met = [basin for basin in basins() if region is None or _meet(region, basin.west_deg, basin.east_deg)]
        if region is not None:
            south, north = region.south_deg - NEAR_DEG, region.north_deg + NEAR_DEG
            met = [basin for basin in met if basin.south_deg < north and basin.north_deg > south]
        met = [basin for basin in met if days.season(basin.first_day, basin.last_day).any()]
        bounds = [(basin.south_deg, basin.north_deg, basin.west_deg, basin.east_deg) for basin in met]
        self._south, north, self._west, east = np.array(bounds).reshape(-1, 4).T[:, :, None]
        self._tall, self._half_wide = north - self._south, (east - self._west) % 360.0 / 2.0
        self._season = np.array([days.season(basin.first_day, basin.last_day) for basin in met], dtype=bool)

    def share_inside(self, steps: Steps, hour: Floats) -> Floats:
        """Of pieces (n,) at hours since departure, the share inside a basin in its season."""
        if not len(self._season):
            return np.zeros(steps.lat_deg.shape)
        at = np.clip(hour, 0, self._season.shape[1] - 1).astype(np.int64)
        half_deg = steps.distance_nm / 120.0
        tall = half_deg * np.abs(steps.north)
        wide = half_deg * np.abs(steps.east) / np.maximum(np.cos(np.radians(steps.lat_deg)), 0.01)
        off = steps.lon_deg - self._west - self._half_wide
        east = off - 360.0 * np.rint(off / 360.0) + self._half_wide
        up = _share_within(steps.lat_deg - self._south, self._tall, tall)
        inside = np.minimum(up, _share_within(east, 2.0 * self._half_wide, wide))
        return np.asarray((inside * self._season[:, at]).max(axis=0))


def _meet(region: Region, west_deg: float, east_deg: float) -> bool:
    off_deg = (west_deg - region.west_deg) % 360.0
    return off_deg < region.east_deg - region.west_deg + NEAR_DEG or off_deg + (east_deg - west_deg) % 360.0 > (
        360.0 - NEAR_DEG
    )


def _share_within(place: Floats, size: Floats, half: Floats) -> Floats:
    """Of intervals of a half width (n,) about places (basins, n), the share between 0 and a size (basins, 1)."""
    half = np.maximum(half, 1e-6)
    inside = np.minimum(place + half, size) - np.maximum(place - half, 0.0)
    return np.asarray(np.minimum(np.maximum(inside, 0.0) / (2.0 * half), 1.0))
