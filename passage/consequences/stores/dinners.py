"""Dinners for every day to the slow end, within the repeat limits the user gives, what spoils first used first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.consequences.stores.larder import Larder
    from passage.inputs.provisions import Dinner


@dataclass(frozen=True)
class DinnerPlan:
    """served: (days,) the dinner of each day out, None where the limits or the keeping leave none; uses_kg: (n, days)
    what each dinner takes of each food of the larder.
    """

    served: tuple[str | None, ...]
    uses_kg: NDArray[np.float64]

    @property
    def without(self) -> tuple[int, ...]:
        """Days out, from 1, that have no dinner."""
        return tuple(day for day, name in enumerate(self.served, 1) if name is None)


def plan_dinners(larder: Larder, dinners: Sequence[Dinner]) -> DinnerPlan:
    """Give each day the dinner that must be eaten soonest of those allowed; among equals the one served least, then the
    first in the file. What may not be landed is not planned beyond the typical landfall.
    """
    index = {food.item: number for number, food in enumerate(larder.foods)}
    last = [min(last_day(larder, index[item]) for item in dinner.uses) for dinner in dinners]
    days_of: list[list[int]] = [[] for _ in dinners]
    served: list[str | None] = []
    uses = np.zeros((len(larder.foods), larder.days))
    for day in range(larder.days):
        allowed = [n for n, dinner in enumerate(dinners) if day < last[n] and _again(dinner, days_of[n], day)]
        chosen = min(allowed, key=lambda n: (last[n], len(days_of[n]), n), default=None)
        served.append(None if chosen is None else dinners[chosen].name)
        if chosen is not None:
            days_of[chosen].append(day)
            for item, kg in dinners[chosen].uses.items():
                uses[index[item], day] += kg
    return DinnerPlan(tuple(served), uses)


def last_day(larder: Larder, number: int) -> int:
    """The number of days out on which a food may be planned: until it spoils, the slow end, or the typical landfall
    where it may not be landed.
    """
    end = larder.days if larder.foods[number].ashore else larder.landfall_day
    return min(int(larder.keeps[number]), end)


def _again(dinner: Dinner, days: list[int], day: int) -> bool:
    return len(days) < dinner.most and (not days or day - days[-1] >= dinner.days_apart)
