"""The contents of the plan, card by card, and which are printed: all, the four most needed pages, or those named.

An edition is only a choice of cards: all of them are worked out, set and printed in the same way.
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any, NamedTuple

from passage.errors import Fault, InputFaults

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping


def _always(table: Any) -> bool:
    return True


@dataclass(frozen=True)
class PlanCard:
    """A page, pages that belong together, or a part of one, which can be printed without the others.

    name: what it is asked for by, and its key among the ``cards`` of the sheet's page file. night: read by red light:
    all but small print is black, bold and 17 points or more. needs: sheets besides its own whose tables it shows.
    filled: whether its sheet's table leaves anything to print on it. follows: set beneath the card before it, and on no
    new page, where both are for the day or both for the night.
    """

    name: str
    night: bool = False
    needs: tuple[str, ...] = ()
    filled: Callable[[Any], bool] = _always
    follows: bool = False


class Leaf(NamedTuple):
    """One card of a sheet."""

    sheet: str
    card: PlanCard


FRONT = Leaf("front", PlanCard("front"))
CHAPTERS: dict[str, tuple[Leaf, ...]] = {  # in order of print, each with its own place at the thumb edge
    "Emergency": (
        Leaf("emergency", PlanCard("abandon", night=True)),
        Leaf("emergency", PlanCard("distress", night=True)),
        Leaf("emergency", PlanCard("radio", night=True)),
        Leaf("emergency", PlanCard("man-overboard", night=True)),
        Leaf("emergency", PlanCard("flooding", night=True)),
        Leaf(
            "emergency",
            PlanCard("seacocks", night=True, filled=lambda emergency: bool(emergency.hull_holes), follows=True),
        ),
        Leaf("emergency", PlanCard("fire", night=True)),
        Leaf("emergency", PlanCard("medical", night=True)),
    ),
    "Trouble": (
        Leaf("troubles", PlanCard("refuges", night=True)),
        Leaf("troubles", PlanCard("turn-back", night=True)),
    ),
    "Watch": (
        Leaf(
            "watches",
            PlanCard("rota", night=True, filled=lambda watches: bool(watches.rotas or watches.unplanned)),
        ),
        Leaf("looks", PlanCard("handover", night=True, filled=lambda looks: not looks.one_keeper)),
        Leaf("legs", PlanCard("steering", night=True, follows=True)),
        Leaf("stores", PlanCard("hand-table", night=True)),
        Leaf("watches", PlanCard("by-date", night=True, filled=lambda watches: bool(watches.dated))),
        Leaf("looks", PlanCard("look-out", follows=True)),
        Leaf("looks", PlanCard("overboard", follows=True)),
        Leaf("watches", PlanCard("tiredness", filled=lambda watches: bool(watches.rotas), follows=True)),
        Leaf("watches", PlanCard("own-and-best", filled=lambda watches: watches.compared is not None, follows=True)),
        Leaf("watches", PlanCard("weeks", filled=lambda watches: bool(watches.own_weeks), follows=True)),
        Leaf("watches", PlanCard("nights", filled=lambda watches: not watches.unplanned, follows=True)),
    ),
    "Course": (
        Leaf("go", PlanCard("go-no-go", follows=True)),
        Leaf("services", PlanCard("services", follows=True)),
        Leaf("chart", PlanCard("chart")),
        Leaf("legs", PlanCard("legs", follows=True)),
        Leaf("winds", PlanCard("winds", follows=True)),
    ),
    "Time": (
        Leaf("times", PlanCard("days", follows=True)),
        Leaf("times", PlanCard("slow-end", follows=True)),
        Leaf("times", PlanCard("breakage", filled=lambda times: times.breakage is not None, follows=True)),
        Leaf("when", PlanCard("when", follows=True)),
        Leaf("times", PlanCard("by-day", follows=True)),
    ),
    "Stores": (
        Leaf("stores", PlanCard("load", follows=True)),
        Leaf("water", PlanCard("water", follows=True)),
        Leaf("stores", PlanCard("division", follows=True)),
        Leaf("stores", PlanCard("ration", follows=True)),
        Leaf("stores", PlanCard("weights", follows=True)),
        Leaf("food", PlanCard("shopping", follows=True)),
        Leaf("food", PlanCard("food-by-day", follows=True)),
        Leaf("power", PlanCard("battery", follows=True)),
        Leaf("sky", PlanCard("sky", follows=True)),
    ),
    "What if": (
        Leaf("troubles", PlanCard("effects", follows=True)),
        Leaf("troubles", PlanCard("ways", follows=True)),
        Leaf("troubles", PlanCard("first-steps", follows=True)),
    ),
    "Boat": (
        Leaf("ready", PlanCard("due", follows=True)),
        Leaf(
            "ready",
            PlanCard(
                "work",
                filled=lambda ready: any(
                    (ready.work.groups, ready.papers, ready.proofs, ready.spares.parts, ready.stowed)
                ),
                follows=True,
            ),
        ),
        Leaf("emergency", PlanCard("grab-bag", follows=True)),
        Leaf("ready", PlanCard("holes", filled=lambda ready: bool(ready.seacocks), follows=True)),
        Leaf("sails", PlanCard("sails", follows=True)),
    ),
    "Arrival": (
        Leaf("anchor", PlanCard("anchor", follows=True)),
        Leaf("arrival", PlanCard("arrival", needs=("anchor", "food", "shore"))),
    ),
    "Log": (
        Leaf("chart", PlanCard("plotting")),
        Leaf("logpages", PlanCard("log")),
        Leaf("sources", PlanCard("sources")),
    ),
    "Ashore": (
        Leaf("shore", PlanCard("shore")),
    ),  # torn off: last, so that its leaf has nothing else but sources on it
}
IN_A_HURRY = 6  # of these stand on page one
INDEX = {  # what is looked for in a hurry, by the words of its page's title: the card it stands on
    "MAYDAY": "distress",
    "Who has the watch, by date": "by-date",
    "When to turn back": "turn-back",
    "Nearest refuge, day by day": "refuges",
    "What to load": "load",
    "When to heave to": "sails",
    "What to do first": "first-steps",
    "Man overboard": "man-overboard",
    "Fire": "fire",
    "Flooding": "flooding",
    "Abandon ship": "abandon",
    "What should still be aboard": "hand-table",
    "What to buy": "shopping",
    "Is she ready?": "due",
    "Course to steer": "steering",
    "If somebody ashore asks": "shore",
}
BRIEF = (
    PlanCard("course", needs=("legs",)),
    PlanCard("aboard", night=True, needs=("watches", "stores")),
    PlanCard("worst", night=True, needs=("emergency",)),
)


class Edition(NamedTuple):
    """What is to be printed, by the names it is asked for. strict: refused where one of them has nothing on it.
    log_pages: how many blank pages of the log.
    """

    asked: Mapping[str, tuple[Leaf, ...]]
    strict: bool = False
    log_pages: int = 1

    @property
    def leaves(self) -> tuple[Leaf, ...]:
        """In order of print, each once."""
        asked = {leaf.card.name for leaves in self.asked.values() for leaf in leaves}
        return tuple(leaf for leaf in _EVERY if leaf.card.name in asked)

    @property
    def sheets(self) -> frozenset[str]:
        """Names of the sheets whose tables its cards show; no other is worked out."""
        return frozenset(name for leaf in self.leaves for name in (leaf.sheet, *leaf.card.needs))

    def filled(self, tables: Mapping[str, Any]) -> tuple[Leaf, ...]:
        """The cards with something on them. Raises InputFaults for names without any, where that is strict."""
        bare = [name for name, leaves in self.asked.items() if not any(_is_filled(leaf, tables) for leaf in leaves)]
        if bare and self.strict:
            wanted = "leave it out, or give the voyage the file that it is made from"
            raise InputFaults([Fault("--only", 0, "", f"nothing to print for {name}", wanted) for name in bare])
        return tuple(leaf for leaf in self.leaves if _is_filled(leaf, tables))


def _is_filled(leaf: Leaf, tables: Mapping[str, Any]) -> bool:
    table = tables.get(leaf.sheet)
    return table is not None and leaf.card.filled(table)


LEAVES = (FRONT, *(leaf for leaves in CHAPTERS.values() for leaf in leaves))
CONTENTS = {  # sheets and their cards in order of print
    sheet: tuple(leaf for leaf in LEAVES if leaf.sheet == sheet)
    for sheet in dict.fromkeys(leaf.sheet for leaf in LEAVES)
}
WHOLE = Edition(CONTENTS)
SHORT = Edition({"front": (FRONT,), "brief": tuple(Leaf("brief", card) for card in BRIEF)})


def chapter_of(leaf: Leaf) -> str:
    """The chapter that a card stands in, "" for page one and what only the short plan prints."""
    return next((chapter for chapter, leaves in CHAPTERS.items() if leaf in leaves), "")


_EVERY = (*LEAVES, *SHORT.asked["brief"])


def only(names: str) -> Edition:
    """The sheets and cards so named, with commas between. Raises InputFaults for names that none has."""
    known = {leaf.card.name: (leaf,) for leaf in WHOLE.leaves} | dict(WHOLE.asked)
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
    """Every name, in order of print: each sheet, and in brackets its cards where they have names of their own."""
    return ", ".join(
        sheet
        if [sheet] == [leaf.card.name for leaf in leaves]
        else f"{sheet} ({', '.join(leaf.card.name for leaf in leaves)})"
        for sheet, leaves in CONTENTS.items()
    )
