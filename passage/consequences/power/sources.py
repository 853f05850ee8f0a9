"""What charges besides the sun: the alternator while motoring, a towed generator, a wind generator."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.ensemble import MOTORING, RUNNING_OFF, SAILING

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.consequences.power.scene import Scene
    from passage.inputs.electrics import Alternator, Generator

    Floats32 = NDArray[np.float32]


def motoring_w(scene: Scene, alternator: Alternator) -> Floats32:
    """The alternator's watts in the hours under engine, (hour, member)."""
    return np.where(scene.state == MOTORING, np.float32(alternator.power_w), np.float32(0.0))


def towed_w(scene: Scene, generator: Generator) -> Floats32:
    """A towed generator's watts by boat speed, (hour, member); it is in the water under sail only.

    Boat speed is what is made good along the track, which on a beat is less than she sails through the water. What
    the generator costs in speed belongs in her polar.
    """
    sailing = (scene.state == SAILING) | (scene.state == RUNNING_OFF)
    return np.where(sailing, _on_curve(generator, scene.speed_kn), np.float32(0.0))


def wind_w(scene: Scene, generator: Generator) -> Floats32:
    """A wind generator's watts by apparent wind, (hour, member), of the hourly mean: gusts would give a little more."""
    return _on_curve(generator, apparent_wind_kn(scene))


def apparent_wind_kn(scene: Scene) -> Floats32:
    """Wind over the moving boat, (hour, member)."""
    course = np.radians(scene.course_deg).astype(np.float32)
    east = scene.wind_east_kn - scene.speed_kn * np.sin(course)[scene.place]
    north = scene.wind_north_kn - scene.speed_kn * np.cos(course)[scene.place]
    return np.asarray(np.hypot(east, north))


def _on_curve(generator: Generator, speed_kn: Floats32) -> Floats32:
    speeds, powers = zip(*((point.speed_kn, point.power_w) for point in generator.curve), strict=True)
    return np.asarray(np.interp(speed_kn, speeds, powers, left=0.0), dtype=np.float32)
