"""Cards for bad moments: short lists, each line with its source or marked as common practice. None is training."""

from __future__ import annotations

import csv
import re
from functools import cache
from importlib.resources import files

from passage.tell.customary import UNITS, Units
from passage.tell.figures import amount
from passage.tell.records import Record, reckoned, told

CAUTIONS = (
    "A card is a reminder, not training. Do the course, and try each of these in harbour.",
    "Rescue services, makers' instructions and the skipper on the spot overrule it.",
)


class CardLine(Record):
    """One line."""

    text: str = told("what it says")
    standing: str = told("standing of its source: R read, R2 second hand, M from memory, D worked out, P practice")
    source: str = told("where it is from; empty where it stands elsewhere", default="")


class Checklist(Record):
    """One list, in the order in which things are done."""

    title: str = told("name of the list")
    lines: tuple[CardLine, ...] = told("its lines")
    cautions: tuple[str, ...] = CAUTIONS

    @reckoned("where its lines are from, with their standing")
    def line_sources(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(f"{line.source} ({line.standing})" for line in self.lines))


def cards() -> tuple[Checklist, ...]:
    """All the standing cards, in the units that are printed."""
    return _cards(UNITS.get())


@cache
def _cards(units: Units) -> tuple[Checklist, ...]:
    """In the table a measure stands as its number and what a field's name would end in: ``{38:mm}``."""
    del units  # the words hang on it
    text = (files(__package__) / "cards.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    titles = dict.fromkeys(row["card"] for row in rows)
    return tuple(
        Checklist(
            title,
            tuple(
                CardLine(_measured(row["line"]), row["standing"], row["source"]) for row in rows if row["card"] == title
            ),
        )
        for title in titles
    )


def _measured(line: str) -> str:
    return re.sub(r"\{([\d.]+):(\w+)\}", lambda found: _told(float(found[1]), found[2]), line)


def _told(value: float, ending: str) -> str:
    return f"{amount(value, ending):u}".replace(".0 ", " ")


def card(title: str) -> Checklist:
    """The standing card of this title. Raises KeyError for another."""
    return {card.title: card for card in cards()}[title]
