"""What a part of the plan is made of: one table, the drawings beside it, and a page file of the same name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from passage.plan.printed import Table

if TYPE_CHECKING:
    from passage.road import Outcome
    from passage.sailed import Work

Tables = Mapping[str, Table]
Drawings = dict[str, str]


class Room(NamedTuple):
    """What the page leaves for text and drawings, in points."""

    wide_pt: float
    high_pt: float


def no_drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    return {}


def always(outcome: Outcome) -> bool:
    return True


@dataclass(frozen=True)
class Sheet:
    """name: the key of its table, and of ``pages/<name>.typ``. table: rounded numbers, the one source of the paper, the
    terminal and ``--json``. drawings: SVG by name, given every sheet's table. wanted: whether there is anything to say.
    keys: what each key of the table means. for_mate: long work behind the table that a mate may do meanwhile.
    """

    name: str
    table: Callable[[Outcome], Table]
    drawings: Callable[[Outcome, Tables, Room], Drawings] = no_drawings
    wanted: Callable[[Outcome], bool] = always
    keys: Mapping[str, str] = field(default_factory=dict)
    for_mate: tuple[Work, ...] = ()
