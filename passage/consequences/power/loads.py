"""What draws current, and when."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.power.panels import under_sail
from passage.crossings.ensemble import AT_ANCHOR, HOVE_TO, MOTORING, STANDING_OFF

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.consequences.power.scene import Scene
    from passage.inputs.electrics import Load, WatchHours, When

    Floats32 = NDArray[np.float32]
    Flags = NDArray[np.bool_]

# The sea is read off the hourly wind: smooth up to the one, rough from the other (P).
SMOOTH_WIND_KN, ROUGH_WIND_KN = 10.0, 25.0


def load_w(load: Load, scene: Scene, watch: WatchHours) -> Floats32:
    """Watts that a load draws on the mean of each hour, (hour, member)."""
    on = is_on(load.when, scene, watch)
    if load.rough_power_w is None:
        return on * np.float32(load.watts * load.on_share)
    wind = np.hypot(scene.wind_east_kn, scene.wind_north_kn)
    rough = np.clip((wind - SMOOTH_WIND_KN) / (ROUGH_WIND_KN - SMOOTH_WIND_KN), 0.0, 1.0)
    drawn = on * load.on_share * (load.watts + rough * (load.rough_power_w - load.watts))
    return np.asarray(drawn, dtype=np.float32)


def is_on(when: When, scene: Scene, watch: WatchHours) -> Flags:
    """Whether ``when`` holds in each hour, (hour, member)."""
    state = scene.state
    match when:
        case "always":
            return np.ones(state.shape, dtype=bool)
        case "night":
            return _at_place(scene, scene.sky.night)
        case "day":
            return _at_place(scene, ~scene.sky.night)
        case "on watch":
            return scene.under_way & _at_place(scene, _in_watch(scene, watch))
        case "under way":
            return scene.under_way
        case "sailing":
            return np.asarray(under_sail(scene) & (state != HOVE_TO) & (state != STANDING_OFF))
        case "motoring":
            return np.asarray(state == MOTORING)
        case "not motoring":
            return np.asarray(state != MOTORING)
        case "hove to":
            return np.asarray((state == HOVE_TO) | (state == STANDING_OFF))
        case "at anchor":
            return np.asarray(state == AT_ANCHOR)


def _in_watch(scene: Scene, watch: WatchHours) -> Flags:
    hour = scene.solar_hour()
    after, before = hour >= watch.from_hour, hour < watch.to_hour
    return after & before if watch.from_hour < watch.to_hour else after | before


def _at_place(scene: Scene, flags: Flags) -> Flags:
    return np.asarray(flags[np.arange(scene.hours)[:, None], scene.place])
