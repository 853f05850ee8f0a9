"""The sleep people will really get, laid into the hours a rota leaves them. Free time is not sleep.

The day's sleep is an input. It is spread over the free blocks in proportion to what is left of each after settling
down and before dressing, beginning when settled; a block too short for a nap gives none, and nobody sleeps longer
than the two-process model lets a sleep begun at that hour last. More sleep only lengthens the sleeps, so it never
makes anyone sleepier.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.consequences.watches.rotas import SLOT_H
from passage.consequences.watches.two_process import longest_sleep_h

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.inputs.watch import Rest

    Floats = NDArray[np.float64]


class Laid(NamedTuple):
    """asleep_h: [rows, steps] hours asleep in each step; longest_free_h: [rows] the longest free block."""

    asleep_h: Floats
    longest_free_h: Floats


def lay_sleep(
    free: NDArray[np.bool_], sleep_h_per_day: Floats, rest: Rest, acrophase_h: float, step_h: float = SLOT_H
) -> Laid:
    """Lay each row's sleep into its free steps, each row a ring of whole days.

    free: [rows, steps] neither on watch nor up; sleep_h_per_day: [rows] what each gets on an average day. A row that
    leaves no room for it gets what it leaves room for.
    """
    steps = free.shape[1]
    start, length = free_blocks(free, round(24.0 / step_h))
    usable = length * step_h - rest.settle_h - rest.dress_h
    usable[usable < rest.shortest_nap_h - 1e-9] = 0.0
    room = np.minimum(usable, _longest_h(steps, step_h, rest.settle_h, acrophase_h))
    given = share_out(room, usable, sleep_h_per_day * steps * step_h / 24.0)
    into_block_h = (np.arange(steps) - start) % steps * step_h
    asleep_until = np.take_along_axis(given, start, axis=1) + rest.settle_h
    hours = np.minimum(into_block_h + step_h, asleep_until) - np.maximum(into_block_h, rest.settle_h)
    return Laid(np.where(free, np.clip(hours, 0.0, step_h), 0.0), length.max(axis=1) * step_h)


@lru_cache(maxsize=16)
def _longest_h(steps: int, step_h: float, settle_h: float, acrophase_h: float) -> Floats:
    """[steps] how long a sleep lasts that begins when settled, the block having begun with the step."""
    return longest_sleep_h(np.arange(steps) * step_h + settle_h, acrophase_h)


def free_blocks(free: NDArray[np.bool_], steps_per_day: int) -> tuple[NDArray[np.intp], Floats]:
    """For each step of a ring, the step at which its free block starts; and, at starts alone, the block's length in
    steps.

    A row free all round is cut at 22:00 of every day, for want of anything else to go to bed by.
    """
    rows, steps = free.shape
    begins: NDArray[np.bool_] = np.logical_and(free, ~np.roll(free, 1, axis=1))
    bedtimes = np.zeros(steps, dtype=bool)
    bedtimes[round(steps_per_day * 22 / 24) :: steps_per_day] = True
    begins |= free.all(axis=1, keepdims=True) & bedtimes
    latest = np.maximum.accumulate(np.where(np.tile(begins, 2), np.arange(2 * steps), -1), axis=1)[:, steps:]
    start = np.where(latest < 0, 0, latest % steps)
    row, step = np.nonzero(free)
    length = np.bincount(row * steps + start[row, step], minlength=rows * steps).reshape(rows, steps).astype(float)
    return start, length


def share_out(room: Floats, weight: Floats, total: Floats) -> Floats:
    """Share a total over places in proportion to weight, none above its room; what a full place can't take goes to
    the others.

    room, weight: [rows, places], room 0 where there is no place; total: [rows]. Rising in the total, place by place.
    """
    full = np.zeros(room.shape, dtype=bool)
    rate = np.zeros(len(room))
    for _ in range(room.shape[1]):
        left = total - np.where(full, room, 0.0).sum(axis=1)
        open_weight = np.where(full, 0.0, weight).sum(axis=1)
        rate = np.where(open_weight > 0.0, left / np.where(open_weight > 0.0, open_weight, 1.0), 0.0)
        over = ~full & (rate[:, None] * weight > room)
        if not over.any():
            break
        full |= over
    return np.where(full, room, rate[:, None] * weight)
