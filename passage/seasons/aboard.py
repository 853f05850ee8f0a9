"""What she brings from one passage to the next, and what a port gives her.

What is not stocked in a port is carried over as the worst of 20 crossings leaves it. Of food that is left only what
keeps a quarter of a year is counted; where a port sells none, the list of the next passage is bought where food was
last to be had, and what does not keep so long is not on it.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.readiness.rules import rule_for
from passage.crossings.ensemble import passage_time_h, worse_end
from passage.crossings.wind import Luck
from passage.follows import battery_at_anchor
from passage.inputs.changes import changed
from passage.inputs.electrics import Departure
from passage.inputs.pantry import Pantry

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date, datetime

    from passage.inputs.folder import Facts
    from passage.inputs.gear import Gear, GearItem
    from passage.inputs.pantry import Food
    from passage.inputs.season import Port
    from passage.road import Outcome

KEEPS_DAYS = 90.0  # food that keeps so long is carried over
LONGEST_AT_ANCHOR_DAYS = 10  # by then a battery at anchor is what it will be
LEAST_CHARGE = 0.1  # with which a file may let her leave
SKIES = 200


@dataclass(frozen=True)
class Aboard:
    """stores: left, in their own units, by name, of those not stocked; foods: packs by name; charge_share: of the bank,
    None where it is as her file says; engine_h, sea_h: since the season began; food_from: where food was last to be
    had, food_age_h: how long ago she could leave with it; mended: gear by name, and on which day.
    """

    stores: Mapping[str, float] = field(default_factory=dict)
    foods: Mapping[str, float] | None = None
    charge_share: float | None = None
    engine_h: float = 0.0
    sea_h: float = 0.0
    food_from: str = ""
    food_age_h: float = 0.0
    mended: Mapping[str, date] = field(default_factory=dict)


def with_aboard(facts: Facts, aboard: Aboard) -> Facts:
    """The facts of a passage that begins with this aboard."""
    for name, key in (("water", "water_l"), ("fuel", "fuel_l")):
        if name in aboard.stores:
            facts = changed(facts, **{key: aboard.stores[name]})
    provisions = facts.provisions
    if "gas" in aboard.stores and provisions.gas_kg > 0.0:
        share = aboard.stores["gas"] / provisions.gas_kg
        bottles = tuple(
            each.model_copy(update={"filled_share": each.filled_share * share}) for each in provisions.gas_bottles
        )
        provisions = provisions.model_copy(update={"gas_bottles": bottles})
    daily = tuple(
        each.model_copy(update={"aboard": aboard.stores[each.name]}) if each.name in aboard.stores else each
        for each in provisions.daily
    )
    provisions = provisions.model_copy(update={"daily": daily})
    electrics = facts.electrics
    if electrics is not None and aboard.charge_share is not None:
        charged = Departure(charge_share=min(max(aboard.charge_share, LEAST_CHARGE), 1.0))
        electrics = electrics.model_copy(update={"departure": charged})
    gear = _worn(facts.gear, aboard)
    return replace(facts, provisions=provisions, electrics=electrics, gear=gear, pantry=_pantry(facts.pantry, aboard))


def _pantry(pantry: Pantry, aboard: Aboard) -> Pantry:
    """What is left counts in place of what the voyage's own file has aboard; foods that would not keep until she leaves
    with them cannot be bought.
    """
    if aboard.foods is None:
        return pantry
    left, age_days = aboard.foods, aboard.food_age_h / 24.0
    foods = (replace(food, aboard_packs=left.get(food.item, 0.0)) for food in pantry.foods)
    if age_days <= 0.0:
        return Pantry(tuple(foods))
    aged = (replace(food, keeps=replace(food.keeps, days=food.keeps.days - age_days)) for food in foods)
    return Pantry(tuple(food for food in aged if food.keeps.days > 0.0))


def _worn(gear: Gear, aboard: Aboard) -> Gear:
    """What falls due in port is for the passage after it to tell."""
    return gear.model_copy(update={"items": tuple(_item(item, aboard) for item in gear.items), "stay_h": 0.0})


def _item(item: GearItem, aboard: Aboard) -> GearItem:
    """Mended things are as new from that day; the others have run so many hours more."""
    if item.name in aboard.mended:
        day = aboard.mended[item.name]
        anew = {"fitted": day, "serviced": day, "inspected": day, "expires": None, "unproven": ""}
        return item.model_copy(update=anew | ({"running_h": 0.0} if item.running_h is not None else {}))
    if item.running_h is None:
        return item
    rule = rule_for(item.kind, item.material)
    under_sail = rule is not None and bool(rule.life_h)
    return item.model_copy(update={"running_h": item.running_h + (aboard.sea_h if under_sail else aboard.engine_h)})


def brought(aboard: Aboard, outcome: Outcome, port: Port, lies_h: float, arrives: datetime) -> Aboard:
    """What she leaves the port with. lies_h: hours that she lies there; arrives: UTC."""
    named = {"daily": [each.name for each in outcome.facts.provisions.daily]}
    stocked = {name for each in port.restock for name in named.get(each, [each])}
    slow = outcome.slow_share
    left = {
        store.name: max(worse_end(store.left, slow), 0.0)
        for store in outcome.stores.all
        if store.said and store.name != "food" and store.name not in stocked
    }
    sells = "food" in port.restock
    took_h = passage_time_h(outcome.crossings.arrival_h, 0.5)
    motoring_h = outcome.crossings.motoring_h + (outcome.power.low.charging_h if outcome.power else 0.0)
    return Aboard(
        stores=left,
        foods=_foods_left(outcome),
        charge_share=None if "battery" in port.restock else _charge(outcome, lies_h, arrives),
        engine_h=aboard.engine_h + passage_time_h(motoring_h, slow),
        sea_h=aboard.sea_h + took_h,
        food_from=port.name if sells else aboard.food_from,
        food_age_h=0.0 if sells else aboard.food_age_h + took_h + lies_h,
        mended={**aboard.mended, **dict.fromkeys(port.mends, arrives.date())},
    )


def _foods_left(outcome: Outcome) -> dict[str, float]:
    """The same share of everything, for nobody knows what they will have eaten first."""
    food, bought = outcome.stores.food, outcome.stores.provision
    share = max(worse_end(food.left, outcome.slow_share), 0.0) / food.loaded if food.loaded > 0.0 else 0.0
    packs = {each.item: each.aboard_packs for each in outcome.facts.pantry.aboard}
    for row in bought.shopping if bought else ():
        packs[row.item] = packs.get(row.item, 0.0) + row.packs
    keeps = {each.item for each in outcome.facts.pantry.foods if _keeps_long(each)}
    return {item: float(np.floor(share * count)) for item, count in packs.items() if item in keeps}


def _keeps_long(food: Food) -> bool:
    return food.keeps.days >= KEEPS_DAYS


def _charge(outcome: Outcome, lies_h: float, arrives: datetime) -> float | None:
    """Share of a full bank after days at anchor that begin as the typical crossing ends; None without one."""
    power = outcome.power
    if power is None or outcome.facts.electrics is None:
        return None
    ended = float(np.median(power.low.ended))
    days = min(round(lies_h / 24.0), LONGEST_AT_ANCHOR_DAYS)
    if days < 1:
        return ended
    begins = Departure(charge_share=min(max(ended, LEAST_CHARGE), 1.0))
    facts = replace(outcome.facts, electrics=outcome.facts.electrics.model_copy(update={"departure": begins}))
    track = outcome.ground.track
    luck = Luck(outcome.crossings.seed, SKIES)
    place = float(track.lat_deg[-1]), float(track.lon_deg[-1])
    lying = battery_at_anchor(facts, place, luck, arrives, days)
    return float(np.median(lying.low.ended)) if lying else None
