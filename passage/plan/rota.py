"""The watches of the typical crossing, as moments and in words."""

from __future__ import annotations

from datetime import timedelta
from math import floor
from typing import TYPE_CHECKING, Any, NamedTuple

from passage.consequences.watches.turns import turns

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from passage.consequences.noons import Noon
    from passage.consequences.watches.timetable import KeptDay, Spell
    from passage.road import Outcome


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


def noon_to_noon(kept: Sequence[KeptDay], day: int, begins_h: float = 12.0) -> list[dict[str, Any]]:
    """The `turns` of a day in words."""
    return [
        {
            "from_ship": turn.from_ship,
            "to_ship": turn.to_ship,
            "on_watch": " and ".join(turn.on_watch),
            "standby": " and ".join(turn.standby),
        }
        for turn in turns(kept, day, begins_h)
    ]


def sails_h(outcome: Outcome) -> float:
    """Ship's hour of the departure, half hours."""
    sails = outcome.crossings.depart + timedelta(hours=outcome.noons[0].zone_h)
    return floor(2.0 * (sails.hour + sails.minute / 60.0)) / 2.0


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
        told = turns(kept, noon.day, max(sails_h(outcome), 12.0) if noon.day == 0 else 12.0)
        for watch in _moments(told, noon, next_noon):
            if found and (found[-1].on_watch, found[-1].standby) == (watch.on_watch, watch.standby):
                found.append(found.pop()._replace(ends=watch.ends, ends_zone_h=watch.ends_zone_h))
            else:
                found.append(watch)
    return found


def _moments(told: Sequence[Spell], noon: Noon, next_noon: datetime) -> Iterator[Stood]:
    """The turns from a noon as moments, none of them beyond the next noon."""
    midnight = noon.moment - timedelta(hours=12)
    ends = [*(midnight + timedelta(hours=turn.to_h) for turn in told[:-1]), next_noon]
    for turn, end in zip(told, ends, strict=True):
        begins = midnight + timedelta(hours=turn.from_h)
        if begins < next_noon:
            yield Stood(noon.day, begins, min(end, next_noon), noon.zone_h, noon.zone_h, turn.on_watch, turn.standby)
