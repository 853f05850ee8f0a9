"""Cards for bad moments: short lists, each line with its source or marked as common practice. None is training."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from passage.inputs.gear import Seacock

CAUTIONS = (
    "A card is a reminder, not training. Do the course, and try each of these in harbour.",
    "Rescue services, makers' instructions and the skipper on the spot overrule it.",
)
OWN_GEAR = "the gear file"


@dataclass(frozen=True)
class CardLine:
    """One line; standing R, R2, M, P or D as elsewhere, "given" where it is the boat's own."""

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


def flooding_card(seacocks: tuple[Seacock, ...]) -> Card:
    """The flooding card with where each seacock of this boat is, from the bow aft."""
    standing = card("flooding")
    ordered = sorted(seacocks, key=lambda seacock: (seacock.along_m, seacock.athwart_m))
    own = tuple(CardLine(_where(number, seacock), OWN_GEAR, "given") for number, seacock in enumerate(ordered, 1))
    return Card(standing.title, (*standing.lines, *own))


def _where(number: int, seacock: Seacock) -> str:
    side = "on the centreline"
    if seacock.athwart_m:
        side = f"{abs(seacock.athwart_m):.1f} m to {'starboard' if seacock.athwart_m > 0.0 else 'port'}"
    place = f", {seacock.place}" if seacock.place else ""
    plug = "plug tied on" if seacock.plug else "no plug on it"
    at = f"{seacock.along_m:.1f} m from the bow, {side}"
    return f"{number}. {seacock.name}{place}: {at}; {seacock.bore_mm:.0f} mm; {plug}"
