"""A departure as one line of the terminal: a blade on a scale of days at sea, as the printed strip of the year has it.

5 *         ########|------          10.1  12.0  13.9   85    60
            quick   typical slow end               moon  light
"""

from __future__ import annotations

import math
from datetime import datetime
from typing import TYPE_CHECKING

from passage.plan.printed import DASH

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.plan.printed import Table

LEAD, CELLS = 5, 44
STEPS = (1, 2, 5, 10, 20, 50, 100)
_ENDS = ("quick_days", "typical_days", "slow_end_days")


def head_line(starts: Sequence[Table]) -> list[str]:
    """The scale over the blades, and the words over the figures."""
    low, high = _scale(starts)
    every = next(step for step in STEPS if (high - low) / step <= CELLS / 5)
    scale = [" "] * CELLS
    for day in range(math.ceil(low / every) * every, high + 1, every):
        place = round((day - low) / (high - low) * (CELLS - 1))
        if place + len(str(day)) <= CELLS:
            scale[place : place + len(str(day))] = str(day)
    figures = "".join(f"{word:>6}" for word in ("quick", "typ.", "slow", "moon", "light"))
    return [f"{'':{LEAD}}days at sea", f"{'':{LEAD}}{''.join(scale)}{figures}"]


def week_line(start: Table, starts: Sequence[Table]) -> str:
    """The day of the month, the blade, and its figures; starts: all of them, for the scale."""
    mark = "*" if start["as_good"] else " "
    day = datetime.fromisoformat(start["depart_utc"]).day
    times = "".join(f"{_shown(start[key], 1):>6}" for key in _ENDS)
    rest = "".join(f"{_shown(start[key], 0):>6}" for key in ("moon_lit_in_100", "daylight_in_100"))
    return f"{day:>3} {mark}{_blade(start, *_scale(starts))}{times}{rest}"


def _shown(figure: float | None, places: int) -> str:
    return DASH if figure is None else f"{figure:.{places}f}"


def _scale(starts: Sequence[Table]) -> tuple[int, int]:
    reached = [start[key] for start in starts for key in _ENDS if start[key] is not None]
    return (max(math.floor(min(reached)), 0), math.ceil(max(reached)) + 1) if reached else (0, 1)


def _blade(start: Table, low: int, high: int) -> str:
    """Filled up to the typical passage and thin beyond; dots where the cyclones of a season are not in the numbers."""

    def cell(days: float | None) -> int:
        return CELLS - 1 if days is None else round((days - low) / (high - low) * (CELLS - 1))

    if start["quick_days"] is None:
        return f"{'>':>{CELLS}}"
    filled, thin = (".", ".") if start["caution"] else ("#", "-")
    quick, typical, slow = (cell(start[key]) for key in _ENDS)
    cells = [" "] * CELLS
    cells[quick : typical + 1] = filled * (typical + 1 - quick)
    cells[typical + 1 : slow + 1] = thin * (slow - typical)
    if start["typical_days"] is not None:
        cells[typical] = "|"
    if start["slow_end_days"] is None:
        cells[-1] = ">"
    return "".join(cells)
