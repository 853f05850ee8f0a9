"""Water: what two people drink and cook with in each crossing, tank by tank, and what to load.

A person uses a base ration for drinking and cooking; in the heat, the hours on deck take the fluid replacement of the
US Army's TB MED 507 table *instead of* those hours' base (read in second-hand copies of the table).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.stores.drawdown import CAN_KG_PER_L, Laden, Piece, Store, Use, draw_down
from passage.crossings.ensemble import at_node, passage_time_h
from passage.inputs.boat import WATER_KG_PER_L

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.consequences.stores.loading import Load
    from passage.inputs.boat import Boat, Tank
    from passage.inputs.crew import Crew
    from passage.inputs.provisions import Provisions

QUART_L = 0.94635
RAFT_L_PER_DAY = 0.5
LARGEST_DAY_L = 12 * QUART_L  # TB MED 507: drinking more is itself a danger

# TB MED 507, easy work, acclimatised: from this WBGT (degrees F) up, so many quarts an hour.
_WBGT_F = np.array([78.0, 82.0, 85.0, 88.0, 90.0])
_EASY_QUARTS_H = np.array([0.0, 0.5, 0.5, 0.75, 0.75, 1.0])


@dataclass(frozen=True)
class TankLost:
    """One tank lost at the start: what is left to draw, and for how many days it gives the survival ration to all."""

    name: str
    left_l: float
    survival_days: float
    reaches_slow_end: bool


@dataclass(frozen=True)
class Watermaking:
    """Water made or caught. made_l_h: the watermaker's litres spread over the hours of a day; caught_l_h: rain, only
    what the user claims; energy_wh_per_day: handed to power as a load.
    """

    made_l_h: float = 0.0
    caught_l_h: float = 0.0
    energy_wh_per_day: float = 0.0


@dataclass(frozen=True)
class Water:
    """Water in every crossing: the store, tank by tank. Arrays (members,) unless said; litres.

    short_if_watermaker_fails: share of crossings that run out where it fails on the first day; the other figures are
    the store's.
    """

    store: Store
    tanks: tuple[Tank, ...]
    emergency_l: float
    raft_days: float
    tanks_lost: tuple[TankLost, ...]
    watermaking: Watermaking
    short_if_watermaker_fails: float

    @property
    def loaded_l(self) -> float:
        return self.store.loaded

    @property
    def used_l(self) -> NDArray[np.float64]:
        return self.store.used

    @property
    def left_l(self) -> NDArray[np.float64]:
        return self.store.left

    @property
    def ran_out_h(self) -> NDArray[np.float64]:
        return self.store.ran_out_h

    @property
    def short(self) -> float:
        return self.store.short

    @property
    def load(self) -> Load:
        return self.store.load

    @property
    def by_day_l(self) -> NDArray[np.float64]:
        return self.store.by_day

    @property
    def daily_l(self) -> float:
        return self.store.daily


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
    failed = _drunk(laden, watermaking.caught_l_h) if watermaking.made_l_h > 0 else store
    return Water(
        store=store,
        tanks=boat.water_tanks,
        emergency_l=boat.emergency_water.volume_l,
        raft_days=raft_endurance_days(boat.emergency_water.volume_l, len(crew.people)),
        tanks_lost=_each_lost(crew, boat, laden.crossings.arrival_h, laden.rules.slow_share),
        watermaking=watermaking,
        short_if_watermaker_fails=failed.short,
    )


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
