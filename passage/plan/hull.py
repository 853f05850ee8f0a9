"""The hull seen from above, bow to the left, with numbered holes: where to put the hand in the dark."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from passage.plan.svg import Canvas, closed_path

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.consequences.readiness.seacocks import SeacockRow

WIDEST_AT, TRANSOM = 0.55, 0.72  # of the length from the bow, of the greatest beam: an outline, not her lines


class Letters(NamedTuple):
    """Sizes in points: of words, numbers, the rings round them; least distance between the middles of two numbers; room
    for both above and below the hull, and before the bow and behind the stern.
    """

    words: float = 8.5
    number: float = 10.0
    ring: float = 8.5
    apart: float = 20.0
    edge: float = 30.0
    end: float = 34.0


DAY_LETTERS = Letters()
NIGHT_LETTERS = Letters(words=17.0, number=17.0, ring=13.0, apart=29.0, edge=30.0, end=60.0)


class _Hull(NamedTuple):
    length_m: float
    beam_m: float
    width: float
    letters: Letters

    @property
    def scale(self) -> float:
        return (self.width - 2.0 * self.letters.end) / self.length_m

    @property
    def middle(self) -> float:
        return self.letters.edge + 0.5 * self.beam_m * self.scale

    def at(self, along_m: float, athwart_m: float) -> tuple[float, float]:
        """Where on the paper: the bow is at the left, so starboard is up."""
        return self.letters.end + along_m * self.scale, self.middle - athwart_m * self.scale


def plan_view(
    length_m: float, beam_m: float, holes: Sequence[SeacockRow], width: float, letters: Letters = DAY_LETTERS
) -> str:
    """An outline of the hull from her length and beam with a dot for each hole and its number outside."""
    hull = _Hull(length_m, beam_m, width, letters)
    sheet = Canvas(width, 2.0 * hull.middle)
    sheet.path(closed_path(_outline(hull)), 1.4)
    sheet.line([hull.at(0.0, 0.0), hull.at(length_m, 0.0)], 0.5, dash="10 3 2 3")
    for starboard in (True, False):
        _numbers(sheet, hull, [hole for hole in holes if (hole.athwart_m >= 0.0) == starboard], starboard)
    size, end, middle = letters.words, letters.end, hull.middle
    sheet.text(end - 6, middle + 0.35 * size, "bow", size, bold=True, anchor="end")
    sheet.text(width - end + 5, middle + 0.35 * size, "stern", size, bold=True)
    sheet.text(6, 0.7 * size + 6, "starboard", size, bold=True, anchor="start")
    sheet.text(6, 2.0 * middle - 6, "port", size, bold=True, anchor="start")
    return sheet.svg()


def _outline(hull: _Hull) -> list[tuple[float, float]]:
    steps = [step / 60.0 for step in range(61)]
    side = [(share * hull.length_m, 0.5 * hull.beam_m * _fullness(share)) for share in steps]
    return [hull.at(*point) for point in side] + [hull.at(along, -half) for along, half in reversed(side)]


def _fullness(share: float) -> float:
    """Half-breadth against the greatest, at a share of the length from the bow."""
    if share <= WIDEST_AT:
        return float(math.sin(0.5 * math.pi * share / WIDEST_AT) ** 0.85)
    return 1.0 - (1.0 - TRANSOM) * ((share - WIDEST_AT) / (1.0 - WIDEST_AT)) ** 2


def _numbers(sheet: Canvas, hull: _Hull, holes: Sequence[SeacockRow], starboard: bool) -> None:
    """Dots, and numbers in rings along one edge of the paper with a line to each dot."""
    letters = hull.letters
    row = letters.ring + 1.0 if starboard else sheet.height - letters.ring - 1.0
    low, high = 6.0 * letters.words + letters.ring + 12.0, sheet.width - letters.ring - 1.0
    dots = [hull.at(hole.along_m, hole.athwart_m) for hole in holes]
    places = _spread([x for x, _ in dots], low, high, letters.apart)
    for hole, dot, x in zip(holes, dots, places, strict=True):
        sheet.line([dot, (x, row)], 0.6)
        sheet.dot(*dot, 2.8)
        sheet.dot(x, row, letters.ring, fill="#fff", width=1.0)
        sheet.text(x, row + 0.36 * letters.number, str(hole.number), letters.number, bold=True, anchor="middle")


def _spread(wanted: Sequence[float], low: float, high: float, apart: float) -> list[float]:
    """Places near the wanted ones, in their order and so far from one another; closer where there is no room."""
    step = min(apart, (high - low) / max(len(wanted), 1))
    order = sorted(range(len(wanted)), key=wanted.__getitem__)
    places, least = [0.0] * len(wanted), low
    for index in order:
        places[index] = least = max(wanted[index], least)
        least += step
    most = high
    for index in reversed(order):
        places[index] = most = min(places[index], most)
        most -= step
    return places
