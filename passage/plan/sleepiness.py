"""The curve of one person's sleepiness through the first week: thick where on watch, the line of concern broken."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.watches.alertness import CONCERN_KSS
from passage.consequences.watches.rotas import WATCH
from passage.consequences.watches.slots import SLOTS_PER_DAY
from passage.plan.svg import Canvas

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.consequences.watches.timetable import Week

LEFT, RIGHT, TOP, BOTTOM = 74.0, 4.0, 6.0, 28.0
LEAST_KSS, MOST_KSS = 2.0, 9.0
# In our words, of the nine steps of Åkerstedt and Gillberg (1990).
STEPS = ((3, "3 alert"), (5, "5 neither"), (7, "7 sleepy"), (9, "9 fights sleep"))
WORDS = 8.5


def curve(week: Week, days: Sequence[str], width: float, height: float) -> str:
    """days: a word for each day. Days and nights begin at midnight, ship's time."""
    sheet = Canvas(width, height)
    across = (width - LEFT - RIGHT) / len(days)
    foot, high = height - BOTTOM, height - TOP - BOTTOM
    x = LEFT + across * np.arange(len(week.kss)) / SLOTS_PER_DAY
    y = foot - high * (np.clip(week.kss, LEAST_KSS, MOST_KSS) - LEAST_KSS) / (MOST_KSS - LEAST_KSS)
    for step, words in STEPS:
        level = foot - high * (step - LEAST_KSS) / (MOST_KSS - LEAST_KSS)
        concern = step == CONCERN_KSS
        sheet.line([(LEFT, level), (width - RIGHT, level)], 1.2 if concern else 0.25, dash="5 3" if concern else "")
        sheet.text(LEFT - 5, level + 3, words, WORDS, bold=concern, anchor="end")
    for number, words in enumerate(days):
        left = LEFT + across * number
        sheet.line([(left, TOP), (left, foot)], 0.5)
        sheet.text(left + across / 2, foot + 21, words, WORDS, anchor="middle")
        for hour in (6, 12, 18):
            sheet.line([(left + across * hour / 24, foot), (left + across * hour / 24, foot + 3)], 0.6)
        sheet.text(left + across / 2, foot + 11, "12", 7, anchor="middle")
    sheet.line([(LEFT, foot), (width - RIGHT, foot), (width - RIGHT, TOP)], 0.9)
    points = np.column_stack([x, y])
    sheet.line(points[np.isfinite(y)], 0.6)
    for first, last in _on_watch(week):
        sheet.line(points[first : last + 1], 3.0)
    return sheet.svg()


def _on_watch(week: Week) -> list[tuple[int, int]]:
    """(first, last) edge of every watch."""
    on: NDArray[np.bool_] = np.concatenate([[False], week.duty == WATCH, [False]])
    edges = np.flatnonzero(on[1:] != on[:-1]).tolist()
    return [pair for at, pair in enumerate(pairwise(edges)) if at % 2 == 0]
