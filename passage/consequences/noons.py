"""Noon by noon along the typical crossing: where she is, what her clocks say, and which hours are dark there."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.positions import format_position
from passage.sailings.clock import ship_zone_h
from passage.sailings.sky import CIVIL_DEG, MoonPhase, SunAllDay, almanac, sun_altitude_deg
from passage.sailings.track import at_distance
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.ensemble import Crossings

LONGEST_DAYS = 120
_GLANCE_MIN = 10  # the sun is looked for so often


class Noon(NamedTuple):
    """The typical crossing at a ship's noon: day out, the moment (UTC), place, and ship's time less UTC (hours)."""

    day: int
    moment: datetime
    lat_deg: float
    lon_deg: float
    zone_h: int

    @property
    def ship_date(self) -> date:
        return (self.moment + timedelta(hours=self.zone_h)).date()


class SkyDay(Record):
    """Sun and moon of a ship's day at its noon place; None for what does not happen in that day."""

    day: int = told("day out")
    ship_date: date = told("date by ship's time")
    noon_position: str = told("where the typical crossing is at ship's noon")
    zone_h: int = told("ship's time less UTC, hours")
    nautical_dawn_utc: datetime | None = told("sun 12 degrees below, rising")
    civil_dawn_utc: datetime | None = told("sun 6 degrees below, rising")
    sunrise_utc: datetime | None = told("upper limb on the horizon")
    sunset_utc: datetime | None = told("upper limb on the horizon")
    civil_dusk_utc: datetime | None = told("sun 6 degrees below, setting")
    nautical_dusk_utc: datetime | None = told("sun 12 degrees below, setting")
    moonrise_utc: datetime | None = told("upper limb on the horizon")
    moonset_utc: datetime | None = told("upper limb on the horizon")
    sun_all_day: SunAllDay = told("whether the sun is up or down all day")
    moon_lit_in_100: float = told("lit part of the moon's disc, per cent")
    moon_phase: MoonPhase = told("its name")


EVENTS = tuple(name.removesuffix("_utc") for name in SkyDay.__annotations__ if name.endswith("_utc"))


def ship_noons(crossings: Crossings) -> tuple[Noon, ...]:
    """From the day of departure until half the crossings are in.

    Zones are those of longitude, carried on past 180 degrees so that no date is sailed twice.
    """
    typical_nm = crossings.typical_run_nm
    arrived = np.flatnonzero(typical_nm >= crossings.track.length_nm - 1.0)
    last_hour = int(arrived[0]) if len(arrived) else crossings.hours - 1
    lon_along = np.unwrap(crossings.track.lon_deg, period=360.0)
    noons: list[Noon] = []
    for day in range(LONGEST_DAYS):
        hour = min(24 * day, crossings.hours - 1)
        zone_h = ship_zone_h(float(np.interp(typical_nm[hour], crossings.track.distance_nm, lon_along)))
        ship = crossings.depart + timedelta(hours=24 * day + zone_h)
        moment = ship.replace(hour=12, minute=0, second=0, microsecond=0) - timedelta(hours=zone_h)
        hours_out = round((moment - crossings.depart) / timedelta(hours=1))
        if hours_out > last_hour and noons:
            break
        run_nm = typical_nm[min(max(hours_out, 0), crossings.hours - 1)]
        lat, lon, _ = at_distance(crossings.track, [run_nm])
        noons.append(Noon(day, moment, float(lat[0]), float(lon[0]), zone_h))
    return tuple(noons)


def dark_by_day(noons: tuple[Noon, ...]) -> NDArray[np.float64]:
    """[days, 24] share of each hour of ship's time that is dark, the sun more than six degrees down, at the noon
    place.
    """
    noon = np.array([noon.moment.replace(tzinfo=None) for noon in noons], dtype="datetime64[m]")
    lat, lon = (np.array([getattr(noon, name) for noon in noons]) for name in ("lat_deg", "lon_deg"))
    glances = np.arange(_GLANCE_MIN // 2 - 12 * 60, 12 * 60, _GLANCE_MIN).astype("timedelta64[m]")
    sun_deg = sun_altitude_deg(noon[:, None] + glances, lat[:, None], lon[:, None])
    return np.asarray((sun_deg < CIVIL_DEG).reshape(len(noons), 24, -1).mean(axis=-1))


def sky_days(noons: tuple[Noon, ...]) -> tuple[SkyDay, ...]:
    """Sun and moon of each noon's local mean day and place, times to the nearest minute."""
    if not noons:
        return ()
    dates = [(noon.moment + timedelta(hours=noon.lon_deg / 15.0)).date() for noon in noons]
    days = almanac(dates, [noon.lat_deg for noon in noons], [noon.lon_deg for noon in noons])
    return tuple(
        SkyDay(
            day=noon.day,
            ship_date=noon.ship_date,
            noon_position=format_position(noon.lat_deg, noon.lon_deg),
            zone_h=noon.zone_h,
            sun_all_day=day.sun_all_day,
            moon_lit_in_100=100.0 * day.moon_illuminated,
            moon_phase=day.moon_phase,
            **{f"{name}_utc": _to_minute(getattr(day, name)) for name in EVENTS},
        )
        for noon, day in zip(noons, days, strict=True)
    )


def _to_minute(moment: datetime | None) -> datetime | None:
    return moment and (moment + timedelta(seconds=30)).replace(second=0, microsecond=0)
