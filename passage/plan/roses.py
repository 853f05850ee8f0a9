"""A wind rose of our own: how often, how strong and whether it helps, at a glance and in black only.

An arm points to where the wind comes from. Its length says how often it blows from there, its breadth how strong it
is, and the number at its end is its mean strength in knots. The number in the middle is calm, in a hundred hours. Thin
rings stand an even number of hours apart; the dart outside them is her course.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.plan.svg import BLACK, TINT, Sheet, closed_path

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.crossings.rose import Rose

    Floats = NDArray[np.float64]

HUB = 11.0  # points: radius of the middle
NUMBER_ROOM, DART = 13.0, 9.0  # beyond the outermost ring: numbers of the longest arms, then her course
BESIDE_DART_DEG, ASIDE = 15.0, 12.0  # N steps aside for a dart so near to north
RING_STEPS = (0.05, 0.1, 0.2)
MOST_RINGS = 5
BREADTH_PER_KN = 0.6  # points
LEAST_SHARE = 0.015  # a sector with less has no number, and hardly an arm
SECTOR_DEG = 45.0


class Rings(NamedTuple):
    """The scale of the arms: the share of all hours from ring to ring, and how many rings there are."""

    step: float
    number: int


def rings_for(roses: Sequence[Rose]) -> Rings:
    """Rings that hold the longest arm of all roses that are to be compared."""
    longest = max(sector.share for rose in roses for sector in rose.sectors)
    step = next((step for step in RING_STEPS if longest <= step * MOST_RINGS), RING_STEPS[-1])
    return Rings(step, max(math.ceil(longest / step - 1e-9), 1))


def draw_rose(rose: Rose, course_deg: float, rings: Rings, size: float) -> str:
    """One rose on a square of ``size`` points; course_deg: hers, true."""
    sheet, middle = Sheet(size, size), size / 2
    outermost = middle - NUMBER_ROOM - DART
    per_share = (outermost - HUB) / (rings.number * rings.step)
    for ring in range(1, rings.number + 1):
        sheet.dot(middle, middle, HUB + per_share * rings.step * ring, fill="none", width=0.3)
    for number, sector in enumerate(rose.sectors):
        if sector.share < LEAST_SHARE / 3.0:
            continue
        from_deg, reach = SECTOR_DEG * number, HUB + per_share * sector.share
        half = max(BREADTH_PER_KN * sector.mean_wind_kn / 2.0, 0.6)
        arm = np.array([(0.0, -half), (reach, -half), (reach, half), (0.0, half)])
        sheet.path(closed_path(_turned(arm, from_deg, middle)), 0.8, fill=TINT)
        if sector.share >= LEAST_SHARE:
            ((x, y),) = _turned(np.array([(reach + 7.0, 0.0)]), from_deg, middle)
            sheet.paper((x - 5.5, y - 4.0, x + 5.5, y + 4.5))
            sheet.text(x, y + 3.0, f"{sector.mean_wind_kn:.0f}", 8.0, bold=True, anchor="middle")
    sheet.dot(middle, middle, HUB, fill="#fff", width=1.1)
    sheet.text(middle, middle + 3.4, f"{100.0 * rose.calm_share:.0f}", 9.5, bold=True, anchor="middle")
    foot, off_north_deg = outermost + NUMBER_ROOM, (course_deg + 180.0) % 360.0 - 180.0
    aside = 0.0 if abs(off_north_deg) > BESIDE_DART_DEG else math.copysign(ASIDE, -off_north_deg)
    sheet.text(middle + aside, middle - foot - 1.0, "N", 8.0, anchor="middle")
    dart = np.array([(foot + DART, 0.0), (foot, -3.8), (foot, 3.8)])
    sheet.path(closed_path(_turned(dart, course_deg, middle)), 0, fill=BLACK)
    return sheet.svg()


def _turned(points: Floats, towards_deg: float, middle: float) -> Floats:
    """Points (n, 2), out along a bearing and to the right of it, on the paper."""
    sine, cosine = math.sin(math.radians(towards_deg)), math.cos(math.radians(towards_deg))
    out, right = points.T
    return np.stack([middle + out * sine + right * cosine, middle - out * cosine + right * sine], axis=1)
