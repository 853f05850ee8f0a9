"""The hand table: the least water that should still be aboard, by miles to go, worked out in the same crossings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from passage.consequences.stores.loading import to_load
from passage.crossings.ensemble import passage_time_h

if TYPE_CHECKING:
    from passage.road import Outcome

MOST_ROWS = 18
STEPS_NM = (10, 20, 25, 50, 100, 200, 250, 500, 1000)


def water_by_miles_to_go(outcome: Outcome) -> list[dict[str, Any]]:
    """Rows from the departure to the last step, each the largest of the three loading rules for what is left to sail.

    ``least_aboard_l``: rounded up; ``survival_l``: the survival ration to the slow end; days to landfall from there.
    """
    crossings, reserve = outcome.crossings, outcome.facts.voyage.reserve
    share = 1.0 - reserve.slow_end_share
    needed_l = outcome.stores.water.store.needed
    survival_l_h = len(outcome.facts.crew.people) * outcome.facts.crew.water.survival_l_per_day / 24.0
    rows = []
    for to_go_nm in _marks(crossings.track.length_nm):
        hour = (crossings.distance_nm >= crossings.track.length_nm - to_go_nm - 0.01).argmax(axis=1)
        hours_left = np.maximum(crossings.arrival_h - hour, 0.0)
        arrives = np.isfinite(crossings.arrival_h)
        used_before = np.where(hour > 0, needed_l[np.arange(len(hour)), hour - 1], 0.0)
        to_drink = np.where(arrives, needed_l[:, -1].astype(float) - used_before, np.inf)
        load = to_load(to_drink, survival_l_h * hours_left, share, reserve.typical_factor)
        rows.append(
            {
                "to_go_nm": to_go_nm,
                "typical_days": passage_time_h(hours_left, 0.5) / 24.0,
                "slow_end_days": passage_time_h(hours_left, share) / 24.0,
                "least_aboard_l": float(np.ceil(load.amount)),
                "survival_l": float(np.ceil(survival_l_h * passage_time_h(hours_left, share))),
            }
        )
    return rows


def _marks(length_nm: float) -> list[float]:
    """The whole distance, then round numbers of miles down to the last step."""
    step = next((step for step in STEPS_NM if length_nm / step <= MOST_ROWS), STEPS_NM[-1])
    return [length_nm, *(float(step * number) for number in range(int(length_nm / step - 1e-9), 0, -1))]
