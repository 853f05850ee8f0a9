"""Storms that the crossings would have met: counted where there is a record, guessed from the season where none is.

**Counted.** Every crossing is sailed through every year on record, from five days of the fortnight about the departure
at its hour, and held against each storm's six-hourly fixes: how far is she from the field in which 34 kn blow? What
storms do to the boat and what the crew would do about them is not in it.

**Guessed.** Where no record is at hand, a season's usual number of storms is spread evenly over its box and its days,
each as large and as lasting as one of the Atlantic's on average. That says whether few or many, and no more.
"""

from __future__ import annotations

import math
from datetime import date, timedelta
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.inputs.storms import StormRecord, recorded, storm_record
from passage.sailings.cyclones import EARTH_NM, Basin, basins
from passage.tell.records import Record, told, up

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.ensemble import Crossings
    from passage.sailings.track import Track

NEAR_NM, FAR_NM = 100.0, 300.0  # from the edge of the field in which 34 kn blow
FEW_IN_100 = 2.0  # crossings of a hundred with a storm that near, from which on a week is called stormy
FIX_H = 6
FORTNIGHT_DAYS = (-6, -3, 0, 3, 6)  # storms know no week: one day alone of thirty years is too few of them


class Storms(Record):
    """Named storms that come near, of a hundred crossings sailed through the years on record."""

    near_in_100: float = up("crossings of a hundred with a named storm's field of 34 kn within 100 miles", places=1)
    far_in_100: float = up("the same within 300 miles", places=1)
    near_error_in_100: float = told("standard error of the first, from year to year; null where guessed", places=1)
    before_landfall_days: float = told("of those within 100 miles half meet it so many days before landfall or later")
    first_year: int = told("first year of the record; 0 where it is guessed from the season's usual number")
    last_year: int = told("its last year")

    @property
    def stormy(self) -> bool:
        """Whether too many to call such a week a good one."""
        return self.near_in_100 >= FEW_IN_100

    @property
    def counted(self) -> bool:
        return self.first_year > 0


NO_STORMS = Storms(0.0, 0.0, math.inf, math.inf, 0, 0)


class StormsAlong(NamedTuple):
    """What a track has of storms, whatever the day. basins: which holds which node, (basins, nodes), season or not;
    on_record: nodes in the waters of the record, (nodes,); fixes: numbers of the fixes that ever come far enough in.
    """

    basins: NDArray[np.bool_]
    on_record: NDArray[np.bool_]
    fixes: NDArray[np.intp]


def storms_along(track: Track, basins_by_node: NDArray[np.bool_]) -> StormsAlong:
    on_record = recorded(track.lat_deg, track.lon_deg)
    if not on_record.any():
        return StormsAlong(basins_by_node, on_record, np.empty(0, np.intp))
    record = storm_record()
    nearest = np.full(len(record.time), np.inf)
    some = _upright(track.lat_deg[on_record][::8], track.lon_deg[on_record][::8])
    fixes = _upright(record.lat_deg, record.lon_deg)
    for first in range(0, some.shape[1], 64):  # a block of nodes at a time
        nearest = np.minimum(nearest, _apart_nm(some[:, first : first + 64].T @ fixes).min(axis=0))
    reach_nm = FAR_NM + record.radius_nm + 8 * track.spacing_nm
    return StormsAlong(basins_by_node, on_record, np.flatnonzero(nearest < reach_nm))


def storms_met(crossings: Crossings, along: StormsAlong) -> Storms:
    """Storms near the crossings: counted in the record's waters, guessed in the seasons of other boxes."""
    guessed_near, guessed_far = (_guessed_in_100(crossings, along, limit) for limit in (NEAR_NM, FAR_NM))
    if not along.on_record.any():
        return Storms(guessed_near, guessed_far, math.inf, math.inf, 0, 0)
    record = storm_record()
    near, far = _Count(crossings), _Count(crossings)
    first_year, last_year = record.years
    for year, later in product(range(first_year, last_year + 1), FORTNIGHT_DAYS):
        hours, fixes = _of_year(crossings, record, along.fixes, year, later)
        _sail_past(crossings, record, hours, fixes, near, far)
    return Storms(
        near_in_100=min(near.in_100 + guessed_near, 100.0),
        far_in_100=min(far.in_100 + guessed_far, 100.0),
        near_error_in_100=near.error_in_100,
        before_landfall_days=near.before_landfall_days(crossings),
        first_year=first_year,
        last_year=last_year,
    )


class _Count:
    """By year and day of the fortnight, the share of the crossings that met a storm, and the hour at which each did
    first.
    """

    def __init__(self, crossings: Crossings) -> None:
        self._members = crossings.members
        self._shares: list[float] = []
        self._first: list[tuple[NDArray[np.intp], NDArray[np.int64]]] = []

    def add(self, hits: NDArray[np.bool_], hours: NDArray[np.int64]) -> None:
        """hits: (members, fixes); hours: after departure of the fixes, ascending."""
        met = np.flatnonzero(hits.any(axis=1))
        self._shares.append(len(met) / self._members)
        if len(met):
            self._first.append((met, hours[hits[met].argmax(axis=1)]))

    @property
    def in_100(self) -> float:
        return 100.0 * float(np.mean(self._shares))

    @property
    def error_in_100(self) -> float:
        by_year = np.reshape(self._shares, (-1, len(FORTNIGHT_DAYS))).mean(axis=1)
        return 100.0 * float(np.std(by_year, ddof=1)) / math.sqrt(len(by_year))

    def before_landfall_days(self, crossings: Crossings) -> float:
        left = [crossings.arrival_h[who] - hour for who, hour in self._first]
        found = np.concatenate(left) if left else np.empty(0)
        found = found[np.isfinite(found)]
        return float(np.median(found)) / 24.0 if len(found) else math.inf


def _of_year(
    crossings: Crossings, record: StormRecord, fixes: NDArray[np.intp], year: int, later_days: int
) -> tuple[NDArray[np.int64], NDArray[np.intp]]:
    """Hours after departure, and the numbers, of the fixes while she would be at sea, had she left in that year, so
    many days later.
    """
    leaves = crossings.depart
    day = 28 if (leaves.month, leaves.day) == (2, 29) else leaves.day
    hour = int(np.datetime64(f"{year}-{leaves.month:02}-{day:02}T{leaves.hour:02}", "h").astype(np.int64))
    hour += 24 * later_days
    after = record.time[fixes] - hour
    at_sea = (after >= 0) & (after < crossings.hours)
    return after[at_sea], fixes[at_sea]


def _sail_past(
    crossings: Crossings,
    record: StormRecord,
    hours: NDArray[np.int64],
    fixes: NDArray[np.intp],
    near: _Count,
    far: _Count,
) -> None:
    """Hold every crossing against the fixes of one year."""
    track = crossings.track
    nodes = crossings.node_at(hours)
    boats = _upright(track.lat_deg, track.lon_deg)[:, nodes]  # (3, members, fixes)
    centres = _upright(record.lat_deg[fixes], record.lon_deg[fixes])
    off_nm = _apart_nm(np.einsum("imf,if->mf", boats, centres)) - record.radius_nm[fixes]
    at_sea = hours[None, :] < crossings.arrival_h[:, None]
    near.add(at_sea & (off_nm <= NEAR_NM), hours)
    far.add(at_sea & (off_nm <= FAR_NM), hours)


def _upright(lat_deg: NDArray[np.float64], lon_deg: NDArray[np.float64]) -> NDArray[np.float64]:
    """Unit vectors, (3, places)."""
    lat, lon = np.radians(lat_deg), np.radians(lon_deg)
    return np.stack((np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)))


def _apart_nm(cosine: NDArray[np.float64]) -> NDArray[np.float64]:
    """On a sphere, a few miles in a thousand off, which the radii are not known to."""
    return np.asarray(EARTH_NM * np.arccos(np.clip(cosine, -1.0, 1.0)))


# ---------------------------------------------------------------- where there is no record


def season_hours(crossings: Crossings, along: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Which hours (member, hour) are spent under way in a box in its season; along: (basins, nodes)."""
    inside = np.zeros(crossings.distance_nm.shape, dtype=bool)
    node = crossings.node if along.any() else None
    for number in np.flatnonzero(along.any(axis=1)):
        hours = np.repeat(_days_in_season(crossings, basins()[number]), 24)[: crossings.hours]
        if node is not None and hours.any():
            inside |= along[number][node] & hours
    return inside & crossings.under_way


def _days_in_season(crossings: Crossings, basin: Basin) -> NDArray[np.bool_]:
    days = range(crossings.hours // 24 + 1)
    return np.array([basin.in_season((crossings.depart + timedelta(days=day)).date()) for day in days])


def _guessed_in_100(crossings: Crossings, along: StormsAlong, limit_nm: float) -> float:
    """Crossings of a hundred that one of the usual storms would come near, in boxes outside the record."""
    expected = 0.0
    for number, basin in enumerate(basins()):
        alone = np.zeros_like(along.basins)
        alone[number] = along.basins[number] & ~along.on_record
        if alone.any():
            hours = season_hours(crossings, alone).sum() / crossings.members
            expected += float(hours) / 24.0 * _a_day(basin, limit_nm)
    return 100.0 * (1.0 - math.exp(-expected))


def _a_day(basin: Basin, limit_nm: float) -> float:
    """Chance that on a day of its season a place in the box lies so near a storm's field."""
    lasting_days, radius_nm = _usual_storm()
    first, last = (date(2001, *day) for day in (basin.first_day, basin.last_day))
    season_days = (last - first).days % 365 + 1
    alike = [other for other in basins() if (other.name, other.storms) == (basin.name, basin.storms)]
    area = sum(other.area_nm2 for other in alike)
    return basin.storms * lasting_days * math.pi * (radius_nm + limit_nm) ** 2 / (area * season_days)


def _usual_storm() -> tuple[float, float]:
    """Days at gale force and radius of its field (nm) of a storm of the record, on average."""
    record = storm_record()
    return len(record.time) * FIX_H / 24.0 / len(np.unique(record.storm)), float(record.radius_nm.mean())
