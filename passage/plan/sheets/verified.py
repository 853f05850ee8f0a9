"""What ``passage verify`` says: every published check value beside ours, by area."""

from __future__ import annotations

from itertools import groupby
from math import ceil, isfinite, log10
from operator import attrgetter, itemgetter
from textwrap import shorten
from typing import TYPE_CHECKING

from passage.tell.blocks import Say, Size, Verbatim, grid, note, strong
from passage.tell.records import Record, reckoned, told
from passage.tell.terminal import blocks_text
from passage.verify import Checked

if TYPE_CHECKING:
    from collections.abc import Sequence


class Verified(Record):
    """Every check."""

    checks: tuple[Checked, ...] = told("published check values beside ours")

    @reckoned("how many checks")
    def check_count(self) -> int:
        return len(self.checks)

    @reckoned("how many do not hold")
    def failed_count(self) -> int:
        return sum(not check.holds for check in self.checks)


def verified_text(table: Verified) -> str:
    """The verdict, what does not hold in full, and a line for each area."""
    failed = [check for check in table.checks if not check.holds]
    by_area: dict[str, list[Checked]] = {}
    for check in table.checks:
        by_area.setdefault(check.area, []).append(check)
    areas = grid(
        by_area.items(),
        ("about", itemgetter(0), "left"),
        ("checks", lambda area: len(area[1])),
        ("hold", lambda area: sum(check.holds for check in area[1])),
        ("largest difference, in tolerances", lambda area: strong(_in_tolerances(area[1]))),
    )
    told = (
        Say(_verdict(table), Size.VERDICT),
        Verbatim((_HEAD, *(line for row in failed for line in (_line(row), _whose(row)))) if failed else ()),
        areas,
        note("Up to 1 it holds. Each value, and where it is published: passage verify --full."),
    )
    return blocks_text(told)


def _in_tolerances(checks: Sequence[Checked]) -> str:
    """To the hundredth above, so that what does not hold never reads as 1.00."""
    differ = [abs(check.difference) / check.tolerance for check in checks]
    return f"{ceil(100.0 * max(differ)) / 100.0:.2f}" if all(map(isfinite, differ)) else "no number"


def _verdict(table: Verified) -> str:
    failed = table.failed_count
    return f"{table.check_count} checks. {'All hold.' if not failed else f'{failed} DO NOT HOLD, marked !'}"


def _whose(row: Checked) -> str:
    return f"  from {shorten(row.source, 66)} [{row.standing}]"


def full_text(table: Verified) -> str:
    """One line of at most 79 letters for each check, gathered by area and source; a long name has a line to itself."""
    lines = [_HEAD]
    for area, of_area in groupby(table.checks, key=attrgetter("area")):
        lines += ["", area.upper()]
        for _, rows in groupby(of_area, key=attrgetter("source", "standing")):
            first, *others = rows
            lines += [_whose(first), *map(_line, (first, *others))]
    return "\n".join([*lines, "", _verdict(table)])


_NAME = 25  # letters of the name that stand beside the numbers
_HEAD = f"  {'check':<{_NAME}} {'published':>14} {'ours':>14} {'':<4} {'differs':>8} {'within':>7}"


def _line(row: Checked) -> str:
    """Values to the digit that the tolerance is of, so that a difference seen is one that counts."""
    decimals = min(max(0, ceil(-log10(row.tolerance))), 5)
    told, ours = (f"{value:.{decimals}f}" for value in (row.published, row.ours))
    name = row.what if len(row.what) <= _NAME else f"{row.what[:76]}\n  {'':<{_NAME}}"
    differs = f"{row.difference:.1e}" if row.difference else "0"
    mark = " " if row.holds else "!"
    return f"{mark} {name:<{_NAME}} {told:>14} {ours:>14} {row.unit:<4} {differs:>8} {row.tolerance:>7.2g}"
