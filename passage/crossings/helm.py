"""What the crew does about the wind: reefed nights, heaving to, running off, starting the engine, standing off.

Every rule that changes the boat's motion is here, and every figure in it is the user's (``[helm]`` in boat.toml).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.ensemble import HOVE_TO, MOTORING, RUNNING_OFF, SAILING
from passage.crossings.speed import SpeedTable, speed_table

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.inputs.boat import Boat, Helm
    from passage.inputs.polar import PolarTable

ENGINE_OFF_ABOVE = 1.25  # the engine stops once she would sail at this multiple of the speed that started it


@dataclass(frozen=True)
class Vessel:
    """The boat as the simulation sees her: what she makes good, the crew's limits, and what the engine may do.

    motor_hours: hours under engine that the allowance for calms gives; 0 for a boat that never motors.
    """

    speeds: SpeedTable
    helm: Helm
    motor_speed_kn: float = 0.0
    motor_hours: float = 0.0


def rig_out(boat: Boat, polar: PolarTable) -> Vessel:
    """The vessel that a boat file and a polar table make."""
    speeds = speed_table(polar, boat.polar.tacking_loss_share)
    if boat.engine is None or not boat.helm.motoring:
        return Vessel(speeds, boat.helm)
    hours = boat.fuel.calms_allowance_l / boat.engine.consumption_l_h
    return Vessel(speeds, boat.helm, boat.engine.cruising_speed_kn, hours)


@dataclass
class Watch:
    """What the helm remembers from hour to hour, one value per member."""

    storm: NDArray[np.bool_]
    slow_h: NDArray[np.float32]
    engine: NDArray[np.bool_]
    motor_left_h: NDArray[np.float32]

    @classmethod
    def begin(cls, members: int, vessel: Vessel) -> Watch:
        return cls(
            storm=np.zeros(members, dtype=bool),
            slow_h=np.zeros(members, dtype=np.float32),
            engine=np.zeros(members, dtype=bool),
            motor_left_h=np.full(members, vessel.motor_hours, dtype=np.float32),
        )


def steer(
    watch: Watch,
    vessel: Vessel,
    sail_speed_kn: NDArray[np.float32],
    wind_kn: NDArray[np.float32],
    tailwind_kn: NDArray[np.float32],
) -> tuple[NDArray[np.float32], NDArray[np.uint8]]:
    """One hour at the helm: speed made good along the track (kn) and state, (members,) each; updates ``watch``.

    sail_speed_kn: what she would make good under sail; tailwind_kn: the wind's component along the course (negative
    ahead).
    """
    speed, state = sail_speed_kn, np.full(wind_kn.shape, SAILING, dtype=np.uint8)
    rules = vessel.helm
    if vessel.motor_hours > 0.0:
        _engine(watch, rules, sail_speed_kn)
        speed = np.where(watch.engine, np.maximum(sail_speed_kn, np.float32(vessel.motor_speed_kn)), speed)
        state[watch.engine] = MOTORING
    gust = wind_kn * np.float32(rules.gust_factor)
    watch.storm = gust > np.where(watch.storm, np.float32(rules.gust_resume_kn), np.float32(rules.gust_limit_kn))
    if watch.storm.any():
        speed = _weather_it(watch.storm, rules, speed, wind_kn, tailwind_kn, state)
    return speed, state


def _engine(watch: Watch, rules: Helm, sail_speed_kn: NDArray[np.float32]) -> None:
    slow = sail_speed_kn < rules.engine_below_kn
    watch.slow_h = np.where(slow, watch.slow_h + np.float32(1.0), np.float32(0.0))
    still_slow = sail_speed_kn < ENGINE_OFF_ABOVE * rules.engine_below_kn
    wanted = (watch.slow_h > rules.engine_after_h) | (watch.engine & still_slow)
    watch.engine = wanted & (watch.motor_left_h >= 1.0) & ~watch.storm
    watch.motor_left_h = watch.motor_left_h - watch.engine.astype(np.float32)


def _weather_it(
    storm: NDArray[np.bool_],
    rules: Helm,
    speed_kn: NDArray[np.float32],
    wind_kn: NDArray[np.float32],
    tailwind_kn: NDArray[np.float32],
    state: NDArray[np.uint8],
) -> NDArray[np.float32]:
    """Heave to with the wind forward of the beam (drifting to leeward, ground is lost), run off with it abaft."""
    astern = tailwind_kn >= 0.0
    state[storm & astern] = RUNNING_OFF
    state[storm & ~astern] = HOVE_TO
    leeward = np.where(astern, np.float32(rules.running_off_speed_kn), np.float32(rules.hove_to_drift_kn))
    return np.where(storm, leeward * tailwind_kn / np.maximum(wind_kn, np.float32(0.1)), speed_kn)
