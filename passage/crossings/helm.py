"""What the crew does about the wind: reefed nights, heaving to, running off, starting the engine, standing off.

Every rule that changes the boat's motion is here, and every figure in it is the user's (``[helm]`` in boat.toml).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.current import motor_along
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

    @property
    def fastest_kn(self) -> float:
        """What the polar or the engine gives at best, through the water."""
        return max(float(self.speeds.made_good_kn.max()), self.motor_speed_kn)


def rig_out(boat: Boat, polar: PolarTable) -> Vessel:
    """The vessel that a boat file and a polar table make."""
    speeds = speed_table(polar, boat.polar.tacking_loss_share)
    if boat.engine is None or not boat.helm.motoring:
        return Vessel(speeds, boat.helm)
    hours = boat.fuel.calms_allowance_l / boat.engine.consumption_l_h
    return Vessel(speeds, boat.helm, boat.engine.cruising_speed_kn, hours)


def out_for(helm: Helm, hours: float) -> Helm:
    """The rules of a crew that has been out for so many hours, of whose first days so much less is left."""
    return helm.model_copy(update={"first_days_h": max(helm.first_days_h - hours, 0.0)})


class Refit(NamedTuple):
    """From a whole hour after departure on she is another vessel: damaged, shorthanded, or mended.

    who: which members, by their place among the lane's own, who must keep to the same rules; all of them if None.
    """

    hour: int
    vessel: Vessel
    who: NDArray[np.intp] | None = None

    def of(self, members: slice) -> Refit:
        """For neighbours among the lane's own."""
        if self.who is None:
            return self
        among = (self.who >= members.start) & (self.who < members.stop)
        return self._replace(who=self.who[among] - members.start)


@dataclass
class AtHelm:
    """What the helm knows of each boat from hour to hour, (members,). engine_below_kn: see ``Helm``; motors: whether
    any of them may.
    """

    storm: NDArray[np.bool_]
    slow_h: NDArray[np.float32]
    engine: NDArray[np.bool_]
    motor_left_h: NDArray[np.float32]
    engine_below_kn: NDArray[np.float32]
    motors: bool

    @classmethod
    def begin(cls, motor_hours: NDArray[np.float32], engine_below_kn: NDArray[np.float32]) -> AtHelm:
        """At departure, with so many hours that each may motor, (members,)."""
        members = len(motor_hours)
        return cls(
            storm=np.zeros(members, dtype=bool),
            slow_h=np.zeros(members, dtype=np.float32),
            engine=np.zeros(members, dtype=bool),
            motor_left_h=motor_hours.astype(np.float32),
            engine_below_kn=engine_below_kn.astype(np.float32),
            motors=bool((motor_hours > 0.0).any()),
        )

    def of(self, members: NDArray[np.bool_]) -> AtHelm:
        """What is known of some of the members."""
        rows = {name: row[members] for name, row in vars(self).items() if name != "motors"}
        return replace(self, **rows)


def steer(
    watch: AtHelm,
    rules: Helm,
    sailing_kn: NDArray[np.float32],
    motoring_kn: NDArray[np.float32],
    tailwind_kn: NDArray[np.float32],
    crosswind_kn: NDArray[np.float32],
    set_across_kn: NDArray[np.float32] | None = None,
) -> tuple[NDArray[np.float32], NDArray[np.uint8]]:
    """One hour at the helm: speed along the track through the water (kn) and state, (members,) each; updates ``watch``.

    sailing_kn, motoring_kn: what she would make good under sail, and under engine through the water; tailwind_kn,
    crosswind_kn: the wind's parts along the course (negative ahead) and across it; set_across_kn: what the current sets
    across it. ``sailing_kn`` becomes the speed that is returned.
    """
    speed, state = sailing_kn, np.full(sailing_kn.shape, SAILING, dtype=np.uint8)
    if watch.motors:
        motoring = _engine(watch, rules, sailing_kn)
        under_engine = motoring_kn[motoring]
        if set_across_kn is not None:
            under_engine = motor_along(under_engine, set_across_kn[motoring])
        speed[motoring] = np.maximum(sailing_kn[motoring], under_engine)
        state[motoring] = MOTORING
    wind_squared = tailwind_kn * tailwind_kn
    wind_squared += crosswind_kn * crosswind_kn
    resume, limit = (
        np.float32((gust / rules.gust_factor) ** 2) for gust in (rules.gust_resume_kn, rules.gust_limit_kn)
    )
    watch.storm &= wind_squared > resume
    watch.storm |= wind_squared > limit
    stormy = watch.storm.nonzero()[0]
    if len(stormy):
        _weather_it(stormy, rules, speed, np.sqrt(wind_squared[stormy]), tailwind_kn[stormy], state)
    return speed, state


def _engine(watch: AtHelm, rules: Helm, sailing_kn: NDArray[np.float32]) -> NDArray[np.intp]:
    """Who motors this hour; only those whom the airs are too light for are looked at."""
    airs = (sailing_kn < np.float32(ENGINE_OFF_ABOVE) * watch.engine_below_kn).nonzero()[0]
    slow_h = np.where(
        sailing_kn[airs] < watch.engine_below_kn[airs], watch.slow_h[airs] + np.float32(1.0), np.float32(0.0)
    )
    on = (slow_h > rules.engine_after_h) | watch.engine[airs]
    on &= (watch.motor_left_h[airs] >= 1.0) & ~watch.storm[airs]
    watch.slow_h.fill(0.0)
    watch.slow_h[airs] = slow_h
    motoring = airs[on]
    watch.engine.fill(False)
    watch.engine[motoring] = True
    watch.motor_left_h[motoring] -= 1.0
    return motoring


def _weather_it(
    stormy: NDArray[np.intp],
    rules: Helm,
    speed_kn: NDArray[np.float32],
    wind_kn: NDArray[np.float32],
    tailwind_kn: NDArray[np.float32],
    state: NDArray[np.uint8],
) -> None:
    """Heave to with the wind forward of the beam (drifting to leeward, ground is lost), run off with it abaft.

    stormy: which members; wind_kn, tailwind_kn: theirs. Changes speed and state of those members.
    """
    astern = tailwind_kn >= 0.0
    leeward = np.where(astern, np.float32(rules.running_off_speed_kn), np.float32(rules.hove_to_drift_kn))
    speed_kn[stormy] = leeward * tailwind_kn / wind_kn
    state[stormy] = np.where(astern, RUNNING_OFF, HOVE_TO)
