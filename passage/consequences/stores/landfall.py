"""Every store to landfall in the same crossings: the one entry that the road calls."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.stores.audit import Audit, audit
from passage.consequences.stores.daily import GAS_TARE, GasTold, food_to_landfall, gas_told
from passage.consequences.stores.drawdown import Store
from passage.consequences.stores.every import every_store
from passage.consequences.stores.fuel import MotoringRow, motoring_table
from passage.consequences.stores.handtable import HandTable, Rations, hand_table, rations
from passage.consequences.stores.larder import Larder, lay_in
from passage.consequences.stores.loading import Verdict, verdict
from passage.consequences.stores.need import PersonNeed, person_need
from passage.consequences.stores.packs import CannotProvision
from passage.consequences.stores.shopping import Provision, provision
from passage.consequences.stores.stowage import Stowed, stowed
from passage.consequences.stores.together import Remedy, Share, Shortage, Together, together
from passage.consequences.stores.water import Water, water_aboard, watermaking_of
from passage.inputs.boat import DIESEL_KG_PER_L, WATER_KG_PER_L
from passage.inputs.provisions import refused
from passage.tell.figures import Side
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from passage.consequences.stores.drawdown import Laden
    from passage.inputs.boat import Boat
    from passage.inputs.pantry import Pantry
    from passage.inputs.provisions import Motor

BY_ITEM = ("water", "food", "fuel", "gas")  # weighed tank by tank, packet by packet

CAUTIONS = (
    "Energy needs are for groups: one person may need a tenth more or less, and a cold, sick or frightened one more.",
    "Food figures of the starter list are from general knowledge and rounded; the label on the packet is right. "
    "Allergens in it are those usual for the food and are not complete: someone with an allergy reads every label.",
    "What may be landed is decided by the country of arrival; ask before you go.",
    "Rain is counted only where you claim it. A watermaker fails; the load rule counts on none.",
    "The hand table and the shares come from simulated crossings, not from a forecast; the skipper decides.",
)

WORST_LAST = (Verdict.YES, Verdict.NEARLY_ALWAYS, Verdict.LITTLE_IN_HAND, Verdict.NOT_ALWAYS)


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
    lacking: tuple[str, ...] = told("stores but water of which too little is aboard by the loading rules")
    nearly: tuple[str, ...] = told("stores but water, enough by the rules, that run out in a crossing or more")
    lasting: tuple[str, ...] = told("stores but water that last in every crossing")


class Stores(Record):
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
    hand_table: HandTable = told("the least that should still be aboard, by miles to go")
    rations: Rations = told("use a day for all aboard, in full and at the least")
    motoring: tuple[MotoringRow, ...] = told("range under engine by speed on what lies above the landfall reserve")
    gas_use: GasTold = told("cooking gas: use, and what is aboard")
    stowed: Stowed = told("what crew and stores weigh")
    watermaker_wh_per_day: float
    cautions: tuple[str, ...] = told("what to mind", default=CAUTIONS)

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

    @reckoned("passage time at the slow end, days")
    def slow_end_days(self) -> float:
        return self.water.slow_end_days

    @reckoned("does everything last, and what goes first")
    def answer(self) -> StoresAnswer:
        both, counted = self.together, [store for store in self.all if store.said]
        in_hand = min(store.loaded - store.load_amount for store in counted)
        others = [store for store in counted if store.name != "water"]
        verdicts = {store.name: verdict(store.short, store.loaded, store.load_amount) for store in others}
        return StoresAnswer(
            crossings=both.any_short.members,
            verdict=verdict(both.any_short.count, in_hand, 0.0),
            to_buy=self.provision is not None and bool(self.provision.shopping),
            short=both.any_short,
            first_out=both.first,
            remedy=both.remedy,
            not_counted=both.not_counted,
            others_verdict=max(verdicts.values(), key=WORST_LAST.index, default=Verdict.NOT_KNOWN),
            lacking=_that(verdicts, Verdict.NOT_ALWAYS, Verdict.LITTLE_IN_HAND),
            nearly=_that(verdicts, Verdict.NEARLY_ALWAYS),
            lasting=_that(verdicts, Verdict.YES),
        )

    @reckoned("one row for each store, water the first")
    def stores(self) -> tuple[Store, ...]:
        shortages = {row.name: row for row in self.together.shortages}
        return tuple(replace(store, shortage=shortages.get(store.name)) for store in self.all)

    @reckoned("litres above the landfall reserve", Side.DOWN)
    def motoring_l(self) -> float:
        return self.fuel.usable if self.fuel else 0.0


def _that(verdicts: Mapping[str, Verdict], *wanted: Verdict) -> tuple[str, ...]:
    return tuple(name for name, found in verdicts.items() if found in wanted)


def _named(name: str, stores: Sequence[Store]) -> Store:
    return next(store for store in stores if store.name == name)


def stores_to_landfall(laden: Laden, pantry: Pantry, *, shopping: bool = True, laid: LaidIn | None = None) -> Stores:
    """Draw every store down along every crossing, and plan what to load.

    laden: without the food, which is counted here; laid: the food, where ``lay_food`` has laid it in already. shopping
    False leaves the pack planning out, which alone costs a second.
    """
    crew, boat, provisions = laden.crew, laden.boat, laden.provisions
    laid = laid or lay_food(laden, pantry, shopping=shopping)
    full = replace(laden, food_kcal=laid.edible_kcal)
    now_kcal = laid.audit.edible_kcal if laid.audit else laid.edible_kcal
    stores = tuple(replace(each, now=now_kcal) if each.name == "food" else each for each in every_store(full))
    table = hand_table(laden.crossings, stores, laden.rules)
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
        hand_table=table,
        rations=rations(table, laden.crossings, {store.name: store for store in stores}),
        motoring=_motoring(boat, provisions.motor),
        gas_use=gas_told(provisions),
        stowed=stowed(_carried(laden, stores), boat.hull, provisions.stowage, _foods_carried(pantry, laid.provision)),
        watermaker_wh_per_day=watermaking_of(provisions).energy_wh_per_day,
    )


def _motoring(boat: Boat, motor: Motor) -> tuple[MotoringRow, ...]:
    if boat.engine is None:
        return ()
    return motoring_table(boat.hull, boat.engine, motor, _above_reserve_l(boat))


@dataclass(frozen=True)
class LaidIn:
    """The food: what is eaten in these crossings, what is aboard of it, what to buy, or why nothing can be planned; and
    the energy in what there will be.
    """

    larder: Larder | None
    audit: Audit | None
    provision: Provision | None
    refusal: str
    edible_kcal: float


def lay_food(laden: Laden, pantry: Pantry, *, shopping: bool) -> LaidIn:
    """Audit what is aboard, and plan what is missing."""
    crossings, provisions = laden.crossings, laden.provisions
    if not np.isfinite(crossings.arrival_h).any():
        eaten = [each for each in pantry.aboard if not refused(each, provisions.diet)]
        return LaidIn(None, None, None, "", sum(each.pack_kcal * each.aboard_packs for each in eaten))
    larder = lay_in(crossings, laden.crew, provisions.diet, pantry, food_to_landfall(laden), laden.rules)
    audited = audit(larder)
    if not shopping:
        return LaidIn(larder, audited, None, "", audited.edible_kcal)
    try:
        bought = provision(larder, provisions.dinners, provisions.diet)
    except CannotProvision as told:
        return LaidIn(larder, audited, None, str(told), audited.edible_kcal)
    return LaidIn(larder, audited, bought, "", bought.edible_kcal)


def _above_reserve_l(boat: Boat) -> float:
    return max(boat.usable_fuel_l - boat.fuel.landfall_reserve_l, 0.0)


def _foods_carried(pantry: Pantry, bought: Provision | None) -> dict[str, list[tuple[str, float]]]:
    """Foods one by one, kg, by what their sum is called."""
    return {
        "food aboard, packed": [(f"{food.item}, aboard", food.aboard_packs * food.gross_kg) for food in pantry.aboard],
        "food to buy, packed": [(f"{row.item}, to buy", row.gross_kg) for row in bought.shopping] if bought else [],
    }


def _carried(laden: Laden, stores: Sequence[Store]) -> list[tuple[str, float]]:
    """What is carried but food, by item, kg."""
    boat, provisions = laden.boat, laden.provisions
    things = [(store.name, store.loaded * store.kg_per_unit) for store in stores if store.name not in BY_ITEM]
    return [
        ("crew", laden.crew.mass_kg),
        *((tank.name, WATER_KG_PER_L * tank.capacity_l * tank.filled_share) for tank in boat.water_tanks),
        ("emergency water", boat.emergency_water.volume_l),
        *((tank.name, DIESEL_KG_PER_L * tank.capacity_l * tank.filled_share) for tank in boat.fuel_tanks),
        ("gas and bottles", provisions.gas_kg * (1.0 + GAS_TARE)),
        *things,
    ]
