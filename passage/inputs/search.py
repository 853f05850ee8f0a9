"""What ``track.toml`` may say: how far off land to keep, what to stay out of and when, and what comfort is worth.

The file is optional and so is every key in it. Distances off the coast are on data that can be three miles out at a
remote island: the chart decides.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Annotated

from pydantic import AfterValidator, Field, PlainValidator

from passage.inputs.months import MONTHS
from passage.inputs.position import parse_latitude, parse_position
from passage.inputs.toml import Measured, Misfit, Name, Section, each_its_own, shown_value
from passage.positions import format_latitude
from passage.units import Misread, written

if TYPE_CHECKING:
    from collections.abc import Iterator

TRACK_FILE = "track.toml"
DAYS = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
Day = tuple[int, int]


def _latitude(given: object) -> float:
    if isinstance(given, float):
        return given
    if isinstance(given, str):
        return parse_latitude(given)
    raise Misread(shown_value(given), 'write a latitude in double quotes, such as "40S"')


def _longitude(given: object) -> float:
    if isinstance(given, float):
        return given
    wanted = 'write a longitude in double quotes, such as "170 30W"'
    if not isinstance(given, str) or not re.search("[EWew]", given):
        raise Misread(shown_value(given), wanted)
    return parse_position(f"0N {given}").longitude_deg


def _day(given: object) -> Day:
    """(month, day) of ``30 November`` or ``30 Nov``."""
    if isinstance(given, tuple):
        return given
    parts = re.fullmatch(r"\s*([0-9]{1,2}) ([A-Za-z]{3,9})\s*", given) if isinstance(given, str) else None
    months = [number for number, name in enumerate(MONTHS) if parts and name.lower().startswith(parts[2].lower())]
    if parts is None or len(months) != 1:
        raise Misread(shown_value(given), 'write a day of the year, such as "30 November"')
    if not 1 <= int(parts[1]) <= DAYS[months[0]]:
        raise Misread(shown_value(given), f"{MONTHS[months[0]]} has {DAYS[months[0]]} days at most")
    return months[0] + 1, int(parts[1])


Latitude = Annotated[float, PlainValidator(_latitude)]
Longitude = Annotated[float, PlainValidator(_longitude)]
YearDay = Annotated[Day, PlainValidator(_day)]
Price = Annotated[float, Field(ge=0, le=100)]


class Limits(Section):
    """How far off land to keep, by day and for a landfall by night, and the latitudes not to pass."""

    clear_by_day_nm: Annotated[float, Measured("distance", 0, 60)] = 5.0
    clear_by_night_nm: Annotated[float, Measured("distance", 0, 60)] = 20.0
    north_limit_deg: Latitude | None = Field(None, alias="north_limit")
    south_limit_deg: Latitude | None = Field(None, alias="south_limit")

    def misfits(self) -> Iterator[Misfit]:
        north, south = self.north_limit_deg, self.south_limit_deg
        if self.clear_by_night_nm < self.clear_by_day_nm:
            by_day = written(self.clear_by_day_nm, "distance")
            wanted = f"by night give no less than by day, {by_day}"
            yield Misfit(("clear_by_night",), written(self.clear_by_night_nm, "distance"), wanted)
        if north is not None and south is not None and north <= south:
            wanted = f"it must lie north of south_limit, {format_latitude(south)}"
            yield Misfit(("north_limit",), format_latitude(north), wanted)


class Prices(Section):
    """What an hour of it is worth avoiding: hours counted on top of each hour sailed in it. 0: only time counts.

    rough: Beaufort 7 and more; hard_on_the_wind: a course within 60 degrees of the wind; calm: under 4 kn;
    cyclone_season: inside a cyclone basin in its season, where 0 lifts the wall. The default, an hour there counted
    as two, is common practice and has no source: round where there is sea room, but never no way home.
    """

    rough: Price = 0.0
    hard_on_the_wind: Price = 0.0
    calm: Price = 0.0
    cyclone_season: Price = 1.0


class Box(Section):
    """Keep out: between two latitudes and two meridians, on some days of every year.

    A latitude left out is the pole, both meridians left out are the whole way round; between two meridians lies the
    shorter way, whichever is written first. first_day and last_day are both inside; none given means always.
    """

    name: Name
    south_deg: Latitude = Field(-90.0, alias="south")
    north_deg: Latitude = Field(90.0, alias="north")
    west_deg: Longitude | None = Field(None, alias="west")
    east_deg: Longitude | None = Field(None, alias="east")
    first_day: YearDay = Field((1, 1), alias="from")
    last_day: YearDay = Field((12, 31), alias="until")

    @property
    def bounds_deg(self) -> tuple[float, float]:
        """West edge in [-180, 180) and width eastward, 360 for the whole way round."""
        if self.west_deg is None or self.east_deg is None:
            return -180.0, 360.0
        eastward = (self.east_deg - self.west_deg) % 360.0
        return (self.west_deg, eastward) if eastward < 180.0 else (self.east_deg, 360.0 - eastward)

    @property
    def always(self) -> bool:
        return (self.first_day, self.last_day) == ((1, 1), (12, 31))

    def misfits(self) -> Iterator[Misfit]:
        if self.north_deg <= self.south_deg:
            wanted = f"it must lie north of south, {format_latitude(self.south_deg)}"
            yield Misfit(("north",), format_latitude(self.north_deg), wanted)
        if (self.west_deg is None) != (self.east_deg is None):
            yield Misfit((), "one meridian of two", "give west and east, or neither for the whole way round")
        elif self.west_deg is not None and self.east_deg is not None:
            yield from self._width_misfits((self.east_deg - self.west_deg) % 360.0)

    def _width_misfits(self, eastward_deg: float) -> Iterator[Misfit]:
        if eastward_deg == 0.0:
            yield Misfit(("east",), "the same meridian as west", "give two different ones")
        if eastward_deg == 180.0:
            yield Misfit(("east",), "half-way round from west", "which way is not clear; write two boxes")


class TrackLimits(Section):
    """The whole track file."""

    limits: Limits = Limits()
    prices: Prices = Prices()
    boxes: Annotated[tuple[Box, ...], AfterValidator(each_its_own("name"))] = Field((), alias="box", strict=False)
