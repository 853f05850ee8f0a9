"""What a part of the plan is made of: a table, the drawings beside it, and cards in a page file of the same name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from passage.plan.printed import Table

if TYPE_CHECKING:
    from passage.road import Outcome

Tables = Mapping[str, Table]
Drawings = dict[str, str]


class Room(NamedTuple):
    """What the page leaves for text and drawings, in points."""

    wide_pt: float
    high_pt: float


def no_drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    return {}


def always(given: Outcome | Table) -> bool:
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
    filled: Callable[[Table], bool] = always


@dataclass(frozen=True)
class Sheet:
    """name: the key of its table, and of ``pages/<name>.typ``. table: rounded numbers, the one source of the paper, the
    terminal and ``--json``. drawings: SVG by name, given every sheet's table. wanted: whether there is anything to say.
    keys: what each key of the table means. cards: in order of print; empty for one of the sheet's own name.
    """

    name: str
    table: Callable[[Outcome], Table]
    drawings: Callable[[Outcome, Tables, Room], Drawings] = no_drawings
    wanted: Callable[[Outcome], bool] = always
    keys: Mapping[str, str] = field(default_factory=dict)
    cards: tuple[Card, ...] = ()

    @property
    def printed(self) -> tuple[Card, ...]:
        return self.cards or (Card(self.name),)
