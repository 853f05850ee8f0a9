"""The best rota of all that there are, and the own one beside it.

How long people really sleep moves the model further than the shape of any sensible rota, so rotas that differ by less
than the model's error count as equally sleepy; among those the rest decides, all of it in hours a day and added up as
`complaints_h`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.watches.alertness import MODEL_ERROR_KSS
from passage.consequences.watches.rest import LONG_REST_H, REST_IN_DAY_H
from passage.consequences.watches.rotas import Bounds, Rotas, allowed, enumerate_rotas, grains_to_try
from passage.consequences.watches.score import Conditions, Keeper, Scores, joined, score
from passage.errors import OutOfRange
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

NOTICED_H = 0.25
_SLEEP_LOST_H = 0.25  # rotas that leave so much less room for sleep than the best are not equal to it

SAME_SLEEPINESS = (
    "Equal within the model's error: how long you really sleep matters more than the shape of the rota. "
    "Choose by rest, fairness and liking."
)


@dataclass(frozen=True)
class Choice:
    """The rota chosen. tried: rotas scored; equal: how many of them are as good in sleepiness, within the model's
    error.
    """

    rota: Rotas
    scores: Scores
    complaints_h: dict[str, float]
    tried: int
    equal: int


def complaints(scores: Scores, keepers: tuple[Keeper, ...]) -> dict[str, Floats]:
    """What speaks against each rota, in hours a day: [rotas] under each heading. Zero is nothing to complain of."""
    late_sleepers = np.array([keeper.bad_at_dawn for keeper in keepers])
    cooks = np.array([keeper.cooks for keeper in keepers])
    return {
        "on watch sleepy (7 or more), the sleepiest": scores.sleepy_h.max(axis=1),
        "longest rest short of six hours, the worse off": np.clip(
            LONG_REST_H - scores.unbroken_h.min(axis=1), 0.0, None
        ),
        "rest short of ten hours in the worst 24, the worse off": np.clip(
            REST_IN_DAY_H - scores.least_rest_h.min(axis=1), 0.0, None
        ),
        "on watch, one more than another": np.ptp(scores.watch_h, axis=1),
        "dark hours, one more than another": np.ptp(scores.dark_h, axis=1),
        "midnight to four, one more than another": np.ptp(scores.graveyard_h, axis=1),
        "dawn watch by one who is bad at it": (scores.dawn_h * late_sleepers).sum(axis=1),
        "on watch when cooking": (scores.cooking_h * cooks).sum(axis=1),
    }


def equally_sleepy(scores: Scores) -> NDArray[np.bool_]:
    """[rotas] as good as the best in sleepiness: room for sleep, worst half hour and mean, each of the worse-off
    person.
    """
    room = scores.asleep_h.min(axis=1)
    good = room >= room.max() - _SLEEP_LOST_H
    for kss in (scores.worst_kss.max(axis=1), scores.mean_kss.max(axis=1)):
        good &= kss <= kss[good].min() + MODEL_ERROR_KSS
    return np.asarray(good)


def best(
    bounds: Bounds, keepers: tuple[Keeper, ...], conditions: Conditions, may_stand: NDArray[np.bool_] | None = None
) -> Choice:
    """The best rota within the bounds. may_stand: [people, 48], where people keep watch at some hours only.

    Errors: OutOfRange where no rota keeps to the bounds and the hours.
    """
    groups = enumerate_rotas(bounds) if may_stand is None else _sifted(bounds, may_stand, conditions)
    if not groups:
        raise OutOfRange(
            f"no rota of {bounds.people} people has watches of {bounds.shortest_h:g} to {bounds.longest_h:g} h "
            "within the hours each may stand; widen the watches or the hours"
        )
    scores = joined([score(group, keepers, conditions) for group in groups])
    equal = equally_sleepy(scores)
    found = int(_order(scores, keepers, equal, groups)[0])
    return Choice(
        rota=_at(groups, found),
        scores=scores.pick(np.array([found])),
        complaints_h={what: float(hours[found]) for what, hours in complaints(scores, keepers).items()},
        tried=len(scores),
        equal=int(equal.sum()),
    )


def _sifted(bounds: Bounds, may_stand: NDArray[np.bool_], conditions: Conditions) -> list[Rotas]:
    """The rotas that call nobody outside their hours, at the first grain that has any."""
    for grain in grains_to_try(bounds):
        sifted = [allowed(group, may_stand, conditions.asked) for group in enumerate_rotas(bounds, grain)]
        if groups := [group for group in sifted if len(group)]:
            return groups
    return []


def _order(
    scores: Scores, keepers: tuple[Keeper, ...], equal: NDArray[np.bool_], groups: list[Rotas]
) -> NDArray[np.intp]:
    """Rotas best first: equal ones by complaints, then fewer changes on the half hour and fewer in all, for people half
    asleep, then the worst half hour. Complaints to a quarter of an hour a day: less nobody notices.
    """
    complaint = np.round(sum(complaints(scores, keepers).values(), np.zeros(len(scores))) / NOTICED_H)
    worst = np.round(scores.worst_kss.max(axis=1), 2)
    changes, on_half_hours = np.hstack([_changes(group) for group in groups])
    return np.lexsort((worst, changes, on_half_hours, complaint, ~equal))


def _changes(group: Rotas) -> Floats:
    """Changes of the watch on an average day: [all of them and those on the half hour, rotas]."""
    line = group.keeper.reshape(len(group), -1)
    changed = line != np.roll(line, 1, axis=1)
    return np.stack([changed.sum(axis=1), changed[:, 1::2].sum(axis=1)]) / group.days


def _at(groups: list[Rotas], index: int) -> Rotas:
    for group in groups:
        if index < len(group):
            return group.pick(np.array([index]))
        index -= len(group)
    raise IndexError(index)


def given(rota: Rotas, keepers: tuple[Keeper, ...], conditions: Conditions) -> Choice:
    """A rota not chosen but given, scored as the others are."""
    scores = score(rota, keepers, conditions)
    found = {what: float(hours[0]) for what, hours in complaints(scores, keepers).items()}
    return Choice(rota, scores, found, tried=1, equal=1)


class Compared(Record):
    """One measure of both, each person's in the order of the keepers."""

    what: str = told("what is measured")
    unit: str = told("its unit")
    own: tuple[float, ...] = told("of the own rota, each person", places=1)
    best: tuple[float, ...] = told("of the best, each person", places=1)


class Complaint(Record):
    """What speaks against each, in hours a day."""

    what: str = told("what speaks against it")
    own_h: float = told("against the own rota, hours a day", places=1)
    best_h: float = told("against the best, hours a day", places=1)


class Comparison(Record):
    """Own rota and best, side by side."""

    verdict: str = told("which is the sleepier, if any")
    measures: tuple[Compared, ...] = told("measures of both")
    complaints: tuple[Complaint, ...] = told("what speaks against each")


_ROWS = (
    ("mean sleepiness on watch", "KSS", "mean_kss"),
    ("worst half hour on watch", "KSS", "worst_kss"),
    ("on watch at 7 or more", "h/day", "sleepy_h"),
    ("sleep the rota leaves room for", "h/day", "asleep_h"),
    ("on watch", "h/day", "watch_h"),
    ("longest unbroken rest", "h", "unbroken_h"),
    ("rest in the worst 24 h", "h", "least_rest_h"),
    ("dark hours on watch", "h/day", "dark_h"),
    ("midnight to four on watch", "h/day", "graveyard_h"),
)


def compare(own: Choice, found: Choice) -> Comparison:
    """The own rota beside the best."""

    def people(choice: Choice, name: str) -> tuple[float, ...]:
        return tuple(float(value) for value in getattr(choice.scores, name)[0])

    headings = own.complaints_h
    return Comparison(
        verdict=verdict(own.scores, found.scores),
        measures=tuple(Compared(what, unit, people(own, name), people(found, name)) for what, unit, name in _ROWS),
        complaints=tuple(Complaint(what, headings[what], found.complaints_h[what]) for what in headings),
    )


def verdict(own: Scores, other: Scores) -> str:
    """Which of two rotas, one row each, makes its worse-off person sleepier; in words, and only where it exceeds the
    model's error.
    """
    more = [float(getattr(own, name).max() - getattr(other, name).max()) for name in ("mean_kss", "worst_kss")]
    largest = max(more, key=abs)
    if abs(largest) < MODEL_ERROR_KSS:
        return SAME_SLEEPINESS
    return f"The own rota is {'sleepier' if largest > 0 else 'less sleepy'} by {abs(largest):.1f} steps of nine."
