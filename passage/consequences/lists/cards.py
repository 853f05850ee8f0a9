"""Cards for bad moments: short lists, each line with its source or marked as common practice. None is training."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

CAUTIONS = (
    "A card is a reminder, not training. Do the course, and try each of these in harbour.",
    "Rescue services, makers' instructions and the skipper on the spot overrule it.",
)


@dataclass(frozen=True)
class CardLine:
    """One line; standing R, R2, M, P or D as elsewhere."""

    text: str
    source: str
    standing: str


@dataclass(frozen=True)
class Card:
    """One list with its title, in the order in which things are done."""

    title: str
    lines: tuple[CardLine, ...]
    cautions: tuple[str, ...] = CAUTIONS


@cache
def cards() -> tuple[Card, ...]:
    """All the standing cards."""
    text = (files(__package__) / "cards.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    titles = dict.fromkeys(row["card"] for row in rows)
    return tuple(
        Card(
            title, tuple(CardLine(row["line"], row["source"], row["standing"]) for row in rows if row["card"] == title)
        )
        for title in titles
    )


def card(title: str) -> Card:
    """The standing card of this title. Raises KeyError for another."""
    return {card.title: card for card in cards()}[title]
