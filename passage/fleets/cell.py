"""One cell: a boat sailed as ``passage.sail`` sails her, and what the table keeps of it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage import api
from passage.crossings.ensemble import HOVE_TO, passage_time_h
from passage.crossings.rose import STRONG_KN
from passage.crossings.seasons import basins_along
from passage.crossings.storms import storms_along, storms_met
from passage.errors import PassageError
from passage.fleets.schema import SHARES
from passage.real_years import sail_year

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.inputs.folder import Facts
    from passage.road import Outcome

    Values = dict[str, NDArray[np.float64]]


class Asked(NamedTuple):
    """What every cell of a table is asked alike."""

    crossings: int
    seed: int
    days: int
    stores: tuple[str, ...]


def sail_cell(facts: Facts, asked: Asked, depart: datetime, year: int | None) -> Values | str:
    """The figures of a cell by variable, or the sentence that refuses it. The same facts give the same bits, wherever
    and beside whatever they are sailed.
    """
    try:
        return figures(sailed(facts, asked, depart, year), asked)
    except PassageError as refusal:
        return "; ".join(str(refusal).splitlines())


def sailed(facts: Facts, asked: Asked, depart: datetime, year: int | None) -> Outcome:
    """Without the shopping, which hangs on no crossing. Raises as ``passage.sail`` and ``passage.years``."""
    if year is None:
        return replace(api.sail(facts, asked.crossings, asked.seed, depart), shopping=False)
    return replace(sail_year(facts, api.lay(facts, depart), depart, year, asked.crossings, asked.seed), shopping=False)


def figures(outcome: Outcome, asked: Asked) -> Values:
    """Every variable of the schema."""
    crossings, power = outcome.crossings, outcome.power
    arrival_h = crossings.arrival_h
    along = storms_along(outcome.ground.track, basins_along(outcome.ground.track))
    storms = storms_met(crossings, along)
    slow_end_h = passage_time_h(arrival_h, outcome.slow_share)
    nothing = float("nan")
    alone = {
        "slow_end_h": slow_end_h,
        "worry_h": slow_end_h + outcome.facts.gear.float_plan.late(slow_end_h).worry_h,
        "never": float(np.isinf(arrival_h).sum()),
        "short_of_anything_share": outcome.stores.together.any_short.value,
        "battery_low_share": power.low.below_floor if power else nothing,
        "battery_empty_share": power.low.flat if power else nothing,
        "charging_l": float(power.low.charging_l.mean()) if power else nothing,
        "motoring_h": float(crossings.motoring_h.mean()),
        "strong_wind_h": _mean_h((crossings.wind_kn >= STRONG_KN) & crossings.under_way),
        "hove_to_h": _mean_h(crossings.state == HOVE_TO),
        "storms_near_share": storms.near_in_100 / 100.0,
        "storms_far_share": storms.far_in_100 / 100.0,
    }
    return {
        "arrival_h": arrival_h,
        "arrival_quantile_h": np.array([passage_time_h(arrival_h, share) for share in SHARES]),
        "arrivals": _by_day(arrival_h, asked.days),
        **_stores(outcome, asked.stores),
        **{name: np.array(value) for name, value in alone.items()},
    }


def _mean_h(hours: NDArray[np.bool_]) -> float:
    return float(hours.sum() / hours.shape[0])


def _by_day(arrival_h: NDArray[np.float64], days: int) -> NDArray[np.float64]:
    there = arrival_h[np.isfinite(arrival_h)]
    return np.bincount((there // 24.0).astype(int), minlength=days)[:days].astype(float)


def _stores(outcome: Outcome, names: Sequence[str]) -> Values:
    """By the store's place in ``names``; what is not counted aboard stays not a number."""
    told = {name: np.full(len(names), np.nan) for name in ("short_share", "ran_out_day", "lacking")}
    shortages = {row.name: row for row in outcome.stores.together.shortages}
    for store in outcome.stores.all:
        if store.name in shortages:
            at, short = names.index(store.name), shortages[store.name]
            told["short_share"][at], told["ran_out_day"][at] = short.short.value, short.gone_days
            told["lacking"][at] = store.lacking
    return told
