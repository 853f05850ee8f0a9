"""The hand table, for a dead laptop: by miles to go, the least of each store that should still be aboard.

Each row asks of the miles still to sail what page one asks of them all: the largest of the three loading rules, and
what is kept back on top. Its first row is therefore what to load, and no row asks more than the one above it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.stores.loading import to_load
from passage.crossings.ensemble import passage_time_h

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.consequences.stores.drawdown import Rules, Store
    from passage.crossings.ensemble import Crossings

MOST_ROWS = 18
STEPS_NM = (10, 20, 25, 50, 100, 200, 250, 500, 1000)
HERE_NM = 0.01  # a boat so near a mark has reached it


@dataclass(frozen=True)
class HandRow:
    """So many miles to go. typical_day_out: days from departure when the middle crossing has them to go; typical_days,
    slow_end_days: from there to landfall; least: of each store that should still be aboard, what is kept back for
    the landfall included; survival: of each, the survival ration to the slow end and what is kept back. Infinite where
    a crossing that decides never arrives.
    """

    miles_to_go: float
    typical_day_out: float
    typical_days: float
    slow_end_days: float
    least: tuple[float, ...]
    survival: tuple[float, ...]


@dataclass(frozen=True)
class HandTable:
    """Rows from the whole distance down to the last step; each row's amounts stand in the order of ``stores``."""

    stores: tuple[str, ...]
    units: tuple[str, ...]
    rows: tuple[HandRow, ...]


def ration(aboard: float, days_to_go: float, kept_back: float = 0.0) -> float:
    """What the crew may use a day when less is aboard than the table asks: what may be used, shared over the days to
    go.
    """
    return max(aboard - kept_back, 0.0) / days_to_go


def hand_table(crossings: Crossings, stores: Sequence[Store], rules: Rules) -> HandTable:
    """The table for these stores, from full use and nothing made or caught."""
    rows = (_row(crossings, stores, to_go, rules) for to_go in _marks(crossings.track.length_nm))
    return HandTable(tuple(store.name for store in stores), tuple(store.unit for store in stores), tuple(rows))


def _marks(length_nm: float) -> list[float]:
    """The whole distance, then round numbers of miles down to the last step."""
    step = next((step for step in STEPS_NM if length_nm / step <= MOST_ROWS), STEPS_NM[-1])
    return [length_nm, *(float(step * number) for number in range(int(length_nm / step - 1e-9), 0, -1))]


def _row(crossings: Crossings, stores: Sequence[Store], to_go_nm: float, rules: Rules) -> HandRow:
    reached = crossings.distance_nm >= crossings.track.length_nm - to_go_nm - HERE_NM
    hour = reached.argmax(axis=1)
    hours_left = np.maximum(crossings.arrival_h - hour, 0.0)
    hours_out = np.where(reached.any(axis=1), hour, np.inf)
    survival = [_survival_left(store, crossings.arrival_h, hours_left) for store in stores]
    loads = [
        to_load(_use_left(store, hour), ration_left, rules.slow_share, rules.typical_factor)
        for store, ration_left in zip(stores, survival, strict=True)
    ]
    return HandRow(
        miles_to_go=to_go_nm,
        typical_day_out=passage_time_h(hours_out, 0.5) / 24.0,
        typical_days=passage_time_h(hours_left, 0.5) / 24.0,
        slow_end_days=passage_time_h(hours_left, rules.slow_share) / 24.0,
        least=tuple(load.amount + store.kept_back for load, store in zip(loads, stores, strict=True)),
        survival=tuple(
            passage_time_h(ration_left, rules.slow_share) + store.kept_back
            for ration_left, store in zip(survival, stores, strict=True)
        ),
    )


def _use_left(store: Store, hour: NDArray[np.intp]) -> NDArray[np.float64]:
    """Full use from the beginning of each crossing's hour to landfall, (members,)."""
    before = np.where(hour > 0, store.needed[np.arange(len(hour)), hour - 1], 0.0)
    left: NDArray[np.float64] = store.used - before
    return left


def _survival_left(
    store: Store, arrival_h: NDArray[np.float64], hours_left: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Survival use runs at one rate all the way, so the hours left take their share of it, (members,)."""
    with np.errstate(invalid="ignore"):
        return np.where(np.isfinite(arrival_h), store.survival * hours_left / arrival_h, store.survival)
