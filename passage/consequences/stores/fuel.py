"""Fuel: what the hull asks of the engine, how far the tank drives her, and what each crossing burns.

Shaft power by Gerr, *Propeller Handbook*, Formula 2-1: speed-length ratio = 10.665 / (lb per shaft horsepower)^(1/3),
for smooth water, a clean hull and ratios to about 1.4. A head sea asks 1.3 to 2 times as much (common practice).
What the boat file says of the litres at her cruising speed goes before the formula, which gives the other speeds from
there.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.stores.drawdown import CAN_KG_PER_L, Laden, Store, Use, draw_down
from passage.consequences.stores.together import Piece
from passage.crossings.ensemble import MOTORING
from passage.tell.figures import volume_words
from passage.tell.records import Record, down, told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.ensemble import Crossings
    from passage.inputs.boat import Engine, Hull
    from passage.inputs.provisions import Motor

KW_PER_HP = 0.7457
LB_PER_KG = 1.0 / 0.45359237
FT_PER_M = 1.0 / 0.3048
DIESEL_G_PER_L = 840.0
GERR = 10.665
HIGHEST_RATIO = 1.34  # hull speed; the formula is good to about 1.4


class MotoringRow(Record):
    """Motoring at one speed."""

    speed_kn: float = told("speed through the water, kn")
    power_kw: float = told("power at the shaft, kW")
    consumption_l_h: float = told("fuel burnt, litres an hour")
    per_mile_l: float
    range_nm: float = down("range in smooth water on what may be used, miles")
    range_in_a_sea_nm: float = down("the same against a head sea")


def shaft_power_kw(displacement_kg: float, waterline_length_m: float, speed_kn: float) -> float:
    """Power at the shaft to drive a displacement hull in smooth water."""
    ratio: float = speed_kn / (waterline_length_m * FT_PER_M) ** 0.5
    return displacement_kg * LB_PER_KG * (ratio / GERR) ** 3 * KW_PER_HP


def consumption_l_h(power_kw: float, specific_consumption_g_kwh: float) -> float:
    """Litres of diesel an hour at 840 g a litre."""
    return power_kw * specific_consumption_g_kwh / DIESEL_G_PER_L


def motoring_table(hull: Hull, engine: Engine, motor: Motor, usable_l: float) -> tuple[MotoringRow, ...]:
    """Motoring at cruising speed and by half knots from 3 kn to the full speed that the boat file gives, to cruising
    speed where it gives none, never beyond hull speed; on ``usable_l`` litres: what lies above the landfall reserve.
    """
    fastest = min(
        engine.full_speed_kn or engine.cruising_speed_kn,
        HIGHEST_RATIO * (hull.waterline_length_m * FT_PER_M) ** 0.5,
    )
    speeds = {engine.cruising_speed_kn, *np.arange(3.0, fastest + 1e-9, 0.5).tolist()}
    return tuple(_motoring(hull, engine, motor, usable_l, speed) for speed in sorted(speeds))


def _motoring(hull: Hull, engine: Engine, motor: Motor, usable_l: float, speed_kn: float) -> MotoringRow:
    """The formula's power, as many times over as her own litres at cruising speed are of the formula's."""
    power, cruising = (
        shaft_power_kw(hull.displacement_kg, hull.waterline_length_m, speed)
        for speed in (speed_kn, engine.cruising_speed_kn)
    )
    power *= engine.consumption_l_h / consumption_l_h(cruising, motor.specific_consumption_g_kwh)
    burnt = consumption_l_h(power, motor.specific_consumption_g_kwh)
    reach = usable_l / burnt * speed_kn
    return MotoringRow(speed_kn, power, burnt, burnt / speed_kn, reach, reach / motor.sea_factor)


def fuel_to_landfall(laden: Laden) -> Store | None:
    """Fuel burnt in calms and for charging along every crossing; the landfall reserve is kept back. None without
    engine.

    Hours under way by engine burn what the boat file says at cruising speed. Survival use charges and does not motor.
    """
    boat, crossings, engine = laden.boat, laden.crossings, laden.boat.engine
    if engine is None:
        return None
    charging = np.broadcast_to(np.asarray(laden.charging_h_per_day, dtype=float), crossings.arrival_h.shape)
    charging_l_h = charging * laden.provisions.motor.charging_l_h / 24.0
    with np.errstate(invalid="ignore"):
        survival = np.where(charging > 0, charging_l_h * crossings.arrival_h, 0.0)
    can_l, kg_per_l = laden.provisions.remedy.fuel_can_l, DIESEL_G_PER_L / 1000.0
    return draw_down(
        "fuel",
        "L",
        boat.usable_fuel_l,
        Use(partial(_motored_l, engine.consumption_l_h), survival, always=charging_l_h),
        crossings,
        laden.rules,
        kept_back=boat.fuel.landfall_reserve_l,
        kg_per_unit=kg_per_l,
        said=boat.usable_fuel_l > 0,
        piece=Piece(
            "fuel",
            f"{volume_words(can_l)} can of fuel",
            can_l,
            can_l * (kg_per_l + CAN_KG_PER_L),
            laden.provisions.remedy.price_of("fuel_can"),
        ),
    )


def _motored_l(an_hour_l: float, crossings: Crossings) -> NDArray[np.float64]:
    """Burnt in each hour under way by engine, (members, hours)."""
    return np.asarray((crossings.state == MOTORING) * an_hour_l)
