"""Every store to landfall in the same crossings: the one entry that the road calls."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.stores.audit import Audit, audit
from passage.consequences.stores.daily import GAS_TARE, food_to_landfall
from passage.consequences.stores.every import every_store
from passage.consequences.stores.fuel import MotoringRow, motoring_table
from passage.consequences.stores.handtable import HandTable, hand_table
from passage.consequences.stores.larder import Larder, lay_in
from passage.consequences.stores.need import PersonNeed, person_need
from passage.consequences.stores.packs import CannotProvision
from passage.consequences.stores.shopping import Provision, provision
from passage.consequences.stores.stowage import Stowed, stowed
from passage.consequences.stores.together import Together, together
from passage.consequences.stores.water import Water, water_aboard, watermaking_of
from passage.inputs.boat import DIESEL_KG_PER_L, WATER_KG_PER_L
from passage.inputs.provisions import refused

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.consequences.stores.drawdown import Laden, Store
    from passage.inputs.boat import Boat
    from passage.inputs.pantry import Pantry

BY_ITEM = ("water", "food", "fuel", "gas")  # weighed tank by tank, packet by packet

CAUTIONS = (
    "Energy needs are for groups: one person may need a tenth more or less, and a cold, sick or frightened one more.",
    "Food figures of the starter list are from general knowledge and rounded; the label on the packet is right. "
    "Allergens in it are those usual for the food and are not complete: someone with an allergy reads every label.",
    "What may be landed is decided by the country of arrival; ask before you go.",
    "Rain is counted only where you claim it. A watermaker fails; the load rule counts on none.",
    "The hand table and the shares come from simulated crossings, not from a forecast; the skipper decides.",
)


@dataclass(frozen=True)
class Stores:
    """Everything that is drunk, eaten and burnt in these crossings, and what to load.

    all: every store, in the order of the hand table; food counts what is aboard and, where shopping was planned, what
    is on the list; audit counts only what is aboard; larder, audit and provision are None where no crossing arrives or
    shopping was not asked for; no_provision: why the bounds on food cannot be met, '' where they can.
    watermaker_wh_per_day: the watermaker's energy for the power budget.
    """

    all: tuple[Store, ...]
    people: tuple[PersonNeed, ...]
    water: Water
    larder: Larder | None
    audit: Audit | None
    provision: Provision | None
    no_provision: str
    together: Together
    hand_table: HandTable
    motoring: tuple[MotoringRow, ...]
    stowed: Stowed
    watermaker_wh_per_day: float
    cautions: tuple[str, ...] = CAUTIONS

    @property
    def food(self) -> Store:
        return _named("food", self.all)

    @property
    def gas(self) -> Store:
        return _named("gas", self.all)

    @property
    def fuel(self) -> Store | None:
        """None without an engine."""
        return next((store for store in self.all if store.name == "fuel"), None)


def _named(name: str, stores: Sequence[Store]) -> Store:
    return next(store for store in stores if store.name == name)


def stores_to_landfall(laden: Laden, pantry: Pantry, *, shopping: bool = True) -> Stores:
    """Draw every store down along every crossing, and plan what to load.

    laden: without the food, which is counted here. shopping False leaves the pack planning out, which alone costs a
    second.
    """
    crew, boat, provisions = laden.crew, laden.boat, laden.provisions
    laid = _lay_food(laden, pantry, shopping=shopping)
    full = replace(laden, food_kcal=laid.edible_kcal)
    stores = every_store(full)
    return Stores(
        all=stores,
        people=tuple(
            person_need(person, provisions.activity, provisions.diet.protein_per_kg_kg) for person in crew.people
        ),
        water=water_aboard(full, _named("water", stores)),
        larder=laid.larder,
        audit=laid.audit,
        provision=laid.provision,
        no_provision=laid.refusal,
        together=together(stores, provisions.remedy.target_share),
        hand_table=hand_table(laden.crossings, stores, laden.rules),
        motoring=motoring_table(boat.hull, provisions.motor, _above_reserve_l(boat)) if boat.engine else (),
        stowed=stowed(_carried(laden, pantry, laid.provision, stores), boat.hull, provisions.stowage),
        watermaker_wh_per_day=watermaking_of(provisions).energy_wh_per_day,
    )


@dataclass(frozen=True)
class _LaidIn:
    larder: Larder | None
    audit: Audit | None
    provision: Provision | None
    refusal: str
    edible_kcal: float


def _lay_food(laden: Laden, pantry: Pantry, *, shopping: bool) -> _LaidIn:
    """Audit what is aboard, and plan what is missing."""
    crossings, provisions = laden.crossings, laden.provisions
    if not np.isfinite(crossings.arrival_h).any():
        eaten = [each for each in pantry.aboard if not refused(each, provisions.diet)]
        return _LaidIn(None, None, None, "", sum(each.pack_kcal * each.aboard_packs for each in eaten))
    larder = lay_in(crossings, laden.crew, provisions.diet, pantry, food_to_landfall(laden), laden.rules)
    audited = audit(larder)
    if not shopping:
        return _LaidIn(larder, audited, None, "", audited.edible_kcal)
    try:
        bought = provision(larder, provisions.dinners, provisions.diet)
    except CannotProvision as told:
        return _LaidIn(larder, audited, None, str(told), audited.edible_kcal)
    return _LaidIn(larder, audited, bought, "", bought.edible_kcal)


def _above_reserve_l(boat: Boat) -> float:
    return max(boat.usable_fuel_l - boat.fuel.landfall_reserve_l, 0.0)


def _carried(
    laden: Laden, pantry: Pantry, bought: Provision | None, stores: Sequence[Store]
) -> list[tuple[str, float]]:
    """What is carried, by item, kg."""
    boat, provisions = laden.boat, laden.provisions
    foods = [(row.item, row.gross_kg) for row in bought.shopping] if bought else []
    things = [(store.name, store.loaded * store.kg_per_unit) for store in stores if store.name not in BY_ITEM]
    return [
        ("crew", laden.crew.mass_kg),
        *((tank.name, WATER_KG_PER_L * tank.capacity_l * tank.filled_share) for tank in boat.water_tanks),
        ("emergency water", boat.emergency_water.volume_l),
        *((tank.name, DIESEL_KG_PER_L * tank.capacity_l * tank.filled_share) for tank in boat.fuel_tanks),
        ("gas and bottles", provisions.gas_kg * (1.0 + GAS_TARE)),
        *((f"{food.item}, aboard", food.aboard_packs * food.gross_kg) for food in pantry.aboard),
        *((f"{item}, to buy", kg) for item, kg in foods),
        *things,
    ]
