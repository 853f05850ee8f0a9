"""Two-process model of sleep (Borbély 1982; Daan, Beersma and Borbély 1984): here it says how long a sleep begun at
an hour can last.

Sleep pressure S rises awake towards 1 and falls asleep towards 0; sleep comes when S reaches the upper threshold and
ends at the lower one; both move with the body clock. Times are hours, the clock is ship's time.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.watches.alertness import ACROPHASE_H

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

RISE_H, FALL_H = 18.2, 4.2
UPPER, LOWER, SWING = 0.67, 0.17, 0.12


def wake(pressure: ArrayLike, hours: ArrayLike) -> Floats:
    """S after hours awake."""
    return np.asarray(1.0 - (1.0 - np.asarray(pressure)) * np.exp(-np.asarray(hours) / RISE_H))


def sleep(pressure: ArrayLike, hours: ArrayLike) -> Floats:
    """S after hours asleep."""
    return np.asarray(np.asarray(pressure) * np.exp(-np.asarray(hours) / FALL_H))


def body_clock(clock_h: ArrayLike, acrophase_h: float = ACROPHASE_H) -> Floats:
    """C between -1 and 1, highest at the acrophase."""
    return np.asarray(np.cos(2.0 * np.pi * (np.asarray(clock_h) - acrophase_h) / 24.0))


def forced(awake_h: float, asleep_h: float) -> tuple[float, float]:
    """(S on falling asleep, S on waking) of an endless forced day, in closed form."""
    a, b = np.exp(-awake_h / RISE_H), np.exp(-asleep_h / FALL_H)
    evening = (1.0 - a) / (1.0 - a * b)
    return float(evening), float(b * evening)


def longest_sleep_h(begins_h: ArrayLike, acrophase_h: float = ACROPHASE_H) -> Floats:
    """How long a sleep begun at these clock hours lasts before the lower threshold wakes a person not called.

    Begun with the pressure of an ordinary evening (16 hours awake, 8 asleep); short-slept people would sleep on. Any
    shape; resolved to a minute; at most half a day.
    """
    evening, _ = forced(16.0, 8.0)
    hours = np.arange(12 * 60) / 60.0
    threshold = LOWER + SWING * body_clock(np.asarray(begins_h, dtype=float)[..., None] + hours, acrophase_h)
    woken = sleep(evening, hours) <= threshold
    return np.asarray(np.where(woken.any(axis=-1), woken.argmax(axis=-1) / 60.0, 12.0))
