"""The strip of a season: a line for every passage, the days of the year across, and its walls under them.

A passage is black from the typical departure to the typical landfall and tinted to the slow end; the thin line behind
it is the days in port. A wall is a hatched bar in a line of its own, and broken lines rise from its ends through the
passages that it keeps her from.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from passage.inputs.months import MONTHS
from passage.plan.svg import BLACK, TINT, Canvas

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from passage.plan.sheets.season import PassageTold, SeasonTold, WallTold

    Days = Callable[[date], float]

LEFT, RIGHT, TOP = 118.0, 6.0, 16.0
LANE, BAR = 21.0, 10.0  # a line, and the bar in it
WORDS, SMALL = 8.5, 7.5


def months_between(first: date, last: date) -> Iterator[date]:
    """The first day of every month that begins on these days."""
    day = date(first.year + first.month // 12, first.month % 12 + 1, 1) if first.day > 1 else first
    while day <= last:
        yield day
        day = date(day.year + day.month // 12, day.month % 12 + 1, 1)


def ends_of(told: SeasonTold) -> tuple[date, date]:
    """The first and the last day to be drawn, the walls' own only as far as half a month beyond hers."""
    days = [day for each in told.passages for day in (each.leaves_utc, each.arrives_utc, each.arrives_slow_utc) if day]
    days += [each.port.until_utc for each in told.passages if each.port and each.port.until_utc]
    return min(days) - timedelta(days=10), max(days) + timedelta(days=15)


def season_strip(told: SeasonTold, width: float = 500.0) -> str:
    """The strip as SVG, size in points."""
    walls = list({each.wall: each for each in told.walls}.values())
    height = TOP + LANE * (len(told.passages) + len(walls)) + 22.0
    sheet = Canvas(width, height)
    first, last = ends_of(told)

    def x(day: date) -> float:
        share = (min(max(day, first), last) - first) / (last - first)
        return LEFT + (width - LEFT - RIGHT) * share

    foot = TOP + LANE * (len(told.passages) + len(walls))
    for month in months_between(first, last):
        sheet.line([(x(month), TOP - 4), (x(month), foot)], 0.25)
        sheet.text(x(month) + 2, foot + 10, MONTHS[month.month - 1][:3], SMALL)
        if month.month == 1 or month == next(months_between(first, last)):
            sheet.text(x(month) + 2, foot + 19, str(month.year), SMALL)
    for number, one in enumerate(told.passages):
        _passage(sheet, one, TOP + LANE * number, x)
    for number, wall in enumerate(walls, len(told.passages)):
        _wall(sheet, wall, [each for each in told.walls if each.wall == wall.wall], TOP + LANE * number, x)
    return sheet.svg()


def _passage(sheet: Canvas, one: PassageTold, top: float, x: Days) -> None:
    middle, foot = top + LANE / 2, top + (LANE + BAR) / 2
    _name(sheet, f"{one.number}  {one.passage}", middle)
    leaves, arrives = x(one.leaves_utc), x(one.arrives_utc)
    if one.arrives_slow_utc:
        sheet.path(_box(leaves, foot - BAR, x(one.arrives_slow_utc), foot), 0.6, fill=TINT)
    sheet.path(_box(leaves, foot - BAR, arrives, foot), 0.6, fill=BLACK)
    port = one.port
    if port and port.until_utc:
        sheet.line([(arrives, foot + 2.5), (x(port.until_utc), foot + 2.5)], 0.9)
        after = x(one.arrives_slow_utc) if one.arrives_slow_utc else arrives
        sheet.paper((after + 1.5, foot - BAR, after + 5 + 0.55 * SMALL * len(port.name), foot))
        sheet.text(after + 3, foot - 2.0, port.name, SMALL)


def _wall(sheet: Canvas, wall: WallTold, kept: Sequence[WallTold], top: float, x: Days) -> None:
    middle, foot = top + LANE / 2, top + (LANE + BAR) / 2
    _name(sheet, wall.wall, middle)
    left, right = x(wall.first_day), x(wall.last_day)
    if right - left < 0.5:
        return
    sheet.path(_box(left, foot - BAR, right, foot), 0.8)
    step = 5.0
    for number in range(int((right - left) / step) + 1):
        start = left + step * number
        end = min(start + BAR, right)
        sheet.line([(start, foot), (end, foot - (end - start))], 0.5)
    highest = min(TOP + LANE * (each.number - 1) for each in kept)
    for edge in (left, right):
        sheet.line([(edge, highest), (edge, foot - BAR)], 0.7, dash="2 2")


def _name(sheet: Canvas, words: str, middle: float) -> None:
    """In two lines where it is long."""
    parts = words.split()
    lines = [""]
    for part in parts:
        if len(lines[-1]) + len(part) > 24 and lines[-1] and len(lines) < 2:
            lines.append("")
        lines[-1] = f"{lines[-1]} {part}".strip()
    first = middle + 3 - 4.5 * (len(lines) - 1)
    for number, line in enumerate(lines):
        sheet.text(LEFT - 6, first + 9 * number, line, SMALL if len(lines) > 1 else WORDS, anchor="end")


def _box(left: float, top: float, right: float, foot: float) -> str:
    return f"M{left:.2f} {top:.2f}H{max(right, left + 0.8):.2f}V{foot:.2f}H{left:.2f}Z"
