"""Invented boats, skies and batteries for the tests of the electrics; nothing here is real."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.power.scene import Berth, Scene, scene_at_anchor, scene_under_way
from passage.crossings.simulate import sail
from passage.crossings.wind import Luck
from passage.inputs.climate import TrackClimate
from passage.inputs.electrics import Alternator, Battery, Charging, Electrics, Load, Panel
from tests.crossing_cases import DEPART, laid, north_track, steady, vessel

if TYPE_CHECKING:
    from passage.crossings.ensemble import Crossings

MIDSUMMER = datetime(2027, 6, 21, 20, tzinfo=UTC)
CALIFORNIA = Berth(lat_deg=34.0, lon_deg=-120.0)  # ship's time is eight hours behind UTC


def still_climate(cloud: float, air_c: float = 20.0) -> TrackClimate:
    """One place, the same sky all the year."""

    def field(value: float) -> np.ndarray:
        return np.full((12, 1), value)

    none = field(0.0)
    return TrackClimate(none, none, none, none, field(air_c), field(20.0), field(cloud), np.zeros((12, 1), bool))


def anchored(cloud: float = 0.0, days: int = 2, members: int = 3, berth: Berth = CALIFORNIA) -> Scene:
    return scene_at_anchor(berth, still_climate(cloud), MIDSUMMER, days, members, seed=1)


def sailed(
    members: int = 40, miles: float = 600.0, cloud: float = 0.6, motor_hours: float = 60.0
) -> tuple[Crossings, TrackClimate]:
    """Crossings due north from 20S in a variable trade wind that sometimes leaves her to the engine."""
    track = north_track(miles)
    climate = steady(track, -6.0, 4.0, sigma_kn=6.0)
    climate.cloud[:] = cloud
    boat = vessel(motoring=True, engine_below_kn=2.5, motor_hours=motor_hours)
    return sail(laid(track, climate, boat), DEPART, Luck(1, members)), climate


def sailed_scene(members: int = 40) -> Scene:
    return scene_under_way(*sailed(members))


def electrics(**changes: object) -> Electrics:
    """A modest boat: lead, 150 W of panels, an engine that helps out below half."""
    plain = {
        "battery": Battery(chemistry="lead", capacity_ah=200.0, voltage_v=12.0),
        "panels": (Panel(name="stern", power_w=150.0, mount="astern", tilt_deg=15.0),),
        "alternator": Alternator(current_a=40.0, voltage_v=13.8, consumption_l_h=1.2),
        "charging": Charging(start_below_share=0.55, run_h=1.5),
        "loads": (
            Load(name="light", power_w=3.0, when="night", needed=True),
            Load(name="pilot", power_w=25.0, rough_power_w=50.0, when="under way"),
            Load(name="refrigerator", power_w=45.0, duty_share=0.4, reef_to_share=0.5),
        ),
    }
    return Electrics(**(plain | changes))
