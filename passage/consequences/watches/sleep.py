"""The sleep people will really get, laid into the hours a rota leaves them. Free time is not sleep.

The day's sleep is an input. It is spread over the free blocks in proportion to what is left of each after settling
down and before dressing, beginning when settled; a block too short for a nap gives none, and nobody sleeps longer
than the two-process model lets a sleep begun at that hour last. More sleep only lengthens the sleeps, so it never
makes anyone sleepier.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from passage.consequences.watches.slots import SLOT_H
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
    into, length = (place.T for place in free_blocks(free, round(24.0 / step_h)))
    usable = length.astype(float) * step_h - rest.settle_h - rest.dress_h
    usable[usable < rest.shortest_nap_h - 1e-9] = 0.0
    room = np.minimum(usable, _longest_h(steps, step_h, rest.settle_h, acrophase_h)[:, None])
    given = share_out(room, usable, sleep_h_per_day * steps * step_h / 24.0)
    into_block_h = into * step_h
    asleep_until = _of_block(given, length > 0) + rest.settle_h
    hours = np.minimum(into_block_h + step_h, asleep_until) - np.maximum(into_block_h, rest.settle_h)
    return Laid(np.where(free.T, np.clip(hours, 0.0, step_h), 0.0).T, length.max(axis=0) * step_h)


def _of_block(at_start: Floats, starts: NDArray[np.bool_]) -> Floats:
    """[steps, rows]: what stands at the start of each free block, through all of the ring until the next one starts."""
    through = at_start.copy()
    for step in _twice_round(through):
        np.copyto(through[step], through[step - 1], where=~starts[step])
    return through


@lru_cache(maxsize=16)
def _longest_h(steps: int, step_h: float, settle_h: float, acrophase_h: float) -> Floats:
    """[steps] how long a sleep lasts that begins when settled, the block having begun with the step."""
    return longest_sleep_h(np.arange(steps) * step_h + settle_h, acrophase_h)


def free_blocks(free: NDArray[np.bool_], steps_per_day: int) -> tuple[NDArray[np.int16], NDArray[np.int16]]:
    """For each free step of a ring, how many steps its block is old; and, where blocks start, their length in steps.

    A row free all round is cut at 22:00 of every day, for want of anything else to go to bed by.
    """
    ring = np.ascontiguousarray(free.T)
    begins = ring & ~np.roll(ring, 1, axis=0)
    bedtimes = np.arange(len(ring)) % steps_per_day == round(steps_per_day * 22 / 24)
    begins |= ring.all(axis=0) & bedtimes[:, None]
    into, length = np.zeros(ring.shape, dtype=np.int16), np.zeros(ring.shape, dtype=np.int16)
    goes_on = ring & ~begins
    for step in _twice_round(ring):
        np.multiply(into[step - 1] + 1, goes_on[step], out=into[step])
    for after in reversed(_twice_round(ring)):
        np.add(length[after] * goes_on[after], ring[after - 1], out=length[after - 1])
    return into.T, (length * begins).T


def _twice_round(ring: NDArray[Any]) -> list[int]:
    """The steps of a ring, so that what runs over its end is met whole."""
    return [*range(len(ring))] * 2


def share_out(room: Floats, weight: Floats, total: Floats) -> Floats:
    """Share a total over places in proportion to weight, none above its room; what a full place can't take goes to
    the others.

    room, weight: [places, rows], room 0 where there is no place; total: [rows]. Rising in the total, place by place.
    """
    filled, still = np.zeros(room.shape), weight.copy()
    for _ in range(len(room) + 1):
        weights = still.sum(axis=0)
        rate = np.divide(total - filled.sum(axis=0), weights, out=np.zeros(len(total)), where=weights > 0.0)
        share = rate * still
        over = share > room
        if not over.any():
            break
        np.copyto(filled, room, where=over)
        np.copyto(still, 0.0, where=over)
    return np.asarray(filled + share)
