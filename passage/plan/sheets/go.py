"""Go or no go on the morning of departure: boxes to tick, each with the limit that this plan was reckoned with."""

from __future__ import annotations

from datetime import timedelta
from enum import StrEnum
from math import isfinite
from typing import TYPE_CHECKING

from passage.plan.sheet import Sheet
from passage.plan.sheets.cautions import DEFERS
from passage.plan.sheets.sky import ship_clock
from passage.sailings.sky import SunAllDay
from passage.tell.blocks import SMALL_PT, TICK, Beside, Blocks, Say, Title, Together, grid, note, strong
from passage.tell.customary import unit_words
from passage.tell.figures import amount, zone_words
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from passage.consequences.noons import SkyDay
    from passage.road import Outcome

LINE = "_______"  # to be written on


class Subject(StrEnum):
    """What is looked at, in the order of print."""

    FORECAST = "Forecast"
    CREW = "Crew"
    TIDE = "Tide and daylight"
    BOAT = "Boat and stores"
    PAPERS = "Papers, and those ashore"


LEFT_HAND = (Subject.FORECAST, Subject.CREW, Subject.TIDE)


class Check(Record):
    """One box."""

    part: Subject = told("what it belongs to")
    wanted: str = told("what must be so, with this plan's limit; a line where something is to be written down")


class GoNoGo(Record):
    """What must be so for her to sail."""

    depart_ship: str = told("when she is to sail, ship's time and UTC")
    checks: tuple[Check, ...] = told("every box, in order of print")
    caution: str = told("whom it defers to", default=DEFERS)


def table(outcome: Outcome) -> GoNoGo:
    wanted = {
        Subject.FORECAST: _forecast(outcome),
        Subject.CREW: _crew(outcome),
        Subject.TIDE: _tide(outcome),
        Subject.BOAT: _boat(outcome),
        Subject.PAPERS: _papers(outcome),
    }
    first = outcome.sky[0]
    depart = outcome.crossings.depart
    sails = f"{depart + timedelta(hours=first.zone_h):%H%M} ship's time ({depart:%H%M} UTC)"
    return GoNoGo(sails, tuple(Check(part, words) for part, lines in wanted.items() for words in lines))


def _forecast(outcome: Outcome) -> Iterator[str]:
    helm, areas = outcome.facts.boat.helm, outcome.services
    named = f" for area {areas[0].area}, {areas[0].issuer}" if areas else ""
    yield f"The official forecast{named} is read and written down; issued at {LINE}"
    yield "No gale warning, no tropical storm named in it on our way."
    mean_kn = helm.gust_limit_kn / helm.gust_factor
    yield (
        f"No gusts over {helm.gust_limit_kn:.0f} kn, a mean wind of {mean_kn:.0f}: beyond that these crossings heave "
        "to, whatever sail she could carry."
    )
    yield f"In the first {helm.first_days_h:.0f} hours nothing that we would not choose with a crew new to the sea."
    yield f"Barometer {LINE} hPa, and not falling fast."


def _crew(outcome: Outcome) -> Iterator[str]:
    people = " and ".join(person.role for person in outcome.facts.crew.people)
    yield f"Slept a whole night, fed, sober, no fever: {people}."
    yield "Tablets taken by whoever may be seasick."
    yield "Each has put a hand on seacocks, raft, grab bag, EPIRB and extinguishers, and can make the distress call."
    yield "Nobody sails because of a date: each may say no."


def _tide(outcome: Outcome) -> Iterator[str]:
    first, draught_m = outcome.sky[0], outcome.facts.boat.hull.draught_m
    yield f"High water {LINE}, low water {LINE}; the stream serves from {LINE}"
    draws = f", and she draws {amount(draught_m, 'm', places=2):u}" if draught_m is not None else ""
    yield f"Least depth on the way out {LINE} {unit_words('m')}{draws}."
    yield light_words(first, outcome.crossings.depart)


def light_words(day: SkyDay, depart: datetime) -> str:
    """What the sun asks of an hour of departure: to be clear before dark, or, where it is dark then, to see without."""
    sun = f"sun {ship_clock(day, 'sunrise')} to {ship_clock(day, 'sunset')}, {zone_words(day.zone_h)}"
    if day.sun_all_day is SunAllDay.UP:
        return "Clear of land and traffic before anybody is tired: the sun does not set."
    if day.civil_dawn_utc and day.sunset_utc and day.civil_dawn_utc <= depart < day.sunset_utc:
        return f"Clear of land and traffic before dark: {sun}."
    return (
        f"She sails in the dark ({sun}; moon {ship_clock(day, 'moonrise')} to {ship_clock(day, 'moonset')}): lights "
        "and unlit dangers of the way out are on the chart, the way was seen by day, two on deck till clear. Else wait "
        "for light."
    )


def _boat(outcome: Outcome) -> Iterator[str]:
    ready = outcome.readiness
    for finding in ready.findings:
        if finding.name in ready.because:
            what = f": {finding.governing.what}" if finding.governing else ""
            yield f"Put right since this was printed, {finding.name}{what}."
    loads = [f"{row.name} {row.to_load:u}" for row in outcome.stores.stores if isfinite(row.to_load)]
    yield f"Aboard and stowed, at the least: {', '.join(loads)}."
    if outcome.facts.electrics is not None:
        yield f"Battery {LINE} % full; this plan begins at {100.0 * outcome.facts.electrics.departure.start_share:.0f}."
    yield "Engine, steering, self-steering, pumps, lights and radio tried this morning; bilge dry."
    yield "Hatches shut, seacocks that can be are shut, anchor lashed and ready; storm sails at hand."


def _papers(outcome: Outcome) -> Iterator[str]:
    for row in outcome.readiness.papers_to_do:
        yield f"Put right since this was printed, {row.label}: {row.said}."
    if blank := _blank(outcome):
        yield f"Written into the distress cards and the float plan, where they are blank: {', '.join(blank)}."
    yield "Passports, ship's papers and insurance aboard; cleared outwards."
    late = outcome.float_plan
    days = f"begins asking {late.worry_utc}, alarm {late.alarm_utc}, at the latest" if late.worry_utc else "days agreed"
    yield f"Float plan left with {LINE}: {days}."


def _blank(outcome: Outcome) -> list[str]:
    """What rescuers ask for first, and the voyage's files do not tell."""
    who, rules = outcome.facts.gear.identity, outcome.facts.gear.float_plan
    hull = outcome.facts.boat.hull
    known = {
        "her name": hull.name if hull.named else "",
        "call sign": who.call_sign,
        "MMSI": who.mmsi,
        "EPIRB identity": who.epirb_id,
        "our satellite telephone": who.satellite_number,
        "rescue authority": rules.rescue_authority,
        "its telephone": rules.rescue_telephone,
    }
    return [words for words, given in known.items() if not given]


def go_card(told: GoNoGo) -> Blocks:
    def boxes(parts: tuple[Subject, ...]) -> Blocks:
        rows = [check for part in parts for check in told.checks if check.part is part]
        return (
            grid(
                rows,
                ("", lambda check: TICK, "left 14pt"),
                ("", lambda check: check.wanted, "left 1fr"),
                size=SMALL_PT,
                every=99,
                under=lambda check: check.part.value,
            ),
        )

    others = tuple(part for part in Subject if part not in LEFT_HAND)
    return (
        Together(
            (
                Title("Go or no go: the morning of departure"),
                Say(strong("A box that stays empty is a no. Stay, put it right, look again tomorrow.")),
                Beside((boxes(LEFT_HAND), boxes(others))),
                Say(f"She is to sail at {told.depart_ship}. Go: {LINE}{LINE}   and {LINE}{LINE}   at {LINE}"),
                note(f"Limits are this plan's own; the rest is common practice, no source. {told.caution}"),
            )
        ),
    )


SHEET = Sheet("go", table, record=GoNoGo, cards={"go-no-go": go_card})
