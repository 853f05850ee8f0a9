"""Water: what two people drink and cook with in each crossing, tank by tank, and what to load.

A person uses a base ration for drinking and cooking; in the heat, the hours on deck take the fluid replacement of the
US Army's TB MED 507 table *instead of* those hours' base (read in second-hand copies of the table).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.stores.loading import Load, to_load
from passage.crossings.ensemble import Crossings, at_node, passage_time_h

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.inputs.boat import Boat, Tank
    from passage.inputs.crew import Crew

QUART_L = 0.94635
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
class Water:
    """Water in every crossing. Arrays (members,) unless said; litres.

    used_l: full ration to landfall, infinite where she never arrives; left_l: loaded less used, negative is short;
    ran_out_h: hours from departure when the last drop goes, infinite where it lasts; short: share of crossings that
    run out. by_day_l: (days, 3) what is left at the end of each day out in the slowest, the typical and the
    thriftiest of 8 crossings in 10, landfall included (a boat in port keeps what she had). daily_l: mean use a day of
    the whole crew at sea.
    """

    tanks: tuple[Tank, ...]
    loaded_l: float
    emergency_l: float
    used_l: NDArray[np.float64]
    left_l: NDArray[np.float64]
    ran_out_h: NDArray[np.float64]
    short: float
    load: Load
    by_day_l: NDArray[np.float64]
    daily_l: float
    survival_l: NDArray[np.float64]
    tanks_lost: tuple[TankLost, ...]


def heat_l_per_hour(wbgt_c: NDArray[np.floating]) -> NDArray[np.float64]:
    """Fluid replacement of one person at easy work (litres an hour) by wet-bulb globe temperature; 0 below 25.6 C."""
    fahrenheit = np.asarray(wbgt_c, dtype=float) * 1.8 + 32.0
    return QUART_L * _EASY_QUARTS_H[np.searchsorted(_WBGT_F, np.round(fahrenheit, 6), side="right")]


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


def water_to_landfall(crossings: Crossings, crew: Crew, boat: Boat, slow_share: float, typical_factor: float) -> Water:
    """Drink the tanks dry along every crossing; emergency water lies apart and is never counted."""
    hourly = at_node((daily_need_l(crew, crossings.air_by_hour_c) / 24.0).astype(np.float32), crossings.node)
    at_sea = np.clip(crossings.arrival_h[:, None] - np.arange(crossings.hours), 0.0, 1.0)
    drunk = np.cumsum(hourly * at_sea, axis=1)
    loaded = boat.usable_water_l
    in_port = np.isfinite(crossings.arrival_h)
    used = np.where(in_port, drunk[:, -1], np.inf)
    dry = drunk > loaded
    ran_out = np.where(dry.any(axis=1), dry.argmax(axis=1), np.inf)
    survival = _survival_l_per_day(crew) * crossings.arrival_h / 24.0
    return Water(
        tanks=boat.water_tanks,
        loaded_l=loaded,
        emergency_l=boat.emergency_water.volume_l,
        used_l=used,
        left_l=loaded - used,
        ran_out_h=ran_out,
        short=float((used > loaded).mean()),
        load=to_load(used, survival, slow_share, typical_factor),
        by_day_l=loaded - np.quantile(drunk[:, 23::24], [0.9, 0.5, 0.1], axis=0, method="inverted_cdf").T,
        daily_l=float(drunk[:, -1].sum() / (at_sea.sum() / 24.0)),
        survival_l=survival,
        tanks_lost=_each_lost(crew, boat, crossings.arrival_h, slow_share),
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
