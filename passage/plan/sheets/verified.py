"""What ``passage verify`` says: every published check value beside ours, by area."""

from __future__ import annotations

from itertools import groupby
from math import ceil, log10
from operator import attrgetter
from textwrap import shorten

from passage.tell.records import Record, reckoned, told
from passage.verify import Checked


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
    """One line of at most 79 letters for each check, gathered by area and source; a long name has a line to itself."""
    lines = [_HEAD]
    for area, of_area in groupby(table.checks, key=attrgetter("area")):
        lines += ["", area.upper()]
        for (source, standing), rows in groupby(of_area, key=attrgetter("source", "standing")):
            lines += [f"  from {shorten(source, 66)} [{standing}]", *map(_line, rows)]
    failed = table.failed_count
    told = "All hold." if not failed else f"{failed} DO NOT HOLD, marked !"
    return "\n".join([*lines, "", f"{table.check_count} checks. {told}"])


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
