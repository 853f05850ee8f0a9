"""Blank log pages with the fields that the log wants, to be filled in with a pencil and typed in when there is time."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from passage.journal.entries import FIELDS, deck_round
from passage.plan.sheet import Sheet
from passage.tell.customary import unit_words
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.road import Outcome

SPARE_NOONS = 2
MOST_NOONS = 90
# What stands over the line for each option of an entry, and what after it.
LABELS = {
    "position": ("Position", ""),
    "course": ("Course made good", "° true"),
    "speed": ("Mean speed", "kn"),
    "log": ("Miles by log", "nm"),
    "wind": ("Wind from, force", ""),
    "sea": ("Sea", "m"),
    "barometer": ("Barometer", "hPa"),
    "cloud": ("Cloud", "/8"),
    "water": ("Water", "L"),
    "fuel": ("Fuel left", "L"),
    "battery": ("Battery", "% or V"),
    "engine": ("Engine meter", "h"),
    "hove-to": ("Hove to", "h"),
    "sleep": ("Sleep", "h"),
    "bilge": ("Bilge strokes", ""),
    "sails": ("Sails", ""),
    "deck": ("Deck", ""),
    "done": ("Done", ""),
}


class Blank(Record):
    """A line to write on."""

    blank: str = told("what stands over the line")
    unit: str = told("what stands behind it")
    wide: bool = told("whether it needs two places")


class LogPages(Record):
    """What a noon asks for, and how often."""

    noons_count: int = told("noons to print: to the slow end, and two to spare")
    blanks: tuple[Blank, ...] = told("what a noon's blanks ask for, in order")


def table(outcome: Outcome) -> LogPages:
    """A noon's fields, one for each tank, person and part of the deck round, and how many noons to print."""
    each = {
        "tank": [tank.name for tank in outcome.facts.boat.water_tanks],
        "person": [person.role for person in outcome.facts.crew.people],
        "part": list(deck_round(outcome.facts.gear)),
        "job": [each.name for each in outcome.facts.gear.upkeep],
    }
    slow_days = min(outcome.times.slow_end_h, outcome.crossings.hours) / 24.0
    blanks = []
    for field in FIELDS:
        if field.option in LABELS:
            label, unit = LABELS[field.option]
            unit = unit_words(unit)
            names = [f"{label}: {name}" for name in each[field.each]] if field.each else [label]
            blanks += [Blank(name, unit, wide=field.option == "position") for name in names]
    return LogPages(min(math.ceil(slow_days) + SPARE_NOONS, MOST_NOONS), tuple(blanks))


SHEET = Sheet("logpages", table, record=LogPages)
