"""Drawings made of letters, for the terminal: a fan over days, and columns. As wide as they are asked to be.

Each is a function that gives its lines for so many columns, so that a ``Sketch`` holds it until the width is known.
"""

from __future__ import annotations

import math
import textwrap
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

SCALE = 6  # columns left of the upright line
BAND, MIDDLE, LEVEL = ":", "#", "-"
TALL = 6  # lines between foot and top


class Upright(NamedTuple):
    """What a fan shows at one place along its foot: low, middle and high, infinite or nan where there is none."""

    low: float
    middle: float
    high: float


def fan(
    uprights: Sequence[Upright],
    feet: Sequence[str],
    words: str,
    wide: int,
    level: float = math.nan,
    foot: float | None = None,
    tall: int = TALL,
) -> tuple[str, ...]:
    """A band with its middle line. feet: words below places, '' for none; words: what the heights are; level: a height
    marked all across; foot: the lowest height, the least of all where left out; tall: lines above it.
    """
    reached = [each for upright in uprights for each in upright if math.isfinite(each)]
    if not reached:
        return ()
    marks = [level] if math.isfinite(level) else []
    least = min(*reached, *marks, max(reached)) if foot is None else min(foot, *reached)
    most = max(*reached, *marks, least + 1.0)
    columns = min(len(uprights), 1) if len(uprights) == 1 else max(min(wide - SCALE - 2, 2 * len(uprights)), 2)
    step = (most - least) / tall
    places = [round(column * (len(uprights) - 1) / max(columns - 1, 1)) for column in range(columns)]
    lines = textwrap.wrap(words, wide)
    for line in range(tall, -1, -1):
        middle = least + line * step
        cells = "".join(_cell(uprights[place], middle, step, level) for place in places)
        lines.append(f"{_height(middle, step) if line % 2 == 0 else '':>{SCALE}} |{cells}".rstrip())
    return (*lines, *_feet(feet, places))


def _cell(upright: Upright, at: float, step: float, level: float) -> str:
    low, high = at - step / 2.0, at + step / 2.0
    if low < upright.middle <= high:
        return MIDDLE
    if upright.high > low and upright.low <= high:
        return BAND
    return LEVEL if low < level <= high else " "


def columns(heights: Sequence[float], feet: Sequence[str], words: str, wide: int) -> tuple[str, ...]:
    """A column for each height, the same breadth for all, as few as fit beginning with the first."""
    each = max(min((wide - SCALE - 2) // max(len(heights), 1), 5), 1)
    shown = heights[: (wide - SCALE - 2) // each]
    most = max((height for height in shown if math.isfinite(height)), default=0.0)
    if most <= 0.0:
        return ()
    step = most / TALL
    lines = textwrap.wrap(words, wide)
    for line in range(TALL, 0, -1):
        filled = (height >= (line - 0.5) * step for height in shown)
        cells = "".join((MIDDLE * max(each - 1, 1) if full else "").ljust(each) for full in filled)
        lines.append(f"{_height(line * step, step) if line % 2 == 0 else '':>{SCALE}} |{cells}".rstrip())
    places = [number // each for number in range(each * len(shown))]
    return (*lines, *_feet(feet, places))


def _height(value: float, step: float) -> str:
    return f"{value:,.0f}" if step >= 0.5 or value == round(value) else f"{value:.1f}"


def _feet(feet: Sequence[str], places: Sequence[int]) -> tuple[str, str]:
    """The foot and the words under it, each below its own place, none over another."""
    row = [" "] * len(places)
    free = 0
    for place, word in enumerate(feet):
        at = places.index(place) if word and place in places else -1
        if free <= at <= len(places) - len(word):
            row[at : at + len(word)] = word
            free = at + len(word) + 1
    return (f"{'':>{SCALE}} +{LEVEL * len(places)}", f"{'':>{SCALE}}  {''.join(row)}".rstrip())
