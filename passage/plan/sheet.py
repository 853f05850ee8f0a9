"""What a part of the plan is made of: a record, the cards that print it, the drawings beside it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from passage.road import Outcome
    from passage.sailed import Work
    from passage.tell.blocks import Blocks
    from passage.tell.records import Record

Tables = Mapping[str, Any]
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
    """name: the key of its record. table: the record, the one source of paper, terminal and ``--json``. record: its
    class. cards: by name, the blocks that print it; a card that is not here is set by hand in ``pages/<name>.typ``.
    drawings: SVG by name, given every sheet's record. wanted: whether there is anything to say. for_mate: long work
    behind the record that a mate may do meanwhile, and that is kept on disk; for_disk: what else is. short: the answer
    in a dozen lines, for a screen; its cards where there is none.
    """

    name: str
    table: Callable[[Outcome], Any]
    drawings: Callable[[Outcome, Tables, Room], Drawings] = no_drawings
    wanted: Callable[[Outcome], bool] = always
    for_mate: tuple[Work, ...] = ()
    for_disk: tuple[Work, ...] = ()
    record: type[Record] | None = None
    cards: Mapping[str, Callable[[Any], Blocks]] = field(default_factory=dict)
    short: Callable[[Any], Blocks] | None = None

    @property
    def kept(self) -> tuple[Work, ...]:
        """The work whose results are kept on disk."""
        return (*self.for_mate, *self.for_disk)

    def blocks(self, told: Any) -> Blocks:
        """All its cards that are made of blocks, one after another."""
        return tuple(block for card in self.cards.values() for block in card(told))

    def in_short(self, told: Any) -> Blocks:
        return self.short(told) if self.short else self.blocks(told)

    def text(self, told: Any) -> str:
        """The same in the terminal."""
        from passage.tell.terminal import blocks_text

        return blocks_text(self.blocks(told))
