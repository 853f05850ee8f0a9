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
    words = [""] * len(places)
    for place, word in enumerate(feet):
        if word and place in places:
            words[places.index(place)] = word
    return _foot(words, SCALE + 1)


def _foot(words: Sequence[str], margin: int) -> tuple[str, str]:
    row, free = [" "] * len(words), 0
    for at, word in enumerate(words):
        if word and free <= at <= len(row) - len(word):
            row[at : at + len(word)] = word
            free = at + len(word) + 1
    return f"{'':<{margin}}+{LEVEL * len(words)}", f"{'':<{margin}} {''.join(row)}".rstrip()


class Lane(NamedTuple):
    """One line of ``bars``: its name, and spans as where each begins, where it ends and the letter it is drawn with; a
    later one lies on top.
    """

    name: str
    spans: Sequence[tuple[float, float, str]]


MOST_NAME = 24


def bars(
    lanes: Sequence[Lane], begins: float, ends: float, feet: Sequence[tuple[float, str]], wide: int
) -> tuple[str, ...]:
    """Spans along one scale, a lane under the other. feet: words under places of the scale."""
    margin = min(max((len(lane.name) for lane in lanes), default=0), MOST_NAME) + 1
    cells = max(wide - margin - 1, 1)

    def column(value: float) -> int:
        return min(max(int((value - begins) / (ends - begins) * cells), 0), cells - 1)

    lines = []
    for lane in lanes:
        row = [" "] * cells
        for first, last, letter in lane.spans:
            if last >= begins and first <= ends and first <= last:
                row[column(first) : column(last) + 1] = letter * (column(last) - column(first) + 1)
        lines.append(f"{lane.name[:MOST_NAME]:<{margin}}|{''.join(row)}".rstrip())
    words = [""] * cells
    for value, word in feet:
        words[column(value)] = word
    return (*lines, *_foot(words, margin))
