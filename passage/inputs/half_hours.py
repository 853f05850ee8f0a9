"""Half hours of a day of watches: who may stand which, and whether any rota keeps to them."""

from __future__ import annotations

from itertools import product
from math import ceil
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from passage.inputs.watch import OwnWatch, Watch

HALF_HOURS = 48


def half_hours_of(from_h: float, to_h: float) -> list[int]:
    """The half hours of the day from one clock hour to another, over midnight if need be; all of them where both are
    one.
    """
    first, length = round(2 * from_h), round(2 * (to_h - from_h)) % HALF_HOURS or HALF_HOURS
    return [(first + k) % HALF_HOURS for k in range(length)]


def spans(half_hours: list[int]) -> str:
    """Half hours of the day in words: ``03:00 to 05:30 and 12:00 to 12:30``."""
    starts = [at for at in half_hours if at == 0 or at - 1 not in half_hours]
    ends = [at + 1 for at in half_hours if at + 1 not in half_hours]
    return " and ".join(f"{_written(a)} to {_written(b)}" for a, b in zip(starts, ends, strict=True))


def _written(half_hour: int) -> str:
    return f"{half_hour // 2:02d}:{half_hour % 2 * 30:02d}"


def own_half_hours(watch: OwnWatch, days: int) -> list[int]:
    """The half hours of a rota of so many days that one own watch covers, counted from midnight of the first."""
    first = (watch.day - 1) * HALF_HOURS + round(2 * watch.from_h)
    length = len(half_hours_of(watch.from_h, watch.to_h))
    return [at % (days * HALF_HOURS) for at in range(first, first + length)]


def changes_of(shortest_h: float, longest_h: float, on_watch: int, grain: int = 1) -> tuple[int, int]:
    """Shortest and longest time between changes, in grains of so many half hours; of several on watch one changes at a
    time.
    """
    grains_per_h = 2.0 / (grain * on_watch)
    return max(ceil(shortest_h * grains_per_h - 1e-9), 1), int(longest_h * grains_per_h + 1e-9)


def rings(shortest: int, longest: int) -> bool:
    """Whether any number of watches of such lengths makes a day."""
    return shortest <= longest and ceil(HALF_HOURS / longest) * shortest <= HALF_HOURS


def stands_some_rota(watch: Watch, shortest: int, longest: int) -> bool:
    """Whether there is a rota that calls nobody outside their hours.

    People follow each other. With P of them and N watches a day, those whose numbers differ by a multiple of g, the
    greatest common divisor of both, share the same places of the day by turns.
    """
    people = len(watch.keepers)
    stood = [half_hours_stood(watch, role) for role in watch.keepers]
    if all(len(hours) == HALF_HOURS for hours in stood):
        return True
    at_once = [
        frozenset.intersection(*(stood[(lead + k) % people] for k in range(watch.on_watch))) for lead in range(people)
    ]
    divisors = [g for g in range(1, people + 1) if people % g == 0]
    return any(
        _comes_round([frozenset.intersection(*at_once[place::g]) for place in range(g)], shortest, longest)
        for g in divisors
    )


def _comes_round(places: list[frozenset[int]], shortest: int, longest: int) -> bool:
    """Whether a ring of watches fits, taken in turn from places that may each stand some half hours of the day."""
    starts = product(range(longest), range(len(places)))
    return any(
        (first + HALF_HOURS, lead) in _reached(places, (first, lead), shortest, longest) for first, lead in starts
    )


def _reached(places: list[frozenset[int]], start: tuple[int, int], shortest: int, longest: int) -> set[tuple[int, int]]:
    """Every (half hour, place) at which a watch can begin within a day of this one."""
    reached = {start}
    for at, place in product(range(start[0], start[0] + HALF_HOURS), range(len(places))):
        if (at, place) in reached:
            following = (place + 1) % len(places)
            stands = next((k for k in range(longest) if (at + k) % HALF_HOURS not in places[place]), longest)
            reached |= {(at + length, following) for length in range(shortest, stands + 1)}
    return reached


def half_hours_stood(watch: Watch, role: str) -> frozenset[int]:
    """The half hours of the day in which this person may keep the watch."""
    windows = next((person.stands for person in watch.people if person.role == role), ())
    return frozenset(at for window in windows or ((0.0, 24.0),) for at in half_hours_of(*window))
