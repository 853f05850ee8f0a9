"""The strip of the year: one blade for every departure, days at sea upwards, and under it what the days are like.

A blade stands on the fast passage and reaches to the slow end; it is black up to the typical passage and tinted above.
In a cyclone season it is an empty outline over a heavy bar, for cyclones are not in the numbers. A dot under a blade
says that no other departure out of season has a better slow end to speak of.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from passage.departures import CYCLONE_CAUTION, better
from passage.inputs.months import MONTHS
from passage.plan.figures import moon
from passage.plan.svg import BLACK, TINT, Canvas

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.departures import Start

LEFT, RIGHT, TOP = 74.0, 8.0, 24.0
WORDS, SMALL = 8.5, 7.5
LANE, GAP = 20.0, 7.0  # height of a lane, and the space above it
MOON = 7.5
NEVER_RISES = 6.0  # how far an arrow sticks out over the strip for a slow end that is not reached


@dataclass(frozen=True)
class _Lane:
    """One row of bars under the strip: what it shows, and a figure for each start; None leaves a gap."""

    words: str
    figures: tuple[float | None, ...]
    unit: str


LETTERS_PT = 14.0  # from one figure of the scale to the next at least


@dataclass(frozen=True)
class _Strip:
    """Where things stand: starts across, days upwards between ``low`` and ``high``, lanes below ``foot``."""

    sheet: Canvas
    starts: Sequence[Start]
    low: float
    high: float
    foot: float

    @property
    def step(self) -> float:
        return (self.sheet.width - LEFT - RIGHT) / len(self.starts)

    def x(self, number: float) -> float:
        return LEFT + self.step * number

    def y(self, hours: float) -> float:
        days = min(hours / 24.0, self.high)
        return TOP + (self.foot - TOP) * (self.high - days) / (self.high - self.low)


def year_strip(starts: Sequence[Start], southern: bool, width: float = 500.0, height: float = 290.0) -> str:
    """The strip as SVG, size in points. southern: whether the landfall lies south of the equator, for the moon."""
    sheet = Canvas(width, height)
    lanes = _lanes(starts)
    foot = height - 31.0 - (LANE + GAP) * len(lanes) - MOON - 12.0
    reached = [
        hours for start in starts for hours in (start.times.fast_h, start.times.slow_end_h) if math.isfinite(hours)
    ]
    low, high = (math.floor(min(reached) / 24.0) - 1, math.ceil(max(reached) / 24.0) + 1) if reached else (0, 1)
    strip = _Strip(sheet, starts, max(low, 0), high, foot)
    _scale(strip)
    good = better(starts)
    for number, start in enumerate(starts):
        _blade(strip, number, start)
        if start in good:
            sheet.dot(strip.x(number + 0.5), foot + 5.0, 1.3)
    _seasons(strip)
    for number, lane in enumerate(lanes):
        _bars(strip, lane, foot + 10.0 + (LANE + GAP) * (number + 1))
    _moons(strip, southern, foot + 16.0 + (LANE + GAP) * len(lanes))
    _months(strip, height - 12.0)
    return sheet.svg()


def _lanes(starts: Sequence[Start]) -> list[_Lane]:
    lanes = [
        _Lane("calm", tuple(_known(start.times.calm_h) for start in starts), "h"),
        _Lane("hard on wind", tuple(_known(start.hard_on_wind_in_100) for start in starts), "%"),
        _Lane("28 kn and more", tuple(_known(start.times.strong_h) for start in starts), "h"),
    ]
    if any(start.wait is not None for start in starts):
        lanes.append(
            _Lane(
                "days in harbour", tuple(start.wait.typical_wait_days if start.wait else None for start in starts), "d"
            )
        )
    return lanes


def _known(figure: float) -> float | None:
    return figure if math.isfinite(figure) else None


def _scale(strip: _Strip) -> None:
    sheet, right = strip.sheet, strip.sheet.width - RIGHT
    sheet.text(LEFT - 6, TOP - 9, "days at sea", WORDS, anchor="end")
    most = min((strip.foot - TOP) / LETTERS_PT, 6.0)
    every = next(step for step in (1, 2, 5, 10, 20, 50, 100) if (strip.high - strip.low) / step <= most)
    for days in range(math.ceil(strip.low / every) * every, int(strip.high) + 1, every):
        y = strip.y(24.0 * days)
        sheet.line([(LEFT, y), (right, y)], 0.25)
        sheet.text(LEFT - 6, y + 3, str(days), WORDS, anchor="end")


def _blade(strip: _Strip, number: int, start: Start) -> None:
    left, right = strip.x(number + 0.18), strip.x(number + 0.82)
    slow, typical, fast = (
        strip.y(hours) for hours in (start.times.slow_end_h, start.times.typical_h, start.times.fast_h)
    )
    if not math.isfinite(start.times.slow_end_h):
        middle = (left + right) / 2
        strip.sheet.line([(middle, slow), (middle, slow - NEVER_RISES)], 0.9)
    if start.stormy:
        strip.sheet.path(_box(left, slow, right, fast), 0.5, dash="1.6 1.4")
        strip.sheet.line([(left, typical), (right, typical)], 0.7)
        return
    strip.sheet.path(_box(left, slow, right, typical), 0.5, fill=TINT)
    strip.sheet.path(_box(left, typical, right, fast), 0.5, fill=BLACK)


def _box(left: float, top: float, right: float, foot: float) -> str:
    return f"M{left:.2f} {top:.2f}H{right:.2f}V{foot:.2f}H{left:.2f}Z"


def _seasons(strip: _Strip) -> None:
    """A heavy bar under every run of starts that meet too many storms, and once what it means."""
    runs: list[list[int]] = []
    for number, start in enumerate(strip.starts):
        if not start.stormy:
            continue
        if runs and runs[-1][-1] == number - 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    for run in runs:
        strip.sheet.line([(strip.x(run[0]), strip.foot), (strip.x(run[-1] + 1), strip.foot)], 3.0)
    if runs:
        words = f"heavy bar: too many storms; {CYCLONE_CAUTION}"
        strip.sheet.text(strip.sheet.width - RIGHT, TOP - 9, words, WORDS, bold=True, anchor="end")


def _bars(strip: _Strip, lane: _Lane, foot: float) -> None:
    most = max((figure for figure in lane.figures if figure is not None), default=0.0)
    strip.sheet.text(LEFT - 6, foot - LANE / 2 + 1, lane.words, SMALL, anchor="end")
    strip.sheet.text(LEFT - 6, foot - LANE / 2 + 10, f"up to {most:.0f} {lane.unit}", SMALL, anchor="end")
    strip.sheet.line([(LEFT, foot), (strip.sheet.width - RIGHT, foot)], 0.4)
    for number, figure in enumerate(lane.figures):
        if figure and most > 0.0:
            box = _box(strip.x(number + 0.3), foot - LANE * figure / most, strip.x(number + 0.7), foot)
            strip.sheet.path(box, 0.4, fill=TINT)


def _moons(strip: _Strip, southern: bool, y: float) -> None:
    """The moon of the last nights, as often as they fit side by side."""
    strip.sheet.text(LEFT - 6, y + 6, "last nights", SMALL, anchor="end")
    every = math.ceil((MOON + 0.5) / strip.step)
    for number, start in enumerate(strip.starts):
        if start.moon is None or number % every:
            continue
        place = f'<svg x="{strip.x(number + 0.5) - MOON / 2:.2f}" y="{y:.2f}" '
        strip.sheet.parts.append(
            moon(start.moon.lit_in_100 / 100.0, start.moon.phase.waxing, southern, MOON).replace("<svg ", place, 1)
        )


def _months(strip: _Strip, y: float) -> None:
    """A tick and a name where a month begins; without the first of a scan that begins in the middle of one."""
    for number, start in enumerate(strip.starts):
        before = strip.starts[number - 1].depart_utc if number else None
        if before is None or (before.year, before.month) == (start.depart_utc.year, start.depart_utc.month):
            continue
        strip.sheet.line([(strip.x(number), strip.foot), (strip.x(number), strip.foot + 3)], 0.6)
        strip.sheet.text(strip.x(number), y, MONTHS[start.depart_utc.month - 1][:3], WORDS)
    first = strip.starts[0].depart_utc if strip.starts else None
    if first is not None:
        last = strip.starts[-1].depart_utc
        years = f"{first.year}" if first.year == last.year else f"{first.year}/{last.year % 100:02d}"
        strip.sheet.text(LEFT - 6, y, f"leaving {years}", SMALL, anchor="end")
