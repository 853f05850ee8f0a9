"""Where names go on a chart: beside what they name, off the track and one another; else a number, words in a key."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

FONTS = Path(__file__).parents[1] / "plan" / "fonts"
FACES = {False: ("B612-Regular.otf", "DejaVuSans.ttf"), True: ("B612-Bold.otf", "DejaVuSans-Bold.ttf")}
REACHES = (6.0, 10.0, 15.0, 22.0, 32.0)  # points from a place to its name
MARK = 8.0  # breadth of a place's own mark
LEADER_FROM = 12.0  # farther off than this, a thin line leads to it
LEADER_AT = tuple(step / 20.0 for step in range(1, 20))
DIRECTIONS = 24
CLEAR = 2.5  # points between a name and any line
LINE_HEIGHT = 1.15

Box = tuple[float, float, float, float]  # left, bottom, right, top; points, upwards


@dataclass(frozen=True)
class Label:
    """Words at (x, y), the middle of their box, with the place that they name; points upwards from the lower left."""

    words: str
    x: float
    y: float
    size: float
    bold: bool
    place: tuple[float, float]
    leader: bool

    @property
    def edge(self) -> tuple[float, float]:
        """The point of its box that is nearest to the place, to which a leader runs."""
        left, bottom, right, top = box_of(self.words, self.x, self.y, self.size, self.bold)
        return min(max(self.place[0], left), right), min(max(self.place[1], bottom), top)


@dataclass
class Room:
    """The paper left within a frame. lines: points (n, 2) to keep clear of; taken: boxes; key: words by number."""

    frame: Box
    lines: Floats
    taken: list[Box] = field(default_factory=list)
    key: list[str] = field(default_factory=list)
    ground: Any = None  # the land, a shape of shapely's

    @property
    def coast(self) -> Floats:
        """Points (n, 2) along the shore."""
        import shapely

        found: Floats = shapely.get_coordinates(self.ground) if self.ground is not None else np.empty((0, 2))
        return found

    @property
    def middles(self) -> Floats:
        """Of all that is taken, (n, 2)."""
        boxes = np.reshape(self.taken, (-1, 4))
        return np.asarray((boxes[:, :2] + boxes[:, 2:]) / 2.0)

    def is_on_land(self, place: tuple[float, float]) -> bool:
        import shapely

        return self.ground is not None and bool(shapely.contains_xy(self.ground, *place))

    def is_free(self, box: Box, clear: float = CLEAR) -> bool:
        left, bottom, right, top = box
        if left < self.frame[0] or bottom < self.frame[1] or right > self.frame[2] or top > self.frame[3]:
            return False
        if any(left < b[2] and right > b[0] and bottom < b[3] and top > b[1] for b in self.taken):
            return False
        x, y = self.lines.T
        return not bool(((x > left - clear) & (x < right + clear) & (y > bottom - clear) & (y < top + clear)).any())

    def take(self, words: str, place: tuple[float, float], size: float, bold: bool = False) -> Label | None:
        """The nearest free room for these words about the place; None where there is none."""
        wide, high = extent_pt(words, size, bold)
        for reach in REACHES:
            for step in range(DIRECTIONS):
                turn = math.tau * ((step + 1) // 2 * (-1) ** step) / DIRECTIONS  # from the right, up and down by turns
                x = place[0] + math.cos(turn) * (reach + wide / 2.0)
                y = place[1] + math.sin(turn) * (reach + high / 2.0)
                box = box_of(words, x, y, size, bold)
                far = reach > LEADER_FROM
                leader = _between(place, (x, y)) if far else np.empty((0, 2))
                if self.is_free(box) and not self._is_crossed(place, leader):
                    self.lines = np.concatenate([self.lines, leader])
                    self.taken.append(box)
                    return Label(words, x, y, size, bold, place, far)
        return None

    def _is_crossed(self, place: tuple[float, float], line: Floats) -> bool:
        """Whether a line to a place would run over anything that is taken, but for the mark of the place itself."""
        others = [b for b in self.taken if not (b[0] <= place[0] <= b[2] and b[2] - b[0] <= MARK)]
        return any(b[0] < x < b[2] and b[1] < y < b[3] for b in others for x, y in line)

    def name(self, words: str, place: tuple[float, float], size: float, bold: bool = False) -> Label | None:
        """The words themselves, or where there is no room for them their number in the key, in bold."""
        found = self.take(words, place, size, bold)
        if found is None and (found := self.take(str(len(self.key) + 1), place, size, bold=True)):
            self.key.append(words)
        return found

    def centred(self, words: str, place: tuple[float, float], size: float) -> Label | None:
        """The words with the place as their middle, where that is free: the name of a sea."""
        box = box_of(words, *place, size, bold=False)
        if not self.is_free(box, clear=2.0 * CLEAR):
            return None
        self.taken.append(box)
        return Label(words, *place, size, bold=False, place=place, leader=False)


def _between(place: tuple[float, float], end: tuple[float, float]) -> Floats:
    """Points (n, 2) along the thin line between the two."""
    return np.array(place) + np.array(LEADER_AT)[:, None] * (np.array(end) - place)


def box_of(words: str, x: float, y: float, size: float, bold: bool) -> Box:
    """That of words with their middle at (x, y)."""
    wide, high = extent_pt(words, size, bold)
    return x - wide / 2.0, y - high / 2.0, x + wide / 2.0, y + high / 2.0


def extent_pt(words: str, size: float, bold: bool) -> tuple[float, float]:
    """How wide and how high words run in the plan's own face, points."""
    lines = words.split("\n")
    wide = max(sum(_advance_em(letter, bold) for letter in line) for line in lines)
    return wide * size, len(lines) * LINE_HEIGHT * size


@cache
def _advance_em(letter: str, bold: bool) -> float:
    from matplotlib.ft2font import LoadFlags

    for name in FACES[bold]:
        font = _font(name)
        if font.get_char_index(ord(letter)):
            advance = font.load_char(ord(letter), flags=LoadFlags.NO_SCALE).horiAdvance
            return float(advance / font.units_per_EM)
    return 0.9


@cache
def _font(name: str) -> Any:
    from matplotlib.font_manager import get_font

    return get_font(str(FONTS / name))
