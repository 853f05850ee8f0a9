"""Figures of the earth, and the mile."""

from __future__ import annotations

import math
from dataclasses import dataclass

NAUTICAL_MILE_M = 1852.0


@dataclass(frozen=True)
class Ellipsoid:
    """A figure of the earth. flattening: (a - b) / a, 0 for a sphere."""

    name: str
    equatorial_radius_m: float
    flattening: float
    source: str

    @property
    def eccentricity_squared(self) -> float:
        return self.flattening * (2.0 - self.flattening)


WGS84 = Ellipsoid("WGS 84", 6378137.0, 1 / 298.257223563, "NGA.STND.0036, World Geodetic System 1984")
NAUTICAL_SPHERE = Ellipsoid(
    "sphere with one nautical mile to the minute of arc",
    NAUTICAL_MILE_M * 10800 / math.pi,
    0.0,
    "convention of navigation textbooks, examination keys and port-distance tables",
)
