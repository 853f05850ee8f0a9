"""Invented crossings, crews, boats and larders for the tests of the stores; nothing here is real."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.stores.dinners import DinnerPlan
from passage.consequences.stores.drawdown import Laden, Rules
from passage.consequences.stores.larder import Larder
from passage.crossings.ensemble import ARRIVED, SAILING, Crossings, days_of
from passage.inputs.boat import Boat, EmergencyWater, Engine, Fuel, Hull, PolarChoice, Tank
from passage.inputs.crew import Crew, Person, WaterUse
from passage.inputs.pantry import Food, Keeps
from passage.inputs.provisions import Provisions
from tests.crossing_cases import DEPART, north_track

if TYPE_CHECKING:
    from collections.abc import Sequence

RULES = Rules(slow_share=0.95, typical_factor=1.5)
SKIPPER = Person(role="skipper", mass_kg=62.0, age_years=45, sex="F")
MATE = Person(role="mate", mass_kg=80.0, age_years=35, sex="M")


def steady_crossings(
    speeds_kn: Sequence[float],
    miles: float = 600.0,
    wind_kn: float = 12.0,
    air_c: float = 20.0,
    hours: int | None = None,
) -> Crossings:
    """One member for each speed, each steady; those that do not arrive within ``hours`` never do."""
    track = north_track(miles)
    speed = np.array(speeds_kn, dtype=float)
    arrival = track.length_nm / speed
    hours = hours or int(np.ceil(arrival.max()))
    arrival = np.where(arrival <= hours, arrival, np.inf)
    begun = np.arange(hours)
    distance = np.minimum(speed[:, None] * begun, track.length_nm).astype(np.float32)
    shape = (len(speed), hours)
    shared = np.full((days_of(hours), track.nodes), air_c, dtype=np.float32)
    return Crossings(
        depart=DEPART,
        track=track,
        seed=0,
        distance_nm=distance,
        speed_kn=np.broadcast_to(speed[:, None], shape).astype(np.float32),
        wind_east_kn=np.zeros(shape, dtype=np.float32),
        wind_north_kn=np.full(shape, wind_kn, dtype=np.float32),
        state=np.where(begun >= arrival[:, None], ARRIVED, SAILING).astype(np.uint8),
        arrival_h=arrival,
        performance=np.ones(len(speed)),
        air_by_day_c=shared,
        sea_by_day_c=shared,
    )


def two() -> Crew:
    return Crew(people=(SKIPPER, MATE), water=WaterUse(heat=False))


def laden(crossings: Crossings, crew: Crew | None = None, her: Boat | None = None, **facts: object) -> Laden:
    """A boat for two along these crossings; facts: of the stores file."""
    return Laden(crossings, crew or two(), her or boat(), Provisions(**facts), RULES)


def boat(water_l: Sequence[float] = (90.0, 60.0), fuel_l: float = 60.0, **changes: object) -> Boat:
    hull = Hull(
        name="invented",
        length_overall_m=9.1,
        waterline_length_m=7.3,
        beam_m=2.75,
        displacement_kg=5600.0,
        sail_area_m2=36.0,
        payload_kg=1250.0,
    )
    plain: dict[str, object] = {
        "hull": hull,
        "polar": PolarChoice(estimate=True),
        "engine": Engine(cruising_speed_kn=4.5, consumption_l_h=1.5),
        "fuel_tanks": (Tank(name="fuel", capacity_l=fuel_l),),
        "fuel": Fuel(calms_allowance_l=20.0, landfall_reserve_l=20.0),
        "water_tanks": tuple(Tank(name=f"tank {n}", capacity_l=litres) for n, litres in enumerate(water_l)),
        "emergency_water": EmergencyWater(volume_l=18.0),
    }
    return Boat(**(plain | changes))


def food(item: str, **changes: object) -> Food:
    """A dry, light, everlasting no-cook staple of 400 kcal and 10 g of protein in 100 g, in packs of 500 g."""
    plain: dict[str, object] = {
        "item": item,
        "group": "staple",
        "aisle": "dry goods",
        "pack_kg": 0.5,
        "packaging": "none",
        "edible_share": 1.0,
        "energy_kcal_per_kg": 4000.0,
        "protein_share": 0.1,
        "water_share": 0.1,
        "keeps": Keeps(700.0),
        "cook": False,
        "most_kg_per_day": 2.0,
        "ashore": True,
        "allergens": frozenset(),
        "price": None,
        "aboard_packs": 0.0,
        "own": True,
    }
    return Food(**(plain | changes))  # type: ignore[arg-type]


def larder(foods: Sequence[Food], days: int = 5, keeps: Sequence[int] | None = None, **changes: object) -> Larder:
    """Two people who need 5000 kcal a day."""
    plain: dict[str, object] = {
        "foods": tuple(foods),
        "keeps": np.array(keeps or [700] * len(foods), dtype=np.intp),
        "need_kcal": np.full(days, 5000.0),
        "protein_kg": 0.1,
        "persons": 2,
        "landfall_day": days,
        "reserve_days": 0,
        "reserve_kcal": 0.0,
    }
    return Larder(**(plain | changes))  # type: ignore[arg-type]


def no_dinners(larder: Larder) -> DinnerPlan:
    return DinnerPlan((None,) * larder.days, np.zeros((len(larder.foods), larder.days)))
