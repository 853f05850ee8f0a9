"""Who has the watch from one ship's noon to the next, on any day of the passage."""

from __future__ import annotations

from bisect import bisect_right
from itertools import groupby
from typing import TYPE_CHECKING, Any

from passage.consequences.watches.rotas import SLOT_H, SLOTS_PER_DAY
from passage.consequences.watches.timetable import timetable
from passage.plan.sheets.watches import clock

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.consequences.watches.timetable import Kept

NOON = SLOTS_PER_DAY // 2
Holders = tuple[tuple[str, ...], tuple[str, ...]]  # on watch, the first named leads; standing by


def noon_to_noon(kept: Sequence[Kept], day: int, begins_h: float = 12.0) -> list[dict[str, Any]]:
    """The watches from noon of this day, from 0, to the next noon. kept: how each day is kept, the next one's too;
    begins_h: ship's hour, 12 or later, before which nobody has a watch: she sails then.

    At midnight the next day's rota takes over, which is another one only where the first days end.
    """
    held = [*_holders(kept[day], day)[NOON:], *_holders(kept[day + 1], day + 1)[:NOON]]
    slot = int(begins_h / SLOT_H)
    rows = []
    for (on_watch, standby), run in groupby(held[slot - NOON :]):
        end = slot + len(list(run))
        rows.append(
            {
                "from_ship": clock(slot * SLOT_H % 24.0),
                "to_ship": clock(end * SLOT_H),
                "on_watch": " and ".join(on_watch),
                "standby": " and ".join(standby),
            }
        )
        slot = end
    return rows


def _holders(kept: Kept, day: int) -> list[Holders]:
    """Who has each half hour of a day, midnight to midnight."""
    spells = timetable(kept.rota, tuple(keeper.name for keeper in kept.keepers), kept.conditions)
    starts = [SLOTS_PER_DAY * (spell.day - 1) + int(spell.from_h / SLOT_H) for spell in spells]
    first = SLOTS_PER_DAY * (day % kept.rota.days)
    at = [bisect_right(starts, slot) - 1 for slot in range(first, first + SLOTS_PER_DAY)]  # -1: the last goes on
    return [(spells[index].on_watch, spells[index].standby) for index in at]
