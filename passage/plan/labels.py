"""Where the names on a chart go: off every line and one another, near what they name, off the land if they can."""

from __future__ import annotations

import math
import textwrap
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.plan.face import drawable, width_em

if TYPE_CHECKING:
    from passage.plan.svg import Box, Sheet

    Points = np.ndarray[tuple[int, int], np.dtype[np.float64]]

LINE_HEIGHT = 1.2
LETTERS_A_LINE = 22
CLEAR = 3.0  # points between a label and any line
ASIDE = 4.0  # points more between two labels in a row, which would else read as one
REACHES = (7.0, 11.0, 16.0, 23.0, 32.0, 44.0, 60.0, 80.0, 105.0, 135.0, 170.0, 210.0)
LEADER_FROM = 20.0  # farther off than this, a thin line leads from the label to its place
DIRECTIONS = 24
ON_LAND, BAD_LEADER = 45.0, 60.0  # points of distance that a label on a coast, or a leader over a line, is worth
OVER_A_NAME = 1000.0  # and a leader over another label: only where there is nothing else


@dataclass(frozen=True)
class Wanted:
    """Words that belong at (x, y); ``towards``: the direction in which they would best stand, radians, y downwards."""

    x: float
    y: float
    words: str
    size: float = 8.0
    bold: bool = False
    towards: float = 0.0


@dataclass(frozen=True)
class Placed:
    """A label with its place: the box (left, top, right, bottom) and its lines of text."""

    wanted: Wanted
    box: Box
    lines: tuple[str, ...]


class Crowd:
    """What labels must keep clear of. ``lines``: points (n, 2) close together along every line that matters;
    ``coast``: points better left free; ``frame``: the box that labels stay within."""

    def __init__(self, frame: Box, lines: Points, coast: Points) -> None:
        self.frame = frame
        self.lines = lines
        self.coast = coast
        self.taken: list[Box] = []

    def free(self, box: Box) -> bool:
        left, top, right, bottom = box
        inside = self.frame[0] <= left and self.frame[1] <= top and right <= self.frame[2] and bottom <= self.frame[3]
        return inside and not any(overlap(box, other) for other in self.taken) and not within(self.lines, box)

    def place(self, wanted: Wanted) -> Placed | None:
        """The cheapest free place, taken from then on; None where a chart is so full that there is none."""
        lines = tuple(textwrap.wrap(drawable(wanted.words), LETTERS_A_LINE)) or ("",)
        size = (
            max(width_em(line, wanted.bold) for line in lines) * wanted.size,
            len(lines) * LINE_HEIGHT * wanted.size,
        )
        box = self._cheapest(wanted, [choice for choice in _candidates(wanted, size) if self.free(choice[1])])
        if box is None:
            return None
        self.taken.append((box[0] - ASIDE, box[1], box[2] + ASIDE, box[3]))
        if _apart(wanted, box) > LEADER_FROM:
            self.lines = np.concatenate([self.lines, _leader(wanted, box)])
        return Placed(wanted, box, lines)

    def _cheapest(self, wanted: Wanted, choices: list[tuple[float, Box]]) -> Box | None:
        """Leaders, which cost time to try, are tried only where a place would be the cheapest without."""
        best: tuple[float, Box] | None = None
        for cost, box in sorted((self._cost(wanted, box, reach), box) for reach, box in choices):
            if best is not None and cost > best[0]:
                break
            leader = self._crossed(wanted, box) if _apart(wanted, box) > LEADER_FROM else 0.0
            best = min(best or (math.inf, box), (cost + leader, box))
        return best[1] if best else None

    def _cost(self, wanted: Wanted, box: Box, reach: float) -> float:
        """What a place costs but for a leader to it."""
        middle = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
        turn = math.atan2(middle[1] - wanted.y, middle[0] - wanted.x) - wanted.towards
        return reach + 5.0 * (1.0 - math.cos(turn)) + ON_LAND * bool(within(self.coast, box))

    def _crossed(self, wanted: Wanted, box: Box) -> float:
        """What the leader to a box costs for the lines and the labels that it runs over, its own start left out."""
        leader = _leader(wanted, box)
        leader = leader[np.hypot(*(leader - (wanted.x, wanted.y)).T) > REACHES[1]]
        gaps = np.abs(self.lines[None, :, :] - leader[:, None, :]).max(axis=2)
        over_names = any(within(leader, other, clear=0.0) for other in self.taken)
        return BAD_LEADER * bool((gaps < CLEAR).any()) + OVER_A_NAME * over_names


def _apart(wanted: Wanted, box: Box) -> float:
    """Points between a place and the label that stands in a box."""
    return math.dist(nearest_point(box, wanted.x, wanted.y), (wanted.x, wanted.y))


def _leader(wanted: Wanted, box: Box) -> Points:
    """Points (n, 2) close together from a place to its label."""
    start, end = np.array([wanted.x, wanted.y]), np.array(nearest_point(box, wanted.x, wanted.y))
    steps = np.linspace(0.0, 1.0, max(int(_apart(wanted, box) / CLEAR), 1) + 1)[:, None]
    leader: Points = start + (end - start) * steps
    return leader


def _candidates(wanted: Wanted, size: tuple[float, float]) -> list[tuple[float, Box]]:
    width, height = size
    found = []
    for reach in REACHES:
        for step in range(DIRECTIONS):
            angle = 2.0 * math.pi * step / DIRECTIONS
            x = wanted.x + math.cos(angle) * reach + (math.cos(angle) - 1.0) * width / 2
            y = wanted.y + math.sin(angle) * reach + (math.sin(angle) - 1.0) * height / 2
            found.append((reach, (x, y, x + width, y + height)))
    return found


def overlap(one: Box, other: Box, clear: float = 1.5) -> bool:
    return (
        one[0] < other[2] + clear
        and other[0] < one[2] + clear
        and one[1] < other[3] + clear
        and other[1] < one[3] + clear
    )


def within(points: Points, box: Box, clear: float = CLEAR) -> bool:
    """Whether any point lies in the box or nearer than ``clear`` to it."""
    x, y = points.T
    return bool(((x > box[0] - clear) & (x < box[2] + clear) & (y > box[1] - clear) & (y < box[3] + clear)).any())


def nearest_point(box: Box, x: float, y: float) -> tuple[float, float]:
    return min(max(x, box[0]), box[2]), min(max(y, box[1]), box[3])


def draw(sheet: Sheet, placed: Placed) -> None:
    wanted, box = placed.wanted, placed.box
    end = nearest_point(box, wanted.x, wanted.y)
    apart = _apart(wanted, box)
    if apart > LEADER_FROM:
        start = (wanted.x + (end[0] - wanted.x) * 5.0 / apart, wanted.y + (end[1] - wanted.y) * 5.0 / apart)
        sheet.line([start, end], width=0.4)
    sheet.paper((box[0] - 1, box[1], box[2] + 1, box[3]))
    for row, line in enumerate(placed.lines):
        baseline = box[1] + (row * LINE_HEIGHT + 0.95) * wanted.size
        sheet.text(box[0], baseline, line, wanted.size, wanted.bold)
