"""A wind rose for a chart, black only: an arm points to where the wind is from, as long as it blows from there, with a
barb for every five knots of its mean; in the middle, hours of calm in 100.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.crossings.rose import Rose
    from passage.draw.paper import Paper

ROSE_PT, HUB_PT = 22.0, 5.0  # length of the longest arm, radius of the middle
LEAST_SHARE = 0.02
SECTOR_DEG = 45.0
BARB_PT, BARB_APART_PT, KN_A_BARB = 3.4, 2.0, 5.0


def longest_share(roses: Sequence[Rose]) -> float:
    """The longest arm of all roses of a chart, as a share of all hours."""
    return max((sector.share for rose in roses for sector in rose.sectors), default=1.0)


def draw_rose(paper: Paper, rose: Rose, middle: tuple[float, float], longest: float) -> None:
    """middle: on the paper; longest: the share of all hours of an arm of full length."""
    at = np.array(middle)
    for number, sector in enumerate(rose.sectors):
        if sector.share < LEAST_SHARE:
            continue
        turn = math.radians(SECTOR_DEG * number)
        out, right = np.array([math.sin(turn), math.cos(turn)]), np.array([math.cos(turn), -math.sin(turn)])
        end = HUB_PT + (ROSE_PT - HUB_PT) * sector.share / longest
        paper.line(np.stack([at + HUB_PT * out, at + end * out]), 0.9)
        for barb in range(round(sector.mean_wind_kn / KN_A_BARB)):
            foot = at + (end - BARB_APART_PT * barb) * out
            paper.line(np.stack([foot, foot + BARB_PT * (right + 0.35 * out)]), 0.9)
    paper.dots(at[None, :], 2.0 * HUB_PT, "white", edge=0.8)
    paper.words(f"{100.0 * rose.calm_share:.0f}", *middle, 6.0, bold=True)
