"""What blows and sets at any place and hour of a search: monthly means, and a forecast over an area.

A track has its climate read once at its nodes; a search asks it everywhere, a hundred thousand places at a time.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.forecast import Blend
from passage.inputs.months import month_weights

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.inputs.forecast import AreaForecast

    Floats = NDArray[np.float64]
    Singles = NDArray[np.float32]
    Bools = NDArray[np.bool_]

LONGEST_H = 2 * 8784


def between_nodes(table: Singles, place: Floats) -> Floats:
    """A table (axes of any number) read linearly at places (axes, n) in steps of its rows, held at its ends, (n,)."""
    from scipy.ndimage import map_coordinates

    return np.asarray(map_coordinates(table, place, output=np.float64, order=1, mode="nearest", prefilter=False))


class Places:
    """Places in the rows and columns of a grid as ``inputs.monthly`` has them between four cells, found quickly."""

    def __init__(self, lat_deg: Floats, lon_deg: Floats) -> None:
        self._lat_deg, self._rows = lat_deg, np.arange(float(len(lat_deg)))
        low, high = np.diff(lat_deg[:2])[0] / 2.0, np.diff(lat_deg[-2:])[0] / 2.0
        self._south_deg, self._north_deg = lat_deg[0] - low, lat_deg[-1] + high
        steps = np.diff(lon_deg, append=lon_deg[0] + 360.0)
        before, most = np.sort(steps)[-2:]
        east, column = np.append(lon_deg, lon_deg[0] + 360.0), np.arange(len(lon_deg) + 1.0)
        self._gap: tuple[float, float] | None = None
        if most > 2.0 * before:  # a grid that does not close: in its gap the nearer side counts, half a step far
            at = int(np.argmax(steps))
            middle = lon_deg[at] + most / 2.0
            east = np.insert(east, at + 1, [middle, np.nextafter(middle, np.inf)])
            column = np.insert(column, at + 1, [at, at + 1.0])
            self._gap = lon_deg[at] + before / 2.0, most - before
        self._west_deg, self._east_deg, self._columns = lon_deg[0], east, column

    def of(self, lat: Floats, lon: Floats) -> tuple[Floats, Floats, Bools]:
        """Row and column, from 0, with parts of one, the column after the last being the first again; and whether the
        grid reaches there.
        """
        row = np.interp(lat, self._lat_deg, self._rows)
        column = np.interp((lon - self._west_deg) % 360.0 + self._west_deg, self._east_deg, self._columns)
        reached = (lat >= self._south_deg) & (lat <= self._north_deg)
        if self._gap is not None:
            west_deg, wide_deg = self._gap
            beyond = (lon - west_deg) % 360.0
            reached &= (beyond <= 0.0) | (beyond >= wide_deg)
        return row, column, reached


class MonthlyField:
    """Fields of twelve monthly means on a grid, linear between mid-months and bilinear over what is known.

    fields: (12, ny, nx) each, NaN where unknown; a place is known where all of them are.
    """

    def __init__(self, lat_deg: Floats, lon_deg: Floats, fields: Sequence[Floats], depart: datetime) -> None:
        self._lat_deg, self._lon_deg = lat_deg, lon_deg
        self._places = Places(lat_deg, lon_deg)
        known = np.isfinite(sum(fields))
        packed = [np.where(known, field, 0.0) for field in (np.ones(known.shape), *fields)]
        ring = ((0, 1), (0, 0), (0, 1))  # January again after December, and the first meridian after the last
        self._known, *self._fields = [np.pad(field.astype(np.float32), ring, mode="wrap") for field in packed]
        start = np.datetime64(depart.replace(tzinfo=None), "s")
        first, second, later = month_weights(start + np.arange(LONGEST_H) * np.timedelta64(1, "h"))
        self._months, self._month = (first, second), first + later

    def at(self, lat: Floats, lon: Floats, hour: Floats) -> tuple[Floats, Bools]:
        """The fields (fields, n) at places and hours since departure, 0 where unknown, and whether they are known."""
        row, column, reached = self._places.of(lat, lon)
        month = self._month[np.clip(hour, 0, LONGEST_H - 1).astype(np.intp)]
        place = np.stack([month, row, column])
        share = between_nodes(self._known, place)
        known = reached & (share > 1e-6)
        share = np.where(known, share, 1.0)
        return np.stack([between_nodes(field, place) / share for field in self._fields]), known

    def greatest(
        self, of: Callable[..., Floats], until_h: float, within_nm: float
    ) -> Callable[[Floats, Floats], Floats]:
        """By latitude and longitude (n,), the greatest value of a function of the fields within some miles and up to an
        hour since departure; 0 where nothing is known.
        """
        from scipy.ndimage import maximum_filter

        first, second = self._months
        hours = min(int(until_h) + 1, LONGEST_H)
        months = np.unique(np.concatenate([first[:hours], second[:hours]]))
        known, *fields = (field[months, :, :-1].astype(float) for field in (self._known, *self._fields))
        value = np.where(known > 0.0, of(*fields), 0.0).max(axis=0)
        tall, wide = (float(np.diff(degrees).mean()) for degrees in (self._lat_deg, self._lon_deg))
        rows = 2 * int(np.ceil(within_nm / 60.0 / tall)) + 3
        high = np.zeros(value.shape)
        for row, lat in enumerate(self._lat_deg):
            columns = 2 * int(np.ceil(within_nm / 60.0 / wide / max(np.cos(np.radians(lat)), 0.1))) + 3
            near = value[max(row - rows // 2, 0) : row + rows // 2 + 1].max(axis=0)
            high[row] = maximum_filter(near, size=min(columns, len(near)), mode="wrap")
        return lambda lat_deg, lon_deg: high[
            np.clip(np.rint((lat_deg - self._lat_deg[0]) / tall), 0, len(high) - 1).astype(np.intp),
            np.rint((lon_deg - self._lon_deg[0]) % 360.0 / wide).astype(np.intp).clip(0, high.shape[1] - 1),
        ]


class ForecastField:
    """A forecast over an area as a departure meets it: its weight (see ``crossings.forecast``), and every member's
    wind.
    """

    def __init__(self, area: AreaForecast, depart: datetime) -> None:
        self._area = area
        self._places = Places(area.lat_deg, area.lon_deg)
        cells, blend = area.cells, Blend(area.cells, depart)
        start = np.datetime64(depart.replace(tzinfo=None), "s")
        self._steps_h: Floats = (cells.valid - start) / np.timedelta64(3600, "s")
        last_h = int(cells.no_weight_after_h - cells.age_h(depart)) + 1  # with nothing left, whatever the file's length
        self._weight = np.array([*(blend.weight(hour) for hour in range(max(last_h, 0))), 0.0])
        self._hours = np.arange(len(self._weight))

    def weight(self, lat: Floats, lon: Floats, hour: Floats) -> Floats:
        """Weight of the forecast at places and hours since departure, 0 outside its box, (n,)."""
        lead: Floats = np.interp(hour, self._hours, self._weight)
        near = np.flatnonzero(lead > 0.0)
        cell, share, reached = self._cells(lat[near], lon[near])
        lead[near] *= reached & (self._area.cells.covered[cell] | (share == 0.0)).all(axis=1)
        return lead

    def winds(self, lat: Floats, lon: Floats, hour: Floats) -> Iterator[tuple[Floats, Floats]]:
        """Wind towards east and north (n,), kn, of each member in turn, where the forecast has weight."""
        cell, share, _ = self._cells(lat, lon)
        step = np.clip(np.searchsorted(self._steps_h, hour, side="right") - 1, 0, len(self._steps_h) - 2)
        begin, end = self._steps_h[step], self._steps_h[step + 1]
        part = np.clip((hour - begin) / (end - begin), 0.0, 1.0)

        def read(field: Singles) -> Floats:
            now, then = ((field[row[:, None], cell] * share).sum(axis=1) for row in (step, step + 1))
            return np.asarray(now * (1.0 - part) + then * part)

        for east, north in zip(self._area.cells.wind_east_kn, self._area.cells.wind_north_kn, strict=True):
            yield read(east), read(north)

    def _cells(self, lat: Floats, lon: Floats) -> tuple[NDArray[np.intp], Floats, Bools]:
        """The four cells around places (n, 4), their weights, and whether the area reaches there."""
        row, column, reached = self._places.of(lat, lon)
        tall, wide = len(self._area.lat_deg), len(self._area.lon_deg)
        upper, left = np.minimum(row.astype(np.intp), tall - 2), np.minimum(column.astype(np.intp), wide - 1)
        up, right, east = row - upper, column - left, (left + 1) % wide
        cells = (upper * wide + left, upper * wide + east, (upper + 1) * wide + left, (upper + 1) * wide + east)
        share = ((1.0 - up) * (1.0 - right), (1.0 - up) * right, up * (1.0 - right), up * right)
        return np.stack(cells, axis=-1), np.stack(share, axis=-1), reached
