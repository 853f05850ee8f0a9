"""Water: tanks, the three loading rules, the loss of each tank, what is left by day, and the hand table."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from passage.plan import figures
from passage.plan.columns import aside, joined
from passage.plan.handtable import water_by_miles_to_go
from passage.plan.printed import Table, rounded, shown
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.plan.sheets.answers import (
    FAN_HIGH_PT,
    load_lines,
    lost_line,
    rounded_up,
    tanks_lost_answer,
    time_marks,
    water_answer,
)

if TYPE_CHECKING:
    from passage.consequences.stores.loading import Load
    from passage.road import Outcome


def table(outcome: Outcome) -> Table:
    """Tanks, the three loading rules, the loss of each tank, what is left by day, and the hand table."""
    store, crew = outcome.stores.water, outcome.facts.crew
    return rounded(
        {
            **water_answer(outcome),
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
            "tanks_lost": tanks_lost_answer(outcome),
            "survival_l_per_day": len(crew.people) * crew.water.survival_l_per_day,
            "by_day": [
                {"day": day, "slow_left_l": slow, "typical_left_l": typical, "quick_left_l": thrifty}
                for day, (slow, typical, thrifty) in enumerate(store.by_day_l.tolist(), start=1)
            ],
            "by_miles_to_go": water_by_miles_to_go(outcome),
        }
    )


def _rules(load: Load) -> list[Table]:
    amounts = (load.to_slow_end, load.typical_and_half, load.survival_in_all)
    return [
        {"rule": rule, "load_l": rounded_up(amount), "governs": rule == load.governs}
        for rule, amount in zip(load.rules, amounts, strict=True)
    ]


def text(table: Table) -> str:
    """Does it last, the three rules, each tank lost, and the hand table."""
    w = shown(table)
    rules = [
        f"{rule['load_l']} litres: {rule['rule']}{', which decides' if rule['governs'] else ''}" for rule in w["rules"]
    ]
    rows = [
        f"{row['to_go_nm']:>10}{row['typical_days']:>10}{row['slow_end_days']:>10}{row['least_aboard_l']:>12}"
        f"{row['survival_l']:>12}"
        for row in w["by_miles_to_go"]
    ]
    head = f"{'miles to go':>11}{'typical d':>10}{'slow d':>9}{'least L':>12}{'survival L':>12}"
    return joined(
        [
            list(load_lines(w, w["crossings"])),
            aside("To load", rules),
            aside("One tank lost", [lost_line(tank) for tank in w["tanks_lost"]]),
            ["The least that should still be aboard:", head, *rows],
        ]
    )


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    to_day, water = len(tables["times"]["by_day"]), outcome.stores.water
    left = np.vstack([np.full(3, water.loaded_l), water.by_day_l[:to_day]])[: to_day + 1]
    days = np.arange(len(left), dtype=float)
    return {"water": figures.fan(days, left, time_marks(outcome), "litres", room.wide_pt, FAN_HIGH_PT)}


KEYS = {
    "tanks": "the tanks one by one",
    "capacity_l": "what it holds, litres",
    "filled_l": "what is in it at departure, litres",
    "unusable_l": "what cannot be drawn, litres",
    "usable_l": "what can be drawn, litres",
    "rules": "the three loading rules",
    "rule": "its words",
    "survival_l_per_day": "survival ration of the whole crew, litres a day",
    "slow_left_l": "litres left, 1 crossing in 10 has less",
    "typical_left_l": "litres left in the middle one",
    "quick_left_l": "litres left, 1 crossing in 10 has more",
    "by_miles_to_go": "the hand table",
    "to_go_nm": "miles to go",
    "least_aboard_l": "litres that should still be aboard",
    "survival_l": "litres that give the survival ration to the slow end",
}

SHEET = Sheet("water", table, drawings, keys=KEYS)
