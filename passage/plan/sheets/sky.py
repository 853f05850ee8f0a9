"""Sun and moon day by day along the typical crossing, in ship's time; and the cyclone seasons she meets."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any

from passage.consequences.noons import SkyDay
from passage.plan import figures
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.sailings.clock import ship_zone_h
from passage.sailings.sky import SunAllDay
from passage.tell.blocks import SMALL_PT, Blocks, Say, Title, grid, note, picture, small, strong
from passage.tell.figures import DASH, zone_words
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.road import Outcome


class SunAndMoon(Record):
    """Sun and moon day by day. Zones are those of longitude, carried on past 180 degrees so that no date is sailed
    twice.
    """

    date_line: str = told("which date it is at the landfall where she crosses 180 degrees; empty where she does not")
    southern: bool = told("whether the moon is seen from south of the equator")
    by_day: tuple[SkyDay, ...] = told("day by day")


def table(outcome: Outcome) -> SunAndMoon:
    southern = sum(noon.lat_deg for noon in outcome.noons) < 0
    return SunAndMoon(date_line_of(outcome), southern, outcome.sky)


def date_line_of(outcome: Outcome) -> str:
    return date_line_words(outcome.noons[-1].zone_h, float(outcome.ground.track.lon_deg[-1]))


def date_line_words(aboard_h: int, lon_deg: float) -> str:
    """What to know of the date at a landfall where the clock aboard has been carried on past 180 degrees; empty where
    it has not. aboard_h: ship's time less UTC, hours; lon_deg: east positive.
    """
    there_h = ship_zone_h(lon_deg)
    if abs(aboard_h - there_h) < A_DATE_H:
        return ""
    earlier = "earlier" if aboard_h > there_h else "later"
    return (
        f"She crosses 180 degrees: ship's time is carried on, {zone_words(aboard_h)} at the landfall, and no date is "
        f"sailed twice or left out. By longitude it is {zone_words(there_h)} there, one day {earlier}; which of the "
        "two dates is kept ashore, its government decides: look it up before you sail and before you book."
    )


SHIPS_TIME = "Ship's time"
A_DATE_H = 23  # between two zones of one place, or more: they are a date apart


def sky_card(told: SunAndMoon) -> Blocks:
    def event(name: str, head: str) -> tuple[str, Any]:
        return head, lambda row: _cell(row, name)

    return (
        Title("Sun and moon"),
        Say(
            f"Along the typical crossing, at her noon place. {strong(SHIPS_TIME)} is the zone of her longitude: beside "
            f"the date what it differs from UTC by; harbour time may differ."
            f"{told.date_line and f' {told.date_line}'}"
        ),
        grid(
            told.by_day,
            ("day", lambda row: row.day),
            ("date", _date_cell, "left"),
            ("noon place", lambda row: small(row.noon_position), "right 1fr"),
            event("nautical_dawn", "naut.\ndawn"),
            event("civil_dawn", "civil\ndawn"),
            event("sunrise", "sun-\nrise"),
            event("sunset", "sun-\nset"),
            event("civil_dusk", "civil\ndusk"),
            event("nautical_dusk", "naut.\ndusk"),
            event("moonrise", "moon-\nrise"),
            event("moonset", "moon-\nset"),
            ("moon", _moon_cell, "left"),
            size=SMALL_PT,
            inset=2.0,
        ),
        note(
            '"+" after a time: on the next day\'s date; "−" after it: on the day before; "–" alone: does not happen '
            "that day. Moon: how much of her is lit, and how she stands at midnight. On the day on which the clock is "
            "changed the whole row is by the new zone, though it is changed at noon. For another longitude: 4 minutes "
            "earlier for each degree farther east. Good to a few minutes: not for sights. "
            "The days of the landfall: Arrival."
        ),
    )


def _date_cell(row: SkyDay) -> str:
    return f"{strong(f'{row.ship_date:short}')} {small(zone_words(row.zone_h))}"


def _moon_cell(row: SkyDay) -> str:
    return f"{picture(f'moon{row.day}', row.moon_phase)} {small(f'{row.moon_lit_in_100}%')}"


def _cell(row: SkyDay, event: str) -> str:
    if row.sun_all_day is not SunAllDay.NO and event in ("sunrise", "sunset"):
        return row.sun_all_day if event == "sunrise" else "all day"
    return strong(ship_clock(row, event))


def ship_clock(row: SkyDay, event: str) -> str:
    return _clock(getattr(row, f"{event}_utc"), row.zone_h, row.ship_date)


def _clock(moment: datetime | None, zone_h: int, on: date) -> str:
    """HHMM, marked where it falls on another date; a dash where it does not happen."""
    if moment is None:
        return DASH
    there = moment + timedelta(hours=zone_h)
    mark = "+" if there.date() > on else "−" if there.date() < on else ""
    return f"{there:%H%M}{mark}"


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    """The moon of every day, as it stands in that hemisphere's sky."""
    sky = table(outcome)
    return {
        f"moon{row.day}": figures.moon(row.moon_lit_in_100 / 100.0, row.moon_phase.waxing, sky.southern)
        for row in sky.by_day
    }


SHEET = Sheet("sky", table, drawings, record=SunAndMoon, cards={"sky": sky_card})
