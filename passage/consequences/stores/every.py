"""Every store of a boat and her crew: the one list of them. A new one is a file beside this, and a line here.

The law of a store takes what a boat is laden with and returns the store drawn down along every crossing, or None where
she has none of it; what the user names in ``[[daily]]`` needs no law.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.stores.daily import food_to_landfall, gas_to_landfall, things_to_landfall
from passage.consequences.stores.fuel import fuel_to_landfall
from passage.consequences.stores.water import water_to_landfall

if TYPE_CHECKING:
    from collections.abc import Callable

    from passage.consequences.stores.drawdown import Laden, Store

LAWS: list[Callable[[Laden], Store | None]] = [  # in the order of the hand table
    water_to_landfall,
    food_to_landfall,
    fuel_to_landfall,
    gas_to_landfall,
]


def every_store(laden: Laden) -> tuple[Store, ...]:
    """Every store drawn down along every crossing."""
    drawn = (law(laden) for law in LAWS)
    return (*(store for store in drawn if store is not None), *things_to_landfall(laden))
