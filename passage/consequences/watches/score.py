"""What a rota does to the people who keep it: sleepiness on watch, unbroken rest, dark hours, the graveyard, wishes.

Rows are rotas, columns are people in the order of `Keeper`s; hours are per average day of the rota. The night comes in
as an argument, since it moves with the track and the days.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.consequences.watches.alertness import (
    ACROPHASE_H,
    CONCERN_KSS,
    kss,
    rhythm,
    settled,
)
from passage.consequences.watches.rotas import OFF, STANDBY, UP, WATCH, Fixed, Rotas, duties, slots_of
from passage.consequences.watches.sleep import lay_sleep
from passage.consequences.watches.slots import SLOT_H, SLOTS_PER_DAY
from passage.inputs.watch import Rest

if TYPE_CHECKING:
    from collections.abc import Sequence

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
    """[..., 24] per hour of the day -> [..., 48] per half hour."""
    return np.repeat(np.asarray(per_hour, dtype=float), 2, axis=-1)


def score(rotas: Rotas, keepers: tuple[Keeper, ...], conditions: Conditions) -> Scores:
    """Score one rota or many."""
    duty = duties(rotas, conditions.asked, conditions.standby, conditions.fixed)
    each = duty.reshape(len(rotas) * rotas.people, rotas.days, SLOTS_PER_DAY)
    sleep_h = np.tile([keeper.sleep_h for keeper in keepers], len(rotas))
    one, kind = _alike(each, sleep_h)
    parts = [_score(each[some], sleep_h[some], conditions) for some in np.split(one, range(_ROWS, len(one), _ROWS))]
    return Scores(
        **{
            name: np.concatenate([part[name] for part in parts])[kind].reshape(len(rotas), rotas.people)
            for name in parts[0]
        }
    )


def joined(parts: list[Scores]) -> Scores:
    """Scores of several groups of rotas as one."""
    return Scores(
        **{name: np.concatenate([vars(part)[name] for part in parts]) for name in Scores.__dataclass_fields__}
    )


def _alike(duty: NDArray[np.int8], sleep_h: Floats) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Of each kind of days one row, and the kind of every row, so that nothing is reckoned twice.

    duty: [rows, days, 48]. The days of a row come round for ever; which of them is called the first is all one.
    """
    rows, days, _ = duty.shape
    bits = [_as_number(duty == state).ravel() for state in (WATCH, UP) if state == WATCH or (duty == UP).any()]
    day = _kinds(bits).reshape(rows, days)
    in_turn = (day.argmin(axis=1)[:, None] + np.arange(days)) % days
    of_day = np.take_along_axis(day, in_turn, axis=1)
    _, one, kind = np.unique(_kinds([sleep_h, *of_day.T]), return_index=True, return_inverse=True)
    return one, kind


def _kinds(columns: Sequence[NDArray[Any]]) -> NDArray[np.intp]:
    """[rows] a number for each row, one for each different set of values in the columns."""
    kind = np.zeros(len(columns[0]), dtype=np.intp)
    for column in columns:
        values, at = np.unique(column, return_inverse=True)
        kind = np.unique(kind * len(values) + at, return_inverse=True)[1]
    return kind


def _as_number(days: NDArray[np.bool_]) -> NDArray[np.uint64]:
    """[..., 48] half hours -> [...] one number for each set of them."""
    octets = np.zeros((*days.shape[:-1], 8), dtype=np.uint8)
    octets[..., : SLOTS_PER_DAY // 8] = np.packbits(days, axis=-1)
    return np.asarray(octets.view(np.uint64)[..., 0])


def _score(duty: NDArray[np.int8], sleep_h: Floats, conditions: Conditions) -> dict[str, Floats]:
    """The fields of `Scores` for rows of one person each: [rows]. duty: [rows, days, 48]."""
    rows, days, _ = duty.shape
    by_slot = np.asfortranarray(duty.reshape(rows, -1))
    on, free = by_slot == WATCH, by_slot <= STANDBY
    laid = lay_sleep(free, sleep_h, conditions.rest, conditions.acrophase_h)
    sleepiness = _sleepiness(laid.asleep_h, conditions)
    earlier, later = sleepiness[:, :-1], sleepiness[:, 1:]
    worst = np.maximum(earlier, later)
    watched = np.where(on, SLOT_H, 0.0)
    above = np.clip((worst - CONCERN_KSS) / np.maximum(np.abs(later - earlier), 1e-9), 0.0, 1.0)
    cooking = _within(*conditions.cooking_h) if conditions.cooking_h else np.zeros(SLOTS_PER_DAY)
    kept = np.stack([np.ones(SLOTS_PER_DAY), conditions.dark, _within(*GRAVEYARD_H), _within(*DAWN_H), cooking])
    watch_h, dark_h, graveyard_h, dawn_h, cooking_h = np.tile(kept, days) @ watched.T / days
    return {
        "mean_kss": ((earlier + later) / 2.0 * watched).sum(axis=1) / np.maximum(watch_h * days, SLOT_H),
        "worst_kss": np.where(on, worst, 0.0).max(axis=1),
        "sleepy_h": (above * watched).sum(axis=1) / days,
        "asleep_h": laid.asleep_h.sum(axis=1) / days,
        "watch_h": watch_h,
        "unbroken_h": laid.longest_free_h,
        "least_rest_h": _least_rest_h(free),
        "dark_h": dark_h,
        "graveyard_h": graveyard_h,
        "dawn_h": dawn_h,
        "cooking_h": cooking_h,
    }


def asleep_of(free: NDArray[np.bool_], keepers: tuple[Keeper, ...], conditions: Conditions) -> Floats:
    """Hours asleep in every half hour of a rota kept for ever. free: [people, half hours] neither on watch nor up."""
    return lay_sleep(
        free, np.array([keeper.sleep_h for keeper in keepers]), conditions.rest, conditions.acrophase_h
    ).asleep_h


def _sleepiness(asleep_h: Floats, conditions: Conditions) -> Floats:
    """At the edges of the half hours of days that have been kept for ever: [rows, half hours] -> one more."""
    clock_h = np.arange(asleep_h.shape[1] + 1) * SLOT_H
    return kss(settled(asleep_h, SLOT_H) + rhythm(clock_h, conditions.acrophase_h))


def _least_rest_h(free: NDArray[np.bool_]) -> Floats:
    """Free hours in the worst 24: exact, since the sum turns only where a duty does, on a half hour."""
    by_slot = free.T.astype(np.int16)
    rest = by_slot[:SLOTS_PER_DAY].sum(axis=0, dtype=np.int16)
    least = rest.copy()
    for slot, free_then in enumerate(by_slot):
        rest += by_slot[(slot + SLOTS_PER_DAY) % len(by_slot)] - free_then
        np.minimum(least, rest, out=least)
    return np.asarray(least * SLOT_H)


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
