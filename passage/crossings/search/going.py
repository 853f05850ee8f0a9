"""How fast she goes: what the search asks of wind, current and boat, and the true time of a piece of line in it.

The answer for a voyage is in ``expected``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple, Protocol

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.search.lines import Steps
    from passage.crossings.search.walls import Walls

    Floats = NDArray[np.float64]

SLOWEST_KN = 0.05  # slower than this is no way
CHANGES_SHARE = 0.05  # a speed that changes by more within one stride of the clock is looked at in shorter ones
SHORTEST_STRIDE_H = 1.0 / 64.0
LONGEST_STRIDE_H = 6.0  # the step of a forecast: what changes and changes back within it is not in the data either
FIRST_STILL_H = 3.0  # of the strides, each twice as long as the one before, in which she waits for wind
LONGEST_STILL_H = 240.0  # so long she waits for it, and then there is no way
MOST_STRIDES = 200


class Going(NamedTuple):
    """Arrays of one shape. speed_kn: made good along the course, 0 or less where none is; price: hours counted on
    top of each hour sailed, 0 or more.
    """

    speed_kn: Floats
    price: Floats


class Speeds(Protocol):
    """Speed made good by place, course and hours since departure; ``fastest_kn`` is never exceeded."""

    @property
    def fastest_kn(self) -> float: ...

    def along(self, steps: Steps, hour: Floats) -> Going: ...


@dataclass(frozen=True)
class Even:
    """The same speed on every course, always and everywhere: the quickest track is the shortest."""

    fastest_kn: float
    changes_slowly: bool = True

    def along(self, steps: Steps, hour: Floats) -> Going:
        nothing = np.zeros(np.broadcast_shapes(steps.distance_nm.shape, hour.shape))
        return Going(nothing + self.fastest_kn, nothing)


class Timed(NamedTuple):
    """Hours and priced hours of pieces of line, (n,), infinite where she cannot go."""

    hours: Floats
    cost_h: Floats


def changes_slowly(speeds: Speeds) -> bool:
    """Whether these speeds say of themselves that they change over weeks, and not while she sails one piece."""
    return bool(getattr(speeds, "changes_slowly", False))


def sailed(steps: Steps, begins_h: Floats, speeds: Speeds, walls: Walls) -> Timed:
    """Pieces (n,) begun at hours since departure, the clock running: the place is the middle of the piece, the speed
    that of every hour on the way.

    The speed is taken as changing evenly over a stride of the clock. A stride is the whole piece or six hours of it
    where little changes, and is cut to the minute where much does. Where nothing is made good she waits. So on one
    piece who sets
    out later never arrives earlier, which is what label setting stands on. Speeds that change slowly are asked once.
    """
    if changes_slowly(speeds):
        return _sailed_at_once(steps, begins_h + steps.distance_nm / speeds.fastest_kn, speeds, walls)
    live = _Afoot(steps, begins_h, speeds, walls)
    for _ in range(MOST_STRIDES):
        live.stride()
        if not len(live.index):
            break
    live.give_up()
    return Timed(live.hours, live.cost_h)


def _sailed_at_once(steps: Steps, hour: Floats, speeds: Speeds, walls: Walls) -> Timed:
    going = speeds.along(steps, hour)
    moving = going.speed_kn > SLOWEST_KN
    hours = np.divide(steps.distance_nm, going.speed_kn, out=np.full(len(hour), np.inf), where=moving)
    return Timed(hours, hours * (1.0 + going.price + walls.price(steps, hour)))


class _Afoot:
    """The pieces not yet sailed to their ends: ``index`` of them, what is left of each, and its clock."""

    def __init__(self, steps: Steps, begins_h: Floats, speeds: Speeds, walls: Walls) -> None:
        self.speeds, self.walls = speeds, walls
        self.index = np.arange(len(begins_h))
        self.hours, self.cost_h = np.zeros(len(begins_h)), np.zeros(len(begins_h))
        self._steps, self._begins_h = steps, begins_h
        self._left_nm = steps.distance_nm.astype(float)
        self._still_h = np.zeros(len(begins_h))
        self._here = self._going(steps, begins_h)
        speed = self._here.speed_kn
        whole = np.divide(self._left_nm, speed, out=np.full(len(speed), FIRST_STILL_H), where=speed > SLOWEST_KN)
        self._stride_h = np.clip(whole, SHORTEST_STRIDE_H / 16.0, LONGEST_STRIDE_H)

    def _going(self, steps: Steps, hour: Floats) -> Going:
        going = self.speeds.along(steps, hour)
        speed = np.where(going.speed_kn > SLOWEST_KN, going.speed_kn, 0.0)
        return Going(speed, going.price + self.walls.price(steps, hour))

    def stride(self) -> None:
        """One stride of every piece's clock, or a shorter one to be tried next."""
        now_h = self._begins_h + self.hours[self.index]
        there = self._going(self._steps, now_h + self._stride_h)
        slow, fast = np.minimum(self._here.speed_kn, there.speed_kn), np.maximum(self._here.speed_kn, there.speed_kn)
        good = (fast - slow <= CHANGES_SHARE * fast) | (self._stride_h <= SHORTEST_STRIDE_H)
        run_nm = (slow + fast) / 2.0 * self._stride_h
        arrives = good & (run_nm >= self._left_nm * (1.0 - 1e-9)) & (fast > 0.0)
        took_h = np.where(arrives, self._to_go_h(there), self._stride_h)
        price = (self._here.price + there.price) / 2.0
        self.hours[self.index[good]] += took_h[good]
        self.cost_h[self.index[good]] += (took_h * (1.0 + price))[good]
        self._left_nm = np.where(good, self._left_nm - run_nm, self._left_nm)
        self._still_h = np.where(good & (fast == 0.0), self._still_h + took_h, self._still_h)
        self._here = Going(*(np.where(good, then, now) for now, then in zip(self._here, there, strict=True)))
        self._next_strides(good)
        self._keep(~arrives)

    def _to_go_h(self, there: Going) -> Floats:
        """Hours for what is left at a speed that changes evenly over the stride."""
        speed, gain = self._here.speed_kn, (there.speed_kn - self._here.speed_kn) / self._stride_h
        root = np.sqrt(np.maximum(speed**2 + 2.0 * gain * self._left_nm, 0.0))
        return np.asarray(2.0 * self._left_nm / np.maximum(speed + root, SLOWEST_KN))

    def _next_strides(self, good: NDArray[np.bool_]) -> None:
        speed = self._here.speed_kn
        whole = np.divide(self._left_nm, speed, out=np.full(len(speed), LONGEST_STILL_H), where=speed > 0.0)
        most_h = np.where(speed > 0.0, LONGEST_STRIDE_H, LONGEST_STILL_H)
        longer = np.minimum(np.minimum(2.0 * self._stride_h, most_h), np.maximum(whole, SHORTEST_STRIDE_H))
        self._stride_h = np.where(good, longer, np.maximum(self._stride_h / 4.0, SHORTEST_STRIDE_H))

    def _keep(self, which: NDArray[np.bool_]) -> None:
        lost = self._still_h > LONGEST_STILL_H
        self.hours[self.index[lost]] = self.cost_h[self.index[lost]] = np.inf
        which = which & ~lost
        if which.all():
            return
        self.index, self._begins_h, self._left_nm = self.index[which], self._begins_h[which], self._left_nm[which]
        self._still_h, self._stride_h = self._still_h[which], self._stride_h[which]
        self._steps = type(self._steps)(*(values[which] for values in self._steps))
        self._here = Going(*(values[which] for values in self._here))

    def give_up(self) -> None:
        """What is still not sailed has no end."""
        self.hours[self.index] = self.cost_h[self.index] = np.inf
