"""The larder as numbers: what may be eaten on which day, and what is needed each day. Audit, dinners and packs share
it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.stores.keeping import air_by_day_c, keeps_days
from passage.crossings.ensemble import passage_time_h
from passage.errors import OutOfRange
from passage.inputs.provisions import refused

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.consequences.stores.drawdown import Rules, Store
    from passage.crossings.ensemble import Crossings
    from passage.inputs.crew import Crew
    from passage.inputs.pantry import Food, Pantry
    from passage.inputs.provisions import Diet

FEW_SHARE = 0.05  # of the crossings still at sea: too few to speak for a day


@dataclass(frozen=True)
class Larder:
    """foods: those this crew will eat, (n,); keeps: (n,) whole days each keeps from departure; need_kcal: (days,) for
    the whole crew, day by day to the slow end; protein_kg: a day; persons; landfall_day: the typical landfall;
    reserve_days: of no-cook food beyond the slow end; reserve_kcal: the energy in them; slow_end_known: False where too
    few crossings arrive and the days are those of the slowest that does.
    """

    foods: tuple[Food, ...]
    keeps: NDArray[np.intp]
    need_kcal: NDArray[np.float64]
    protein_kg: float
    persons: int
    landfall_day: int
    reserve_days: int
    reserve_kcal: float
    slow_end_known: bool = True

    @property
    def days(self) -> int:
        return len(self.need_kcal)

    @property
    def energy(self) -> NDArray[np.float64]:
        """kcal in a kg eaten, (n,)."""
        return np.array([food.energy_kcal_per_kg for food in self.foods])

    @property
    def protein(self) -> NDArray[np.float64]:
        """kg of protein in a kg eaten, (n,)."""
        return np.array([food.protein_share for food in self.foods])

    @property
    def most_kg(self) -> NDArray[np.float64]:
        """The most of each that the whole crew eats in a day, (n,)."""
        return self.persons * np.array([food.most_kg_per_day for food in self.foods])

    @property
    def aboard_kg(self) -> NDArray[np.float64]:
        """What is aboard of each as it is eaten, (n,)."""
        return np.array([food.eaten_kg * food.aboard_packs for food in self.foods])


def lay_in(crossings: Crossings, crew: Crew, diet: Diet, pantry: Pantry, food: Store, rules: Rules) -> Larder:
    """The larder for these crossings. The needs of the days add up to full use to the slow end; the reserve is the
    user's share of days, or what the governing load rule asks beyond the slow end if that is more.

    food: the energy drawn down, kcal. Raises OutOfRange where no crossing arrives.
    """
    arrived = crossings.arrival_h[np.isfinite(crossings.arrival_h)]
    if arrived.size == 0:
        raise OutOfRange("no crossing arrives, so there are no days to lay food in for; change the track or the month")
    slow_h = passage_time_h(crossings.arrival_h, rules.slow_share)
    known = bool(np.isfinite(slow_h))
    days = int(np.ceil((slow_h if known else arrived.max()) / 24.0))
    need = _need_by_day(
        crossings, food, days, food.load.to_slow_end if known else float(food.used[np.isfinite(food.used)].max())
    )
    daily = float(need.mean())
    typical_h = passage_time_h(crossings.arrival_h, 0.5)
    beyond = food.load.amount - need.sum() if np.isfinite(food.load.amount) else 0.0
    reserve_days = int(np.ceil(max(diet.no_cook_reserve_share * days, beyond / daily) - 1e-9))
    eaten = tuple(each for each in pantry.foods if not refused(each, diet))
    air = air_by_day_c(crossings)
    return Larder(
        foods=eaten,
        keeps=np.array([keeps_days(each.keeps, air) for each in eaten], dtype=np.intp),
        need_kcal=need,
        protein_kg=diet.protein_per_kg_kg * crew.mass_kg,
        persons=len(crew.people),
        landfall_day=min(int(np.ceil(typical_h / 24.0)), days) if np.isfinite(typical_h) else days,
        reserve_days=reserve_days,
        reserve_kcal=reserve_days * daily,
        slow_end_known=known,
    )


def _need_by_day(crossings: Crossings, food: Store, days: int, total_kcal: float) -> NDArray[np.float64]:
    """Mean need of the boats still at sea on each day, scaled so that the days add up to ``total_kcal``; where few are
    still out, the mean of the whole crossing.
    """
    ends = np.minimum(24 * np.arange(1, days + 1), crossings.hours)
    eaten = np.diff(food.drawing.needed_before(ends).sum(axis=0), prepend=0.0)
    sea_days = np.diff(np.cumsum(crossings.at_sea_by_hour)[ends - 1], prepend=0.0) / 24.0
    many = sea_days >= FEW_SHARE * crossings.members
    shape = np.where(many, eaten / np.maximum(sea_days, 1e-9), food.daily)
    need: NDArray[np.float64] = shape * (total_kcal / shape.sum())
    return need
