"""Every store to landfall in the same crossings: the one entry that the road calls."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.stores.audit import Audit, audit
from passage.consequences.stores.daily import (
    RATION_KCAL_PER_KG,
    GasTold,
    food_to_landfall,
    gas_to_landfall,
    gas_told,
    thing_to_landfall,
)
from passage.consequences.stores.drawdown import Store
from passage.consequences.stores.fuel import MotoringRow, fuel_to_landfall, motoring_table
from passage.consequences.stores.handtable import HandTable, Rations, hand_table, rations
from passage.consequences.stores.larder import Larder, lay_in
from passage.consequences.stores.loading import Verdict, verdict
from passage.consequences.stores.need import PersonNeed, person_need
from passage.consequences.stores.packs import CannotProvision
from passage.consequences.stores.shopping import Provision, provision
from passage.consequences.stores.stowage import Stowed, stowed
from passage.consequences.stores.together import Piece, Remedy, Share, Shortage, Together, together
from passage.consequences.stores.water import Water, Watermaking, water_to_landfall
from passage.inputs.provisions import refused
from passage.tell.figures import Side
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.consequences.stores.drawdown import Rules
    from passage.crossings.ensemble import Crossings
    from passage.inputs.boat import Boat
    from passage.inputs.crew import Crew
    from passage.inputs.pantry import Pantry
    from passage.inputs.provisions import Provisions

CAN_KG_PER_L = 0.06  # an empty can weighs some 60 g for each litre (common practice)
GAS_TARE = 1.1  # a steel bottle weighs about as much again as the gas in it (common practice)

CAUTIONS = (
    "Energy needs are for groups: one person may need a tenth more or less, and a cold, sick or frightened one more.",
    "Food figures of the starter list are from general knowledge and rounded; the label on the packet is right. "
    "Allergens in it are those usual for the food and are not complete: someone with an allergy reads every label.",
    "What may be landed is decided by the country of arrival; ask before you go.",
    "Rain is counted only where you claim it. A watermaker fails; the load rule counts on none.",
    "The hand table and the shares come from simulated crossings, not from a forecast; the skipper decides.",
)


class StoresAnswer(Record):
    """Does everything last, what goes first, and the lightest remedy."""

    crossings: int = told("how many crossings were sailed")
    verdict: Verdict = told("whether all that is counted lasts")
    to_buy: bool = told("whether that counts food as aboard which is still to be bought")
    short: Share = told("crossings in which anything runs out")
    first_out: Shortage | None = told("the store that is first to run out in most crossings; null where none is")
    remedy: Remedy | None = told("the lightest pieces to add; null where no number of them will do")
    not_counted: tuple[str, ...] = told("stores of which no file says how much is aboard")
    others_verdict: Verdict = told("whether all stores but water last")
    lacking: tuple[str, ...] = told("stores but water that run short or of which too little is aboard")
    lasting: tuple[str, ...] = told("stores but water that last")


class Stores(Record):
    """Everything that is drunk, eaten and burnt in these crossings, and what to load.

    food counts what is aboard and, where shopping was planned, what is on the list; fuel is None without an engine;
    audit counts only what is aboard; larder, audit and provision are None where no crossing arrives or shopping was not
    asked for; no_provision: why the bounds on food cannot be met, '' where they can. watermaker_wh_per_day: the
    watermaker's energy for the power budget.
    """

    people: tuple[PersonNeed, ...]
    water: Water
    fuel: Store | None
    gas: Store
    food: Store
    things: tuple[Store, ...]
    larder: Larder | None
    audit: Audit | None
    provision: Provision | None
    no_provision: str
    together: Together
    hand_table: HandTable = told("the least that should still be aboard, by miles to go")
    rations: Rations = told("use a day for all aboard, in full and at the least")
    motoring: tuple[MotoringRow, ...] = told("range under engine by speed on what lies above the landfall reserve")
    gas_use: GasTold = told("cooking gas: use, and what is aboard")
    stowed: Stowed = told("what crew and stores weigh")
    watermaker_wh_per_day: float
    cautions: tuple[str, ...] = told("what to mind", default=CAUTIONS)

    @property
    def all(self) -> tuple[Store, ...]:
        """Every store, in the order of the hand."""
        fuel = (self.fuel,) if self.fuel else ()
        return (self.water.store, self.food, *fuel, self.gas, *self.things)

    @reckoned("passage time at the slow end, days")
    def slow_end_days(self) -> float:
        return self.water.slow_end_days

    @reckoned("does everything last, and what goes first")
    def answer(self) -> StoresAnswer:
        both, counted = self.together, [store for store in self.all if store.counted]
        in_hand = min(store.loaded - store.load_amount for store in counted)
        others = [store for store in counted if store is not self.water.store]
        lacking = [store for store in others if store.short > 0 or store.loaded < store.load_amount]
        lasting = tuple(store.name for store in others if store.short == 0 and store.loaded >= store.load_amount)
        return StoresAnswer(
            crossings=both.any_short.members,
            verdict=verdict(both.any_short.count, in_hand, 0.0),
            to_buy=self.provision is not None and bool(self.provision.shopping),
            short=both.any_short,
            first_out=both.first,
            remedy=both.remedy,
            not_counted=both.not_counted,
            others_verdict=_others_verdict(lacking, bool(lasting)),
            lacking=tuple(store.name for store in lacking),
            lasting=lasting,
        )

    @reckoned("one row for each store, water the first")
    def stores(self) -> tuple[Store, ...]:
        shortages = {row.name: row for row in self.together.shortages}
        return tuple(replace(store, shortage=shortages.get(store.name)) for store in self.all)

    @reckoned("litres above the landfall reserve", Side.DOWN)
    def motoring_l(self) -> float:
        return self.fuel.usable if self.fuel else 0.0


def _others_verdict(lacking: list[Store], any_lasts: bool) -> Verdict:
    if any(store.short > 0 for store in lacking):
        return Verdict.NOT_ALWAYS
    if lacking:
        return Verdict.LITTLE_IN_HAND
    return Verdict.YES if any_lasts else Verdict.NOT_KNOWN


def stores_to_landfall(
    crossings: Crossings,
    crew: Crew,
    boat: Boat,
    provisions: Provisions,
    pantry: Pantry,
    rules: Rules,
    *,
    charging_h_per_day: NDArray[np.floating] | float = 0.0,
    shopping: bool = True,
) -> Stores:
    """Draw every store down along every crossing, and plan what to load.

    charging_h_per_day: engine hours for the battery, a number or (members,), from the power budget. shopping False
    leaves the pack planning out, which alone costs a second.
    """
    watermaking = watermaking_of(provisions)
    water = water_to_landfall(crossings, crew, boat, rules.slow_share, rules.typical_factor, watermaking)
    fuel = fuel_to_landfall(crossings, boat, provisions.motor, charging_h_per_day, rules)
    gas = gas_to_landfall(crossings, crew, provisions, rules)
    things = tuple(thing_to_landfall(crossings, thing, rules) for thing in provisions.daily)
    food = food_to_landfall(crossings, crew, provisions.activity, 0.0, rules)
    laid = _lay_food(crossings, crew, provisions, pantry, food, rules, shopping=shopping)
    food = food_to_landfall(crossings, crew, provisions.activity, laid.edible_kcal, rules)
    food = replace(food, now=laid.audit.edible_kcal if laid.audit else food.loaded)
    every = [store for store in (water.store, food, fuel, gas, *things) if store]
    unknown = [store.name for store in every if not store.counted]
    counted = [store for store in every if store.counted]
    table = hand_table(crossings, every, rules)
    return Stores(
        people=tuple(
            person_need(person, provisions.activity, provisions.diet.protein_per_kg_kg) for person in crew.people
        ),
        water=water,
        fuel=fuel,
        gas=gas,
        food=food,
        things=things,
        larder=laid.larder,
        audit=laid.audit,
        provision=laid.provision,
        no_provision=laid.refusal,
        together=together(counted, pieces_of(provisions, food), provisions.remedy.target_share, unknown),
        hand_table=table,
        rations=rations(table, water.store, food, gas, crossings),
        motoring=motoring_table(boat.hull, provisions.motor, _above_reserve_l(boat)) if boat.engine else (),
        gas_use=gas_told(provisions),
        stowed=stowed(
            _carried(crew, boat, provisions), boat.hull, provisions.stowage, _foods_carried(pantry, laid.provision)
        ),
        watermaker_wh_per_day=watermaking.energy_wh_per_day,
    )


@dataclass(frozen=True)
class _LaidIn:
    larder: Larder | None
    audit: Audit | None
    provision: Provision | None
    refusal: str
    edible_kcal: float


def _lay_food(
    crossings: Crossings,
    crew: Crew,
    provisions: Provisions,
    pantry: Pantry,
    food: Store,
    rules: Rules,
    *,
    shopping: bool,
) -> _LaidIn:
    """Audit what is aboard, and plan what is missing."""
    if not np.isfinite(crossings.arrival_h).any():
        eaten = [each for each in pantry.aboard if not refused(each, provisions.diet)]
        return _LaidIn(None, None, None, "", sum(each.pack_kcal * each.aboard_packs for each in eaten))
    larder = lay_in(crossings, crew, provisions.diet, pantry, food, rules)
    audited = audit(larder)
    if not shopping:
        return _LaidIn(larder, audited, None, "", audited.edible_kcal)
    try:
        bought = provision(larder, provisions.dinners, provisions.diet)
    except CannotProvision as told:
        return _LaidIn(larder, audited, None, str(told), audited.edible_kcal)
    return _LaidIn(larder, audited, bought, "", bought.edible_kcal)


def watermaking_of(provisions: Provisions) -> Watermaking:
    """The watermaker's litres spread over the day, the rain that is claimed, and the energy it takes."""
    maker = provisions.watermaker
    made = maker.output_l_h * maker.run_h if maker else 0.0
    energy = made * maker.energy_per_litre_wh if maker else 0.0
    return Watermaking(made / 24.0, provisions.rain.claimed_l_per_day / 24.0, energy)


def pieces_of(provisions: Provisions, food: Store) -> tuple[Piece, ...]:
    """What may be added to each store, piece by piece."""
    remedy = provisions.remedy
    water_kg = remedy.water_can_l * (1.0 + CAN_KG_PER_L)
    fuel_kg = remedy.fuel_can_l * (0.84 + CAN_KG_PER_L)
    things = (
        Piece(thing.name, f"a week's {thing.name}", 7 * thing.per_day, 7 * thing.per_day * thing.unit_mass_kg)
        for thing in provisions.daily
    )
    return (
        Piece("water", f"{remedy.water_can_l:g} L can of water", remedy.water_can_l, water_kg),
        Piece("fuel", f"{remedy.fuel_can_l:g} L can of fuel", remedy.fuel_can_l, fuel_kg),
        Piece(
            "gas",
            f"{remedy.gas_bottle_kg:g} kg bottle of gas",
            remedy.gas_bottle_kg,
            remedy.gas_bottle_kg * (1 + GAS_TARE),
        ),
        Piece("food", "day's no-cook food for all", food.daily, food.daily / RATION_KCAL_PER_KG),
        *things,
    )


def _above_reserve_l(boat: Boat) -> float:
    return max(boat.usable_fuel_l - boat.fuel.landfall_reserve_l, 0.0)


def _foods_carried(pantry: Pantry, bought: Provision | None) -> dict[str, list[tuple[str, float]]]:
    """Foods one by one, kg, by what their sum is called."""
    return {
        "food aboard, packed": [(f"{food.item}, aboard", food.aboard_packs * food.gross_kg) for food in pantry.aboard],
        "food to buy, packed": [(f"{row.item}, to buy", row.gross_kg) for row in bought.shopping] if bought else [],
    }


def _carried(crew: Crew, boat: Boat, provisions: Provisions) -> list[tuple[str, float]]:
    """What is carried but food, by item, kg."""
    things = [(thing.name, thing.aboard * thing.unit_mass_kg) for thing in provisions.daily]
    return [
        ("crew", crew.mass_kg),
        *((tank.name, tank.capacity_l * tank.filled_share) for tank in boat.water_tanks),
        ("emergency water", boat.emergency_water.volume_l),
        *((tank.name, 0.84 * tank.capacity_l * tank.filled_share) for tank in boat.fuel_tanks),
        ("gas and bottles", provisions.gas_kg * (1.0 + GAS_TARE)),
        *things,
    ]
