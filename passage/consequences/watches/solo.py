"""One person alone: when to sleep, and how often to look out between sleeps.

A night of cycles: so many minutes from look to look, of which a look and falling asleep take their share and the rest
is sleep; the cycles stand in one, two or three sittings a day. A look each cycle lowers the risk; it is not the
proper look-out that COLREG Rule 5 asks for at all times, which no single person can keep for days.
"""

from __future__ import annotations

from itertools import product
from math import ceil
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.watches.alertness import (
    ACROPHASE_H,
    CONCERN_KSS,
    MODEL_ERROR_KSS,
    kss,
    rhythm,
    settled,
)
from passage.sailings.clock import hhmm
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

STEP_MIN = 5
STEPS = 24 * 60 // STEP_MIN
INTERVALS_MIN = (30, 35, 40, 50, 60, 75, 90, 120)
SHORTEST_NAP_MIN = 15  # shorter naps kept up for days have failed in trials
SITTINGS = (1, 2, 3)


class Cycle(Record):
    """A day alone. begins_h: ship's time of the sittings."""

    interval_min: int = told("minutes from look to look while sleeping")
    cycles: int = told("looks between sleeps in a day")
    begins_h: tuple[float, ...]
    asleep_h: float = told("sleep a day", places=1)
    mean_kss: float = told("mean sleepiness awake, Karolinska scale, 1 wide awake to 9 fighting sleep")
    worst_kss: float = told("the worst of it")
    sleepy_h: float = told("hours a day awake at 7 or more", places=1)

    @reckoned("when the sittings begin, ship's time, HHMM")
    def begins_ship(self) -> tuple[str, ...]:
        return tuple(map(hhmm, self.begins_h))


def cycles(
    sleep_h: float,
    longest_interval_min: float,
    look_min: int = 10,
    settle_min: int = 5,
    acrophase_h: float = ACROPHASE_H,
) -> tuple[Cycle, ...]:
    """Every day of cycles with this sleep and looks at least so often, the least sleepy first.

    Times are taken to five minutes. Days equal within the model's error stand by their interval, the shorter first,
    since it leaves the sea unwatched for less. Whether a ship can come up within it is for `lookout` to say. Empty
    where no interval leaves room for a nap.
    """
    busy_min = look_min + settle_min
    plans = [
        (interval, begins)
        for interval, sittings, first in product(INTERVALS_MIN, SITTINGS, range(24))
        if busy_min + SHORTEST_NAP_MIN <= interval <= longest_interval_min
        and (begins := _sittings(sleep_h, interval, busy_min, sittings, first)) is not None
    ]
    if not plans:
        return ()
    asleep_h = np.array([_lay(interval, begins, busy_min) for interval, begins in plans])
    scored = tuple(_scored(plans, asleep_h, acrophase_h))
    least = min(cycle.worst_kss for cycle in scored)
    return tuple(
        sorted(
            scored, key=lambda c: (c.worst_kss > least + MODEL_ERROR_KSS, c.interval_min, len(c.begins_h), c.worst_kss)
        )
    )


def _sittings(
    sleep_h: float, interval_min: int, busy_min: int, sittings: int, first_h: int
) -> tuple[tuple[int, int], ...] | None:
    """(first step, cycles) of every sitting, evenly round the clock; None where they would overlap."""
    in_all = ceil(sleep_h * 60.0 / (interval_min - busy_min) - 1e-9)
    each = [in_all // sittings + (k < in_all % sittings) for k in range(sittings)]
    if not each[-1] or each[0] * interval_min * sittings > 24 * 60:
        return None
    return tuple(((first_h * STEPS // 24 + k * STEPS // sittings) % STEPS, count) for k, count in enumerate(each))


def _lay(interval_min: int, begins: tuple[tuple[int, int], ...], busy_min: int) -> Floats:
    """[288] hours asleep in every five minutes: each cycle is look and settling, then sleep."""
    asleep = np.zeros(STEPS)
    cycle = np.arange(interval_min // STEP_MIN) >= busy_min // STEP_MIN
    for first, count in begins:
        steps = (first + np.arange(count * len(cycle))) % STEPS
        asleep[steps] = np.tile(cycle, count) * STEP_MIN / 60.0
    return asleep


def _scored(plans: list[tuple[int, tuple[tuple[int, int], ...]]], asleep_h: Floats, acrophase_h: float) -> list[Cycle]:
    clock_h = np.arange(STEPS + 1) * STEP_MIN / 60.0
    sleepiness = kss(settled(asleep_h, STEP_MIN / 60.0) + rhythm(clock_h, acrophase_h))[:, :-1]
    awake = asleep_h == 0.0
    mean = (sleepiness * awake).sum(axis=1) / awake.sum(axis=1)
    worst = np.where(awake, sleepiness, 0.0).max(axis=1)
    sleepy_h = ((sleepiness >= CONCERN_KSS) & awake).sum(axis=1) * STEP_MIN / 60.0
    return [
        Cycle(
            interval_min=interval,
            cycles=sum(count for _, count in begins),
            begins_h=tuple(first * STEP_MIN / 60.0 for first, _ in begins),
            asleep_h=float(asleep_h[row].sum()),
            mean_kss=float(mean[row]),
            worst_kss=float(worst[row]),
            sleepy_h=float(sleepy_h[row]),
        )
        for row, (interval, begins) in enumerate(plans)
    ]
