"""Passage times side by side on one scale of days: from the typical passage, a stroke, to the slow end, a dot."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from passage.plan.svg import Sheet

if TYPE_CHECKING:
    from collections.abc import Sequence

LEFT, RIGHT, FOOT = 262.0, 14.0, 24.0
WORDS = 9.0
STROKE, DOT = 4.0, 3.2  # half a stroke's height, a dot's radius
STEPS = (1, 2, 5, 10, 20, 50, 100)


class Span(NamedTuple):
    """words: what it is; days from departure, infinite where not reached."""

    words: str
    typical_days: float
    slow_end_days: float


def draw_spans(spans: Sequence[Span], width: float, high: float = 20.0) -> str:
    """The spans one below another, each ``high`` points; through all of them runs the slow end of the first."""
    sheet = Sheet(width, high * len(spans) + FOOT)
    reached = [day for span in spans for day in span[1:] if math.isfinite(day)]
    low, most = (math.floor(min(reached)) - 1, math.ceil(max(reached)) + 1) if reached else (0, 1)
    foot, day_pt = high * len(spans), (width - LEFT - RIGHT) / (most - low)

    def x(days: float) -> float:
        return LEFT + day_pt * (min(days, most) - low)

    every = next(step for step in STEPS if (most - low) / step <= 8)
    for day in range(math.ceil(low / every) * every, most + 1, every):
        sheet.line([(x(day), foot), (x(day), foot + 3)], 0.6)
        sheet.text(x(day), foot + 14, str(day), WORDS, anchor="middle")
    sheet.text(LEFT - 8, foot + 14, "days at sea", WORDS, anchor="end")
    sheet.line([(LEFT, foot), (width - RIGHT, foot)], 0.6)
    if spans and math.isfinite(spans[0].slow_end_days):
        sheet.line([(x(spans[0].slow_end_days), 0.0), (x(spans[0].slow_end_days), foot)], 0.6, dash="2 2")
    for number, span in enumerate(spans):
        y = high * (number + 0.5)
        sheet.text(0.0, y + 3, span.words, WORDS, bold=number == 0)
        sheet.line([(x(span.typical_days), y), (x(span.slow_end_days), y)], 1.6)
        if math.isfinite(span.typical_days):
            sheet.line([(x(span.typical_days), y - STROKE), (x(span.typical_days), y + STROKE)], 1.6)
        if math.isfinite(span.slow_end_days):
            sheet.dot(x(span.slow_end_days), y, DOT)
    return sheet.svg()
