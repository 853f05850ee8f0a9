"""The rotas as they are posted by the companionway: when each is kept, its days from noon to noon, how each fares; and
everybody's own first week.
"""

from __future__ import annotations

import math
from datetime import date, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple

from passage.consequences.watches.overboard import Unnoticed, worst
from passage.consequences.watches.phases import Fares, fares
from passage.consequences.watches.rotas import WATCH
from passage.consequences.watches.timetable import Spell, own_spells, timetable
from passage.consequences.watches.turns import turns
from passage.sailings.clock import hhmm
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from passage.consequences.watches.choose import Choice
    from passage.consequences.watches.phases import Phase, WatchPlan
    from passage.consequences.watches.timetable import KeptDay, Week

WEEK_DAYS = 7


class Sails(NamedTuple):
    """When she sails: ship's date of her first noon; how many noons she is out on the typical crossing."""

    ship_date: date
    noons: int


class RotaKind(StrEnum):
    """Which rota of the passage."""

    SETTLED = "settled days"
    OWN = "our own rota"
    FIRST = "first days"
    ROUGH = "heavy weather"
    FIRST_AND_ROUGH = "first days and heavy weather"

    @property
    def words(self) -> str:
        return self.value.capitalize()


class RotaDay(Record):
    """One of the days after which a rota repeats, from noon to noon."""

    begins_date: date = told("the first such day, from its noon")
    every_days: int = told("kept again after so many days", places=0)
    watches: tuple[Spell, ...] = told("watches in order, from noon")

    @reckoned("the first such day, without its year")
    def begins_words(self) -> str:
        return f"{self.begins_date:short}"

    @reckoned("which days those are, in words; empty where all are alike")
    def from_noon(self) -> str:
        if self.every_days == 1:
            return ""
        return f"From noon {self.begins_date:short}, every {('2nd', '3rd', '4th')[self.every_days - 2]} day"


class UpBeside(Record):
    """An hour at which people are up beside the watch."""

    what: str = told("what for")
    from_ship: str = told("begins, ship's time, HHMM")
    to_ship: str = told("ends, ship's time, HHMM")
    who: tuple[str, ...] = told("who is up; empty for all")


class Rota(Record):
    """A rota worth a page."""

    kind: RotaKind = told("which rota: settled days, our own rota, first days, heavy weather, or both of these")
    kept: bool = told("whether the days are reckoned by it: by the own rota where there is one")
    from_date: date | None = told("kept from noon of this day on; none for the first days and heavy weather")
    to_date: date | None = told("kept up to noon of this day")
    in_by_then: bool = told("whether the typical crossing is in before the day from which it is kept")
    when_it_blows: bool = told("whether it is kept in heavy weather")
    days: tuple[RotaDay, ...] = told("the days after which it repeats, each from noon to noon, ship's time")
    fixed: tuple[UpBeside, ...] = told("hours at which people are up beside the watch")
    people: tuple[Fares, ...] = told("each person")
    tried_count: int = told("rotas scored")
    equal_count: int = told("of them as good in sleepiness within the model's error")

    @reckoned("when it is kept, in words")
    def when(self) -> str:
        words = [f"up to noon {self.to_date:short}"] if self.to_date else []
        words += [f"from noon {self.from_date:short} on"] if self.from_date else []
        words += ["whenever it blows"] if self.when_it_blows else []
        joined = ", and ".join(words) + (", if still at sea" if self.in_by_then else "")
        return f"{joined[0].upper()}{joined[1:]}."

    @reckoned("whether it is of the settled days, after the first ones")
    def settled(self) -> bool:
        return self.from_date is not None


class WeekDay(Record):
    """One of one's own days; a watch stands on the day on which it begins."""

    day: int = told("day at sea, from 1")
    ship_date: date = told("date by ship's time")
    on_watch: tuple[str, ...] = told("on watch, from and to, ship's time")
    standby: tuple[str, ...] = told("on standby, ship's time")
    up: tuple[str, ...] = told("up beside the watch, ship's time")
    sleep_h: float = told("sleep, hours a day")
    worst_kss: float = told("the worst sleepiness on watch; none without a watch")


class WatchDay(Record):
    """Who has the watch on one date, midnight to midnight; hours before she sails are in no watch."""

    ship_date: date = told("date by ship's time")
    watches: tuple[Spell, ...] = told("watches in order, ship's time; one over midnight stands on both dates")
    clock_change_h: float = told(
        "hours that the typical crossing's clock is put on at noon; back where negative", default=0.0
    )


def dated(kept: Sequence[KeptDay], sails: Sails, sails_h: float) -> tuple[WatchDay, ...]:
    """Every date of the days kept but the last one, from that on which she sails at an hour of ship's time; up to the
    first noon all hands have the watch, to bring her clear of the land (common practice, no source).
    """
    by_noon = [turns(kept, day, max(sails_h, 12.0) if day == 0 else 12.0) for day in range(len(kept) - 1)]
    found = []
    for day, after_noon in enumerate(by_noon):
        before = [
            Spell(day + 1, spell.from_h - 24.0, spell.to_h - 24.0, spell.on_watch, spell.standby)
            for spell in (by_noon[day - 1] if day else [])
        ]
        if day == 0 and sails_h < 12.0:
            before = [Spell(1, sails_h, 12.0, tuple(keeper.name for keeper in kept[0].keepers), ())]
        cut = [
            Spell(day + 1, max(spell.from_h, 0.0), min(spell.to_h, 24.0), spell.on_watch, spell.standby)
            for spell in (*before, *after_noon)
            if spell.to_h > 0.0 and spell.from_h < 24.0
        ]
        found.append(WatchDay(sails.ship_date + timedelta(days=day), _joined(cut)))
    return tuple(found)


def _joined(spells: Iterable[Spell]) -> tuple[Spell, ...]:
    """Those of the same people one after the other made one."""
    found: list[Spell] = []
    for spell in spells:
        if found and (found[-1].on_watch, found[-1].standby) == (spell.on_watch, spell.standby):
            found.append(Spell(spell.day, found.pop().from_h, spell.to_h, spell.on_watch, spell.standby))
        else:
            found.append(spell)
    return tuple(found)


class OwnWeek(Record):
    """One's own first week."""

    who: str = told("by role")
    by_day: tuple[WeekDay, ...] = told("its days, from the day of departure")


class Lost(Record):
    """The worst moment of a rota to be lost overboard."""

    kind: RotaKind = told("by which rota")
    who: str = told("who has the watch")
    spell: Unnoticed = told("from when on, and how far astern")


def posted(plan: WatchPlan, sails: Sails) -> list[tuple[Rota, tuple[Phase, Choice]]]:
    """Two phases with one rota share a page; the crew's own rota stands beside the one chosen."""
    settled, first, rough = plan.settled, plan.first_days, plan.rough
    if settled.choice is None or rough is None or rough.choice is None:
        return []
    early = len(first.capacity) if first else 0
    own = settled.own
    pages = [_page(RotaKind.SETTLED, settled, settled.choice, sails, from_day=early, kept=own is None)]
    if own:
        pages.append(_page(RotaKind.OWN, settled, own, sails, from_day=early))
    if first and first.choice is rough.choice:
        return [*pages, _page(RotaKind.FIRST_AND_ROUGH, rough, rough.choice, sails, to_day=early, blows=True)]
    if first and first.choice:
        pages.append(_page(RotaKind.FIRST, first, first.choice, sails, to_day=early))
    return [*pages, _page(RotaKind.ROUGH, rough, rough.choice, sails, blows=True)]


def _page(
    kind: RotaKind,
    phase: Phase,
    choice: Choice,
    sails: Sails,
    from_day: int | None = None,
    to_day: int | None = None,
    blows: bool = False,
    kept: bool = True,
) -> tuple[Rota, tuple[Phase, Choice]]:
    """A rota and what it is made from. from_day, to_day: of the passage, from 0, the latter no longer."""
    first, names = sails.ship_date, tuple(keeper.name for keeper in phase.keepers)
    spells, days = timetable(choice.rota, names, phase.conditions), choice.rota.days
    rota = Rota(
        kind=kind,
        kept=kept,
        from_date=first + timedelta(days=from_day) if from_day is not None else None,
        to_date=first + timedelta(days=to_day) if to_day is not None else None,
        in_by_then=from_day is not None and from_day >= sails.noons,
        when_it_blows=blows,
        days=tuple(
            RotaDay(first + timedelta(days=day), days, tuple(_noon_to_noon(spells, day, days))) for day in range(days)
        ),
        fixed=tuple(
            UpBeside(
                hour.what, hhmm(hour.at_h), hhmm(hour.at_h + hour.hours), tuple(names[person] for person in hour.who)
            )
            for hour in phase.conditions.fixed
        ),
        people=fares(phase, choice),
        tried_count=choice.tried,
        equal_count=choice.equal,
    )
    return rota, (phase, choice)


def _noon_to_noon(spells: tuple[Spell, ...], day: int, days: int) -> list[Spell]:
    """The watches that begin between noon of this day and the next, in that order."""
    of_day = [spell for spell in spells if (spell.day - 1 - (spell.from_h < 12.0)) % days == day]
    return sorted(of_day, key=lambda spell: (spell.from_h - 12.0) % 24.0)


def lost(rota: Rota, phase: Phase, choice: Choice, fast_kn: float) -> list[Lost]:
    found = worst(choice.rota, phase.conditions, fast_kn)
    return [Lost(rota.kind, phase.keepers[found.person].name, found)] if found else []


def own_week(week: Week, sails: Sails) -> OwnWeek:
    spells = own_spells(week)
    by_day = week.kss[:-1].reshape(WEEK_DAYS, -1)
    asleep_h = week.asleep_h.reshape(WEEK_DAYS, -1).sum(axis=1)
    on_watch = (week.duty == WATCH).reshape(WEEK_DAYS, -1)

    def hours(day: int, duty: str) -> tuple[str, ...]:
        found = [spell for spell in spells if spell.day == day + 1 and spell.duty == duty]
        return tuple(f"{hhmm(spell.from_h)}–{hhmm(spell.to_h)}" for spell in found)

    return OwnWeek(
        week.name,
        tuple(
            WeekDay(
                day=day + 1,
                ship_date=sails.ship_date + timedelta(days=day),
                on_watch=hours(day, "watch"),
                standby=hours(day, "standby"),
                up=hours(day, "up"),
                sleep_h=float(asleep_h[day]),
                worst_kss=float(by_day[day][on_watch[day]].max(initial=-math.inf)),
            )
            for day in range(WEEK_DAYS)
        ),
    )
