"""What every member meets alike: the climate at each node, between mid-months hour by hour, with the forecast on top
while it has weight; the current and its eddies' strength; and night.
"""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise, product
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.crossings.ensemble import DAY_H, days_of
from passage.crossings.wind import CHUNK_H, slow_share
from passage.inputs.months import month_weights
from passage.sailings.sky import SUNRISE_DEG, sun_altitude_deg

if TYPE_CHECKING:
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.crossings.forecast import Blend
    from passage.inputs.climate import TrackClimate
    from passage.inputs.current import TrackCurrent
    from passage.sailings.track import Track

    Rows = NDArray[np.float32]

# Rows of the table of an hour, the last three where the water moves.
EAST, NORTH, FAST, SLOW, SINE, COSINE, DAY_SHARE, ALONG, ACROSS, EDDY = range(10)
STILL = ALONG  # rows where it does not


class Weather:
    """Tables by hour after departure, made in chunks of five days. The last chunk alone is kept: boats sail in step,
    and those of a long track and a slow boat would fill a small computer.

    ``table(hour)`` is (7, columns): wind towards east and north, fast and slow spread (kn), sine and cosine of the
    course, and the share of her speed that the crew sail by day or night, settling in or settled; where the water moves
    (10, columns): also the current along the course (positive with her), across it (to the right), and the spread of
    each in eddies, kn. Columns are the nodes; while a forecast of several members has weight, the nodes of each of its
    members in turn.

    moving: whether there is a current; stirred: whether it has eddies; strongest_across_kn: its average across the
    course, at most.
    """

    def __init__(
        self,
        track: Track,
        climate: TrackClimate,
        depart: datetime,
        night_speed_share: float,
        current: TrackCurrent | None = None,
        blend: Blend | None = None,
        settling: tuple[float, float] = (0.0, 1.0),
    ) -> None:
        """settling: hours for which a crew settles in, and the share of her speed until then."""
        share = slow_share(track.lat_deg, track.lon_deg)
        fast, slow = climate.sigma_kn * np.sqrt(1.0 - share), climate.sigma_kn * np.sqrt(share)
        winds = (climate.wind_east_kn, climate.wind_north_kn, fast, slow)
        course = np.radians(track.course_deg)
        self._sine, self._cosine = np.sin(course), np.cos(course)
        self._winds = np.stack(winds, axis=1).astype(np.float32)  # (12, 4, nodes)
        self._air, self._sea = climate.air_c, climate.sea_c
        self._vapour = climate.vapour_g_kg
        self._flows = self._along_and_across(current)
        self._eddy_kn = current.eddy_kn if current is not None and current.eddy_kn is not None else None
        self.moving, self.stirred = self._flows is not None, self._eddy_kn is not None
        self.strongest_across_kn = 0.0 if self._flows is None else float(np.abs(self._flows[:, 1]).max())
        lat, lon = np.radians(track.lat_deg), np.radians(track.lon_deg)
        self._upright = np.stack((np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)))
        self._night_share = np.float32(night_speed_share)
        self._settling_h, self._settling_share = settling[0], np.float32(settling[1])
        self._depart = depart
        self._blend = blend
        self._laid = -1  # number of the chunk that is kept

    def table(self, hour: int) -> Rows:
        self._lay(hour // CHUNK_H)
        plain = self._rows[hour % CHUNK_H]
        return self._blend.table(hour, plain) if self._blend and self._blend.weight(hour) > 0.0 else plain

    def dark_at_landfall(self, hour: int) -> bool:
        self._lay(hour // CHUNK_H)
        return bool(self._dark_there[hour % CHUNK_H])

    def warmth(self, hours: int) -> dict[str, Any]:
        """Air and sea temperature (C) and specific humidity (g/kg, None where unknown) in the middle of each day of so
        many hours, (days, nodes) each, under their names in ``Crossings``.
        """
        first, second, weight = month_weights(self._times(DAY_H // 2, DAY_H * days_of(hours))[::DAY_H])
        part = weight.astype(np.float32)[:, None]

        def between(monthly: NDArray[np.float64]) -> Rows:
            months = monthly.astype(np.float32)
            return (1 - part) * months[first] + part * months[second]

        return {
            "air_by_day_c": between(self._air),
            "sea_by_day_c": between(self._sea),
            "vapour_by_day_g_kg": None if self._vapour is None else between(self._vapour),
        }

    def _along_and_across(self, current: TrackCurrent | None) -> Rows | None:
        if current is None:
            return None
        along = current.east_kn * self._sine + current.north_kn * self._cosine
        across = current.east_kn * self._cosine - current.north_kn * self._sine
        return np.stack((along, across), axis=1).astype(np.float32)  # (12, 2, nodes)

    def _times(self, hour: int, hours: int) -> NDArray[np.datetime64]:
        start = np.datetime64((self._depart + timedelta(hours=hour)).replace(tzinfo=None), "s")
        return start + np.arange(hours) * np.timedelta64(1, "h")

    def _lay(self, chunk: int) -> None:
        """Lay the tables of a chunk where they are not those that are kept."""
        if chunk == self._laid:
            return
        times = self._times(CHUNK_H * chunk, CHUNK_H)
        first, second, weight = month_weights(times)
        part = weight.astype(np.float32)[:, None, None]
        monthly = [(slice(EAST, SLOW + 1), self._winds)]
        if self._flows is not None:
            monthly.append((slice(ALONG, ACROSS + 1), self._flows))
        rows = np.empty((CHUNK_H, EDDY + 1 if self.moving else STILL, len(self._sine)), dtype=np.float32)
        turns = [0, *(np.flatnonzero(np.diff(first)) + 1).tolist(), CHUNK_H]
        for (begin, end), (which, months) in product(pairwise(turns), monthly):  # between two mid-months
            between, field = part[begin:end], rows[begin:end, which]
            np.multiply(1 - between, months[first[begin]], out=field)
            field += between * months[second[begin]]
        rows[:, EDDY:] = 0.0 if self._eddy_kn is None else self._eddy_kn
        rows[:, SINE], rows[:, COSINE] = self._sine, self._cosine
        night = self._night(times)
        rows[:, DAY_SHARE] = np.where(night, self._night_share, np.float32(1.0))
        settling = CHUNK_H * chunk + np.arange(CHUNK_H) < self._settling_h
        rows[settling, DAY_SHARE] *= self._settling_share
        self._laid, self._rows, self._dark_there = chunk, rows, night[:, -1]

    def _night(self, times: NDArray[np.datetime64]) -> NDArray[np.bool_]:
        """Whether the sun is down in the middle of each hour at each node, (hours, nodes).

        The sine of the sun's altitude is a scalar product, so its altitudes at three places square to one another
        give it everywhere.
        """
        middle = (times + np.timedelta64(30, "m"))[:, None]
        towards_sun = np.sin(np.radians(sun_altitude_deg(middle, [0.0, 0.0, 90.0], [0.0, 90.0, 0.0])))
        return np.asarray(towards_sun @ self._upright < np.sin(np.radians(SUNRISE_DEG)))
