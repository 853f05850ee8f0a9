"""The sheet that stays ashore: who she is, who sails, where to and by when, and what to do when she is late.

The fields are those of the coastguards' published float-plan form (R2). It is left with a person, not the coastguard.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import groupby
from math import isfinite
from typing import TYPE_CHECKING, NamedTuple

from passage.positions import format_position
from passage.tell.customary import unit_words
from passage.tell.figures import amount, area_words, day_words, volume_words
from passage.tell.records import Record, reckoned, told
from passage.units import written

if TYPE_CHECKING:
    from collections.abc import Iterator

    from passage.inputs.boat import Boat
    from passage.inputs.crew import Crew
    from passage.inputs.gear import FloatPlan, Gear
    from passage.inputs.voyage import Voyage

SOURCE = "coastguard float-plan form (R2)"
DAY_H = 24.0

OVERDUE = (
    "Late is not lost: both days are reckoned from the slow end of simulated crossings, in which nothing breaks.",
    "Begin asking: look at the times again, then call the boat, then those who may have heard from her.",
    "Raise the alarm: call the rescue authority and read this sheet to them.",
    "Better one call too many: it can be taken back.",
)
LEAVE_WITH = (
    "Leave it with somebody who will act on it, not with a rescue service; send word of every change and of arrival."
)


class PlanRow(Record):
    """One field of the sheet."""

    heading: str
    field: str = told("what is asked")
    value: str | datetime = told("a time (UTC) or words; empty where it is to be filled in by hand")


class Fields(Record):
    """The fields under one heading."""

    heading: str = told("vessel, communications, propulsion, safety gear, persons, itinerary, contacts")
    fields: tuple[PlanRow, ...] = told("the fields under it")


class Overdue(NamedTuple):
    """When she is overdue and those ashore begin to ask, and when they call the rescue service (UTC); None where the
    slow end is not reached.
    """

    worry_at: datetime | None
    alarm_at: datetime | None


def overdue(rules: FloatPlan, depart: datetime, slow_end: datetime | None) -> Overdue:
    """The one rule, which the calendar and the log keep too: so long past the slow end (UTC) as the float plan says."""
    if slow_end is None:
        return Overdue(None, None)
    late = rules.late((slow_end - depart) / timedelta(hours=1))
    return Overdue(slow_end + timedelta(hours=late.worry_h), slow_end + timedelta(hours=late.alarm_h))


class SilentStep(Record):
    """What the shore contact does when a report does not come."""

    after_h: float = told("hours after the report was due")
    what: str = told("what to do from then on")


ALWAYS = "A distress alert, a beacon or a call for help: ring the rescue authority at once, whatever the hour below."
ALARM_LATER_H = 12.0  # than when a second report is missed
CALL_LATER_H = 6.0  # than a report was due
EVERY_H = 24.0  # from one report to the next, where the float plan says nothing


def silent_steps(every_h: float) -> tuple[SilentStep, ...]:
    """Hour by hour after a report was due that did not come. every_h: from one report to the next.

    Silence is most often a dead battery or a wet telephone, and so the steps give it time; the times are ours, common
    practice with no source, and are to be agreed before she sails. A distress beacon or a call for help waits for
    nothing.
    """
    return (
        SilentStep(0.0, "The report is due. Nothing to do yet: watch for it."),
        SilentStep(CALL_LATER_H, "Look whether the time was read right (UTC); try every way of calling her once."),
        SilentStep(
            every_h,
            "A second report is missed. Call again, ask the other contacts of the float plan, look for her on AIS.",
        ),
        SilentStep(
            every_h + ALARM_LATER_H,
            "Ring the rescue authority named in the float plan: last position, course and speed, how many are aboard, "
            "what she carries. Ask what they advise; they decide from here on.",
        ),
    )


class ShoreSheet(Record):
    """The whole sheet, and what to do when she is late. Without a slow end its two days are agreed and written in by
    hand.
    """

    rows: tuple[PlanRow, ...]
    worry_utc: datetime | None = told("when to begin asking; null where the slow end is not reached")
    alarm_utc: datetime | None = told("when to call the rescue authority; null likewise")
    rescue_authority: str = told("whom to call")
    rescue_telephone: str = told("the number")
    report_every_h: float = told("hours from one report to the next")
    call_after_h: float = told("hours after a missed report when to try every way of calling her")
    ask_after_h: float = told("hours after a missed report when to begin asking others")
    alarm_after_h: float = told("hours after a missed report when to call the rescue authority")
    when_silent: tuple[SilentStep, ...] = told("what to do, hour by hour, when a report does not come")
    when_overdue: tuple[str, ...] = told("what to do when she is late", default=OVERDUE)
    leave_with: str = told("with whom to leave it", default=LEAVE_WITH)
    source: str = told("whose fields they are", default=SOURCE)

    @reckoned("fields of the sheet by heading")
    def groups(self) -> tuple[Fields, ...]:
        by_heading = groupby(self.rows, key=lambda row: row.heading)
        return tuple(Fields(heading, tuple(rows)) for heading, rows in by_heading)

    @property
    def blanks(self) -> tuple[str, ...]:
        return tuple(f"{row.heading}: {row.field}" for row in self.rows if not row.value)


def float_plan(
    boat: Boat, crew: Crew, voyage: Voyage, gear: Gear, depart: datetime, hours: tuple[float, float]
) -> ShoreSheet:
    """The sheet for this voyage.

    hours: of the typical passage and the slow end from departure, infinite where not reached. Persons stand by role;
    names are filled in by hand.
    """
    moments = (depart, *(_after(depart, hour) for hour in hours))
    rows = [
        *_vessel(boat, gear),
        *_communications(gear),
        *_propulsion(boat),
        *_safety(gear),
        *_persons(crew),
        *_itinerary(voyage, gear, moments),
        *_contacts(gear),
    ]
    late, every_h = overdue(gear.float_plan, depart, moments[-1]), gear.float_plan.report_every_h or EVERY_H
    return ShoreSheet(
        rows=tuple(PlanRow(*row) for row in rows),
        worry_utc=late.worry_at,
        alarm_utc=late.alarm_at,
        rescue_authority=gear.float_plan.rescue_authority,
        rescue_telephone=gear.float_plan.rescue_telephone,
        report_every_h=every_h,
        call_after_h=CALL_LATER_H,
        ask_after_h=every_h,
        alarm_after_h=every_h + ALARM_LATER_H,
        when_silent=silent_steps(every_h),
    )


Row = tuple[str, str, str | datetime]


def _vessel(boat: Boat, gear: Gear) -> Iterator[Row]:
    hull, who = boat.hull, gear.identity
    yield "vessel", "name", hull.name if hull.named else ""
    yield "vessel", "flag and home port", ", ".join(part for part in (who.flag, who.port) if part)
    yield "vessel", "registration", who.registration
    yield "vessel", "type", hull.rig
    yield "vessel", "length", _metres(hull.length_overall_m)
    yield "vessel", "draught", _metres(hull.draught_m) if hull.draught_m is not None else ""
    yield "vessel", "hull colour", who.hull_colour
    yield "vessel", "sail mark", who.sail_mark
    yield "vessel", "what stands out", who.features


def _communications(gear: Gear) -> Iterator[Row]:
    who = gear.identity
    yield "communications", "call sign", who.call_sign
    yield "communications", "MMSI", who.mmsi
    yield "communications", "radios", who.radios
    yield "communications", "satellite telephone", who.satellite_number


def _propulsion(boat: Boat) -> Iterator[Row]:
    yield "propulsion", "sail area, main and foretriangle", area_words(boat.hull.sail_area_m2)
    engine = f"{written(boat.engine.cruising_speed_kn, 'speed')} under engine" if boat.engine else "none"
    yield "propulsion", "engine", engine
    if boat.engine:
        yield "propulsion", "fuel aboard", volume_words(round(boat.usable_fuel_l, 1))


def _safety(gear: Gear) -> Iterator[Row]:
    aboard = {item.kind: item for item in gear.items}
    yield "safety gear", "EPIRB identity", gear.identity.epirb_id
    yield "safety gear", "liferaft", gear.identity.liferaft
    for kind in ("flares", "plb", "lifejackets"):
        item = aboard.get(kind)
        expiry = f", to {day_words(item.expires)} {item.expires.year}" if item and item.expires else ""
        yield "safety gear", "PLB" if kind == "plb" else kind, f"{item.name}{expiry}" if item else ""


def _persons(crew: Crew) -> Iterator[Row]:
    for person in crew.people:
        yield "persons", f"{person.role}: name, health note, telephone of kin", ""
        yield "persons", f"{person.role}: age and sex", f"{person.age_years}, {person.sex}"


def _after(depart: datetime, hours: float) -> datetime | None:
    return depart + timedelta(hours=hours) if isfinite(hours) else None


def _itinerary(voyage: Voyage, gear: Gear, moments: tuple[datetime | None, ...]) -> Iterator[Row]:
    depart, typical, slow_end = moments
    first, *between, last = voyage.waypoints
    yield "itinerary", "from", _place(first.name, first.position)
    yield "itinerary", "departs", _moment(depart)
    for waypoint in between:
        yield "itinerary", "by way of", _place(waypoint.name, waypoint.position)
    yield "itinerary", "to", _place(last.name, last.position)
    yield "itinerary", "arrives, typical", _moment(typical)
    yield "itinerary", "arrives, slow end", _moment(slow_end)
    every_h = gear.float_plan.report_every_h
    yield "itinerary", "reports", f"every {every_h:g} h" if every_h else ""


def _contacts(gear: Gear) -> Iterator[Row]:
    for contact in gear.contacts:
        reached = ", ".join(part for part in (contact.telephone, contact.email) if part)
        part = f" ({contact.part})" if contact.part else ""
        yield "contacts", f"{contact.name}{part}", reached
    if not gear.contacts:
        yield "contacts", "holder of this sheet", ""
    yield "contacts", "rescue authority", gear.float_plan.rescue_authority
    yield "contacts", "its telephone", gear.float_plan.rescue_telephone


def _metres(length_m: float) -> str:
    return f"{length_m:.2f}".rstrip("0").rstrip(".") + " m" if unit_words("m") == "m" else f"{amount(length_m, 'm'):u}"


def _place(name: str, position: tuple[float, float]) -> str:
    return f"{name}, {format_position(*position)}"


def _moment(moment: datetime | None) -> str | datetime:
    return moment or "not reached in these crossings: agree a day by hand"
