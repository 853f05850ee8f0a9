"""How she stands to what was planned: ahead, with it or behind, by the miles that the plan's crossings had made."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from passage.tell.figures import day_words

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime


class Beside(StrEnum):
    """Beyond what 9 crossings in 10 of the plan had made by this hour, among them, or short of what 9 in 10 had."""

    AHEAD = "ahead of the plan"
    WITH = "with the plan"
    BEHIND = "behind the plan"
    UNSAID = "not said"  # no plan, or not a day out


class PlanMiles(NamedTuple):
    """The plan's miles for an hour: 1 crossing in 10 has less than the least, 1 in 10 more than the most."""

    least: float
    typical: float
    most: float


def _plan_miles(plan: Mapping[str, Any], hours_out: float) -> PlanMiles | None:
    """The plan's miles for this hour; None without a plan or before the first day is out."""
    rows = plan.get("by_day", [])
    if not rows or hours_out < 24.0:
        return None
    days = np.arange(len(rows) + 1)
    table = np.vstack([np.zeros(3), np.array(rows, dtype=float)])
    return PlanMiles(*(float(np.interp(hours_out / 24.0, days, column)) for column in table.T))


def beside(plan: Mapping[str, Any], hours_out: float, made_good_nm: float) -> Beside:
    planned_nm = _plan_miles(plan, hours_out)
    if planned_nm is None:
        return Beside.UNSAID
    if made_good_nm < planned_nm.least:
        return Beside.BEHIND
    return Beside.AHEAD if made_good_nm > planned_nm.most else Beside.WITH


def beside_plan(plan: Mapping[str, Any], hours_out: float, made_good_nm: float, since: datetime | None) -> str:
    """How she stands to the plan and since when, a sentence; empty without a plan or before the first day is out."""
    planned_nm = _plan_miles(plan, hours_out)
    if planned_nm is None:
        return ""
    stands = beside(plan, hours_out, made_good_nm)
    how_long = f"since {day_words(since)}" if since else "since she sailed"
    miles = f"{made_good_nm:.0f} miles made good, {planned_nm.typical:.0f} planned"
    many = {
        Beside.AHEAD: f"9 crossings in 10 of the plan had made fewer than {planned_nm.most:.0f}",
        Beside.BEHIND: f"9 crossings in 10 of the plan had made more than {planned_nm.least:.0f}",
    }.get(stands, f"8 crossings in 10 of the plan had made {planned_nm.least:.0f} to {planned_nm.most:.0f}")
    return f"{stands}, {how_long}: {miles}; {many}"
