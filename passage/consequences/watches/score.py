"""What a rota does to the people who keep it: sleepiness on watch, unbroken rest, dark hours, the graveyard, wishes.

Rows are rotas, columns are people in the order of `Keeper`s; hours are per average day of the rota. The night comes in
as an argument, since it moves with the track and the days.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.consequences.watches.alertness import (
    ACROPHASE_H,
    CONCERN_KSS,
    kss,
    rhythm,
    settled,
)
from passage.consequences.watches.rotas import (
    OFF,
    SLOT_H,
    SLOTS_PER_DAY,
    STANDBY,
    WATCH,
    Fixed,
    Rotas,
    duties,
    slots_of,
)
from passage.consequences.watches.sleep import lay_sleep
from passage.inputs.watch import Rest

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

GRAVEYARD_H = (0.0, 4.0)  # the middle watch, from and for how long
DAWN_H = (4.0, 4.0)  # the morning watch
_ROWS = 2048  # rotas scored together, so that their arrays stay in cache


@dataclass(frozen=True)
class Keeper:
    """One who stands watches. sleep_h: what they will really sleep in 24 h, from experience and not from free time."""

    name: str
    sleep_h: float = 6.5
    bad_at_dawn: bool = False
    cooks: bool = False


@dataclass(frozen=True)
class Conditions:
    """What the days are like. dark: [48] share of each half hour of ship's time that is dark; asked: [48] how many
    keep the watch.

    acrophase_h: the body clock's peak in ship's time (16.8 and the lag of the body clock);
    cooking_h: (at, for how long).
    """

    dark: NDArray[np.float64]
    asked: NDArray[np.intp] = field(default_factory=lambda: np.ones(SLOTS_PER_DAY, dtype=np.intp))
    standby: int = 0
    fixed: tuple[Fixed, ...] = ()
    cooking_h: tuple[float, float] | None = None
    acrophase_h: float = ACROPHASE_H
    rest: Rest = field(default_factory=Rest)


@dataclass(frozen=True)
class Scores:
    """[rotas, people] each. Sleepiness is of the hours on watch; sleepy_h those at 7 or more on the Karolinska scale.

    asleep_h: the sleep the rota leaves room for, at most what was given; unbroken_h: the longest time neither on
    watch nor up; least_rest_h: such time in the worst 24 hours.
    """

    mean_kss: Floats
    worst_kss: Floats
    sleepy_h: Floats
    asleep_h: Floats
    watch_h: Floats
    unbroken_h: Floats
    least_rest_h: Floats
    dark_h: Floats
    graveyard_h: Floats
    dawn_h: Floats
    cooking_h: Floats

    def __len__(self) -> int:
        return len(self.mean_kss)

    def pick(self, chosen: NDArray[np.intp]) -> Scores:
        return Scores(**{name: values[chosen] for name, values in vars(self).items()})


def half_hours(per_hour: ArrayLike) -> Floats:
    """[24] per hour of the day -> [48] per half hour."""
    return np.repeat(np.asarray(per_hour, dtype=float), 2)


def score(rotas: Rotas, keepers: tuple[Keeper, ...], conditions: Conditions) -> Scores:
    """Score one rota or many."""
    parts = [
        _score(Rotas(rotas.keeper[at : at + _ROWS], rotas.people, rotas.grain_h), keepers, conditions)
        for at in range(0, len(rotas), _ROWS)
    ]
    return joined(parts)


def joined(parts: list[Scores]) -> Scores:
    """Scores of several groups of rotas as one."""
    return Scores(
        **{name: np.concatenate([vars(part)[name] for part in parts]) for name in Scores.__dataclass_fields__}
    )


def _score(rotas: Rotas, keepers: tuple[Keeper, ...], conditions: Conditions) -> Scores:
    duty = duties(rotas, conditions.asked, conditions.standby, conditions.fixed)
    on = (duty == WATCH).reshape(len(rotas), rotas.people, -1)
    free = (duty <= STANDBY).reshape(on.shape)
    nights = nights_of(free, keepers, conditions)
    earlier, later = nights.kss[..., :-1], nights.kss[..., 1:]
    worst = np.maximum(earlier, later)
    watch_h = on.sum(axis=-1) * SLOT_H
    above = np.clip((worst - CONCERN_KSS) / np.maximum(np.abs(later - earlier), 1e-9), 0.0, 1.0)

    def on_watch(hours_of_day: Floats) -> Floats:
        return np.asarray((on * np.tile(hours_of_day, rotas.days)).sum(axis=-1) * SLOT_H / rotas.days)

    return Scores(
        mean_kss=((earlier + later) / 2.0 * on).sum(axis=-1) * SLOT_H / np.maximum(watch_h, SLOT_H),
        worst_kss=np.where(on, worst, 0.0).max(axis=-1),
        sleepy_h=(above * on).sum(axis=-1) * SLOT_H / rotas.days,
        asleep_h=nights.asleep_h.sum(axis=-1) / rotas.days,
        watch_h=watch_h / rotas.days,
        unbroken_h=nights.longest_free_h,
        least_rest_h=_least_rest_h(free),
        dark_h=on_watch(conditions.dark),
        graveyard_h=on_watch(_within(*GRAVEYARD_H)),
        dawn_h=on_watch(_within(*DAWN_H)),
        cooking_h=on_watch(_within(*conditions.cooking_h) if conditions.cooking_h else np.zeros(SLOTS_PER_DAY)),
    )


class Nights(NamedTuple):
    """asleep_h: [rotas, people, half hours]; kss: at their edges, one more; longest_free_h: [rotas, people]."""

    asleep_h: Floats
    kss: Floats
    longest_free_h: Floats


def nights_of(free: NDArray[np.bool_], keepers: tuple[Keeper, ...], conditions: Conditions) -> Nights:
    """Sleep and sleepiness of rotas that have been kept for days. free: [rotas, people, half hours] neither on watch
    nor up.
    """
    rows, people, slots = free.shape
    given = np.tile([keeper.sleep_h for keeper in keepers], rows)
    laid = lay_sleep(free.reshape(rows * people, slots), given, conditions.rest, conditions.acrophase_h)
    pressure = settled(laid.asleep_h, SLOT_H)
    clock_h = np.arange(slots + 1) * SLOT_H
    return Nights(
        asleep_h=laid.asleep_h.reshape(free.shape),
        kss=kss(pressure + rhythm(clock_h, conditions.acrophase_h)).reshape(rows, people, slots + 1),
        longest_free_h=laid.longest_free_h.reshape(rows, people),
    )


def _least_rest_h(free: NDArray[np.bool_]) -> Floats:
    """Free hours in the worst 24: exact, since the sum turns only where a duty does, on a half hour."""
    ring = np.concatenate([np.zeros((*free.shape[:-1], 1)), free, free[..., :SLOTS_PER_DAY]], axis=-1).cumsum(axis=-1)
    return np.asarray((ring[..., SLOTS_PER_DAY:] - ring[..., :-SLOTS_PER_DAY]).min(axis=-1) * SLOT_H)


def _within(at_h: float, hours: float) -> Floats:
    inside = np.zeros(SLOTS_PER_DAY)
    inside[slots_of(at_h, hours)] = 1.0
    return inside


def dark_hours_by_day(rota: Rotas, conditions: Conditions, dark_by_day: Floats) -> Floats:
    """Dark hours that each person stands on each day of the passage: [days, people].

    dark_by_day: [days, 48], as the nights change along the track (moonlight counted as dark or not, as the caller
    likes).
    """
    on = duties(rota, conditions.asked)[0] == WATCH
    day = np.arange(len(dark_by_day)) % rota.days
    return np.asarray(np.einsum("pds,ds->dp", on[:, day].astype(float), dark_by_day) * SLOT_H)


def rests_of(rota: Rotas, person: int, conditions: Conditions) -> tuple[tuple[tuple[float, float], ...], float]:
    """The times a person is neither on watch nor up, as `rest` takes them, and the hours after which they repeat."""
    duty = duties(rota, conditions.asked, conditions.standby, conditions.fixed)[0, person].ravel()
    rest = np.flatnonzero((duty == OFF) | (duty == STANDBY))
    return tuple((float(slot * SLOT_H), float((slot + 1) * SLOT_H)) for slot in rest), len(duty) * SLOT_H
