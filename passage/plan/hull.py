"""The hull seen from above, bow to the left, with numbered holes: where to put the hand in the dark."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from passage.plan.svg import Sheet, closed_path

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.plan.printed import Table

WORDS = 8.5
NUMBER = 10.0
RING = 8.5
APART = 20.0  # least distance between the middles of two numbers
EDGE = 30.0  # room for numbers and words above and below the hull
END = 34.0  # and before the bow and behind the stern
WIDEST_AT, TRANSOM = 0.55, 0.72  # of the length from the bow, of the greatest beam: an outline, not her lines


class _Hull(NamedTuple):
    length_m: float
    beam_m: float
    width: float

    @property
    def scale(self) -> float:
        return (self.width - 2.0 * END) / self.length_m

    @property
    def middle(self) -> float:
        return EDGE + 0.5 * self.beam_m * self.scale

    def at(self, along_m: float, athwart_m: float) -> tuple[float, float]:
        """Where on the paper: the bow is at the left, so starboard is up."""
        return END + along_m * self.scale, self.middle - athwart_m * self.scale


def plan_view(length_m: float, beam_m: float, holes: Sequence[Table], width: float) -> str:
    """An outline of the hull from her length and beam with a dot for each hole and its number outside.

    holes: tables with ``number``, ``along_m`` from the bow and ``athwart_m``, starboard positive.
    """
    hull = _Hull(length_m, beam_m, width)
    sheet = Sheet(width, 2.0 * hull.middle)
    sheet.path(closed_path(_outline(hull)), 1.4)
    sheet.line([hull.at(0.0, 0.0), hull.at(length_m, 0.0)], 0.5, dash="10 3 2 3")
    for starboard in (True, False):
        _numbers(sheet, hull, [hole for hole in holes if (hole["athwart_m"] >= 0.0) == starboard], starboard)
    sheet.text(END - 6, hull.middle + 3, "bow", WORDS, bold=True, anchor="end")
    sheet.text(width - END + 5, hull.middle + 3, "stern", WORDS, bold=True)
    sheet.text(END - 6, 12, "starboard", WORDS, anchor="start")
    sheet.text(END - 6, 2.0 * hull.middle - 6, "port", WORDS, anchor="start")
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


def _numbers(sheet: Sheet, hull: _Hull, holes: Sequence[Table], starboard: bool) -> None:
    """Dots, and numbers in rings along one edge of the paper with a line to each dot."""
    row = RING + 1.0 if starboard else sheet.height - RING - 1.0
    dots = [hull.at(hole["along_m"], hole["athwart_m"]) for hole in holes]
    for hole, dot, x in zip(
        holes, dots, _spread([x for x, _ in dots], END + 44.0, sheet.width - RING - 1.0), strict=True
    ):
        sheet.line([dot, (x, row)], 0.6)
        sheet.dot(*dot, 2.8)
        sheet.dot(x, row, RING, fill="#fff", width=1.0)
        sheet.text(x, row + 3.6, str(hole["number"]), NUMBER, bold=True, anchor="middle")


def _spread(wanted: Sequence[float], low: float, high: float) -> list[float]:
    """Places near the wanted ones, in their order and ``APART`` from one another; closer where there is no room."""
    step = min(APART, (high - low) / max(len(wanted), 1))
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
