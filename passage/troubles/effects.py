"""What follows from one trouble: how long she takes, what runs out and when, and the margin that is left."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import chain
from math import inf, isfinite
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.consequences.power.balance import mean_draws_w, plant_of, run_plant
from passage.consequences.power.power import charging_fuel_l
from passage.consequences.power.scene import scene_under_way
from passage.consequences.times import Times, passage_times
from passage.crossings.ensemble import worse_end
from passage.crossings.helm import Refit, out_for
from passage.crossings.lanes import lane_of
from passage.crossings.simulate import most_abreast, sail_lanes
from passage.crossings.wind import Luck
from passage.follows import drawn_down, electrics_of
from passage.tell.figures import Side
from passage.tell.records import Record, down, reckoned, told, up
from passage.troubles.catalogue import Trouble, When
from passage.troubles.flooding import Flooding, flooding
from passage.troubles.hands import Hands, hands_of
from passage.troubles.resail import (
    AT_DEPARTURE,
    fuel_left,
    held,
    joined,
    lane_from,
    later,
    midway_h,
    onwards,
    strike_at,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from passage.consequences.power.balance import Plant
    from passage.consequences.power.scene import Scene
    from passage.consequences.stores.drawdown import Store
    from passage.consequences.stores.landfall import Stores
    from passage.crossings.ensemble import Crossings
    from passage.crossings.ground import Ground
    from passage.crossings.helm import Vessel
    from passage.crossings.lanes import Lane
    from passage.inputs.electrics import Electrics
    from passage.inputs.folder import Facts
    from passage.road import Outcome
    from passage.troubles.resail import Strike

    Floats = NDArray[np.float64]

BATTERY = "battery"
EMPTY = 1e-4  # of a full battery


class Lasting(Record):
    """One thing to the slow end, in the crossing that 1 in 20 fares worse than. short, short_before: share of crossings
    that run out, with the trouble and without.
    """

    name: str = told("water, food, fuel, gas, the battery or a thing of the stores file")
    unit: str = told("unit of its amounts")
    loaded: float = down("what may be used of it", places=1)
    left: float = down(
        "what is left at landfall, nothing kept back counted; negative is short; of the battery its lowest charge",
        places=1,
    )
    spare_days: float = down("the same in days of full use; negative is short; none for the battery")
    short: float
    short_before: float
    gone_day: float = up("day out on which it is gone; none where it lasts")

    @reckoned("crossings in 100 that run out of it", Side.UP)
    def short_in_100(self) -> float:
        return 100.0 * self.short

    @reckoned("crossings in 100 that run out of it without the trouble", Side.UP)
    def short_before_in_100(self) -> float:
        return 100.0 * self.short_before


class Ration(Record):
    """The survival ration of water from the day of the trouble on."""

    days: float = down("day out to which it lasts, where full use does not")
    lasts: bool = told("whether that is the slow end or later")


class Effect(Record):
    """A trouble and what follows."""

    trouble: Trouble = told("what breaks")
    strike_day: float = up("day out on which it happens, 0 for at departure")
    times: Times = told("how long she then takes")
    times_before: Times
    resailed: bool
    lasting: tuple[Lasting, ...] = told("everything that is drawn down, the first to go first, then by what is spare")
    ration: Ration | None = told("the survival ration of water, where water runs out")
    hands: Hands | None = told("how the people fare, where the trouble lies on them")
    flooding: Flooding | None = told("the leak against pumps and crew, where she takes water")

    @reckoned("what the slow end is later by")
    def more_days(self) -> float:
        return (self.times.slow_end_h - self.times_before.slow_end_h) / 24.0 if self.resailed else 0.0

    @reckoned("days of the slow end from when it happens; null where it is not reached")
    def days_left(self) -> float:
        return (self.times.slow_end_h - 24.0 * self.strike_day) / 24.0

    @reckoned("whether the slow end is reached, or too many crossings make less than a knot good")
    def reached(self) -> bool:
        return isfinite(self.times.slow_end_h)

    @reckoned("what more crossings run out of than are accepted, with the trouble or without; the first to go first")
    def running_out(self) -> tuple[Lasting, ...]:
        """Be it the trouble's doing or not; a crossing that never gets in counts once its stores are gone."""
        return tuple(thing for thing in self.lasting if isfinite(thing.gone_day))

    @reckoned("what has the fewest days to spare, the battery apart; none where nothing is counted")
    def tightest(self) -> Lasting | None:
        counted = (thing for thing in self.lasting if isfinite(thing.spare_days))
        return min(counted, key=lambda thing: thing.spare_days, default=None)


@dataclass(frozen=True)
class Aboard:
    """All that is drawn down along some crossings; laid_in: as planned for all the crossings without any trouble; bank:
    None without electrics.
    """

    crossings: Crossings
    laid_in: Stores
    stores: tuple[Store, ...]
    bank: Bank | None


@dataclass(frozen=True)
class Bank:
    """The battery in the low case. scenes: of a block of boats each; fuel_l: what there was for charging; lowest: least
    charge at sea, share of full; flat_h: hours from departure until it is flat, inf where it never is; charging_h:
    engine hours for it alone, (members,) each.
    """

    scenes: tuple[Scene, ...]
    electrics: Electrics
    fuel_l: float
    lowest: Floats
    flat_h: Floats
    charging_h: Floats


class Struck(NamedTuple):
    """A trouble, the facts and ground that it leaves, the hour in which it strikes, and the crossings with it: the very
    same ones where neither ground nor time is changed.
    """

    trouble: Trouble
    facts: Facts
    ground: Ground
    hour: int
    crossings: Crossings


def strike(
    troubles: Sequence[Trouble], outcome: Outcome, luck: Luck, followed: Crossings | None = None
) -> Iterator[Struck]:
    """Sail every trouble that changes the boat, as many side by side as are worth it: from departure, or from where the
    middle crossing is at the end of the day on which it strikes; luck: of the outcome's crossings; followed: those
    whose middle one it is, the outcome's own where left out. A boat that only lies still does so where she is.
    """
    crossings, was = outcome.crossings, outcome.ground
    left = [trouble.change(outcome.facts, was) for trouble in troubles]
    at_sea = strike_at(followed or crossings, midway_h(followed or crossings))
    strikes = [at_sea if trouble.when is When.HALFWAY else AT_DEPARTURE for trouble in troubles]
    lanes = [
        _lane(outcome, when, ground.vessel, luck)
        for when, (_, ground) in zip(strikes, left, strict=True)
        if ground is not was
    ]
    abreast = max(most_abreast(was.track) // luck.members, 1)
    batches = (sail_lanes(lanes[first : first + abreast]) for first in range(0, len(lanes), abreast))
    sailed = chain.from_iterable(batches)
    for trouble, when, (facts, ground) in zip(troubles, strikes, left, strict=True):
        hers = crossings if ground is was else _from_there(outcome, when, next(sailed))
        yield Struck(trouble, facts, ground, when.hour, held(hers, when.hour, trouble.hold_h))


def _lane(outcome: Outcome, when: Strike, vessel: Vessel, luck: Luck) -> Lane:
    """Her whole until the hour of the strike, and then that vessel."""
    crossings, was = outcome.crossings, outcome.ground

    def there(vessel: Vessel) -> Vessel:
        left = fuel_left(vessel, crossings, when)
        return replace(left, helm=out_for(left.helm, when.hour))

    lane = lane_from(onwards(was, when), there(was.vessel), crossings, when, later(luck, when))
    return lane._replace(refits=(Refit(0, there(vessel)),))


def _from_there(outcome: Outcome, when: Strike, left: Crossings) -> Crossings:
    if when is AT_DEPARTURE:
        return left
    ground, crossings = outcome.ground, outcome.crossings
    weather = lane_of(ground, crossings.depart, Luck(crossings.seed, 1)).weather
    return joined(crossings, when, left, weather.warmth(when.hour + left.hours))


def effect_of(struck: Struck, outcome: Outcome, before: Aboard) -> Effect:
    """What follows from a trouble. before: what is drawn down along the outcome's crossings without it."""
    trouble, facts, ground, hour, crossings = struck
    now = aboard(outcome, before.laid_in, facts, ground, crossings, before)
    times = passage_times(crossings, outcome.slow_share)
    lasting = _lasting(before, now, hour, outcome.slow_share)
    people, electric = len(facts.crew.people), facts.electrics is not None
    return Effect(
        trouble=trouble,
        strike_day=hour / 24.0,
        times=times,
        times_before=outcome.times,
        resailed=crossings is not outcome.crossings,
        lasting=lasting,
        ration=_ration(facts, now, times, hour),
        hands=hands_of(outcome.facts, facts),
        flooding=flooding(facts.troubles.leak, facts.troubles.pumps, people, electric) if trouble.floods else None,
    )


# ---------------------------------------------------------------- what is drawn down


def aboard(
    outcome: Outcome,
    laid_in: Stores,
    facts: Facts,
    ground: Ground,
    crossings: Crossings,
    before: Aboard | None = None,
) -> Aboard:
    """What these facts have aboard, drawn down along these crossings; what the files are silent about is left out.

    before: the same without the trouble, whose battery is taken over where nothing of it is changed.
    """
    bank = _bank(facts, ground, crossings, before)
    stores = stores_aboard(outcome, laid_in, facts, crossings, bank.charging_h if bank else 0.0)
    return Aboard(crossings, laid_in, stores, bank)


def stores_aboard(
    outcome: Outcome, laid_in: Stores, facts: Facts, crossings: Crossings, charging_h: Floats | float
) -> tuple[Store, ...]:
    """What these facts have aboard along these crossings; charging_h: engine hours for the battery, (members,)."""
    food_kcal = _food_kcal(laid_in, outcome.facts, facts)
    return drawn_down(facts, crossings, outcome.slow_share, charging_h, food_kcal)


def _bank(facts: Facts, ground: Ground, crossings: Crossings, before: Aboard | None) -> Bank | None:
    electrics, fuel_l = electrics_of(facts), charging_fuel_l(facts.boat)
    if electrics is None:
        return None
    same = before.bank if before and before.crossings is crossings else None
    if same and same.electrics == electrics and same.fuel_l == fuel_l:
        return same
    scenes = same.scenes if same else tuple(part for _, part in scene_under_way(crossings, ground.climate).in_blocks())
    mean_w = mean_draws_w(scenes, electrics)
    ends = [_ends(plant_of(scene, electrics, "low", fuel_l, mean_w)) for scene in scenes]
    return Bank(scenes, electrics, fuel_l, *(np.concatenate(part) for part in zip(*ends, strict=True)))


def _ends(plant: Plant) -> tuple[Floats, Floats, Floats]:
    """Of a block of boats what ``Bank`` has last."""
    run = run_plant(plant)[1]
    flat = (run.soc[1:] < EMPTY) & plant.scene.under_way
    flat_h = np.where(flat.any(axis=0), flat.argmax(axis=0), inf)
    lowest = np.where(plant.scene.under_way, run.soc[1:], np.float32(1.0)).min(axis=0)
    return lowest.astype(float), flat_h, run.engine_h


def _food_kcal(laid_in: Stores, planned: Facts, facts: Facts) -> float:
    """Energy in the food that is aboard once the shopping list is bought; 0 where no such list could be made.

    Without gas only what needs no cooking and keeps to the slow end.
    """
    larder, bought = laid_in.larder, laid_in.provision
    if larder is None or bought is None:
        return 0.0
    if facts.provisions.gas_kg > 0 or planned.provisions.gas_kg == 0:
        return bought.edible_kcal
    raw = [not food.cook and keeps >= larder.days for food, keeps in zip(larder.foods, larder.keeps, strict=True)]
    uncooked = {food.item for food, counts in zip(larder.foods, raw, strict=True) if counts}
    stowed = float((larder.aboard_kg * larder.energy)[raw].sum())
    return stowed + sum(row.energy_kcal for row in bought.shopping if row.item in uncooked)


# ---------------------------------------------------------------- what lasts


def _lasting(before: Aboard, now: Aboard, hour: int, slow_share: float) -> tuple[Lasting, ...]:
    short_before = {store.name: store.short for store in before.stores}
    rows = [_store_lasting(store, short_before.get(store.name, 0.0), slow_share) for store in now.stores]
    if "water" not in {row.name for row in rows}:
        rows += [_all_lost(store, hour) for store in before.stores if store.name == "water"]
    if now.bank is not None:
        rows.append(_battery_lasting(before, now, slow_share))
    return tuple(sorted(rows, key=lambda row: (row.gone_day, row.spare_days)))


def _all_lost(store: Store, hour: int) -> Lasting:
    """Of a store that the trouble has taken whole."""
    return Lasting(store.name, store.own_unit, 0.0, 0.0, 0.0, 1.0, store.short, hour / 24.0)


def _store_lasting(store: Store, short_before: float, slow_share: float) -> Lasting:
    left = worse_end(store.left - store.kept_back, slow_share)
    gone_h = worse_end(store.ran_out_h, slow_share)
    return Lasting(
        name=store.name,
        unit=store.own_unit,
        loaded=store.usable,
        left=left,
        spare_days=left / store.daily if store.daily > 0 else inf,
        short=store.short,
        short_before=short_before,
        gone_day=gone_h / 24.0,
    )


def _battery_lasting(before: Aboard, now: Aboard, slow_share: float) -> Lasting:
    lowest, flat_h = _charge(now)
    return Lasting(
        name=BATTERY,
        unit="%",
        loaded=100.0,
        left=100.0 * worse_end(lowest, slow_share),
        spare_days=inf,
        short=float(np.isfinite(flat_h).mean()),
        short_before=float(np.isfinite(_charge(before)[1]).mean()),
        gone_day=worse_end(flat_h, slow_share) / 24.0,
    )


def _charge(aboard: Aboard) -> tuple[Floats, Floats]:
    """Lowest charge at sea, and hours from departure until it is flat, inf where it never is, (members,) each."""
    if aboard.bank is None:
        return np.ones(aboard.crossings.members), np.full(aboard.crossings.members, inf)
    return aboard.bank.lowest, aboard.bank.flat_h


def _ration(facts: Facts, now: Aboard, times: Times, struck_h: int) -> Ration | None:
    """Where water runs out on full use: the ration from the day of the trouble on."""
    water = next((store for store in now.stores if store.name == "water"), None)
    if water is not None and water.short <= 1.0 - times.slow_share:
        return None
    begun = worse_end(water.usable - water.drawing.drawn_before(struck_h), times.slow_share) if water else 0.0
    days = struck_h / 24.0 + begun / facts.crew.ration_l_per_day
    return Ration(days, days >= times.slow_end_h / 24.0)
