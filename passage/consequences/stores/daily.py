"""Stores that go by the day at sea: food as energy, cooking gas, and whatever the user names."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.stores.drawdown import Rules, Store, Use, draw_down
from passage.consequences.stores.need import crew_basal_kcal, energy_kcal_h
from passage.tell.records import Record, down, told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.ensemble import Crossings
    from passage.inputs.crew import Crew
    from passage.inputs.provisions import Activity, DailyThing, Provisions

# Dry and tinned no-cook food with its packaging: dry staples 3.4 to 3.6 kcal/g, nuts and chocolate 5.5 to 6, tins 0.8
# to 1.2 (common practice); used only to weigh food that is not listed pack by pack.
RATION_KCAL_PER_KG = 3000.0


class BottleTold(Record):
    """Bottles of cooking gas that are alike."""

    name: str = told("its name")
    bottle_count: int = told("how many")
    content_kg: float = told("gas in a full one, kg", places=2)


class GasTold(Record):
    """Cooking gas: what it takes, and what is aboard."""

    use_g: float = told("for each person and day, g")
    baking: bool = told("whether baking is in that")
    bottles: tuple[BottleTold, ...] = told("bottles aboard")
    aboard_g: float = down("gas in them, g")


def gas_told(provisions: Provisions) -> GasTold:
    bottles = tuple(BottleTold(bottle.name, bottle.count, bottle.content_kg) for bottle in provisions.gas_bottles)
    return GasTold(1000.0 * provisions.gas.use_kg, provisions.gas.baking, bottles, 1000.0 * provisions.gas_kg)


def food_to_landfall(crossings: Crossings, crew: Crew, activity: Activity, aboard_kcal: float, rules: Rules) -> Store:
    """Energy eaten along every crossing, kcal; told in days of full meals for all: nobody sees kilocalories in a
    locker. None aboard is not said, rather than none.
    """
    survival = _at_rate(activity.survival * crew_basal_kcal(crew), crossings)
    use = Use(energy_kcal_h(crossings, crew, activity), survival)
    per_kg, said = 1.0 / RATION_KCAL_PER_KG, aboard_kcal > 0
    store = draw_down("food", "kcal", aboard_kcal, use, crossings, rules, kg_per_unit=per_kg, counted=said)
    return replace(store, unit="days", per_own=1.0 / store.daily)


def gas_to_landfall(crossings: Crossings, crew: Crew, provisions: Provisions, rules: Rules) -> Store:
    """Cooking gas, kg; told in grams, as it is weighed."""
    persons = len(crew.people)
    survival = _at_rate(persons * provisions.gas.survival_kg, crossings)
    use = Use(persons * provisions.gas.use_kg / 24.0, survival)
    loaded = provisions.gas_kg
    in_grams, said = ("g", 1000.0), loaded > 0
    return draw_down("gas", "kg", loaded, use, crossings, rules, kg_per_unit=1.0, told_in=in_grams, counted=said)


def thing_to_landfall(crossings: Crossings, thing: DailyThing, rules: Rules) -> Store:
    """Anything the user names, in its own unit."""
    survival = _at_rate(thing.survival_share * thing.per_day, crossings)
    use = Use(thing.per_day / 24.0, survival)
    return draw_down(thing.name, thing.unit, thing.aboard, use, crossings, rules, kg_per_unit=thing.unit_mass_kg)


def _at_rate(per_day: float, crossings: Crossings) -> NDArray[np.float64]:
    """What a daily rate takes to landfall, (members,); nothing at a rate of nothing, even where she never arrives."""
    return per_day * crossings.arrival_h / 24.0 if per_day > 0 else np.zeros(crossings.members)
