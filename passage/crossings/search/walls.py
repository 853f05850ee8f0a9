"""What the search keeps out of: land and the waters round it, latitudes, boxes with their days; and what it may
enter at a price: cyclone basins in their season.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.search.basins import Seasons

if TYPE_CHECKING:
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.crossings.search.lines import Steps
    from passage.crossings.search.raster import Raster
    from passage.crossings.search.region import Ends
    from passage.inputs.search import TrackLimits

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]

BULGE_DEG = 0.05  # how far a great circle of a hundred miles may leave the box of its ends: at 60 degrees 1 mile
LONGEST_DAYS = 732


class Days:
    """The days of the year hour by hour from a departure, as 100 x month + day."""

    def __init__(self, depart: datetime) -> None:
        start = np.datetime64(depart.replace(tzinfo=None), "h")
        day = (start + np.arange(LONGEST_DAYS * 24) * np.timedelta64(1, "h")).astype("datetime64[D]")
        month = day.astype("datetime64[M]")
        self._numbers = (month.astype(np.int64) % 12 + 1) * 100 + (day - month).astype(np.int64) + 1

        self._seasons: dict[tuple[tuple[int, int], tuple[int, int]], Bools] = {}

    def within(self, hour: Floats, first: tuple[int, int], last: tuple[int, int]) -> Bools:
        """Whether hours since departure fall on days between two (month, day), both inside, over the new year if
        need be."""
        season = self.season(first, last)
        return np.asarray(season[np.clip(hour, 0, len(season) - 1).astype(np.int64)])

    def season(self, first: tuple[int, int], last: tuple[int, int]) -> Bools:
        """The same of every hour."""
        if (first, last) not in self._seasons:
            self._seasons[first, last] = self._season(first, last)
        return self._seasons[first, last]

    def _season(self, first: tuple[int, int], last: tuple[int, int]) -> Bools:
        begins, ends = first[0] * 100 + first[1], last[0] * 100 + last[1]
        if begins <= ends:
            return np.asarray((self._numbers >= begins) & (self._numbers <= ends))
        return np.asarray((self._numbers >= begins) | (self._numbers <= ends))


@dataclass(frozen=True)
class Keep:
    """One box to keep out of, or a latitude not to pass: the box beyond it. width_deg runs east from west_deg."""

    name: str
    south_deg: float
    north_deg: float
    west_deg: float
    width_deg: float
    first_day: tuple[int, int] = (1, 1)
    last_day: tuple[int, int] = (12, 31)

    @property
    def always(self) -> bool:
        return (self.first_day, self.last_day) == ((1, 1), (12, 31))

    def holds(self, lat_deg: Floats, lon_deg: Floats) -> Bools:
        """Strictly inside; the edge itself may be sailed."""
        east = (lon_deg - self.west_deg) % 360.0
        within = (east > 0.0) & (east < self.width_deg) if self.width_deg < 360.0 else True
        return np.asarray((lat_deg > self.south_deg) & (lat_deg < self.north_deg) & within)

    def may_meet(self, first: tuple[Floats, Floats], second: tuple[Floats, Floats]) -> Bools:
        """False where lines of some hundred miles at most between places surely stay outside."""
        low, high = np.minimum(first[0], second[0]) - BULGE_DEG, np.maximum(first[0], second[0]) + BULGE_DEG
        tall = (high > self.south_deg) & (low < self.north_deg)
        if self.width_deg >= 360.0:
            return np.asarray(tall)
        run = (second[1] - first[1] + 180.0) % 360.0 - 180.0
        west = np.where(run >= 0.0, first[1], second[1])
        begins = (west - self.west_deg) % 360.0
        return np.asarray(tall & ((begins < self.width_deg) | (begins + np.abs(run) > 360.0)))


@dataclass(frozen=True)
class Walls:
    """All that a track keeps out of on one departure. raster: None where land is not asked about.

    season_price: hours counted on top of each hour inside a cyclone basin in its season.
    """

    days: Days
    raster: Raster | None
    boxes: tuple[Keep, ...] = ()
    season_price: float = 0.0

    def shut(self, lat_deg: Floats, lon_deg: Floats, hour: Floats) -> Bools:
        """Whether places may not be sailed at hours since departure; arrays of one shape."""
        closed = np.zeros(lat_deg.shape, dtype=bool) if self.raster is None else self.raster.at(lat_deg, lon_deg)
        for box in self.boxes:
            inside = box.holds(lat_deg, lon_deg)
            closed |= inside if box.always else inside & self.days.within(hour, box.first_day, box.last_day)
        return closed

    @cached_property
    def _seasons(self) -> Seasons:
        return Seasons(self.days, self.raster.region if self.raster else None)

    def on_every_day(self) -> Walls:
        return replace(self, boxes=tuple(box for box in self.boxes if box.always))

    def part(self, ends: Ends, widest: bool) -> bool:
        """Whether walls that stand on every day part the ends: see ``Raster.parts``. False says nothing sure."""
        if self.raster is None:
            return False
        lat, lon = self.raster.middles()
        closed = self.raster.shut.copy()
        for box in self.boxes:
            closed |= box.holds(lat[:, None], lon[None, :]) if box.always else False
        return replace(self.raster, shut=closed).parts(ends, widest)

    def may_be_shut_between(self, first: tuple[Floats, Floats], second: tuple[Floats, Floats]) -> Bools:
        """False where short lines between places (latitude, longitude) surely meet no wall on any day."""
        near = np.zeros(first[0].shape, dtype=bool)
        if self.raster is not None:
            near |= self.raster.may_be_shut_between(first, second)
        for box in self.boxes:
            near |= box.may_meet(first, second)
        return near

    def price(self, steps: Steps, hour: Floats) -> Floats:
        """Hours counted on top of each hour sailed on pieces (n,) then; of a piece that leads into a basin or out of
        it, the share inside counts.
        """
        if self.season_price == 0.0:
            return np.zeros(steps.lat_deg.shape)
        return self._seasons.share_inside(steps, hour) * self.season_price


def boxes_of(limits: TrackLimits) -> tuple[Keep, ...]:
    """Every box and limiting latitude of a track file, under the name by which a refusal calls it."""
    north, south = limits.limits.north_limit_deg, limits.limits.south_limit_deg
    found = [
        Keep(f"the box '{box.name}'", box.south_deg, box.north_deg, *box.bounds_deg, box.first_day, box.last_day)
        for box in limits.boxes
    ]
    if north is not None:
        found.append(Keep("north_limit", north, np.inf, -180.0, 360.0))
    if south is not None:
        found.append(Keep("south_limit", -np.inf, south, -180.0, 360.0))
    return tuple(found)
