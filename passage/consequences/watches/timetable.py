"""A rota as people read it: who has the watch from when to when, each person's own days, the sleepiness of a week."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.watches.rotas import (
    OFF,
    SLOT_H,
    SLOTS_PER_DAY,
    STANDBY,
    UP,
    WATCH,
    Rotas,
    duties,
)
from passage.consequences.watches.score import Conditions, Keeper, nights_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

WEEK_DAYS = 7
WORDS = {OFF: "off", STANDBY: "standby", UP: "up", WATCH: "watch"}


@dataclass(frozen=True)
class Spell:
    """One line of the rota: until something changes. Hours from midnight of its day, to_h up to 24; people by name."""

    day: int
    from_h: float
    to_h: float
    on_watch: tuple[str, ...]
    standby: tuple[str, ...]
    up: tuple[str, ...]


@dataclass(frozen=True)
class OwnSpell:
    """One line of a person's own week. duty: off, standby, up or watch."""

    day: int
    from_h: float
    to_h: float
    duty: str


@dataclass(frozen=True)
class Week:
    """One person's sleepiness. hour: [337] from midnight of the first day; kss: [337] as modelled; on_watch: [336]
    half hours.
    """

    name: str
    hour: NDArray[np.float64]
    kss: NDArray[np.float64]
    on_watch: NDArray[np.bool_]


def duty_of(rota: Rotas, conditions: Conditions, days: int | None = None) -> NDArray[np.int8]:
    """[people, half hours] of one rota for so many days, its own period if none are named."""
    duty = duties(rota, conditions.asked, conditions.standby, conditions.fixed)[0]
    day = np.arange(days or rota.days) % rota.days
    return np.asarray(duty[:, day].reshape(rota.people, -1))


def timetable(rota: Rotas, names: tuple[str, ...], conditions: Conditions) -> tuple[Spell, ...]:
    """Every spell of every day of the rota, days counted from 1, cut at midnight. The first named on watch leads it."""
    duty = duty_of(rota, conditions)
    lead = rota.keeper[0].ravel()
    order = (np.arange(rota.people)[:, None] + lead) % rota.people

    def who(slot: int, kind: int) -> tuple[str, ...]:
        return tuple(names[person] for person in order[:, slot] if duty[person, slot] == kind)

    state = np.vstack([duty, lead])
    return tuple(
        Spell(day, from_h, to_h, who(slot, WATCH), who(slot, STANDBY), who(slot, UP))
        for day, from_h, to_h, slot in _spells(state)
    )


def own_week(rota: Rotas, person: int, conditions: Conditions, days: int = WEEK_DAYS) -> tuple[OwnSpell, ...]:
    """What one person does on each of so many days, cut at midnight."""
    duty = duty_of(rota, conditions, days)[[person]]
    return tuple(OwnSpell(day, from_h, to_h, WORDS[int(duty[0, slot])]) for day, from_h, to_h, slot in _spells(duty))


def _spells(state: NDArray[np.int8]) -> list[tuple[int, float, float, int]]:
    """(day from 1, from, to, first half hour) of every spell of one state, [kinds, half hours], cut at midnight."""
    slots = state.shape[1]
    changed = (state != np.roll(state, 1, axis=1)).any(axis=0)
    changed[::SLOTS_PER_DAY] = True
    starts = np.flatnonzero(changed)
    ends = [*starts[1:], slots]
    spells = []
    for slot, end in zip(starts, ends, strict=True):
        day, at = divmod(int(slot), SLOTS_PER_DAY)
        spells.append((day + 1, at * SLOT_H, (at + int(end) - int(slot)) * SLOT_H, int(slot)))
    return spells


def weeks(rota: Rotas, keepers: tuple[Keeper, ...], conditions: Conditions) -> tuple[Week, ...]:
    """The sleepiness of a week for each person once the rota has been kept for some days."""
    duty = duty_of(rota, conditions)
    kss = nights_of((duty <= STANDBY)[None], keepers, conditions).kss
    slots = WEEK_DAYS * SLOTS_PER_DAY
    ring = np.arange(slots + 1) % duty.shape[1]
    return tuple(
        Week(
            keeper.name,
            np.arange(slots + 1, dtype=float) * SLOT_H,
            kss[0, person][ring],
            duty[person, ring[:-1]] == WATCH,
        )
        for person, keeper in enumerate(keepers)
    )
