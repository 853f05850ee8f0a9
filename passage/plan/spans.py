"""Passage times on one scale of days, each for a cell of a table: from a stroke, typical, to a dot, the slow end."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from passage.plan.svg import Canvas

if TYPE_CHECKING:
    from collections.abc import Sequence

WIDE, HIGH = 132.0, 12.0  # as high as a line of a table
EDGE = 4.0
STROKE, DOT = 3.6, 2.6  # half a stroke's height, a dot's radius


class Span(NamedTuple):
    """Days from departure, infinite where not reached."""

    typical_days: float
    slow_end_days: float


def draw_spans(spans: Sequence[Span]) -> list[str]:
    """A drawing of each span; through all of them runs the slow end of the first, as it stands."""
    reached = [day for span in spans for day in span if math.isfinite(day)]
    low, most = (min(reached), max(reached) + 1e-6) if reached else (0.0, 1.0)

    def x(days: float) -> float:
        return EDGE + (WIDE - 2.0 * EDGE) * (min(days, most) - low) / (most - low)

    drawn = []
    for span in spans:
        sheet, y = Canvas(WIDE, HIGH), HIGH / 2.0
        if math.isfinite(spans[0].slow_end_days):
            sheet.line([(x(spans[0].slow_end_days), 0.0), (x(spans[0].slow_end_days), HIGH)], 0.6, dash="2 2")
        sheet.line([(x(span.typical_days), y), (x(span.slow_end_days), y)], 1.6)
        if math.isfinite(span.typical_days):
            sheet.line([(x(span.typical_days), y - STROKE), (x(span.typical_days), y + STROKE)], 1.6)
        if math.isfinite(span.slow_end_days):
            sheet.dot(x(span.slow_end_days), y, DOT)
        drawn.append(sheet.svg())
    return drawn
