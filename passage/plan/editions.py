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
class Card:
    """A page, or pages that belong together, which can be printed without the others.

    name: what it is asked for by, and its key among the ``cards`` of the sheet's page file. night: read by red light:
    all but small print is black, bold and 17 points or more. needs: sheets besides its own whose tables it shows.
    filled: whether its sheet's table leaves anything to print on it.
    """

    name: str
    night: bool = False
    needs: tuple[str, ...] = ()
    filled: Callable[[Any], bool] = _always


class Leaf(NamedTuple):
    """One card of a sheet."""

    sheet: str
    card: Card


CONTENTS: dict[str, tuple[Card, ...]] = {  # sheets and their cards in order of print
    "front": (Card("front"),),
    "chart": (Card("chart"),),
    "legs": (Card("legs"),),
    "winds": (Card("winds"),),
    "times": (Card("days"), Card("slow-end"), Card("by-day")),
    "when": (Card("when"),),
    "water": (Card("water"),),
    "stores": (Card("load"), Card("hand-table", night=True), Card("ration"), Card("weights")),
    "food": (Card("food-by-day"), Card("shopping")),
    "power": (Card("battery"),),
    "sky": (Card("sky"),),
    "watches": (
        Card("rota", night=True, filled=lambda watches: bool(watches.rotas or watches.unplanned)),
        Card("tiredness", filled=lambda watches: bool(watches.rotas)),
        Card("own-and-best", filled=lambda watches: watches.compared is not None),
        Card("weeks", filled=lambda watches: bool(watches.own_weeks)),
        Card("nights", filled=lambda watches: not watches.unplanned),
    ),
    "looks": (
        Card("look-out"),
        Card("handover", night=True, filled=lambda looks: not looks.one_keeper),
        Card("overboard", needs=("watches",)),
    ),
    "services": (Card("services"),),
    "troubles": (Card("effects"), Card("first-steps"), Card("refuges")),
    "ready": (
        Card("due"),
        Card(
            "work", filled=lambda ready: bool(ready.work.groups or ready.papers or ready.proofs or ready.spares.parts)
        ),
        Card("holes", filled=lambda ready: bool(ready.seacocks)),
    ),
    "sails": (Card("sails"),),
    "anchor": (Card("anchor"),),
    "arrival": (Card("arrival", needs=("anchor", "food", "shore")),),
    "shore": (Card("shore"), Card("missed")),
    "emergency": (
        Card("abandon", night=True),
        Card("distress", night=True),
        Card("radio", night=True),
        Card("man-overboard", night=True),
        Card("flooding", night=True),
        Card("seacocks", night=True, filled=lambda emergency: bool(emergency.hull_holes)),
        Card("fire", night=True),
        Card("medical", night=True),
        Card("grab-bag"),
    ),
    "sources": (Card("sources"),),
    "logpages": (Card("log"),),
}
BRIEF = (
    Card("course", needs=("legs",)),
    Card("aboard", night=True, needs=("watches", "stores")),
    Card("worst", night=True, needs=("emergency",)),
)


class Edition(NamedTuple):
    """What is to be printed, by the names it is asked for. strict: refused where one of them has nothing on it."""

    asked: Mapping[str, tuple[Leaf, ...]]
    strict: bool = False

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


def _leaves(sheet: str, cards: Iterable[Card]) -> tuple[Leaf, ...]:
    return tuple(Leaf(sheet, card) for card in cards)


WHOLE = Edition({sheet: _leaves(sheet, cards) for sheet, cards in CONTENTS.items()})
SHORT = Edition({"front": WHOLE.asked["front"], "brief": _leaves("brief", BRIEF)})
_EVERY = tuple(leaf for leaves in (*WHOLE.asked.values(), SHORT.asked["brief"]) for leaf in leaves)


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
        sheet if [sheet] == [card.name for card in cards] else f"{sheet} ({', '.join(card.name for card in cards)})"
        for sheet, cards in CONTENTS.items()
    )
