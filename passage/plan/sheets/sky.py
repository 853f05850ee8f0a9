"""Sun and moon day by day along the typical crossing, in ship's time and UTC; and the cyclone seasons she meets."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.inputs.position import format_position
from passage.plan import figures
from passage.plan.printed import day_words, rounded, zone_words
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.sailings.sky import almanac

if TYPE_CHECKING:
    from passage.consequences.noons import Noon
    from passage.road import Outcome
    from passage.sailings.sky import AlmanacDay

EVENTS = (
    "nautical_dawn",
    "civil_dawn",
    "sunrise",
    "sunset",
    "civil_dusk",
    "nautical_dusk",
    "moonrise",
    "moonset",
)


def table(outcome: Outcome) -> dict[str, Any]:
    """One row a day: noon place, zone, and HHMM of each event in ship's time and in UTC.

    A time that falls on the day after the row's date ends in "+", on the day before in "−"; "–": it does not happen.
    Zones are those of longitude, carried on past 180 degrees so that no date is sailed twice.
    """
    lats = [noon.lat_deg for noon in outcome.noons]
    return rounded({"by_day": sky_rows(outcome.noons), "southern": bool(np.mean(lats) < 0)})


def sky_rows(noons: tuple[Noon, ...]) -> list[dict[str, Any]]:
    """Sun and moon of each noon's day and place."""
    lats, lons = [noon.lat_deg for noon in noons], [noon.lon_deg for noon in noons]
    days = almanac([_local_mean_date(noon) for noon in noons], lats, lons) if noons else ()
    return [_row(noon, day) for noon, day in zip(noons, days, strict=True)]


def _local_mean_date(noon: Noon) -> Any:
    return (noon.moment + timedelta(hours=noon.lon_deg / 15.0)).date()


def _row(noon: Noon, day: AlmanacDay) -> dict[str, Any]:
    date = noon.ship_date
    return {
        "day": noon.day,
        "ship_date": date.isoformat(),
        "date_words": day_words(date),
        "noon_position": format_position(noon.lat_deg, noon.lon_deg),
        "zone": zone_words(noon.zone_h),
        "ship_times": {name: _clock(getattr(day, name), noon.zone_h, date) for name in EVENTS},
        "utc_times": {name: _clock(getattr(day, name), 0, date) for name in EVENTS},
        "sun_all_day": day.sun_all_day or "",
        "moon_lit_in_100": 100.0 * day.moon_illuminated,
        "moon_phase": day.moon_phase,
    }


def _clock(moment: datetime | None, zone_h: int, date: Any) -> str:
    """HHMM to the nearest minute, marked where it falls on another date."""
    if moment is None:
        return "–"
    there = moment.astimezone(UTC) + timedelta(hours=zone_h, seconds=30)
    mark = "+" if there.date() > date else "−" if there.date() < date else ""
    return f"{there:%H%M}{mark}"


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    """The moon of every day, as it stands in that hemisphere's sky."""
    sky = tables["sky"]
    return {f"moon{row['day']}": _moon(row, sky["southern"]) for row in sky["by_day"]}


def _moon(row: dict[str, Any], southern: bool) -> str:
    waxing = row["moon_phase"] in ("new moon", "waxing crescent", "first quarter", "waxing gibbous")
    return figures.moon(row["moon_lit_in_100"] / 100.0, waxing, southern)


KEYS = {
    "ship_date": "date by ship's time",
    "date_words": "the same in words",
    "noon_position": "where the typical crossing is at ship's noon",
    "zone": "ship's time",
    "ship_times": "rise, set and twilight by ship's time, hhmm",
    "utc_times": "the same in UTC",
    "nautical_dawn": "sun 12 degrees below, rising",
    "civil_dawn": "sun 6 degrees below, rising",
    "sunrise": "upper limb on the horizon",
    "sunset": "upper limb on the horizon",
    "civil_dusk": "sun 6 degrees below, setting",
    "nautical_dusk": "sun 12 degrees below, setting",
    "moonrise": "upper limb on the horizon",
    "moonset": "upper limb on the horizon",
    "sun_all_day": "what the sun does where it neither rises nor sets, else empty",
    "moon_lit_in_100": "lit part of the moon's disc, per cent",
    "moon_phase": "its name",
    "southern": "whether the moon is seen from south of the equator",
}

SHEET = Sheet("sky", table, drawings, keys=KEYS)
