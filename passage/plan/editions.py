"""Which cards of which sheets are printed: the whole plan, or what is asked for by name."""

from __future__ import annotations

from difflib import get_close_matches
from typing import TYPE_CHECKING, NamedTuple

from passage.errors import Fault, InputFaults
from passage.plan.sheets import (
    anchor,
    chart,
    emergency,
    food,
    front,
    legs,
    logpages,
    looks,
    power,
    ready,
    sails,
    services,
    shore,
    sky,
    sources,
    stores,
    times,
    troubles,
    watches,
    water,
    when,
    winds,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from passage.plan.sheet import Card, Drawings, Room, Sheet, Tables
    from passage.road import Outcome

_AT_SEA = (front, chart, legs, winds, times, when, water, stores, food, power, sky, watches, looks, services, troubles)
_BOAT = (ready, sails, anchor, shore, emergency)
SHEETS = tuple(part.SHEET for part in (*_AT_SEA, *_BOAT, sources, logpages))  # in order of print


class Leaf(NamedTuple):
    """One card of a sheet."""

    sheet: Sheet
    card: Card


class Edition(NamedTuple):
    """What is to be printed, by the names it is asked for. strict: refused where one of them has nothing on it."""

    asked: Mapping[str, tuple[Leaf, ...]]
    strict: bool = False

    @property
    def leaves(self) -> tuple[Leaf, ...]:
        """In order of print, each once."""
        asked = [leaf for leaves in self.asked.values() for leaf in leaves]
        return tuple(leaf for leaf in _leaves(SHEETS) if leaf in asked)

    def tables(self, outcome: Outcome) -> Tables:
        """The tables that its cards show, and no other is worked out."""
        shown = {name for leaf in self.leaves for name in (leaf.sheet.name, *leaf.card.needs)}
        return {sheet.name: sheet.table(outcome) for sheet in SHEETS if sheet.name in shown and sheet.wanted(outcome)}

    def filled(self, tables: Tables) -> tuple[Leaf, ...]:
        """The cards with something on them. Raises InputFaults for names without any, where that is strict."""
        bare = [name for name, leaves in self.asked.items() if not any(_is_filled(leaf, tables) for leaf in leaves)]
        if bare and self.strict:
            wanted = "leave it out, or give the voyage the file that it is made from"
            raise InputFaults([Fault("--only", 0, "", f"nothing to print for {name}", wanted) for name in bare])
        return tuple(leaf for leaf in self.leaves if _is_filled(leaf, tables))


def drawings_of(leaves: Iterable[Leaf], outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    """The drawings of every sheet that has a card among these, SVG by name."""
    sheets = {leaf.sheet.name: leaf.sheet for leaf in leaves}
    drawn = [sheet.drawings(outcome, tables, room) for sheet in sheets.values()]
    return {name: drawing for drawings in drawn for name, drawing in drawings.items()}


def _leaves(sheets: Iterable[Sheet]) -> tuple[Leaf, ...]:
    return tuple(Leaf(sheet, card) for sheet in sheets for card in sheet.printed)


def _is_filled(leaf: Leaf, tables: Tables) -> bool:
    table = tables.get(leaf.sheet.name)
    return table is not None and leaf.card.filled(table)


WHOLE = Edition({sheet.name: _leaves([sheet]) for sheet in SHEETS})


def _by_name() -> dict[str, tuple[Leaf, ...]]:
    """Each sheet by its name, and each card by its own."""
    cards = {leaf.card.name: (leaf,) for leaf in WHOLE.leaves}
    return cards | dict(WHOLE.asked)


def only(names: str) -> Edition:
    """The sheets and cards so named, with commas between. Raises InputFaults for names that none has."""
    known = _by_name()
    asked = [name for part in names.split(",") if (name := part.strip().lower())]
    if faults := [_unknown(name, known) for name in asked if name not in known]:
        raise InputFaults(faults)
    if not asked:
        raise InputFaults(
            [Fault("--only", 0, "", "no name is given", "write some of the plan's, such as rota,distress")]
        )
    return Edition({name: known[name] for name in asked}, strict=True)


def _unknown(name: str, known: Iterable[str]) -> Fault:
    nearest = get_close_matches(name, known, n=1, cutoff=0.0)[0]
    return Fault(
        "--only", 0, "", f"no sheet or card is named {name!r}", f"the nearest is {nearest}; --help lists them all"
    )


def names_in_words() -> str:
    """Every name, in order of print: a sheet of several cards, then those in brackets."""
    return ", ".join(
        sheet.name if len(sheet.printed) == 1 and sheet.printed[0].name == sheet.name else _with_cards(sheet)
        for sheet in SHEETS
    )


def _with_cards(sheet: Sheet) -> str:
    return f"{sheet.name} ({', '.join(card.name for card in sheet.printed)})"
