"""The small drawings of the plan: the spread of passage times, distance to go, water left, the face of the moon."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.plan.face import width_em
from passage.plan.svg import BLACK, TINT, Canvas, closed_path

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.consequences.times import Times

    Floats = NDArray[np.float64]

LEFT, RIGHT, TOP, BOTTOM = 40.0, 12.0, 34.0, 30.0
FAN_HIGH_PT = 165.0
WORDS = 8.5
MARK_ROWS = 3
DAY_APART_PT = 18.0  # between the numbers of days


@dataclass(frozen=True)
class Mark:
    """A day to be marked across a figure, with its words."""

    day: float
    words: str


def time_marks(times: Times) -> list[Mark]:
    """The days of the quick end, the typical passage and the slow end to be marked across a figure."""
    named = (("quick", times.quick_days), ("typical", times.typical_days), ("slow end", times.slow_end_days))
    return [Mark(float(days), f"{name} {days}") for name, days in named if math.isfinite(days)]


@dataclass(frozen=True)
class _Axes:
    """Days across, an amount upwards, on a sheet of paper."""

    sheet: Canvas
    days: tuple[float, float]
    most: float
    least: float = 0.0

    def x(self, day: float) -> float:
        low, high = self.days
        return LEFT + (self.sheet.width - LEFT - RIGHT) * (day - low) / (high - low)

    def y(self, amount: float) -> float:
        high = self.sheet.height - TOP - BOTTOM
        return TOP + high * (self.most - amount) / (self.most - self.least)

    def points(self, days: Floats, amounts: Floats) -> Floats:
        return np.array([(self.x(day), self.y(amount)) for day, amount in zip(days, amounts, strict=True)])


def passage_times(arrival_days: Floats, marks: Sequence[Mark], width: float, height: float) -> str:
    """How many crossings in a hundred are in on each day out. arrival_days: (members,), infinite where never."""
    arrived = arrival_days[np.isfinite(arrival_days)]
    if not len(arrived):
        return Canvas(width, height).svg()
    first, last = math.floor(arrived.min()), math.floor(arrived.max()) + 1
    share = 100.0 * np.histogram(arrived, np.arange(first, last + 1))[0] / len(arrival_days)
    axes = _Axes(Canvas(width, height), (first - 0.5, last + 0.5), _round_top(float(share.max())))
    for day, tall in enumerate(share, start=first):
        left, right, top, foot = axes.x(day + 0.06), axes.x(day + 0.94), axes.y(tall), axes.y(0.0)
        axes.sheet.path(f"M{left:.2f} {foot:.2f}V{top:.2f}H{right:.2f}V{foot:.2f}Z", 0.7, fill=TINT)
    _frame(axes, "days out", "in 100", grid=False)
    _marks(axes, marks)
    return axes.sheet.svg()


class Lines(NamedTuple):
    """More lines of a fan, both broken: an amount not to fall below, and another case's typical crossing, (n,)."""

    level: float
    beside: Floats


def fan(
    days: Floats,
    amounts: Floats,
    marks: Sequence[Mark],
    unit: str,
    width: float,
    height: float,
    more: Lines | None = None,
) -> str:
    """An amount by days out: the typical crossing a heavy line, most crossings between the two light ones.

    days: (n,); amounts: (n, 3) least, typical, most (either end first); marks: days marked across it.
    """
    low = min(0.0, float(amounts.min()))
    most = _round_top(float(amounts.max()))
    last = max(float(days[-1]), 1.0)  # a passage of hours still has a first day
    axes = _Axes(Canvas(width, height), (0.0, last), most, -_round_top(-low) if low < 0 else 0.0)
    edge = np.concatenate([axes.points(days, amounts[:, 0]), axes.points(days, amounts[:, 2])[::-1]])
    axes.sheet.path(closed_path(edge), 0, fill=TINT)
    _frame(axes, "days out", unit)
    for column, weight in ((0, 0.6), (2, 0.6), (1, 1.8)):
        axes.sheet.line(axes.points(days, amounts[:, column]), weight)
    if low < 0:
        axes.sheet.line([(axes.x(0.0), axes.y(0.0)), (axes.x(axes.days[1]), axes.y(0.0))], 1.6)
    if more:
        axes.sheet.line(axes.points(days, more.beside), 0.9, dash="1 2.4")
        axes.sheet.line(
            [(axes.x(days[0]), axes.y(more.level)), (axes.x(days[-1]), axes.y(more.level))], 1.4, dash="6 3"
        )
    _marks(axes, marks)
    return axes.sheet.svg()


def _round_top(amount: float) -> float:
    """The least of 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8 times a power of ten that holds the amount."""
    power = 10.0 ** math.floor(math.log10(max(amount, 1e-9)))
    return next(power * step for step in (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10) if power * step >= amount * 0.9999)


def _step(span: float, most_lines: int) -> float:
    power = 10.0 ** math.floor(math.log10(span))
    return next(
        scale * step for scale in (power / 10.0, power) for step in (1, 2, 5, 10) if span / (scale * step) <= most_lines
    )


def _frame(axes: _Axes, across: str, upwards: str, grid: bool = True) -> None:
    sheet = axes.sheet
    left, right, foot = axes.x(axes.days[0]), axes.x(axes.days[1]), axes.y(axes.least)
    step = _step(axes.most - axes.least, 5)
    for amount in np.arange(math.ceil(axes.least / step - 1e-9), math.floor(axes.most / step + 1e-9) + 1) * step:
        if grid:
            sheet.line([(left, axes.y(amount)), (right, axes.y(amount))], 0.25)
        sheet.text(left - 4, axes.y(amount) + 3, f"{amount:,.0f}".replace("-", "−"), WORDS, anchor="end")
    most_days = min(15, int((right - left) / DAY_APART_PT))
    day_step = max(_step(axes.days[1] - axes.days[0], most_days), 1.0)
    first = math.ceil(axes.days[0] / day_step)
    for day in np.arange(first, math.floor(axes.days[1] / day_step) + 1) * day_step:
        sheet.line([(axes.x(day), foot), (axes.x(day), foot + 3)], 0.6)
        sheet.text(axes.x(day), foot + 12, f"{day:.0f}", WORDS, anchor="middle")
    sheet.line([(left, foot), (right, foot)], 0.9)
    sheet.line([(left, foot), (left, axes.y(axes.most))], 0.9)
    sheet.text((left + right) / 2, foot + 24, across, WORDS, anchor="middle")
    sheet.text(left - 4, TOP - 8, upwards, WORDS, anchor="end")


def _marks(axes: _Axes, marks: Sequence[Mark]) -> None:
    """Lines across the figure, their words above it in as many rows as they need."""
    ends = [-math.inf] * MARK_ROWS
    for mark in sorted(marks, key=lambda mark: mark.day):
        if not axes.days[0] <= mark.day <= axes.days[1]:
            continue
        x, wide = axes.x(mark.day), width_em(mark.words, bold=True) * WORDS
        start = min(max(x - wide / 2, LEFT + 18), axes.sheet.width - wide)
        row = next((row for row in range(MARK_ROWS) if ends[row] + 6 < start), MARK_ROWS - 1)
        ends[row] = start + wide
        baseline = TOP - 4 - 10 * row
        axes.sheet.line([(x, axes.y(axes.least)), (x, baseline + 2)], 0.9, dash="3 2.2")
        axes.sheet.text(start, baseline, mark.words, WORDS, bold=True)


def moon(lit_share: float, waxing: bool, southern: bool, size: float = 11.0) -> str:
    """The moon as she stands in the sky: the dark part black; seen from south of the equator she is turned about.

    lit_share: 0 new, 1 full.
    """
    sheet = Canvas(size, size)
    middle, radius = size / 2, size / 2 - 0.6
    sheet.dot(middle, middle, radius, fill="#fff", width=0.8)
    lit_right = waxing != southern
    bulge = radius * (1.0 - 2.0 * lit_share)  # the shadow's edge: beyond the middle while less than half is lit
    dark_side, edge_side = (0, int(bulge > 0)) if lit_right else (1, int(bulge <= 0))
    top, foot = f"{middle:.2f} {middle - radius:.2f}", f"{middle:.2f} {middle + radius:.2f}"
    limb = f"A{radius:.2f} {radius:.2f} 0 0 {dark_side} {foot}"
    shadow = f"A{abs(bulge):.3f} {radius:.2f} 0 0 {1 - edge_side} {top}"
    sheet.path(f"M{top}{limb}{shadow}Z", width=0, fill=BLACK)
    return sheet.svg()
