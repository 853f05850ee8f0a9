"""Where a search looks: from where to where, and the waters round a lattice, in degrees."""

from __future__ import annotations

from typing import NamedTuple

PER_DEGREE = 30
CELL_DEG = 1 / PER_DEGREE  # of the raster of land


class Ends(NamedTuple):
    """Departure and destination of the search, degrees."""

    start_lat_deg: float
    start_lon_deg: float
    goal_lat_deg: float
    goal_lon_deg: float


class Region(NamedTuple):
    """Limits of a raster in degrees; east may pass 180 and is at most a turn from west."""

    south_deg: float
    north_deg: float
    west_deg: float
    east_deg: float

    def holds(self, other: Region) -> bool:
        return self.with_(other) == self

    def with_(self, other: Region) -> Region:
        """The region round both."""
        south, north = min(self.south_deg, other.south_deg), max(self.north_deg, other.north_deg)
        turns = 360.0 * round((self.west_deg + self.east_deg - other.west_deg - other.east_deg) / 720.0)
        west, east = min(self.west_deg, other.west_deg + turns), max(self.east_deg, other.east_deg + turns)
        return Region(south, north, west, east if east - west < 330.0 else west + 360.0)

    def spared(self, spare_deg: float) -> Region:
        """A little larger, short of the poles; a region that goes all the way round stays as wide."""
        south, north = max(self.south_deg - spare_deg, -90.0), min(self.north_deg + spare_deg, 90.0)
        if self.east_deg - self.west_deg + 2.0 * spare_deg >= 330.0:
            return Region(south, north, self.west_deg, self.west_deg + 360.0)
        return Region(south, north, self.west_deg - spare_deg, self.east_deg + spare_deg)
