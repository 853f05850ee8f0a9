"""Panels: from the sun over the boat to watts at the battery, whichever way she points and leans."""

from __future__ import annotations

from math import cos, radians, sin
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.consequences.power.cloud import covered_share
from passage.crossings.ensemble import ARRIVED, MOTORING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.consequences.power.cloud import Case
    from passage.consequences.power.scene import Scene
    from passage.inputs.electrics import Panel, Solar

    Floats32 = NDArray[np.float32]

DAY_H = 24  # blocks of a day stay in the processor's cache
LOWEST_UP = 0.065  # below 3.7 degrees the beam is not reckoned from the level surface: it would blow up
SEA_ALBEDO = 0.06  # common value for open sea (P)
HEEL_WIND_KN = 12.0  # full heel from this wind up; later she is reefed (P)
CONTROLLER = {"MPPT": 0.95, "PWM": 0.78}  # share of the panel's power that reaches the bank (P)
# Cell temperature after Ross: 0.034 K per W/m2 is what a cell of 47 degrees in 800 W/m2 and air of 20 degrees has (D).
ROSS_K_M2_PER_W = 0.034
LOSS_PER_K = 0.004  # crystalline silicon, against 25 degrees (M)


class Face(NamedTuple):
    """One side that catches sun: its watts at the battery in 1,000 W/m2 at 25 degrees, and its unit normal on an
    upright boat (ahead, to starboard, up).
    """

    power_w: float
    ahead: float
    starboard: float
    up: float


def faces(panels: Sequence[Panel], solar: Solar) -> tuple[Face, ...]:
    """Every panel as one face or, on both rails, two; shading, wiring and controller taken off."""
    kept = (1.0 - solar.wiring_loss_share) * CONTROLLER[solar.controller]
    found: list[Face] = []
    for panel in panels:
        power, tilt = panel.power_w * (1.0 - panel.shading_share) * kept, radians(panel.tilt_deg)
        sides = {
            "flat": [(0, 0)],
            "ahead": [(1, 0)],
            "astern": [(-1, 0)],
            "port": [(0, -1)],
            "starboard": [(0, 1)],
            "both rails": [(0, -1), (0, 1)],
        }[panel.mount]
        found += [Face(power / len(sides), ahead * sin(tilt), side * sin(tilt), cos(tilt)) for ahead, side in sides]
    return tuple(found)


def harvest_w(scene: Scene, case: Case, catching: Sequence[Face], heel_deg: float) -> Floats32:
    """Watts that reach the battery's terminals if it takes them all, (hour, member), in the high or low cloud case.

    Whoever beats to windward is taken to head along the track on the tack that the wind over it gives; heel is to
    leeward under sail, none under engine or at anchor.
    """
    watts = np.zeros(scene.place.shape, dtype=np.float32)
    if not catching:
        return watts
    for begin in range(0, scene.hours, DAY_H):
        hours = slice(begin, begin + DAY_H)
        light = scene.sky.up[hours].max(axis=1) > 0.0
        if light.any():
            lit = np.flatnonzero(light)
            watts[hours] = _day_w(scene, case, catching, heel_deg, slice(begin + lit[0], begin + lit[-1] + 1), hours)
    return watts


def _day_w(scene: Scene, case: Case, catching: Sequence[Face], heel_deg: float, lit: slice, hours: slice) -> Floats32:
    """One day's watts; ``lit`` are the hours from the first to the last in which the sun is up for anybody."""
    sky = scene.sky
    covered = covered_share(scene.here(sky.cloud, lit), scene.deviate[lit])
    level = scene.here(sky.clear_w_m2, lit) * (1.0 - scene.here(sky.loss[case], lit) * covered * covered)
    outside, up = scene.here(sky.outside_w_m2, lit), scene.here(sky.up, lit)
    diffuse = level * diffuse_share(level / np.maximum(outside, np.float32(1.0)))
    beam = (level - diffuse) / np.maximum(up, np.float32(LOWEST_UP))
    ahead, starboard = scene.here(sky.ahead, lit), scene.here(sky.starboard, lit)
    sine, cosine = _lean(scene, lit, heel_deg)
    air = scene.here(scene.air_c, lit)
    watts = np.zeros_like(level)
    for face in catching:
        face_starboard = face.starboard * cosine + face.up * sine
        face_up = face.up * cosine - face.starboard * sine
        facing = np.maximum(ahead * np.float32(face.ahead) + starboard * face_starboard + up * face_up, np.float32(0.0))
        on_plane = beam * facing + diffuse * (0.5 + 0.5 * face_up) + level * (SEA_ALBEDO * (0.5 - 0.5 * face_up))
        cell_c = air + np.float32(ROSS_K_M2_PER_W) * on_plane
        watts += np.float32(face.power_w / 1000.0) * on_plane * (1.0 - np.float32(LOSS_PER_K) * (cell_c - 25.0))
    whole = np.zeros((len(range(*hours.indices(scene.hours))), scene.members), dtype=np.float32)
    whole[lit.start - hours.start : lit.stop - hours.start] = np.maximum(watts, 0.0)
    return whole


def _lean(scene: Scene, hours: slice, heel_deg: float) -> tuple[Floats32, Floats32]:
    """Sine and cosine of the heel, positive to starboard: the wind's part across the course pushes her over."""
    sky_course = np.radians(scene.course_deg).astype(np.float32)
    place = scene.place[hours]
    east, north = scene.wind_east_kn[hours], scene.wind_north_kn[hours]
    across = east * np.cos(sky_course)[place] - north * np.sin(sky_course)[place]
    heel = np.float32(radians(heel_deg)) * across / np.maximum(np.hypot(east, north), np.float32(HEEL_WIND_KN))
    heel = np.where(under_sail(scene, hours), heel, np.float32(0.0))
    return np.sin(heel), np.cos(heel)


def under_sail(scene: Scene, hours: slice = slice(None)) -> NDArray[np.bool_]:
    """Every state before landfall but under engine; the states of a crossing are numbered with these first."""
    state = scene.state[hours]
    return np.asarray((state != MOTORING) & (state < ARRIVED))


def diffuse_share(clearness: NDArray[np.floating]) -> Floats32:
    """Diffuse share of the sun on a level surface by its share of what falls outside the air: Erbs, Klein and Duffie
    (Solar Energy 28, 1982) (M; checked against pvlib).
    """
    row = (np.clip(clearness, 0.0, 1.0) * np.float32(_DIFFUSE_STEPS) + np.float32(0.5)).astype(np.intp)
    return np.asarray(np.take(_DIFFUSE, row))


def _erbs(clearness: NDArray[np.float64]) -> NDArray[np.float64]:
    middle = 0.9511 - 0.1604 * clearness + 4.388 * clearness**2 - 16.638 * clearness**3 + 12.336 * clearness**4
    return np.where(clearness <= 0.22, 1.0 - 0.09 * clearness, np.where(clearness <= 0.8, middle, 0.165))


_DIFFUSE_STEPS = 1000
_DIFFUSE = _erbs(np.linspace(0.0, 1.0, _DIFFUSE_STEPS + 1)).astype(np.float32)
