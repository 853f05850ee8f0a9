"""Who has the watch from one ship's noon to the next, on any day of the passage."""

from __future__ import annotations

from bisect import bisect_right
from datetime import timedelta
from itertools import groupby
from math import floor
from typing import TYPE_CHECKING, Any, NamedTuple

from passage.consequences.watches.rotas import SLOT_H, SLOTS_PER_DAY
from passage.consequences.watches.timetable import timetable
from passage.plan.sheets.watches import clock

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from passage.consequences.noons import Noon
    from passage.consequences.watches.timetable import Kept
    from passage.road import Outcome

NOON = SLOTS_PER_DAY // 2
Holders = tuple[tuple[str, ...], tuple[str, ...]]  # on watch, the first named leads; standing by


class Turn(NamedTuple):
    """A watch as it is stood: hours of the ship's clock from the midnight before its noon, so up to 36; names, the
    first leads.
    """

    from_h: float
    to_h: float
    on_watch: tuple[str, ...]
    standby: tuple[str, ...]


class Stood(NamedTuple):
    """A watch between two moments, UTC. day: from whose noon on it begins; zones: ship's time less UTC (hours) at
    either moment; names as in `Turn`.
    """

    day: int
    begins: datetime
    ends: datetime
    begins_zone_h: int
    ends_zone_h: int
    on_watch: tuple[str, ...]
    standby: tuple[str, ...]


def turns(kept: Sequence[Kept], day: int, begins_h: float = 12.0) -> list[Turn]:
    """The watches from noon of this day, from 0, to the next noon. kept: how each day is kept, the next one's too;
    begins_h: ship's hour, 12 or later, before which nobody has a watch: she sails then.

    At midnight the next day's rota takes over, which is another one only where the first days end.
    """
    held = [*_holders(kept[day], day)[NOON:], *_holders(kept[day + 1], day + 1)[:NOON]]
    slot = int(begins_h / SLOT_H)
    found = []
    for (on_watch, standby), run in groupby(held[slot - NOON :]):
        end = slot + len(list(run))
        found.append(Turn(slot * SLOT_H, end * SLOT_H, on_watch, standby))
        slot = end
    return found


def noon_to_noon(kept: Sequence[Kept], day: int, begins_h: float = 12.0) -> list[dict[str, Any]]:
    """The `turns` of a day in words."""
    return [
        {
            "from_ship": clock(turn.from_h % 24.0),
            "to_ship": clock(turn.to_h),
            "on_watch": " and ".join(turn.on_watch),
            "standby": " and ".join(turn.standby),
        }
        for turn in turns(kept, day, begins_h)
    ]


def sails_h(outcome: Outcome) -> float:
    """Ship's hour of the departure, or noon where she sails before it."""
    sails = outcome.crossings.depart + timedelta(hours=outcome.noons[0].zone_h)
    return max(12.0, floor(2.0 * (sails.hour + sails.minute / 60.0)) / 2.0)


def stood(outcome: Outcome) -> list[Stood]:
    """Every watch of the typical crossing, one following the other. Empty for one alone.

    The clock is changed at noon: whoever has the watch then stands the hour more or less.
    """
    noons = outcome.noons
    kept = outcome.watches.kept(len(noons) + 1) if outcome.watches else ()
    if not kept:
        return []
    moments = [*(noon.moment for noon in noons), noons[-1].moment + timedelta(days=1)]
    found: list[Stood] = []
    for noon, next_noon in zip(noons, moments[1:], strict=True):
        told = turns(kept, noon.day, sails_h(outcome) if noon.day == 0 else 12.0)
        for watch in _moments(told, noon, next_noon):
            if found and (found[-1].on_watch, found[-1].standby) == (watch.on_watch, watch.standby):
                found.append(found.pop()._replace(ends=watch.ends, ends_zone_h=watch.ends_zone_h))
            else:
                found.append(watch)
    return found


def _moments(told: Sequence[Turn], noon: Noon, next_noon: datetime) -> Iterator[Stood]:
    """The turns from a noon as moments, none of them beyond the next noon."""
    midnight = noon.moment - timedelta(hours=12)
    ends = [*(midnight + timedelta(hours=turn.to_h) for turn in told[:-1]), next_noon]
    for turn, end in zip(told, ends, strict=True):
        begins = midnight + timedelta(hours=turn.from_h)
        if begins < next_noon:
            yield Stood(noon.day, begins, min(end, next_noon), noon.zone_h, noon.zone_h, turn.on_watch, turn.standby)


def _holders(kept: Kept, day: int) -> list[Holders]:
    """Who has each half hour of a day, midnight to midnight."""
    spells = timetable(kept.rota, tuple(keeper.name for keeper in kept.keepers), kept.conditions)
    starts = [SLOTS_PER_DAY * (spell.day - 1) + int(spell.from_h / SLOT_H) for spell in spells]
    first = SLOTS_PER_DAY * (day % kept.rota.days)
    at = [bisect_right(starts, slot) - 1 for slot in range(first, first + SLOTS_PER_DAY)]  # -1: the last goes on
    return [(spells[index].on_watch, spells[index].standby) for index in at]
