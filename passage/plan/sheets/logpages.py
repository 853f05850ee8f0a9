"""Blank log pages with the fields that the log wants, to be filled in with a pencil and typed in when there is time."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from passage.journal.entries import DECK_ROUND, FIELDS
from passage.plan.printed import Table, rounded
from passage.plan.sheet import Sheet

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
    "deck": ("Deck", ""),
}


def table(outcome: Outcome) -> Table:
    """A noon's fields, one for each tank, person and part of the deck round, and how many noons to print."""
    each = {
        "tank": [tank.name for tank in outcome.facts.boat.water_tanks],
        "person": [person.role for person in outcome.facts.crew.people],
        "part": list(DECK_ROUND),
    }
    slow_days = min(outcome.times.slow_end_h, outcome.crossings.hours) / 24.0
    blanks = []
    for field in FIELDS:
        if field.option in LABELS:
            label, unit = LABELS[field.option]
            names = [f"{label}: {name}" for name in each[field.each]] if field.each else [label]
            blanks += [{"blank": name, "unit": unit, "wide": field.option == "position"} for name in names]
    return rounded({"noons_count": min(math.ceil(slow_days) + SPARE_NOONS, MOST_NOONS), "blanks": blanks})


KEYS = {
    "noons_count": "noons to print: to the slow end, and two to spare",
    "blanks": "what a noon's blanks ask for, in order",
    "blank": "what stands over the line",
    "wide": "whether it needs two places",
}

SHEET = Sheet("logpages", table, keys=KEYS)
