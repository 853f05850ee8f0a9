"""Stores that go by the day at sea: food as energy, cooking gas, and whatever the user names."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.stores.drawdown import Laden, Store, Use, draw_down
from passage.consequences.stores.need import crew_basal_kcal, energy_kcal_h
from passage.consequences.stores.together import Piece
from passage.tell.customary import per_metric, unit_words
from passage.tell.figures import mass_words
from passage.tell.records import Record, down, told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.ensemble import Crossings
    from passage.inputs.provisions import DailyThing, Provisions

# Dry and tinned no-cook food with its packaging: dry staples 3.4 to 3.6 kcal/g, nuts and chocolate 5.5 to 6, tins 0.8
# to 1.2 (common practice); used only to weigh food that is not listed pack by pack.
RATION_KCAL_PER_KG = 3000.0
GAS_TARE = 1.1  # a steel bottle weighs about as much again as the gas in it (common practice)


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


def food_to_landfall(laden: Laden) -> Store:
    """Energy eaten along every crossing, kcal; told in days of full meals for all: nobody sees kilocalories in a
    locker.
    """
    crossings, activity, aboard = laden.crossings, laden.provisions.activity, laden.food_kcal
    survival = _at_rate(activity.survival * crew_basal_kcal(laden.crew), crossings)
    use = Use(partial(energy_kcal_h, crew=laden.crew, activity=activity), survival)
    per_kcal = 1.0 / RATION_KCAL_PER_KG
    store = draw_down("food", "kcal", aboard, use, crossings, laden.rules, kg_per_unit=per_kcal, said=aboard > 0)
    ration = Piece("food", "day's no-cook food for all", store.daily, store.daily * per_kcal)
    return replace(store, unit="days", per_own=1.0 / store.daily, piece=ration)


def gas_to_landfall(laden: Laden) -> Store:
    """Cooking gas, kg; told in grams, as it is weighed."""
    persons, provisions = len(laden.crew.people), laden.provisions
    bottle_kg = provisions.remedy.gas_bottle_kg
    survival = _at_rate(persons * provisions.gas.survival_kg, laden.crossings)
    return draw_down(
        "gas",
        "kg",
        provisions.gas_kg,
        Use(persons * provisions.gas.use_kg / 24.0, survival),
        laden.crossings,
        laden.rules,
        kg_per_unit=1.0,
        said=provisions.gas_kg > 0,
        piece=Piece(
            "gas",
            f"{mass_words(bottle_kg)} bottle of gas",
            bottle_kg,
            bottle_kg * (1.0 + GAS_TARE),
            provisions.remedy.price_of("gas_bottle"),
        ),
        told_in=(unit_words("g"), 1000.0 * per_metric("g")),
    )


def things_to_landfall(laden: Laden) -> tuple[Store, ...]:
    """Everything that the user names, each in its own unit."""
    return tuple(_thing_to_landfall(laden, thing) for thing in laden.provisions.daily)


def _thing_to_landfall(laden: Laden, thing: DailyThing) -> Store:
    week = 7 * thing.per_day
    return draw_down(
        thing.name,
        thing.unit,
        thing.aboard,
        Use(thing.per_day / 24.0, _at_rate(thing.survival_share * thing.per_day, laden.crossings)),
        laden.crossings,
        laden.rules,
        kg_per_unit=thing.unit_mass_kg,
        piece=Piece(thing.name, f"a week's {thing.name}", week, week * thing.unit_mass_kg),
    )


def _at_rate(per_day: float, crossings: Crossings) -> NDArray[np.float64]:
    """What a daily rate takes to landfall, (members,); nothing at a rate of nothing, even where she never arrives."""
    return per_day * crossings.arrival_h / 24.0 if per_day > 0 else np.zeros(crossings.members)
