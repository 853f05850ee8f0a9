"""A rota as people read it: who has the watch from when to when; each person's first week and its sleepiness."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.consequences.watches.alertness import course, kss, rhythm, sleep, steady, wake
from passage.consequences.watches.rotas import OFF, STANDBY, UP, WATCH, Rotas, duties
from passage.consequences.watches.score import Conditions, Keeper, asleep_of
from passage.consequences.watches.slots import NOON, SLOT_H, SLOTS_PER_DAY
from passage.sailings.clock import hhmm
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

WORDS = {OFF: "off", STANDBY: "standby", UP: "up", WATCH: "watch"}
ASHORE_H = (16.0, 8.0)  # awake and asleep, before the passage
UP_ASHORE_H = 7.0


class KeptDay(NamedTuple):
    """How a day is kept: by this rota, with this sleep, under these conditions."""

    rota: Rotas
    keepers: tuple[Keeper, ...]
    conditions: Conditions


class Spell(Record):
    """One line of the rota: until the watch changes. from_h, to_h: hours of the clock, beyond 24 on the next day."""

    day: int = told("day on which it begins, from 1")
    from_h: float
    to_h: float
    on_watch: tuple[str, ...] = told("who keeps it, the first named leads")
    standby: tuple[str, ...] = told("who is on standby")

    @reckoned("begins, ship's time, HHMM")
    def from_ship(self) -> str:
        return hhmm(self.from_h % 24.0)

    @reckoned("ends, ship's time, HHMM")
    def to_ship(self) -> str:
        return hhmm(self.to_h)


@dataclass(frozen=True)
class OwnSpell:
    """One line of a person's own week, hours as in `Spell`. duty: off, standby, up or watch."""

    day: int
    from_h: float
    to_h: float
    duty: str


@dataclass(frozen=True)
class Week:
    """One person's days, midnight to midnight. duty: [half hours] as `rotas` codes it; asleep_h: [half hours]; kss: at
    their edges, one more, not a number before she sails.
    """

    name: str
    duty: NDArray[np.int8]
    asleep_h: NDArray[np.float64]
    kss: NDArray[np.float64]


def duty_of(rota: Rotas, conditions: Conditions, days: int | None = None) -> NDArray[np.int8]:
    """[people, half hours] of one rota for so many days, its own period if none are named."""
    duty = duties(rota, conditions.asked, conditions.standby, conditions.fixed)[0]
    day = np.arange(days or rota.days) % rota.days
    return np.asarray(duty[:, day].reshape(rota.people, -1))


def timetable(rota: Rotas, names: tuple[str, ...], conditions: Conditions) -> tuple[Spell, ...]:
    """Every watch of every day of the rota in the order in which they begin, whoever else is up."""
    duty = duties(rota, conditions.asked, conditions.standby)[0].reshape(rota.people, -1)
    lead = rota.keeper[0].ravel()
    order = (np.arange(rota.people)[:, None] + lead) % rota.people

    def who(slot: int, kind: int) -> tuple[str, ...]:
        return tuple(names[person] for person in order[:, slot] if duty[person, slot] == kind)

    state = np.vstack([duty, lead])
    changed = (state != np.roll(state, 1, axis=1)).any(axis=0)
    return tuple(
        Spell(day, from_h, to_h, who(slot, WATCH), who(slot, STANDBY)) for day, from_h, to_h, slot in _spells(changed)
    )


def own_spells(week: Week) -> tuple[OwnSpell, ...]:
    """What one person does, spell by spell, from the first midnight to the last."""
    changed = week.duty != np.roll(week.duty, 1)
    changed[0] = True
    return tuple(
        OwnSpell(day, from_h, to_h, WORDS[int(week.duty[slot])]) for day, from_h, to_h, slot in _spells(changed)
    )


def _spells(changed: NDArray[np.bool_]) -> list[tuple[int, float, float, int]]:
    """(day from 1, from, to, first half hour) of every spell around a ring of half hours. A spell ends after it begins
    by the clock or, over midnight, before; one that ends with the day ends at 24.
    """
    starts = [int(slot) for slot in np.flatnonzero(changed)] or [0]
    ends = [*starts[1:], starts[0] + len(changed)]
    return [
        (slot // SLOTS_PER_DAY + 1, slot % SLOTS_PER_DAY * SLOT_H, end * SLOT_H % 24.0 or 24.0, slot)
        for slot, end in zip(starts, ends, strict=True)
    ]


def weeks(days: Sequence[KeptDay], begins_h: float = 0.0) -> tuple[Week, ...]:
    """Each person's first days at sea, so many as are given; she sails at this hour of the first, after nights ashore.

    A day's sleep is that of a rota kept for long; where the rota changes, at noon, so does the sleep. Before she sails
    nobody has a duty or a sleepiness.
    """
    days = [days[max(day - before_noon, 0)] for day in range(len(days)) for before_noon in (1, 0)]  # halves of days
    slots = [np.arange(NOON) + (half // 2 % kept.rota.days * 2 + half % 2) * NOON for half, kept in enumerate(days)]
    whole = [duty_of(kept.rota, kept.conditions) for kept in days]
    asleep = [asleep_of(duty <= STANDBY, kept.keepers, kept.conditions) for kept, duty in zip(days, whole, strict=True)]
    duty = np.hstack([pattern[:, of_day] for pattern, of_day in zip(whole, slots, strict=True)])
    asleep_h = np.hstack([pattern[:, of_day] for pattern, of_day in zip(asleep, slots, strict=True)])
    first = int(begins_h / SLOT_H)
    duty[:, :first], asleep_h[:, :first] = OFF, 0.0
    clock_h = np.arange(duty.shape[1] + 1) * SLOT_H
    pressure = np.full((len(duty), len(clock_h)), np.nan)
    pressure[:, first:] = course(asleep_h[:, first:], SLOT_H, _rested(first * SLOT_H))
    sleepiness = kss(pressure + rhythm(clock_h, days[0].conditions.acrophase_h))
    return tuple(
        Week(keeper.name, duty[person], asleep_h[person], sleepiness[person])
        for person, keeper in enumerate(days[0].keepers)
    )


def _rested(clock_h: float) -> float:
    """S at this hour of a day ashore."""
    on_waking, on_falling_asleep = steady(*ASHORE_H)
    if clock_h < UP_ASHORE_H:
        return float(sleep(on_falling_asleep, clock_h - UP_ASHORE_H + ASHORE_H[1]))
    return float(wake(on_waking, clock_h - UP_ASHORE_H))
