"""Who has the watch from one ship's noon to the next: the one home of the schedule, for the plan and for the log."""

from __future__ import annotations

from bisect import bisect_right
from itertools import groupby
from typing import TYPE_CHECKING

from passage.consequences.watches.slots import NOON, SLOT_H, SLOTS_PER_DAY
from passage.consequences.watches.timetable import Spell, timetable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.consequences.watches.timetable import KeptDay

Holders = tuple[tuple[str, ...], tuple[str, ...]]  # on watch, the first named leads; standing by


def turns(kept: Sequence[KeptDay], day: int, begins_h: float = 12.0) -> list[Spell]:
    """The watches from noon of this day, from 0, to the next noon, their hours counted from the midnight before, so up
    to 36. kept: how each day is kept, from its noon on; begins_h: ship's hour, 12 or later, before which nobody has a
    watch: she sails then.

    At that noon the next day's rota takes over, which is another one only where the first days end: never in the middle
    of a night.
    """
    held = [*_holders(kept[day], day)[NOON:], *_holders(kept[day], day + 1)[:NOON]]
    slot = int(begins_h / SLOT_H)
    found = []
    for (on_watch, standby), run in groupby(held[slot - NOON :]):
        end = slot + len(list(run))
        found.append(Spell(day + 1, slot * SLOT_H, end * SLOT_H, on_watch, standby))
        slot = end
    return found


def _holders(kept: KeptDay, day: int) -> list[Holders]:
    """Who has each half hour of a day, midnight to midnight."""
    spells = timetable(kept.rota, tuple(keeper.name for keeper in kept.keepers), kept.conditions)
    starts = [SLOTS_PER_DAY * (spell.day - 1) + int(spell.from_h / SLOT_H) for spell in spells]
    first = SLOTS_PER_DAY * (day % kept.rota.days)
    at = [bisect_right(starts, slot) - 1 for slot in range(first, first + SLOTS_PER_DAY)]  # -1: the last goes on
    return [(spells[index].on_watch, spells[index].standby) for index in at]
