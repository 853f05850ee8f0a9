"""Mercator's projection of the ellipsoid onto a frame on paper, and what to write along its edges."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from passage.sailings.rhumb import inverse, meridional_parts

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from passage.plan.svg import Box

    Floats = NDArray[np.float64]

HIGHEST_LAT_DEG = 85.0
LEAST_SPAN_MIN = 40.0  # no chart shows less than this many minutes of longitude
ROOM = 0.14  # paper left on each side of the track, as a share of its span
MOST_LINES = 7
# Between graticule lines, minutes of arc, and between the bars of the border.
STEPS = ((5, 1), (10, 2), (15, 5), (30, 5), (60, 10), (120, 30), (300, 60), (600, 120), (1200, 300), (1800, 300))


@cache
def _table() -> tuple[Floats, Floats]:
    """Latitudes (degrees) and their meridional parts, close enough together to interpolate between."""
    lat_deg = np.linspace(-HIGHEST_LAT_DEG, HIGHEST_LAT_DEG, 1701)
    return lat_deg, np.array([meridional_parts(lat) for lat in lat_deg])


def parts(lat_deg: ArrayLike) -> Floats:
    """Meridional parts, any shape; latitudes beyond 85 degrees are drawn at 85."""
    return np.asarray(np.interp(np.asarray(lat_deg, dtype=float), *_table()))


def latitude_deg(meridional: ArrayLike) -> Floats:
    lat_deg, its_parts = _table()
    return np.asarray(np.interp(np.asarray(meridional, dtype=float), its_parts, lat_deg))


@dataclass(frozen=True)
class Mercator:
    """A frame (left, top, right, bottom; points) whose west edge stands at ``west_min`` minutes of longitude and whose
    north edge at ``north_parts``; ``scale``: points to a minute of longitude. Longitudes run on past 180."""

    frame: Box
    west_min: float
    north_parts: float
    scale: float

    def xy(self, lat_deg: ArrayLike, lon_deg: ArrayLike) -> Floats:
        """Points (n, 2) on the paper; longitudes are taken as they come, not turned round the world."""
        x = self.frame[0] + (np.asarray(lon_deg) * 60.0 - self.west_min) * self.scale
        y = self.frame[1] + (self.north_parts - parts(lat_deg)) * self.scale
        return np.stack([x, y], axis=-1)

    @property
    def limits_deg(self) -> tuple[float, float, float, float]:
        """West, south, east, north."""
        left, top, right, bottom = self.frame
        east = self.west_min + (right - left) / self.scale
        south = float(latitude_deg(self.north_parts - (bottom - top) / self.scale))
        return self.west_min / 60.0, south, east / 60.0, float(latitude_deg(self.north_parts))

    def points_per_mile(self, lat_deg: float) -> float:
        return self.scale / inverse(lat_deg, 0.0, lat_deg, 1.0 / 60.0).distance_nm


def fit(lat_deg: Floats, lon_deg: Floats, frame: Box) -> Mercator:
    """The largest scale at which a track with room about it fits the frame; the track in the middle."""
    x, y = lon_deg * 60.0, parts(lat_deg)
    wide, high = frame[2] - frame[0], frame[3] - frame[1]
    span = max(np.ptp(x), np.ptp(y) * wide / high, LEAST_SPAN_MIN) * (1.0 + 2.0 * ROOM)
    span = min(span, 360.0 * 60.0)
    scale = wide / span
    reach = high / scale
    lowest, highest = _table()[1][[0, -1]]
    north = (y.min() + y.max() + reach) / 2
    north = max(min(north, highest), lowest + reach) if reach < highest - lowest else highest
    return Mercator(frame, float(x.min() + x.max() - span) / 2, float(north), float(scale))


def shape(lat_deg: Floats, lon_deg: Floats) -> float:
    """Height over width of a track on Mercator's projection."""
    return float(max(np.ptp(parts(lat_deg)), 1.0) / max(np.ptp(lon_deg) * 60.0, 1.0))


def graticule(chart: Mercator) -> tuple[int, int]:
    """Minutes of arc between its lines and between the bars of its border, the same for both coordinates."""
    west, south, east, north = chart.limits_deg
    widest = max(east - west, north - south) * 60.0
    return next((step for step in STEPS if widest / step[0] <= MOST_LINES + 1), STEPS[-1])


def multiples(low_deg: float, high_deg: float, step_min: int) -> list[int]:
    """Whole multiples of a step, minutes of arc, that lie between two limits."""
    first, last = int(np.ceil(low_deg * 60.0 / step_min)), int(np.floor(high_deg * 60.0 / step_min))
    return [step_min * number for number in range(first, last + 1)]


def degree_words(minutes: int, letters: str) -> str:
    """An angle for the border, ``20° S`` or ``20°30′ S``; letters: that of a positive and of a negative angle."""
    if letters == "EW":
        minutes = (minutes + 180 * 60) % (360 * 60) - 180 * 60
    degrees, rest = divmod(abs(minutes), 60)
    half_turn = letters == "EW" and degrees == 180
    letter = "" if minutes == 0 or half_turn else f" {letters[minutes < 0]}"
    return f"{degrees}°{f'{rest:02d}′' if rest else ''}{letter}"
