"""The hand table, for a dead laptop: days out by miles to go, the least of each store that should still be aboard.

Where enough crossings were about there on that day, what 95 in 100 of them still used (the share is the user's). Where
she is slower than almost all of them, what she uses at the pace made so far, if that is more; where she is faster, what
the crossings used from that distance on any day. Never less with more miles to go, nor later than the crossings show.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.ensemble import passage_time_h

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.consequences.stores.drawdown import Store
    from passage.crossings.ensemble import Crossings

LEAST_BOATS = 20
COLUMNS, ROWS = 8, 12
SLOWEST_KN = 1.0  # below it a pace says nothing
NICE_NM = (5, 10, 20, 25, 50, 100, 200, 250, 500, 1000, 2000)


@dataclass(frozen=True)
class HandCell:
    """So many days out and so many miles to go. amounts: (stores,) least still aboard, kept-back amounts included;
    days_to_go: to the slow end from here; by_pace: reckoned from the pace made so far, beyond what the crossings show.
    """

    miles_to_go: float
    days_to_go: float
    amounts: tuple[float, ...]
    by_pace: bool


@dataclass(frozen=True)
class HandTable:
    """cells: (rows, columns), None where no boat can be or the pace is too slow to reckon with."""

    stores: tuple[str, ...]
    units: tuple[str, ...]
    miles_to_go: tuple[float, ...]
    days_out: tuple[int, ...]
    cells: tuple[tuple[HandCell | None, ...], ...]


@dataclass(frozen=True)
class _Ahead:
    """What lies ahead of one place: hours to go (k,), and full use of each store from there, (stores, k)."""

    hours: NDArray[np.float64]
    uses: NDArray[np.float64]


def ration(aboard: float, days_to_go: float, kept_back: float = 0.0) -> float:
    """What the crew may use a day when less is aboard than the table asks: what may be used, shared over the days to
    go.
    """
    return max(aboard - kept_back, 0.0) / days_to_go


def hand_table(crossings: Crossings, stores: Sequence[Store], slow_share: float) -> HandTable:
    """The table for these stores, from full use and nothing made or caught."""
    length = crossings.track.length_nm
    step = next((nice for nice in NICE_NM if length / nice <= COLUMNS), length / COLUMNS)
    miles = tuple(float(m) for m in np.arange(step, length, step))
    arrived = crossings.arrival_h[np.isfinite(crossings.arrival_h)]
    if not arrived.size:
        return HandTable(tuple(s.name for s in stores), tuple(s.unit for s in stores), miles, (), ())
    last_day = passage_time_h(arrived, slow_share) / 24.0
    every = max(1, int(np.ceil(last_day / ROWS)))
    days = tuple(range(every, int(last_day) + every + 1, every))
    rows: list[tuple[HandCell | None, ...]] = []
    for day in days:
        row = _row(crossings, stores, day, miles, slow_share)
        rows.append(tuple(map(_no_less_when_later, row, rows[-1])) if rows else row)
    return HandTable(tuple(s.name for s in stores), tuple(s.unit for s in stores), miles, days, tuple(rows))


def _row(
    crossings: Crossings, stores: Sequence[Store], day: int, miles: tuple[float, ...], slow_share: float
) -> tuple[HandCell | None, ...]:
    half = (miles[1] - miles[0]) / 2 if len(miles) > 1 else miles[0] / 2
    cells: list[HandCell | None] = []
    for to_go in miles:
        cell = _cell(crossings, stores, day, to_go, half, slow_share)
        before = next((done for done in reversed(cells) if done), None)
        cells.append(_no_less(cell, before) if cell and before else cell)
    return tuple(cells)


def _no_less_when_later(cell: HandCell | None, earlier: HandCell | None) -> HandCell | None:
    """Beyond what the crossings show, a boat that is later still needs no less than one that is not."""
    return _no_less(cell, earlier) if cell and earlier and cell.by_pace else cell


def _no_less(cell: HandCell, other: HandCell) -> HandCell:
    """The cell, with nothing less in it than in the other."""
    amounts = tuple(max(pair) for pair in zip(cell.amounts, other.amounts, strict=True))
    return HandCell(cell.miles_to_go, max(cell.days_to_go, other.days_to_go), amounts, cell.by_pace)


def _cell(
    crossings: Crossings, stores: Sequence[Store], day: int, to_go: float, half_nm: float, slow_share: float
) -> HandCell | None:
    there, fastest = _there(crossings, day, to_go, half_nm)
    made_kn = (crossings.track.length_nm - to_go) / (24.0 * day)
    by_pace = there.size < LEAST_BOATS and not fastest
    if by_pace and made_kn < SLOWEST_KN:
        return None
    ahead = (
        _ahead(crossings, stores, there, 24 * day)
        if there.size >= LEAST_BOATS
        else _from_any_day(crossings, stores, to_go)
    )
    hours = passage_time_h(ahead.hours, slow_share)
    uses = [passage_time_h(use, slow_share) for use in ahead.uses]
    if by_pace and to_go / made_kn > hours:
        hours = to_go / made_kn
        uses = [max(use, store.daily * hours / 24.0) for use, store in zip(uses, stores, strict=True)]
    if not np.isfinite(hours):
        return None
    amounts = tuple(use + store.kept_back for use, store in zip(uses, stores, strict=True))
    return HandCell(to_go, hours / 24.0, amounts, by_pace)


def _there(crossings: Crossings, day: int, to_go: float, half_nm: float) -> tuple[NDArray[np.intp], bool]:
    """The crossings that are about there at the end of that day, and whether being there is fast for that day."""
    hour = min(24 * day, crossings.hours - 1)
    left = crossings.track.length_nm - crossings.distance_nm[:, hour]
    under_way = crossings.arrival_h > 24 * day
    about = np.flatnonzero(under_way & (np.abs(left - to_go) <= half_nm)) if hour == 24 * day else np.empty(0, np.intp)
    return about, bool(np.median(left) > to_go)


def _ahead(crossings: Crossings, stores: Sequence[Store], there: NDArray[np.intp], hour: int) -> _Ahead:
    hours = crossings.arrival_h[there] - hour
    uses = [store.used[there] - store.needed[there, hour - 1] for store in stores]
    return _Ahead(hours, np.array(uses))


def _from_any_day(crossings: Crossings, stores: Sequence[Store], to_go: float) -> _Ahead:
    """From the hour each crossing first has no more than that to go."""
    near = crossings.track.length_nm - crossings.distance_nm <= to_go
    members = np.flatnonzero(near.any(axis=1))
    hour = near[members].argmax(axis=1)
    hours = crossings.arrival_h[members] - hour
    begun = [np.where(hour > 0, store.needed[members, hour - 1], 0.0) for store in stores]
    uses = [store.used[members] - done for store, done in zip(stores, begun, strict=True)]
    return _Ahead(hours, np.array(uses))
