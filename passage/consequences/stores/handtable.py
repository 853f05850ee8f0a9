"""The hand table, for a dead laptop: by miles to go, the least of each store that should still be aboard.

Each row asks of the miles still to sail what page one asks of them all: the largest of the three loading rules, and
what is kept back on top. Its first row is therefore what to load, and no row asks more than the one above it.
"""

from __future__ import annotations

from math import isfinite, nan
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.consequences.stores.loading import to_load
from passage.crossings.ensemble import in_blocks, passage_time_h
from passage.tell.figures import in_print
from passage.tell.records import Record, down, reckoned, told, up

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from passage.consequences.stores.drawdown import Rules, Store
    from passage.crossings.ensemble import Crossings

MOST_ROWS = 18
STEPS_NM = (10, 20, 25, 50, 100, 200, 250, 500, 1000)
HERE_NM = 0.01  # a boat so near a mark has reached it


class Amount(Record):
    """Of one store, in its unit; what is kept back for the landfall included. Null where a crossing that decides never
    arrives.
    """

    store: str = told("its name")
    least: float = up("the least that should still be aboard: the largest of the three rules for the miles left")
    survival: float = up("the survival ration to the slow end")


class HandRow(Record):
    """So many miles to go."""

    to_go_nm: float = told("miles to go")
    out_days: float = told("days from departure when the middle crossing has them to go")
    typical_days: float = told("days from there to landfall, in the middle crossing")
    slow_end_days: float = told("days from there to landfall at the slow end")
    amounts: tuple[Amount, ...] = told("of each store, in the order of the columns")


class Column(Record):
    """A store of the hand table."""

    store: str = told("its name")
    unit: str = told("its unit")


class HandTable(Record):
    """Rows from the whole distance down to the last step, rounded up, so that the first is what to load."""

    columns: tuple[Column, ...] = told("its stores")
    rows: tuple[HandRow, ...] = told("from the whole distance down to the last step")


class Rations(Record):
    """Use a day for all aboard, in full and at the least, and a division done as an example."""

    water_l_per_day: float = told("water in full use")
    water_survival_l_per_day: float = told("water at the survival ration")
    food_kcal_per_day: float = told("food in full use")
    food_survival_kcal_per_day: float = told("food at the survival ration")
    gas_g_per_day: float = told("cooking gas in full use")
    gas_survival_g_per_day: float = told("cooking gas at the survival ration")
    example_to_go_nm: float = told("the example: miles to go")
    example_aboard_l: float = down("litres of water aboard")
    example_days: float = told("days to go at the slow end", unit="days")

    @reckoned("litres a day for all aboard")
    def example_l_per_day(self) -> float:
        return ration(in_print(self.example_aboard_l), self.example_days)


def rations(table: HandTable, crossings: Crossings, stores: Mapping[str, Store]) -> Rations:
    """The example is half-way down the table, with water half-way between the least and the survival ration."""
    water, food, gas = (stores[name] for name in ("water", "food", "gas"))
    row = table.rows[len(table.rows) // 2]
    half = (row.amounts[0].least + row.amounts[0].survival) / 2.0
    return Rations(
        water_l_per_day=water.daily,
        water_survival_l_per_day=_survival_a_day(water, crossings),
        food_kcal_per_day=food.daily,
        food_survival_kcal_per_day=_survival_a_day(food, crossings),
        gas_g_per_day=gas.daily * gas.per_own,
        gas_survival_g_per_day=_survival_a_day(gas, crossings) * gas.per_own,
        example_to_go_nm=row.to_go_nm,
        example_aboard_l=half if isfinite(half) else nan,
        example_days=row.slow_end_days,
    )


def _survival_a_day(store: Store, crossings: Crossings) -> float:
    arrived = np.isfinite(crossings.arrival_h)
    return float(24.0 * (store.survival[arrived] / crossings.arrival_h[arrived]).mean()) if arrived.any() else nan


def ration(aboard: float, days_to_go: float, kept_back: float = 0.0) -> float:
    """What the crew may use a day when less is aboard than the table asks: what may be used, shared over the days to
    go.
    """
    return max(aboard - kept_back, 0.0) / days_to_go


def hand_table(crossings: Crossings, stores: Sequence[Store], rules: Rules) -> HandTable:
    """The table for these stores, from full use and nothing made or caught."""
    marks = _marks(crossings.track.length_nm)
    reached = np.concatenate([_reached(some, marks) for _, some in in_blocks(crossings)])
    hours = np.where(np.isfinite(reached), reached, 0.0).astype(np.int64)
    left = [store.used[:, None] - store.drawing.needed_before(hours) for store in stores]
    rows = (
        _row(crossings, stores, _Mark(to_go, reached[:, at], [use[:, at] for use in left]), rules)
        for at, to_go in enumerate(marks)
    )
    return HandTable(tuple(Column(store.name, store.unit) for store in stores), tuple(rows))


class _Mark(NamedTuple):
    """hours: in which each crossing has so many miles to go, infinite where she never has; left: full use of each store
    from the beginning of that hour to landfall, (members,) each.
    """

    to_go_nm: float
    hours: NDArray[np.float64]
    left: list[NDArray[np.float64]]


def _reached(crossings: Crossings, marks: Sequence[float]) -> NDArray[np.float64]:
    """Hours in which each crossing first has so many miles to go, (members, marks)."""
    hours = np.empty((crossings.members, len(marks)))
    for at, to_go_nm in enumerate(marks):
        reached = crossings.distance_nm >= crossings.track.length_nm - to_go_nm - HERE_NM
        hours[:, at] = np.where(reached.any(axis=1), reached.argmax(axis=1), np.inf)
    return hours


def _marks(length_nm: float) -> list[float]:
    """The whole distance, then round numbers of miles down to the last step."""
    step = next((step for step in STEPS_NM if length_nm / step <= MOST_ROWS), STEPS_NM[-1])
    return [length_nm, *(float(step * number) for number in range(int(length_nm / step - 1e-9), 0, -1))]


def _row(crossings: Crossings, stores: Sequence[Store], mark: _Mark, rules: Rules) -> HandRow:
    hours_left = np.maximum(crossings.arrival_h - np.where(np.isfinite(mark.hours), mark.hours, 0.0), 0.0)
    survival = [_survival_left(store, crossings.arrival_h, hours_left) for store in stores]
    loads = [
        to_load(use_left, ration_left, rules.slow_share, rules.typical_factor)
        for use_left, ration_left in zip(mark.left, survival, strict=True)
    ]
    return HandRow(
        to_go_nm=mark.to_go_nm,
        out_days=passage_time_h(mark.hours, 0.5) / 24.0,
        typical_days=passage_time_h(hours_left, 0.5) / 24.0,
        slow_end_days=passage_time_h(hours_left, rules.slow_share) / 24.0,
        amounts=tuple(
            Amount(
                store=store.name,
                least=(load.amount + store.kept_back) * store.per_own,
                survival=(passage_time_h(ration_left, rules.slow_share) + store.kept_back) * store.per_own,
            )
            for load, ration_left, store in zip(loads, survival, stores, strict=True)
        ),
    )


def _survival_left(
    store: Store, arrival_h: NDArray[np.float64], hours_left: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Survival use runs at one rate all the way, so the hours left take their share of it, (members,)."""
    with np.errstate(invalid="ignore"):
        return np.where(np.isfinite(arrival_h), store.survival * hours_left / arrival_h, store.survival)
