"""Cyclone seasons by basin. A ship-report climatology hides cyclones: ships keep out of their way, and so should we.

An official season is not a promise of safety outside it, nor the bounds of a basin beyond them: storms that have left
the tropics reach New Zealand and now and then the Azores. Bounds are where crews and their insurers commonly draw them.
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date

EARTH_NM = 3440.065  # mean radius
_TABLE = Path(__file__).parent / "data" / "cyclone_seasons.csv"


@dataclass(frozen=True)
class Basin:
    """A basin, or a part of one, and its season.

    Days as (month, day), both within the season, which may wrap the year's end; bounds in degrees, west to east
    eastward (over 180 degrees where west > east); its southern and western bounds belong to it, the others do not.
    storms: named storms of a usual season, in all parts of the basin that have the same number (from memory, rounded;
    how many of the South Pacific's come east of 150 W is a guess).
    """

    name: str
    first_day: tuple[int, int]
    last_day: tuple[int, int]
    west_deg: float
    east_deg: float
    south_deg: float
    north_deg: float
    storms: float
    authority: str
    standing: str

    def holds(self, lat_deg: float, lon_deg: float) -> bool:
        """Whether the position lies in the basin; longitude in any convention."""
        eastward = (lon_deg - self.west_deg) % 360.0
        return self.south_deg <= lat_deg < self.north_deg and eastward < (self.east_deg - self.west_deg) % 360.0

    @property
    def area_nm2(self) -> float:
        height = math.sin(math.radians(self.north_deg)) - math.sin(math.radians(self.south_deg))
        return EARTH_NM**2 * math.radians((self.east_deg - self.west_deg) % 360.0) * height

    def in_season(self, day: date) -> bool:
        return falls_between(self.first_day, self.last_day, day)


def falls_between(first_day: tuple[int, int], last_day: tuple[int, int], day: date) -> bool:
    """Whether a date lies within days of every year, (month, day), both within, over the year's end where they wrap."""
    today = (day.month, day.day)
    if first_day <= last_day:
        return first_day <= today <= last_day
    return today >= first_day or today <= last_day


@cache
def basins() -> tuple[Basin, ...]:
    """Every basin with a season, from the shipped table; most in parts."""
    with _TABLE.open(encoding="utf-8", newline="") as file:
        return tuple(_basin(row) for row in csv.DictReader(file))


def _basin(row: dict[str, str]) -> Basin:
    west, east, south, north = (float(row[name]) for name in ("west_deg", "east_deg", "south_deg", "north_deg"))
    first, last = _day(row["first_day"]), _day(row["last_day"])
    storms = float(row["storms"])
    return Basin(row["basin"], first, last, west, east, south, north, storms, row["authority"], row["standing"])


def _day(text: str) -> tuple[int, int]:
    month, day = text.split("-")
    return int(month), int(day)
