"""The provision as lists to carry ashore and to keep in the galley."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.stores.dinners import DinnerPlan, plan_dinners
from passage.consequences.stores.packs import bounds_for, choose_packs

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.consequences.stores.larder import Larder
    from passage.consequences.stores.packs import Packs
    from passage.inputs.provisions import Diet, Dinner

CRUMB_KG = 5e-3  # less than five grams a day is the solver's rounding, not a meal


@dataclass(frozen=True)
class ShoppingRow:
    """One line of the shopping list: whole packs to buy, their mass with packaging, energy, and price if known."""

    aisle: str
    item: str
    packs: int
    pack_kg: float
    gross_kg: float
    energy_kcal: float
    price: float | None


@dataclass(frozen=True)
class FreshRow:
    """Eat this on this day out: mass eaten, and the last day out on which it is good."""

    day: int
    item: str
    eaten_kg: float
    good_until_day: int


@dataclass(frozen=True)
class LeftRow:
    """What is left of a food at the typical landfall, as eaten, the reserve included; ashore: as a rule it may be
    landed.
    """

    item: str
    left_kg: float
    ashore: bool


@dataclass(frozen=True)
class Provision:
    """What to buy and in which order to eat it.

    shopping: by aisle; fresh: what does not keep to the slow end, day by day; left: at the typical landfall; bought_kg:
    packaging included; bought_kcal; price: of all that has one; unpriced: items bought without a price; edible_kcal: in
    what is aboard and bought, less what spoils before it is eaten; gap_share: the list is proved within this share of
    the least that satisfies the bounds; reserve_days: of no-cook food in it.
    """

    dinners: DinnerPlan
    shopping: tuple[ShoppingRow, ...]
    fresh: tuple[FreshRow, ...]
    left: tuple[LeftRow, ...]
    bought_kg: float
    bought_kcal: float
    price: float
    unpriced: tuple[str, ...]
    edible_kcal: float
    gap_share: float
    reserve_days: int


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
        price=sum(row.price for row in rows if row.price is not None),
        unpriced=tuple(row.item for row in rows if row.price is None),
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
            price=None if food.price is None else count * food.price,
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
    return tuple(
        LeftRow(food.item, float(kg), food.ashore)
        for food, kg, keeps in zip(larder.foods, left, larder.keeps, strict=True)
        if kg > CRUMB_KG and keeps >= larder.landfall_day
    )


def _loaded_kg(larder: Larder, packs: Packs) -> NDArray[np.float64]:
    """Aboard and bought, kg as eaten, (n,)."""
    loaded: NDArray[np.float64] = larder.aboard_kg + packs.bought * np.array([food.eaten_kg for food in larder.foods])
    return loaded


def _edible_kcal(larder: Larder, packs: Packs) -> float:
    kept = np.where(larder.keeps > larder.days, _loaded_kg(larder, packs), packs.eaten_kg.sum(axis=1))
    return float(kept @ larder.energy)
