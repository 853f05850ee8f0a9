"""Rotas: who has the watch in every half hour, and every rota there is within the given bounds.

A rota is a ring of watches around the day, each kept by the next person in turn. When the number of watches divides
by the number of people everybody keeps the same hours daily; otherwise the hours stay and the people move on, and the
rota repeats after two days (two people) or more. `enumerate_rotas` makes every such ring once, to the finest grain of
change hours that is quick enough; two-day rotas whose change hours differ from day to day are not made. Clock hours
are ship's time; half hour 0 begins at midnight.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import ceil, gcd
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.watches.slots import SLOT_H, SLOTS_PER_DAY
from passage.inputs.half_hours import changes_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

MOST_PEOPLE = 4
GRAINS = (1, 2, 4)  # half hours
MOST_RINGS = {2: 120_000, 3: 20_000, 4: 20_000}  # by people; more would take longer than a person waits
MOST_SIFTED = 120_000
OFF, STANDBY, UP, WATCH = 0, 1, 2, 3


@dataclass(frozen=True)
class Bounds:
    """What a rota must keep to. A person's watch lasts shortest_h to longest_h; on_watch people keep it at once.

    With two on watch one of them changes at a time, so changes come twice as often as watches.
    """

    people: int
    shortest_h: float = 3.0
    longest_h: float = 6.0
    on_watch: int = 1

    def __post_init__(self) -> None:
        if not 2 <= self.people <= MOST_PEOPLE:
            raise ValueError(f"rotas are made for two to {MOST_PEOPLE} people, not {self.people}")
        if not 1 <= self.on_watch < self.people:
            raise ValueError(f"{self.on_watch} on watch of {self.people}: somebody must be off")
        if not SLOT_H <= self.shortest_h <= self.longest_h <= 12.0 or self.longest_h < SLOT_H * self.on_watch:
            raise ValueError(
                f"watches of {self.shortest_h:g} to {self.longest_h:g} h: half an hour to twelve are possible"
            )


@dataclass(frozen=True)
class Fixed:
    """An hour of the day at which people are up beside the watch: a meal, a radio time. who: indices of people; empty
    for all.
    """

    what: str
    at_h: float
    hours: float
    who: tuple[int, ...] = ()


@dataclass(frozen=True)
class Rotas:
    """Rotas of one kind. keeper: [rotas, days, 48] who leads the watch; grain_h: grain of the change hours tried."""

    keeper: NDArray[np.int8]
    people: int
    grain_h: float

    def __len__(self) -> int:
        return len(self.keeper)

    @property
    def days(self) -> int:
        """After how many days the rotas repeat."""
        return int(self.keeper.shape[1])

    def pick(self, chosen: NDArray[np.bool_] | NDArray[np.intp]) -> Rotas:
        return Rotas(self.keeper[chosen], self.people, self.grain_h)


def ring_lengths(bounds: Bounds, grain: int) -> tuple[int, int]:
    """Shortest and longest time between changes, in grains of so many half hours."""
    return changes_of(bounds.shortest_h, bounds.longest_h, bounds.on_watch, grain)


def count_rings(shortest: int, longest: int, slots: int) -> int:
    """How many rings of so many slots there are with watches of shortest to longest slots, without making them."""

    @cache
    def lines(left: int) -> int:
        return 1 if left == 0 else sum(lines(left - k) for k in range(shortest, min(longest, left) + 1))

    return sum(k * lines(slots - k) for k in range(shortest, min(longest, slots) + 1))


def choose_grain(bounds: Bounds) -> int:
    """The finest grain, in half hours, that gives rings and not too many; the coarsest that gives any where all give
    too many.
    """
    counts = _counts(bounds)
    few = [grain for grain, count in counts.items() if 0 < count <= MOST_RINGS[bounds.people]]
    return few[0] if few else max((grain for grain, count in counts.items() if count), default=1)


def grains_to_try(bounds: Bounds) -> list[int]:
    """That grain, then finer ones whose rings can still be sifted, for people who stand at some hours only."""
    chosen = choose_grain(bounds)
    return [chosen, *(g for g, count in reversed(_counts(bounds).items()) if g < chosen and 0 < count <= MOST_SIFTED)]


def _counts(bounds: Bounds) -> dict[int, int]:
    return {grain: count_rings(*ring_lengths(bounds, grain), SLOTS_PER_DAY // grain) for grain in GRAINS}


def rings(shortest: int, longest: int, slots: int) -> list[NDArray[np.int16]]:
    """Every set of change slots around the day, by number of changes: [rings, changes] in rising order."""
    found: dict[int, list[NDArray[np.int16]]] = {}
    for first in range(min(longest, slots)):
        line = np.full((1, 1), first, dtype=np.int16)
        while len(line):
            # The last watch runs over midnight to the first change; a line is a ring when that watch has a fair length.
            last = first + slots - line[:, -1]
            closed = line[(last >= shortest) & (last <= longest)]
            found.setdefault(line.shape[1], []).append(closed)
            line = _longer(line, shortest, longest, slots)
    return [np.concatenate(parts) for _, parts in sorted(found.items()) if sum(map(len, parts))]


def _longer(line: NDArray[np.int16], shortest: int, longest: int, slots: int) -> NDArray[np.int16]:
    """Every line with one more change, dropping those that can't come round any more."""
    steps = np.arange(shortest, longest + 1, dtype=np.int16)
    following = line[:, -1:] + steps
    row, column = np.nonzero((following < slots) & (line[:, :1] + slots - following >= shortest))
    return np.column_stack([line[row], following[row, column]])


def enumerate_rotas(bounds: Bounds, grain: int | None = None) -> list[Rotas]:
    """Every rota within the bounds, once each, grouped by the number of days after which they repeat; grain: of the
    change hours, in half hours, by ``choose_grain`` if left out.

    People stand in the order given; every start of a daily rota is made (who gets which watches), since people may
    differ.
    """
    grain = grain or choose_grain(bounds)
    shortest, longest = ring_lengths(bounds, grain)
    groups: dict[int, list[NDArray[np.int8]]] = {}
    for changes in rings(shortest, longest, SLOTS_PER_DAY // grain):
        watches = changes.shape[1]
        shared = gcd(watches, bounds.people)
        keepers = _keepers(changes * grain, bounds.people, days=bounds.people // shared)
        for start in range(shared):
            groups.setdefault(bounds.people // shared, []).append((keepers + start) % bounds.people)
    return [
        Rotas(np.concatenate(parts), bounds.people, grain * SLOT_H) for _, parts in sorted(groups.items(), reverse=True)
    ]


def _keepers(changes: NDArray[np.int16], people: int, days: int) -> NDArray[np.int8]:
    """[rings, days, 48] who has the watch, the person who has it at the first change of the first day being 0."""
    at = np.zeros((len(changes), SLOTS_PER_DAY), dtype=np.int8)
    np.put_along_axis(at, changes.astype(np.intp), 1, axis=1)
    turns = np.cumsum(at, axis=1) - 1
    day = np.arange(days)[None, :, None] * changes.shape[1]
    return np.asarray((turns[:, None, :] + day) % people, dtype=np.int8)


def duties(rotas: Rotas, asked: NDArray[np.intp], standby: int = 0, fixed: tuple[Fixed, ...] = ()) -> NDArray[np.int8]:
    """What each person does: [rotas, people, days, 48] of OFF, STANDBY, UP (awake beside the watch) and WATCH.

    asked: [48] how many keep the watch in each half hour: the leader and those whose turn comes next; then come those
    on standby.
    """
    turn = np.arange(rotas.people, dtype=np.int8)[:, None, None] - rotas.keeper[:, None]
    turn += np.int8(rotas.people) * (turn < 0)
    called = (turn < np.asarray(asked + standby, dtype=np.int8)).view(np.int8)
    duty = called + np.int8(WATCH - STANDBY) * (turn < np.asarray(asked, dtype=np.int8))
    for hour in fixed:
        slots = slots_of(hour.at_h, hour.hours)
        who = list(hour.who) or list(range(rotas.people))
        block = duty[:, who][..., slots]
        duty[np.ix_(range(len(duty)), who, range(rotas.days), slots)] = np.maximum(block, UP)
    return duty


def slots_of(at_h: float, hours: float) -> list[int]:
    """The half hours of the day that a time touches, over midnight if need be."""
    first, last = int(at_h / SLOT_H + 1e-9), ceil((at_h + hours) / SLOT_H - 1e-9)
    return [slot % SLOTS_PER_DAY for slot in range(first, last)]


def allowed(rotas: Rotas, may_stand: NDArray[np.bool_], asked: NDArray[np.intp]) -> Rotas:
    """The rotas that call nobody outside their hours. may_stand: [people, 48]."""
    on = duties(rotas, asked) == WATCH
    return rotas.pick(~(on & ~may_stand[None, :, None, :]).any(axis=(1, 2, 3)))


def rota_of(blocks: tuple[tuple[int, float, float], ...], people: int, days: int = 1) -> Rotas:
    """A rota written by hand, from (person, from hour, to hour) counted from midnight of the first day, within days
    times 24.

    A watch that ends before it starts runs over midnight of the last day. Errors: ValueError that names the first
    half hour left without a watch or kept twice.
    """
    keeper = np.full(days * SLOTS_PER_DAY, -1, dtype=np.int8)
    for person, from_h, to_h in blocks:
        length = (to_h - from_h) % (24.0 * days) or 24.0 * days
        slots = np.arange(round(from_h / SLOT_H), round((from_h + length) / SLOT_H)) % len(keeper)
        if (keeper[slots] >= 0).any():
            raise ValueError(f"{clock(slots[keeper[slots] >= 0][0] * SLOT_H)} is kept twice")
        keeper[slots] = person
    if (keeper < 0).any():
        raise ValueError(f"{clock(float(np.argmax(keeper < 0)) * SLOT_H)} has no watch-keeper")
    return Rotas(keeper.reshape(1, days, SLOTS_PER_DAY), people, SLOT_H)


def clock(hour: float) -> str:
    """07:30 for 7.5; hours beyond the first day are taken round the clock."""
    minutes = round(hour * 60.0) % (24 * 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"
