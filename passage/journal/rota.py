"""The watch of tonight, by the plan's rota, which the log's first entry keeps: nobody learns another one at sea."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any

from passage.sailings.clock import hhmm
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from passage.consequences.watches.timetable import KeptDay
    from passage.journal.reckoning import Point
    from passage.road import Outcome

NOON_H, EVENING_H, MORNING_H = 12.0, 18.0, 30.0  # ship's time, hours from the midnight before


class Turn(Record):
    """One watch of the night; ship_h: when it begins by ship's time, hours from midnight."""

    begins: datetime = told("when it begins")
    ship_h: float
    who: tuple[str, ...] = told("who keeps it; empty where nobody does")

    @reckoned("when it begins by ship's time")
    def from_ship(self) -> str:
        return hhmm(self.ship_h % 24.0)


def planned_watches(outcome: Outcome) -> dict[str, Any]:
    """What the log must know of the rotas: the ship's date of the first noon, how many days the rota of the first days
    holds, and of each rota, day by day from noon to noon, ``[from, to, names]`` in ship's time. Empty for one alone.
    """
    plan = outcome.watches
    if plan is None or plan.settled.kept is None:
        return {}
    first = plan.first_days.kept if plan.first_days else None
    early = len(plan.first_days.capacity) if plan.first_days and first else 0
    cycle = plan.settled.kept.rota.days
    kept = plan.kept(early + cycle + 1)
    by_day = [_rows(kept, day) for day in range(early + cycle)]
    settled = [by_day[early + (day - early) % cycle] for day in range(cycle)]
    return {
        "first_noon": outcome.noons[0].ship_date.isoformat(),
        "first_days": early,
        "first": by_day[:early],
        "settled": settled,
    }


def _rows(kept: Sequence[KeptDay], day: int) -> list[list[Any]]:
    from passage.consequences.watches.turns import turns

    return [[turn.from_h % 24.0, turn.to_h % 24.0, list(turn.on_watch)] for turn in turns(kept, day)]


def tonight(plan: Mapping[str, Any], here: Point, zone_h: int) -> tuple[Turn, ...]:
    """The watches between six in the evening and six in the morning of the night that follows, or holds, the moment of
    ``here``; empty without a rota in the plan. zone_h: ship's time there less UTC, as the plan counts it.
    """
    rotas = plan.get("watches") or {}
    if not rotas:
        return ()
    noon = (here.time + timedelta(hours=zone_h - NOON_H)).date()
    day = max((noon - date.fromisoformat(rotas["first_noon"])).days, 0)
    rota = rotas["first"] if day < rotas["first_days"] else rotas["settled"]
    midnight = here.time.replace(year=noon.year, month=noon.month, day=noon.day, hour=0, minute=0, second=0)
    return tuple(
        Turn(midnight + timedelta(hours=_from_noon_h(start) - zone_h), start, tuple(who))
        for start, end, who in rota[day % len(rota)]
        if _from_noon_h(start) < MORNING_H and _from_noon_h(start) + ((end - start) % 24.0 or 24.0) > EVENING_H
    )


def _from_noon_h(ship_h: float) -> float:
    """Hours from the midnight before a noon, of an hour of the clock that follows it."""
    return (ship_h - NOON_H) % 24.0 + NOON_H
