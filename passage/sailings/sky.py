"""Sun and moon: a quick solar altitude for the simulation, and an almanac for the printed plan.

Two levels, for two purposes. ``sun_altitude_deg`` is a few lines of arithmetic on whole arrays, good to 0.015
degree: it tells night from day in every hour of every crossing. ``almanac`` asks the JPL ephemeris DE421 (through
skyfield, the file inside the ``skyfield-data`` wheel, nothing fetched, nothing written) for rise, set, twilight and
moon, good to a second or two in theory. The real horizon moves more than that: refraction near it varies by minutes
of arc, and an eye 2 m above the water sees the sun rise some 10 seconds early. What is printed is for planning, not
for sights.
"""

from __future__ import annotations

import math
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from functools import lru_cache
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from passage.errors import OutOfRange
from passage.sailings.earth import WGS84
from passage.sailings.geodesic import check_position, normalise_lon_deg

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

    FloatArray = NDArray[np.float64]

# Altitude of the centre at the event; 34' refraction and 16' semidiameter for the sun (US Naval Observatory).
SUNRISE_DEG = -50.0 / 60.0
CIVIL_DEG = -6.0
NAUTICAL_DEG = -12.0
REFRACTION_AT_HORIZON_DEG = 34.0 / 60.0

MOON_RADIUS_KM = 1737.4
OBLIQUITY_DEG = 23.439

J2000 = np.datetime64("2000-01-01T12:00:00", "ms")
DAY = np.timedelta64(86_400_000, "ms")


def days_since_j2000(time_utc: ArrayLike) -> FloatArray:
    """Days and parts of days from 2000 January 1, 12 h, for UTC times as numpy datetime64, any shape."""
    return np.asarray((np.asarray(time_utc, dtype="datetime64[ms]") - J2000) / DAY)


def _sun_ecliptic_longitude_rad(days: FloatArray) -> FloatArray:
    mean_longitude = np.radians(280.460 + 0.9856474 * days)
    anomaly = np.radians(357.528 + 0.9856003 * days)
    return np.asarray(mean_longitude + np.radians(1.915) * np.sin(anomaly) + np.radians(0.020) * np.sin(2.0 * anomaly))


def sun_declination_deg(time_utc: ArrayLike) -> FloatArray:
    """Declination of the sun, north positive; same source and error as ``sun_altitude_deg``."""
    longitude = _sun_ecliptic_longitude_rad(days_since_j2000(time_utc))
    return np.degrees(np.arcsin(math.sin(math.radians(OBLIQUITY_DEG)) * np.sin(longitude)))


def sun_altitude_deg(time_utc: ArrayLike, lat_deg: ArrayLike, lon_deg: ArrayLike) -> FloatArray:
    """Altitude of the sun's centre without refraction; negative below the horizon.

    time_utc: numpy datetime64; it, latitude and longitude (north and east positive) broadcast together. The
    Astronomical Almanac's low-precision formulas for the sun (page C5), stated there as 0.01 degree between 1950
    and 2050, with Greenwich mean sidereal time (page B8); parallax is left out. Against DE421 between 2025 and 2035
    the altitude was nowhere wrong by more than 0.013 degree, which is 3 seconds of a sunrise on the equator.
    """
    days = days_since_j2000(time_utc)
    longitude = _sun_ecliptic_longitude_rad(days)
    obliquity = math.radians(OBLIQUITY_DEG)
    right_ascension = np.arctan2(math.cos(obliquity) * np.sin(longitude), np.cos(longitude))
    sin_declination = math.sin(obliquity) * np.sin(longitude)
    cos_declination = np.sqrt(1.0 - sin_declination**2)
    sidereal = np.radians((280.46061837 + 360.98564736629 * days) % 360.0)
    lat, lon = np.radians(lat_deg), np.radians(lon_deg)
    hour_angle = sidereal - right_ascension + lon
    sin_altitude = np.sin(lat) * sin_declination + np.cos(lat) * cos_declination * np.cos(hour_angle)
    return np.asarray(np.degrees(np.arcsin(np.clip(sin_altitude, -1.0, 1.0))))


EPHEMERIS_YEARS = (1900, 2052)  # whole years inside DE421
NODES_H = np.arange(-2.0, 27.0, 2.0)  # ephemeris positions; cubics between them are good to 0.001 second of arc
FINE_H = np.arange(24 * 60 + 1) / 60.0  # a straight line between minutes is good to a second


class MoonPhase(StrEnum):
    """In the order of a month, from new moon: the quarters, and what lies between."""

    NEW = "new moon"
    WAXING_CRESCENT = "waxing crescent"
    FIRST_QUARTER = "first quarter"
    WAXING_GIBBOUS = "waxing gibbous"
    FULL = "full moon"
    WANING_GIBBOUS = "waning gibbous"
    LAST_QUARTER = "last quarter"
    WANING_CRESCENT = "waning crescent"

    @property
    def waxing(self) -> bool:
        return tuple(MoonPhase).index(self) < len(MoonPhase) // 2


class SunAllDay(StrEnum):
    """Whether the sun neither rises nor sets in a day, and where it then is."""

    NO = "no"
    UP = "up"
    DOWN = "down"


@dataclass(frozen=True)
class AlmanacDay:
    """Sun and moon at one place through one local mean day, the 24 hours from midnight by the place's own longitude.

    Times are UTC, to the second, None where the event does not happen in that day; near 180 degrees they fall on
    two UTC dates. lowest_sun_deg, highest_sun_deg: altitudes of the sun's centre over the day, without refraction;
    they tell why a time is missing. moon_illuminated: share of the disc, 0-1, at the midnight that ends the day.
    moon_phase: the quarter whose instant falls within the day, else the name of what lies between.
    """

    day: date
    lat_deg: float
    lon_deg: float
    begins: datetime
    nautical_dawn: datetime | None
    civil_dawn: datetime | None
    sunrise: datetime | None
    sunset: datetime | None
    civil_dusk: datetime | None
    nautical_dusk: datetime | None
    moonrise: datetime | None
    moonset: datetime | None
    lowest_sun_deg: float
    highest_sun_deg: float
    moon_illuminated: float
    moon_phase: MoonPhase

    @property
    def sun_all_day(self) -> SunAllDay:
        if self.lowest_sun_deg > SUNRISE_DEG:
            return SunAllDay.UP
        return SunAllDay.DOWN if self.highest_sun_deg < SUNRISE_DEG else SunAllDay.NO


class _Bodies(NamedTuple):
    """Geocentric apparent places, true equator and equinox of date, kilometres: (days, 3, hours); sidereal time (days,
    hours), radians.
    """

    sun_km: FloatArray
    moon_km: FloatArray
    sidereal_rad: FloatArray


def almanac(days: Sequence[date], lat_deg: ArrayLike, lon_deg: ArrayLike) -> tuple[AlmanacDay, ...]:
    """One almanac day for each day and place; days, latitudes and longitudes are of one length.

    OutOfRange for a place not on the earth and a year outside the ephemeris.
    """
    lats, lons = np.asarray(lat_deg, dtype=float), normalise_lon_deg(np.asarray(lon_deg, dtype=float))
    begins = [_local_midnight(*place) for place in zip(days, lats.tolist(), lons.tolist(), strict=True)]
    if not begins:
        return ()
    fine = _Bodies(*(quantity @ _cubic_weights() for quantity in _ephemeris(begins)))
    sun_deg, _ = _altitude_deg(fine.sun_km, fine.sidereal_rad, lats, lons)
    moon_deg, moon_km = _altitude_deg(fine.moon_km, fine.sidereal_rad, lats, lons)
    moonrise_deg = -REFRACTION_AT_HORIZON_DEG - np.degrees(MOON_RADIUS_KM / moon_km)
    events_h = {
        "nautical_dawn": _first_crossing_h(sun_deg - NAUTICAL_DEG),
        "civil_dawn": _first_crossing_h(sun_deg - CIVIL_DEG),
        "sunrise": _first_crossing_h(sun_deg - SUNRISE_DEG),
        "sunset": _first_crossing_h(SUNRISE_DEG - sun_deg),
        "civil_dusk": _first_crossing_h(CIVIL_DEG - sun_deg),
        "nautical_dusk": _first_crossing_h(NAUTICAL_DEG - sun_deg),
        "moonrise": _first_crossing_h(moon_deg - moonrise_deg),
        "moonset": _first_crossing_h(moonrise_deg - moon_deg),
    }
    first_deg, last_deg = (_elongation_deg(fine.sun_km[..., at], fine.moon_km[..., at]) for at in (0, -1))
    lit = _illuminated(fine.sun_km[..., -1], fine.moon_km[..., -1])
    return tuple(
        AlmanacDay(
            day=day,
            lat_deg=float(lats[row]),
            lon_deg=float(lons[row]),
            begins=begins[row],
            lowest_sun_deg=float(sun_deg[row].min()),
            highest_sun_deg=float(sun_deg[row].max()),
            moon_illuminated=float(lit[row]),
            moon_phase=_phase(float(first_deg[row]), float(last_deg[row])),
            **{name: _at_hour(begins[row], float(hours[row])) for name, hours in events_h.items()},
        )
        for row, day in enumerate(days)
    )


def _local_midnight(day: date, lat_deg: float, lon_deg: float) -> datetime:
    """UTC of the local mean midnight that begins the day."""
    check_position(lat_deg, lon_deg)
    first, last = EPHEMERIS_YEARS
    if not first <= day.year <= last:
        raise OutOfRange(f"the almanac reaches from {first} to {last}; {day.isoformat()} lies outside")
    return datetime(day.year, day.month, day.day, tzinfo=UTC) - timedelta(hours=lon_deg / 15.0)


@lru_cache(maxsize=1)
def _timescale() -> Any:
    from skyfield.api import load

    return load.timescale(builtin=True)


def _ephemeris(begins: list[datetime]) -> _Bodies:
    """Sun and moon at NODES_H after each beginning."""
    from importlib.resources import as_file, files

    from skyfield.api import load_file
    from skyfield.framelib import true_equator_and_equinox_of_date

    scale = _timescale()
    times = scale.tt_jd((scale.from_datetimes(begins).tt[:, np.newaxis] + NODES_H / 24.0).ravel())
    shape = (len(begins), len(NODES_H))
    # The path is asked of the package itself: the wheel's own look-up warns of the age of files that we do not read.
    with as_file(files("skyfield_data") / "data" / "de421.bsp") as path, closing(load_file(str(path))) as kernel:
        earth = kernel["earth"].at(times)
        sun_km, moon_km = (
            earth.observe(kernel[name]).apparent().frame_xyz(true_equator_and_equinox_of_date).km
            for name in ("sun", "moon")
        )
    sidereal_rad = np.unwrap(np.radians(15.0 * times.gast).reshape(shape), axis=1)
    sun_km, moon_km = (body.reshape(3, *shape).transpose(1, 0, 2) for body in (sun_km, moon_km))
    return _Bodies(sun_km, moon_km, sidereal_rad)


@lru_cache(maxsize=1)
def _cubic_weights() -> FloatArray:
    """Lagrange cubics through the four nodes about each fine hour, as one matrix (nodes, fine hours)."""
    weights = np.zeros((len(NODES_H), len(FINE_H)))
    step_h = NODES_H[1] - NODES_H[0]
    left = np.clip(((FINE_H - NODES_H[0]) / step_h).astype(int), 1, len(NODES_H) - 3)
    x = (FINE_H - NODES_H[left]) / step_h
    columns = np.arange(len(FINE_H))
    weights[left - 1, columns] = -x * (x - 1.0) * (x - 2.0) / 6.0
    weights[left, columns] = (x + 1.0) * (x - 1.0) * (x - 2.0) / 2.0
    weights[left + 1, columns] = -(x + 1.0) * x * (x - 2.0) / 2.0
    weights[left + 2, columns] = (x + 1.0) * x * (x - 1.0) / 6.0
    return weights


def _altitude_deg(
    body_km: FloatArray, sidereal_rad: FloatArray, lat_deg: FloatArray, lon_deg: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Altitude above the horizontal of an observer at sea level, without refraction, and distance from the observer."""
    lat = np.radians(lat_deg)[:, np.newaxis]
    turn = sidereal_rad + np.radians(lon_deg)[:, np.newaxis]
    e2 = WGS84.eccentricity_squared
    normal_km = WGS84.equatorial_radius_m / 1000.0 / np.sqrt(1.0 - e2 * np.sin(lat) ** 2)
    up = (np.cos(lat) * np.cos(turn), np.cos(lat) * np.sin(turn), np.broadcast_to(np.sin(lat), turn.shape))
    stretch = (normal_km, normal_km, normal_km * (1.0 - e2))
    seen = [body_km[:, axis] - stretch[axis] * up[axis] for axis in range(3)]
    distance_km = np.sqrt(seen[0] ** 2 + seen[1] ** 2 + seen[2] ** 2)
    rise_km = seen[0] * up[0] + seen[1] * up[1] + seen[2] * up[2]
    return np.degrees(np.arcsin(rise_km / distance_km)), distance_km


def _first_crossing_h(excess: FloatArray) -> FloatArray:
    """Hour (days,) when each row of excess (days, fine hours) first turns from negative to positive; NaN where
    never.
    """
    rises = (excess[:, :-1] < 0.0) & (excess[:, 1:] >= 0.0)
    at = rises.argmax(axis=1)
    row = np.arange(len(excess))
    below, above = excess[row, at], excess[row, at + 1]
    found = rises[row, at]
    part = np.divide(below, below - above, out=np.zeros_like(below), where=found)
    return np.where(found, FINE_H[at] + part * (FINE_H[1] - FINE_H[0]), np.nan)


def _at_hour(begins: datetime, hours: float) -> datetime | None:
    """Whole second of an event, None for NaN."""
    if math.isnan(hours):
        return None
    return (begins + timedelta(hours=hours, microseconds=500_000)).replace(microsecond=0)


def _ecliptic_longitude_deg(body_km: FloatArray) -> FloatArray:
    obliquity = math.radians(OBLIQUITY_DEG)
    north = body_km[..., 1] * math.cos(obliquity) + body_km[..., 2] * math.sin(obliquity)
    return np.degrees(np.arctan2(north, body_km[..., 0]))


def _elongation_deg(sun_km: FloatArray, moon_km: FloatArray) -> FloatArray:
    """How far the moon's longitude is ahead of the sun's, [0, 360); vectors (days, 3)."""
    return np.asarray((_ecliptic_longitude_deg(moon_km) - _ecliptic_longitude_deg(sun_km)) % 360.0)


def _illuminated(sun_km: FloatArray, moon_km: FloatArray) -> FloatArray:
    """Lit share of the disc, (1 + cos of the angle sun - moon - earth) / 2; vectors (days, 3)."""
    to_sun, to_earth = sun_km - moon_km, -moon_km
    lengths = np.linalg.norm(to_sun, axis=-1) * np.linalg.norm(to_earth, axis=-1)
    return np.asarray((1.0 + (to_sun * to_earth).sum(axis=-1) / lengths) / 2.0)


def _phase(first_deg: float, last_deg: float) -> MoonPhase:
    """The phase in a day that begins and ends at these elongations."""
    before, after = int(first_deg // 90.0), int(last_deg // 90.0)
    return tuple(MoonPhase)[2 * after + (before == after)]
