"""How long each part of a plan took to make, for those who make it faster."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.plan.columns import ASIDE
from passage.plan.printed import Table, rounded

if TYPE_CHECKING:
    from passage.steps import Steps

STARTING = "starting"  # before the first step and between them: the command and what it loads


def table(steps: Steps, meanwhile_s: float = 0.0) -> Table:
    """Every step in the order first begun, and what no step accounts for; meanwhile_s: what a mate was busy."""
    total = steps.since_loaded
    seconds = {STARTING: total - sum(steps.seconds.values()), **steps.seconds}
    rows = [{"step": step, "step_time_s": took, "step_share": took / total} for step, took in seconds.items()]
    return rounded({"timings": rows, "total_time_s": total, "meanwhile_time_s": meanwhile_s})


def text(table: Table) -> str:
    rows = [(row["step"], row["step_time_s"], row["step_share"]) for row in table["timings"]]
    lines = [f"{step:<{ASIDE}}{took_s:7.2f} s {100 * share:4.0f} %" for step, took_s, share in rows]
    lines.append(f"{'in all':<{ASIDE}}{table['total_time_s']:7.2f} s")
    if table["meanwhile_time_s"]:
        lines.append(f"{'meanwhile':<{ASIDE}}{table['meanwhile_time_s']:7.2f} s by a second process")
    return "\n".join(lines)


KEYS = {
    "timings": "steps of the making, in the order first begun, with --timings",
    "step": "what was done: a sheet of the plan by its name, or a part of the work around them",
    "step_time_s": "how long it took, seconds; a sheet pays for what it is the first to ask for",
    "step_share": "the same as a share of all, 0 to 1",
    "total_time_s": "seconds since the tool was loaded",
    "meanwhile_time_s": "seconds of work that a second process did meanwhile, 0 without one",
}
