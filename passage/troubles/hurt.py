"""Crossings in which things break: those that are struck sail on from there as what they then are.

Who is not struck is not sailed again. Several things broken at once each leave their share of her speed at every wind:
the shares are multiplied.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.ensemble import with_others
from passage.crossings.helm import Refit, Vessel
from passage.crossings.lanes import lane_of
from passage.crossings.simulate import sail_lanes
from passage.crossings.speed import SpeedTable
from passage.troubles.damage import slowed_vessel, without_engine

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from passage.crossings.ensemble import Crossings
    from passage.crossings.ground import Ground
    from passage.crossings.wind import Luck
    from passage.troubles.strikes import Strikes

Broken = frozenset[int]  # numbers of the troubles that stand


class Moving(NamedTuple):
    """What a trouble makes of her, and how long she first lies still for it."""

    vessel: Vessel
    hold_h: int


class _Turn(NamedTuple):
    """In an hour a trouble begins to stand, or stands no more; lain: whether it is the lying still."""

    hour: int
    begins: bool
    trouble: int
    lain: bool


def sail_hurt(
    ground: Ground, whole: Crossings, luck: Luck, moving: Sequence[Moving], each: Sequence[Sequence[Strikes]]
) -> Iterator[Crossings]:
    """The crossings with what strikes them, for each of several sets of strikes; ``whole``: with none of it, which is
    what comes back where nobody is struck. moving: of the troubles, in the order of a set's strikes.
    """
    rigs, plain = _Rigs(ground.vessel, moving), lane_of(ground, whole.depart, luck)
    turns = [_turns(moving, strikes, whole) for strikes in each]
    who = [np.array(sorted(by_member), dtype=np.intp) for by_member in turns]
    lanes = [
        plain._replace(
            luck=luck.of(struck), performance=plain.performance[struck], refits=_refits(by_member, struck, rigs)
        )
        for struck, by_member in zip(who, turns, strict=True)
        if len(struck)
    ]
    sailed = sail_lanes(lanes)
    for struck in who:
        yield with_others(whole, struck, sailed.pop(0)) if len(struck) else whole


def _turns(moving: Sequence[Moving], strikes: Sequence[Strikes], whole: Crossings) -> dict[int, list[_Turn]]:
    """Every turn of those members whom the first reaches at sea, by member."""
    turns: dict[int, list[_Turn]] = defaultdict(list)
    for number, (change, struck) in enumerate(zip(moving, strikes, strict=True)):
        for member, begin_h, end_h in zip(*(row.tolist() for row in struck), strict=True):
            turns[member] += [_Turn(begin_h, True, number, False), _Turn(end_h, False, number, False)]
            if change.hold_h:
                lain_h = min(begin_h + change.hold_h, end_h)
                turns[member] += [_Turn(begin_h, True, number, True), _Turn(lain_h, False, number, True)]
    return {who: each for who, each in turns.items() if min(turn.hour for turn in each) < whole.arrival_h[who]}


def _refits(turns: dict[int, list[_Turn]], who: NDArray[np.intp], rigs: _Rigs) -> tuple[Refit, ...]:
    """One refit for all members that become the same in the same hour."""
    together: dict[tuple[int, int], list[int]] = defaultdict(list)
    vessels: dict[int, Vessel] = {}
    for place, member in enumerate(who.tolist()):
        for hour, vessel in _becomes(turns[member], rigs):
            vessels[id(vessel)] = vessel
            together[hour, id(vessel)].append(place)
    ordered = sorted(together.items(), key=lambda entry: entry[0][0])
    return tuple(Refit(hour, vessels[key], np.array(places, dtype=np.intp)) for (hour, key), places in ordered)


def _becomes(turns: list[_Turn], rigs: _Rigs) -> Iterator[tuple[int, Vessel]]:
    """What she is from which hour on."""
    standing: set[int] = set()
    lain: set[int] = set()
    turns = sorted(turns)
    for turn, after in zip(turns, [*turns[1:], None], strict=True):
        changed = lain if turn.lain else standing
        (changed.add if turn.begins else changed.discard)(turn.trouble)
        if after is None or after.hour > turn.hour:
            yield turn.hour, rigs.of(frozenset(standing), still=bool(lain))


class _Rigs:
    """What she is with any number of troubles standing, made when first asked for."""

    def __init__(self, whole: Vessel, moving: Sequence[Moving]) -> None:
        self._whole, self._moving = whole, moving
        self._still = without_engine(slowed_vessel(whole, 0.0))
        self._made: dict[Broken, Vessel] = {}

    def of(self, broken: Broken, *, still: bool) -> Vessel:
        if still:
            return self._still
        if broken not in self._made:
            self._made[broken] = self._all([self._moving[number].vessel for number in sorted(broken)])
        return self._made[broken]

    def _all(self, vessels: list[Vessel]) -> Vessel:
        vessel = vessels[0] if vessels else self._whole
        for other in vessels[1:]:
            vessel = _both(vessel, other, self._whole)
        return vessel


def _both(one: Vessel, other: Vessel, whole: Vessel) -> Vessel:
    def left(a: NDArray[np.float32], b: NDArray[np.float32], of: NDArray[np.float32]) -> NDArray[np.float32]:
        return a * np.divide(b, of, out=np.zeros_like(b), where=of > 0.0)

    first, second, sound = one.speeds, other.speeds, whole.speeds
    below, motor_kn = whole.helm.engine_below_kn, whole.motor_speed_kn
    engine_below_kn = one.helm.engine_below_kn * other.helm.engine_below_kn / below if below else 0.0
    return replace(
        whole,
        speeds=SpeedTable(
            left(first.made_good_kn, second.made_good_kn, sound.made_good_kn),
            left(first.by_parts_kn, second.by_parts_kn, sound.by_parts_kn),
        ),
        helm=whole.helm.model_copy(update={"engine_below_kn": engine_below_kn}),
        motor_speed_kn=one.motor_speed_kn * other.motor_speed_kn / motor_kn if motor_kn else 0.0,
        motor_hours=min(one.motor_hours, other.motor_hours),
    )
