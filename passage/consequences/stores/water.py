"""Water: what two people drink and cook with in each crossing, tank by tank, and what to load.

A person uses a base ration for drinking and cooking; in the heat, the hours on deck take the fluid replacement of the
US Army's TB MED 507 table *instead of* those hours' base (read in second-hand copies of the table).
"""

from __future__ import annotations

from dataclasses import replace
from math import isfinite
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.stores.drawdown import CAN_KG_PER_L, Laden, Piece, Store, Use, draw_down
from passage.consequences.stores.loading import Rule, Verdict, verdict
from passage.crossings.ensemble import at_node, passage_time_h
from passage.inputs.boat import WATER_KG_PER_L
from passage.tell.figures import Side, in_print
from passage.tell.records import Record, down, reckoned, told, up

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.inputs.boat import Boat, Tank
    from passage.inputs.crew import Crew
    from passage.inputs.provisions import Provisions

QUART_L = 0.94635
RAFT_L_PER_DAY = 0.5
LARGEST_DAY_L = 12 * QUART_L  # TB MED 507: drinking more is itself a danger

# TB MED 507, easy work, acclimatised: from this WBGT (degrees F) up, so many quarts an hour.
_WBGT_F = np.array([78.0, 82.0, 85.0, 88.0, 90.0])
_EASY_QUARTS_H = np.array([0.0, 0.5, 0.5, 0.75, 0.75, 1.0])


class TankTold(Record):
    """One tank at the departure."""

    tank: str = told("its name")
    capacity_l: float = told("what it holds, litres")
    filled_l: float = down("what is in it at departure, litres")
    unusable_l: float = up("what cannot be drawn, litres")
    usable_l: float = down("what can be drawn, litres")


class TankLost(Record):
    """One tank lost at the start: what is left to draw, and for how many days it gives the survival ration to all."""

    tank: str = told("its name")
    left_l: float = down("litres left without it")
    survival_ration_days: float = down("days the rest gives everybody the survival ration")
    reaches_slow_end: bool = told("whether that reaches the slow end")


class RuleTold(Record):
    """What one of the three loading rules asks for."""

    rule: Rule = told("its words")
    load_l: float = up("litres to load by it")
    governs: bool = told("whether it is the one that decides")


class WaterLeft(Record):
    """What is left in the tanks at the end of a day out."""

    day: int = told("day out")
    slow_left_l: float = down("litres left, 1 crossing in 10 has less")
    typical_left_l: float = down("litres left in the middle one")
    quick_left_l: float = down("litres left, 1 crossing in 10 has more")


class WaterAnswer(Record):
    """Whether the water lasts, and what to load."""

    lasts: bool = told("whether water lasts in every crossing and no less is loaded than asked")
    verdict: Verdict = told("whether it lasts: yes, nearly always, too little in hand, not always")
    crossings: int = told("how many crossings were sailed")
    short_crossings: int = told("crossings in which it runs out")
    load_l: float = up("litres to load; null where a deciding crossing never arrives")
    governs: Rule = told("which of the three loading rules decides")
    tanks_give_l: float = down("litres that can be drawn at departure")
    emergency_l: float = down("sealed water apart, never counted, litres")
    daily_l_per_day: float = told("mean use of the whole crew, litres a day")

    @reckoned("crossings in a hundred in which it runs out", Side.UP)
    def short_in_100(self) -> float:
        return 100.0 * self.short_crossings / self.crossings

    @reckoned("litres the tanks give beyond the load")
    def to_spare_l(self) -> float:
        """Of the figures as they are printed, so that they add up on paper."""
        return max(in_print(self.tanks_give_l) - in_print(self.load_l), 0.0)

    @reckoned("litres lacking to the load; null where that cannot be said")
    def lacking_l(self) -> float:
        return max(in_print(self.load_l) - in_print(self.tanks_give_l), 0.0)

    @property
    def reached(self) -> bool:
        """Whether the crossings that decide the load arrive."""
        return isfinite(self.load_l)


class Watermaking(Record):
    """Water made or caught, an hour of a day's hours; rain only what the user claims."""

    made_l_h: float = told("the watermaker's litres an hour, spread over the whole day", default=0.0)
    caught_l_h: float = told("rain an hour, as claimed", default=0.0)
    energy_wh_per_day: float = told("what the watermaker takes, Wh a day", default=0.0)
    fails_short_crossings: int = told("crossings that run out where it fails on the first day", default=0)


class Water(Record):
    """Water in every crossing, in litres."""

    store: Store
    emergency_l: float
    raft_days: float
    slow_end_days: float = told("passage time at the slow end, days")
    crew_count: int = told("how many are aboard")
    survival_l_per_day: float = told("survival ration of the whole crew, litres a day")
    tanks: tuple[TankTold, ...] = told("the tanks one by one")
    tanks_lost: tuple[TankLost, ...] = told("each tank lost at departure")
    watermaking: Watermaking = told("what is made and caught")

    @reckoned("whether it lasts, and what to load")
    def answer(self) -> WaterAnswer:
        store, members = self.store, len(self.store.used)
        short, load = round(store.short * members), store.load
        return WaterAnswer(
            lasts=short == 0 and store.loaded >= load.amount,
            verdict=verdict(short, store.loaded, load.amount),
            crossings=members,
            short_crossings=short,
            load_l=load.amount,
            governs=load.governs,
            tanks_give_l=store.loaded,
            emergency_l=self.emergency_l,
            daily_l_per_day=store.daily,
        )

    @reckoned("the three loading rules")
    def rules(self) -> tuple[RuleTold, ...]:
        load = self.store.load
        return tuple(RuleTold(rule, amount, rule == load.governs) for rule, amount in load.by_rule.items())

    @reckoned("what is left at the end of each day out")
    def by_day(self) -> tuple[WaterLeft, ...]:
        return tuple(WaterLeft(day, *left) for day, left in enumerate(self.store.by_day.tolist(), start=1))


def heat_l_per_hour(wbgt_c: NDArray[np.floating]) -> NDArray[np.float64]:
    """Fluid replacement of one person at easy work (litres an hour) by wet-bulb globe temperature; 0 below 25.6 C."""
    fahrenheit = np.asarray(wbgt_c, dtype=float) * 1.8 + 32.0
    return QUART_L * _EASY_QUARTS_H[np.searchsorted(_WBGT_F, np.round(fahrenheit, 6), side="right")]


def raft_endurance_days(volume_l: float, persons: int) -> float:
    """Days that sealed water lasts in a raft: none on the first day unless ill or hurt, then half a litre each a day.

    The practice taught for liferafts; survival only, never a plan.
    """
    return 1.0 + volume_l / (RAFT_L_PER_DAY * persons)


def daily_need_l(crew: Crew, air_c: NDArray[np.floating]) -> NDArray[np.float64]:
    """Litres a day for the whole crew by air temperature. In humid trade-wind air and sun the wet-bulb globe
    temperature is taken as the air temperature (derived: at 80 per cent humidity the wet bulb lies 3 C below it, the
    globe above).
    """
    use = crew.water
    base_h = use.drink_and_cook_l_per_day / 24.0
    on_deck = np.maximum(use.heat * heat_l_per_hour(air_c), base_h)
    need = (24.0 - use.deck_hours_h) * base_h + use.deck_hours_h * on_deck
    return len(crew.people) * np.minimum(need, LARGEST_DAY_L)


def watermaking_of(provisions: Provisions) -> Watermaking:
    """The watermaker's litres spread over the day, the rain that is claimed, and the energy it takes."""
    maker = provisions.watermaker
    made = maker.output_l_h * maker.run_h if maker else 0.0
    energy = made * maker.energy_per_litre_wh if maker else 0.0
    return Watermaking(made / 24.0, provisions.rain.claimed_l_per_day / 24.0, energy)


def water_to_landfall(laden: Laden) -> Store:
    """Drink the tanks dry along every crossing; emergency water lies apart and is never counted."""
    making = watermaking_of(laden.provisions)
    return _drunk(laden, making.made_l_h + making.caught_l_h)


def _drunk(laden: Laden, supply_l_h: float) -> Store:
    crossings, crew = laden.crossings, laden.crew
    hourly = at_node((daily_need_l(crew, crossings.air_by_hour_c) / 24.0).astype(np.float32), crossings.node)
    survival = _survival_l_per_day(crew) * crossings.arrival_h / 24.0
    can_l = laden.provisions.remedy.water_can_l
    return draw_down(
        "water",
        "L",
        laden.boat.usable_water_l,
        Use(hourly, survival, supply_l_h),
        crossings,
        laden.rules,
        kg_per_unit=WATER_KG_PER_L,
        piece=Piece("water", f"{can_l:g} L can of water", can_l, can_l * (WATER_KG_PER_L + CAN_KG_PER_L)),
    )


def water_aboard(laden: Laden, store: Store) -> Water:
    """What else is to be said of the water: tank by tank, and without the watermaker. store: of these very facts."""
    crew, boat, watermaking = laden.crew, laden.boat, watermaking_of(laden.provisions)
    if watermaking.made_l_h > 0:
        failed = _drunk(laden, watermaking.caught_l_h)
        watermaking = replace(watermaking, fails_short_crossings=round(failed.short * laden.crossings.members))
    return Water(
        store=store,
        emergency_l=boat.emergency_water.volume_l,
        raft_days=raft_endurance_days(boat.emergency_water.volume_l, len(crew.people)),
        slow_end_days=passage_time_h(laden.crossings.arrival_h, laden.rules.slow_share) / 24.0,
        crew_count=len(crew.people),
        survival_l_per_day=_survival_l_per_day(crew),
        tanks=tuple(_told(tank) for tank in boat.water_tanks),
        tanks_lost=_each_lost(crew, boat, laden.crossings.arrival_h, laden.rules.slow_share),
        watermaking=watermaking,
    )


def _told(tank: Tank) -> TankTold:
    filled = tank.capacity_l * tank.filled_share
    return TankTold(tank.name, tank.capacity_l, filled, tank.unusable_l, tank.usable_l)


def _survival_l_per_day(crew: Crew) -> float:
    return len(crew.people) * crew.water.survival_l_per_day


def _each_lost(crew: Crew, boat: Boat, arrival_h: NDArray[np.float64], slow_share: float) -> tuple[TankLost, ...]:
    """The loss of any one tank must leave the survival ration to the slow end."""
    slow_end_days = passage_time_h(arrival_h, slow_share) / 24.0
    lines = []
    for tank in boat.water_tanks:
        left = boat.usable_water_l - tank.usable_l
        days = left / _survival_l_per_day(crew)
        lines.append(TankLost(tank.name, left, days, days >= slow_end_days))
    return tuple(lines)
