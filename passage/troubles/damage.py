"""What a trouble does to the boat: a polar cut down, a vessel slowed, an engine that is gone.

Damage of size nothing gives back the very same numbers, so that what a trouble changes is the trouble's own doing.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.helm import Vessel, rig_out
from passage.crossings.speed import SpeedTable
from passage.inputs.polar import PolarTable

if TYPE_CHECKING:
    from passage.inputs.boat import Boat
    from passage.inputs.troubles import Damage


def damaged_polar(polar: PolarTable, damage: Damage) -> PolarTable:
    """The polar with every speed cut to ``speed_share`` and nothing sailed closer to the wind than ``closest_deg``."""
    angles, speeds = polar.wind_angle_deg, polar.boat_speed_kn
    if damage.closest_deg > angles[0]:
        kept = np.append(damage.closest_deg, angles[angles > damage.closest_deg])
        angles, speeds = kept, np.stack([np.interp(kept, angles, row) for row in speeds])
    return PolarTable(polar.wind_speed_kn, angles, speeds * damage.speed_share)


def damaged_vessel(boat: Boat, polar: PolarTable, damage: Damage) -> Vessel:
    """The vessel under damaged sails or steering; engine and crew's limits stay what they were."""
    return rig_out(boat, damaged_polar(polar, damage))


def slowed_vessel(vessel: Vessel, share: float) -> Vessel:
    """The vessel making this share of her speeds, under sail and engine, all day: hours lain to are spread over it.

    The engine is still started by the same wind.
    """
    part = np.float32(share)
    helm = vessel.helm
    return replace(
        vessel,
        speeds=SpeedTable(vessel.speeds.made_good_kn * part, vessel.speeds.by_parts_kn * part),
        helm=helm.model_copy(update={"engine_below_kn": helm.engine_below_kn * share}),
        motor_speed_kn=vessel.motor_speed_kn * share,
    )


def without_engine(vessel: Vessel) -> Vessel:
    return replace(vessel, motor_speed_kn=0.0, motor_hours=0.0)
