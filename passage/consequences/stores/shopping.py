"""The provision as lists to carry ashore and to keep in the galley."""

from __future__ import annotations

from math import isnan, nan
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.stores.dinners import DinnerPlan, plan_dinners
from passage.consequences.stores.packs import bounds_for, choose_packs
from passage.tell.figures import Side
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.consequences.stores.larder import Larder
    from passage.consequences.stores.packs import Packs
    from passage.inputs.provisions import Diet, Dinner

CRUMB_KG = 5e-3  # less than five grams a day is the solver's rounding, not a meal


class ShoppingRow(Record):
    """One line of the shopping list."""

    aisle: str = told("where it stands in the shop")
    item: str = told("what to buy")
    packs: int = told("whole packs")
    pack_kg: float
    gross_kg: float = told("the packs with packaging, kg")
    energy_kcal: float = told("energy in them")
    price: float = told("their price; null where none is given")

    @reckoned("one pack without packaging, g")
    def pack_g(self) -> float:
        return 1000.0 * self.pack_kg


class FreshRow(Record):
    """What does not keep to the slow end and must be eaten on a day out."""

    day: int
    item: str = told("what to eat")
    eaten_kg: float
    good_until_day: int = told("last day out on which it is good")

    @reckoned("so much of it, g")
    def eat_g(self) -> float:
        return 1000.0 * self.eaten_kg


class LeftRow(Record):
    """What is left of a food at the typical landfall, the reserve included."""

    item: str = told("what it is")
    left_kg: float
    ashore: bool = told("whether it may as a rule be landed")

    @reckoned("so much of it as eaten, g")
    def left_g(self) -> float:
        return 1000.0 * self.left_kg


class Provision(Record):
    """What to buy and in which order to eat it. fresh: day by day; edible_kcal: in what is aboard and bought, less what
    spoils before it is eaten; gap_share: the list is proved within this share of the least that satisfies the bounds.
    """

    dinners: DinnerPlan
    shopping: tuple[ShoppingRow, ...] = told("packs to buy, by aisle")
    fresh: tuple[FreshRow, ...]
    left: tuple[LeftRow, ...] = told("what is left at the typical landfall, first what may not be landed")
    bought_kg: float = told("the whole list with packaging, kg", places=1)
    bought_kcal: float = told("energy in the whole list")
    price: float = told("price of what has one; null where nothing has")
    unpriced: tuple[str, ...] = told("items without a price")
    edible_kcal: float
    gap_share: float
    reserve_days: int = told("days of food that needs no cooking, beyond the slow end, in the list", places=0)

    @reckoned("no list within the bounds is better by more than so many hundredths", Side.UP)
    def above_least_in_100(self) -> float:
        return 100.0 * self.gap_share


def provision(larder: Larder, dinners: Sequence[Dinner], diet: Diet) -> Provision:
    """Plan the dinners, choose the packs, write the lists. Raises CannotProvision where nothing will do."""
    planned = plan_dinners(larder, dinners)
    packs = choose_packs(bounds_for(larder, planned, diet))
    rows = shopping_list(larder, packs)
    return Provision(
        dinners=planned,
        shopping=rows,
        fresh=fresh_first(larder, packs),
        left=left_at_landfall(larder, packs),
        bought_kg=sum(row.gross_kg for row in rows),
        bought_kcal=sum(row.energy_kcal for row in rows),
        price=sum(row.price for row in rows if not isnan(row.price)) or nan,
        unpriced=tuple(row.item for row in rows if isnan(row.price)),
        edible_kcal=_edible_kcal(larder, packs),
        gap_share=packs.gap_share,
        reserve_days=larder.reserve_days,
    )


def shopping_list(larder: Larder, packs: Packs) -> tuple[ShoppingRow, ...]:
    """Packs to buy, aisle by aisle in the order the aisles first stand in the pantry."""
    aisles = list(dict.fromkeys(food.aisle for food in larder.foods))
    bought = [(food, int(count)) for food, count in zip(larder.foods, packs.bought, strict=True) if count]
    rows = [
        ShoppingRow(
            aisle=food.aisle,
            item=food.item,
            packs=count,
            pack_kg=food.pack_kg,
            gross_kg=count * food.gross_kg,
            energy_kcal=count * food.pack_kcal,
            price=nan if food.price is None else count * food.price,
        )
        for food, count in bought
    ]
    return tuple(sorted(rows, key=lambda row: aisles.index(row.aisle)))


def fresh_first(larder: Larder, packs: Packs) -> tuple[FreshRow, ...]:
    """Day by day, what does not keep to the slow end, the most urgent first."""
    rows = [
        FreshRow(int(day) + 1, larder.foods[number].item, float(packs.eaten_kg[number, day]), int(larder.keeps[number]))
        for number, day in np.argwhere(packs.eaten_kg > CRUMB_KG)
        if larder.keeps[number] < larder.days
    ]
    return tuple(sorted(rows, key=lambda row: (row.day, row.good_until_day, row.item)))


def left_at_landfall(larder: Larder, packs: Packs) -> tuple[LeftRow, ...]:
    """What the plan has not eaten by the end of the typical landfall's day; spoiled food is not left but lost."""
    left = _loaded_kg(larder, packs) - packs.eaten_kg[:, : larder.landfall_day].sum(axis=1)
    rows = [
        LeftRow(food.item, float(kg), food.ashore)
        for food, kg, keeps in zip(larder.foods, left, larder.keeps, strict=True)
        if kg > CRUMB_KG and keeps >= larder.landfall_day
    ]
    return tuple(sorted(rows, key=lambda row: row.ashore))


def _loaded_kg(larder: Larder, packs: Packs) -> NDArray[np.float64]:
    """Aboard and bought, kg as eaten, (n,)."""
    loaded: NDArray[np.float64] = larder.aboard_kg + packs.bought * np.array([food.eaten_kg for food in larder.foods])
    return loaded


def _edible_kcal(larder: Larder, packs: Packs) -> float:
    kept = np.where(larder.keeps > larder.days, _loaded_kg(larder, packs), packs.eaten_kg.sum(axis=1))
    return float(kept @ larder.energy)
