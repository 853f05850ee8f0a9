"""What ``passage verify`` says: every published check value beside ours, by area."""

from __future__ import annotations

from itertools import groupby
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
    """One line for each check, gathered by area."""
    lines = []
    for area, rows in groupby(table["checks"], key=lambda row: row["area"]):
        lines += ["", area.upper()]
        for row in rows:
            mark = "  " if row["holds"] else "! "
            lines.append(
                f"{mark}{row['what'][:42]:<42} {row['published']:>14.8g} {row['ours']:>14.8g} {row['unit']:<4}"
            )
            lines.append(f"    within {row['tolerance']:.2g}; {row['source'][:58]} [{row['standing']}]")
    failed = table["failed_count"]
    told = "All hold." if not failed else f"{failed} DO NOT HOLD, marked !"
    head = f"  {'published check value':<42} {'published':>14} {'ours':>14}"
    return "\n".join([head, *lines, "", f"{table['check_count']} checks. {told}"])


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
