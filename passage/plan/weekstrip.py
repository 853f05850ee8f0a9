"""A departure as one line of the terminal: a blade on a scale of days at sea, as the printed strip of the year has it.

5 *         ########|------          10.1  12.0  13.9   85    60
            quick   typical slow end               moon  light
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from passage.tell.figures import DASH

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.departures import Start

LEAD, CELLS = 5, 44
STEPS = (1, 2, 5, 10, 20, 50, 100)


def head_lines(starts: Sequence[Start]) -> tuple[str, str]:
    """The scale over the blades, and the words over the figures."""
    low, high = _scale(starts)
    every = next(step for step in STEPS if (high - low) / step <= CELLS / 5)
    scale = [" "] * CELLS
    for day in range(math.ceil(low / every) * every, high + 1, every):
        place = round((day - low) / (high - low) * (CELLS - 1))
        if place + len(str(day)) <= CELLS:
            scale[place : place + len(str(day))] = str(day)
    figures = "".join(f"{word:>6}" for word in ("quick", "typ.", "slow", "moon", "light"))
    return f"{'':{LEAD}}days at sea", f"{'':{LEAD}}{''.join(scale)}{figures}"


def week_line(start: Start, starts: Sequence[Start]) -> str:
    """The day of the month, the blade, and its figures; starts: all of them, for the scale."""
    mark = "*" if start.as_good else " "
    told = (*_ends(start), start.moon.lit_in_100 if start.moon else DASH, start.daylight_in_100)
    figures = "".join(f"{each!s:>6}" for each in told)
    return f"{start.depart_utc.day:>3} {mark}{_blade(start, *_scale(starts))}{figures}"


def _ends(start: Start) -> tuple[float, float, float]:
    return start.times.quick_days, start.times.typical_days, start.times.slow_end_days


def _scale(starts: Sequence[Start]) -> tuple[int, int]:
    reached = [days for start in starts for days in _ends(start) if math.isfinite(days)]
    return (max(math.floor(min(reached)), 0), math.ceil(max(reached)) + 1) if reached else (0, 1)


def _blade(start: Start, low: int, high: int) -> str:
    """Filled up to the typical passage and thin beyond; dots where too many storms come."""
    quick, typical, slow = (
        round((days - low) / (high - low) * (CELLS - 1)) if math.isfinite(days) else CELLS - 1 for days in _ends(start)
    )
    never = [math.isinf(days) for days in _ends(start)]
    if never[0]:
        return f"{'>':>{CELLS}}"
    filled, thin = (".", ".") if start.stormy else ("#", "-")
    cells = [" "] * CELLS
    cells[quick : typical + 1] = filled * (typical + 1 - quick)
    cells[typical + 1 : slow + 1] = thin * (slow - typical)
    if not never[1]:
        cells[typical] = "|"
    if never[2]:
        cells[-1] = ">"
    return "".join(cells)
