"""What ``passage verify`` says: every published check value beside ours, by area."""

from __future__ import annotations

from itertools import groupby
from math import ceil, log10
from operator import itemgetter
from textwrap import shorten
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.plan.printed import Table
    from passage.verify import Checked


def verified_table(checks: Sequence[Checked]) -> Table:
    """The checks as they are: published values are not rounded for print."""
    rows = [
        {
            "area": check.area,
            "what": check.what,
            "published": check.published,
            "ours": check.ours,
            "difference": check.difference,
            "tolerance": check.tolerance,
            "unit": check.unit,
            "holds": check.holds,
            "source": check.source,
            "standing": check.standing,
        }
        for check in checks
    ]
    return {"checks": rows, "check_count": len(rows), "failed_count": sum(not check.holds for check in checks)}


def verified_text(table: Table) -> str:
    """One line of at most 79 letters for each check, gathered by area and source; a long name has a line to itself."""
    lines = [_HEAD]
    for area, of_area in groupby(table["checks"], key=itemgetter("area")):
        lines += ["", area.upper()]
        for (source, standing), rows in groupby(of_area, key=itemgetter("source", "standing")):
            lines += [f"  from {shorten(source, 66)} [{standing}]", *map(_line, rows)]
    failed = table["failed_count"]
    told = "All hold." if not failed else f"{failed} DO NOT HOLD, marked !"
    return "\n".join([*lines, "", f"{table['check_count']} checks. {told}"])


_NAME = 25  # letters of the name that stand beside the numbers
_HEAD = f"  {'check':<{_NAME}} {'published':>14} {'ours':>14} {'':<4} {'differs':>8} {'within':>7}"


def _line(row: Table) -> str:
    """Values to the digit that the tolerance is of, so that a difference seen is one that counts."""
    decimals = min(max(0, ceil(-log10(row["tolerance"]))), 5)
    told, ours = (f"{row[key]:.{decimals}f}" for key in ("published", "ours"))
    name = row["what"] if len(row["what"]) <= _NAME else f"{row['what'][:76]}\n  {'':<{_NAME}}"
    differs = f"{row['difference']:.1e}" if row["difference"] else "0"
    mark = " " if row["holds"] else "!"
    return f"{mark} {name:<{_NAME}} {told:>14} {ours:>14} {row['unit']:<4} {differs:>8} {row['tolerance']:>7.2g}"


KEYS = {
    "checks": "published check values beside ours",
    "area": "what they are about",
    "published": "the published value",
    "ours": "what this machine makes of it",
    "difference": "ours less published",
    "tolerance": "how far it may differ",
    "unit": "unit of both",
    "holds": "whether it is within the tolerance",
    "standing": "how the value is known: S or R read, R2 second-hand, M memory, D derived, T another tool",
    "check_count": "how many checks",
    "failed_count": "how many do not hold",
}
