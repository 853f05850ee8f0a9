"""Water: tanks, the three loading rules, the loss of each tank, the watermaker, and what is left by day."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from passage.plan import figures
from passage.plan.printed import Table, rounded
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.plan.sheets.answers import (
    FAN_HIGH_PT,
    in_100,
    rounded_up,
    tanks_lost_answer,
    time_marks,
    water_answer,
)
from passage.plan.sheets.times import days

if TYPE_CHECKING:
    from passage.consequences.stores.loading import Load
    from passage.consequences.stores.water import Water
    from passage.road import Outcome


def table(outcome: Outcome) -> Table:
    """Tanks, the three loading rules, the loss of each tank, the watermaker, and what is left by day."""
    store, crew = outcome.stores.water, outcome.facts.crew
    return rounded(
        {
            **water_answer(outcome),
            "crew_count": len(outcome.facts.crew.people),
            "crossings": outcome.times.members,
            "slow_end_days": outcome.times.slow_end_h / 24.0,
            "tanks": [
                {
                    "tank": tank.name,
                    "capacity_l": tank.capacity_l,
                    "filled_l": tank.capacity_l * tank.filled_share,
                    "unusable_l": tank.unusable_l,
                    "usable_l": math.floor(tank.usable_l),
                }
                for tank in store.tanks
            ],
            "rules": _rules(store.load),
            "otherwise": _otherwise(store),
            "tanks_lost": tanks_lost_answer(outcome),
            "survival_l_per_day": len(crew.people) * crew.water.survival_l_per_day,
            "by_day": [
                {"day": day, "slow_left_l": slow, "typical_left_l": typical, "quick_left_l": thrifty}
                for day, (slow, typical, thrifty) in enumerate(store.by_day_l.tolist(), start=1)
            ],
            "watermaker_words": _watermaker_words(outcome),
        }
    )


def _rules(load: Load) -> list[Table]:
    amounts = (load.to_slow_end, load.typical_and_half, load.survival_in_all)
    return [
        {"rule": rule, "load_l": rounded_up(amount), "governs": rule == load.governs}
        for rule, amount in zip(load.rules, amounts, strict=True)
    ]


def _otherwise(water: Water) -> list[Table]:
    return [
        {
            "way": other.words,
            "daily_l_per_day": other.daily_l,
            "load_l": rounded_up(other.load.amount),
            "short_in_100": in_100(other.short),
        }
        for other in water.otherwise
    ]


def _watermaker_words(outcome: Outcome) -> str:
    """What is made and caught, what it takes, and what happens when it fails; '' where nothing is."""
    water = outcome.stores.water
    making, members = water.watermaking, outcome.times.members
    caught = f"Rain is counted at {24 * making.caught_l_h:.1f} litres a day, because you claim it."
    if making.made_l_h <= 0:
        return caught if making.caught_l_h > 0 else ""
    fails = (
        f"Should it fail on the first day, water runs out in {round(water.short_if_watermaker_fails * members):,} of "
    )
    made = f"The watermaker makes up to {24 * making.made_l_h:.1f} litres a day for {making.energy_wh_per_day:.0f} Wh. "
    return f"{made}{fails}{members:,} crossings. What to load counts on neither it nor rain." + (
        f" {caught}" if making.caught_l_h > 0 else ""
    )


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    to_day, water = len(days(outcome)), outcome.stores.water
    left = np.vstack([np.full(3, water.loaded_l), water.by_day_l[:to_day]])[: to_day + 1]
    return {
        "water": figures.fan(
            np.arange(len(left), dtype=float), left, time_marks(outcome), "litres", room.wide_pt, FAN_HIGH_PT
        )
    }


KEYS = {
    "tanks": "the tanks one by one",
    "capacity_l": "what it holds, litres",
    "filled_l": "what is in it at departure, litres",
    "unusable_l": "what cannot be drawn, litres",
    "usable_l": "what can be drawn, litres",
    "rules": "the three loading rules",
    "rule": "its words",
    "otherwise": "the same crossings with water used otherwise: the ordinary ration, warmer and cooler air, an awning",
    "way": "in what way",
    "short_in_100": "crossings of a hundred in which it runs out, rounded up",
    "survival_l_per_day": "survival ration of the whole crew, litres a day",
    "slow_left_l": "litres left, 1 crossing in 10 has less",
    "typical_left_l": "litres left in the middle one",
    "quick_left_l": "litres left, 1 crossing in 10 has more",
    "watermaker_words": "the watermaker, its energy and its failure, and rain claimed; empty where there is none",
}

SHEET = Sheet("water", table, drawings, keys=KEYS)
