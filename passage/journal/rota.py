"""The watch of tonight, by the plan's rota, which the log's first entry keeps: nobody learns another one at sea."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any

from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Mapping

    from passage.consequences.watches.phases import Phase
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
        return f"{int(self.ship_h) % 24:02}{round(60.0 * (self.ship_h % 1.0)):02}"


def planned_watches(outcome: Outcome) -> dict[str, Any]:
    """What the log must know of the rotas: the ship's date of the first noon, how many days the rota of the first days
    holds, and of each rota, day by day from noon to noon, ``[from, to, names]`` in ship's time. Empty for one alone.
    """
    plan = outcome.watches
    if plan is None or not plan.settled.choice:
        return {}
    first = plan.first_days if plan.first_days and plan.first_days.choice else None
    return {
        "first_noon": outcome.noons[0].ship_date.isoformat(),
        "first_days": len(first.capacity) if first else 0,
        "first": _by_day(first) if first else [],
        "settled": _by_day(plan.settled),
    }


def _by_day(phase: Phase) -> list[list[list[Any]]]:
    """The crew's own rota where it has one, else the one chosen for it."""
    from passage.consequences.watches.timetable import timetable

    choice = phase.own or phase.choice
    assert choice is not None
    spells = timetable(choice.rota, tuple(keeper.name for keeper in phase.keepers), phase.conditions)
    days: list[list[list[Any]]] = [[] for _ in range(choice.rota.days)]
    for spell in spells:
        noon = (spell.day - 1 - (spell.from_h < NOON_H)) % choice.rota.days
        days[noon].append([spell.from_h, spell.to_h, list(spell.on_watch)])
    return [sorted(day, key=lambda row: _from_noon_h(row[0])) for day in days]


def tonight(plan: Mapping[str, Any], here: Point) -> tuple[Turn, ...]:
    """The watches between six in the evening and six in the morning of the night that follows, or holds, the moment of
    ``here``; empty without a rota in the plan.
    """
    rotas = plan.get("watches") or {}
    if not rotas:
        return ()
    zone_h = round(here.lon_deg / 15.0)
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
