"""Food: what each needs, what is aboard and until when, dinners, what to buy and to eat first, what is left."""

from __future__ import annotations

import math
from collections import defaultdict
from datetime import timedelta
from itertools import groupby
from typing import TYPE_CHECKING

from passage.plan.columns import aside
from passage.plan.printed import Table, day_words, rounded, shown
from passage.plan.sheet import Sheet

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from passage.consequences.stores.audit import Audit
    from passage.consequences.stores.landfall import Stores
    from passage.consequences.stores.need import PersonNeed
    from passage.consequences.stores.shopping import FreshRow, Provision
    from passage.road import Outcome

NEED_SOURCE = (
    "At rest by Schofield (1985) as FAO/WHO/UNU (2004) prints it, good for groups: one person may differ by the figure "
    "given and more. Times the activity of the day's weather, set in stores.toml. Protein: WHO/FAO/UNU (2007)."
)
NO_DAYS = "No crossing arrives, so there are no days to lay food in for."


def table(outcome: Outcome) -> Table:
    """Needs, the audit of what is aboard, and what is planned beyond it."""
    told = outcome.stores
    larder, audit, bought = told.larder, told.audit, told.provision
    return rounded(
        {
            "people": [_person(person) for person in told.people],
            "need_source": NEED_SOURCE,
            "need_kcal_per_day": told.food.daily,
            "slow_end_day": larder.days if larder else None,
            "aboard_words": _aboard_words(audit) if audit else NO_DAYS,
            "aboard_lasts_day": audit.lasts_days if audit else None,
            "protein_lasts_day": audit.protein_lasts_days if audit else None,
            "by_day": _by_day(told, outcome.noons[0].ship_date),
            "dinners_words": _dinners_words(outcome),
            "least_words": "cheaper" if outcome.facts.provisions.diet.minimise == "cost" else "lighter",
            **_bought(told, bought),
        }
    )


def _person(person: PersonNeed) -> Table:
    return {
        "person": person.role,
        "at_rest_kcal": person.basal_kcal,
        "give_or_take_kcal": person.error_kcal,
        "self_steered_kcal": person.self_steered_kcal,
        "mixed_kcal": person.mixed_kcal,
        "heavy_kcal": person.heavy_kcal,
        "protein_g": 1000.0 * person.protein_kg,
    }


def _aboard_words(audit: Audit) -> str:
    days = len(audit.days)
    if audit.edible_kcal <= 0:
        return "pantry.csv counts no food aboard, so everything is still to be bought."
    if audit.enough:
        return f"What is aboard already feeds all to the slow end, day {days}."
    energy, protein = _through(audit.lasts_days), _through(audit.protein_lasts_days)
    return (
        f"Of the {days} days to the slow end, what is aboard already gives the energy needed {energy}, the protein "
        f"{protein}; the list buys the rest."
    )


def _through(last_day: int) -> str:
    return f"through day {last_day}" if last_day else "for no whole day"


def _dated(day: date) -> Table:
    return {"ship_date": day.isoformat(), "date_words": day_words(day)}


def _by_day(told: Stores, departs: date) -> list[Table]:
    """departs: by ship's time; day 1 begins then, and each is dated by its beginning."""
    if told.audit is None:
        return []
    bought = told.provision
    fresh: dict[int, list[FreshRow]] = defaultdict(list)
    for row in bought.fresh if bought else ():
        fresh[row.day].append(row)
    served = bought.dinners.served if bought else (None,) * len(told.audit.days)
    return [
        {
            "day": day.day,
            **_dated(departs + timedelta(days=day.day - 1)),
            "need_kcal": day.need_kcal,
            "aboard_gives_kcal": day.found_kcal,
            "enough": day.enough,
            "spoiled_g": 1000.0 * day.spoiled_kg,
            "dinner": dinner or "",
            "eat_first": [
                {"item": row.item, "eat_g": 1000.0 * row.eaten_kg, "good_until_day": row.good_until_day}
                for row in fresh[day.day]
            ],
        }
        for day, dinner in zip(told.audit.days, served, strict=True)
    ]


def _dinners_words(outcome: Outcome) -> str:
    bought = outcome.stores.provision
    if bought is None:
        return ""
    if not outcome.facts.provisions.dinners:
        return "No dinners are given in stores.toml; the list feeds all without them."
    if not bought.dinners.without:
        return ""
    days = _runs(bought.dinners.without)
    return f"No dinner is left by the limits given on day {days}; those days eat from the list without one."


def _runs(days: Sequence[int]) -> str:
    """Whole days in rising order as ``4, 6 to 9, 12``."""
    runs: list[list[int]] = []
    for day in days:
        if runs and day == runs[-1][-1] + 1:
            runs[-1].append(day)
        else:
            runs.append([day])
    parts = [", ".join(map(str, run)) if len(run) < 3 else f"{run[0]} to {run[-1]}" for run in runs]
    return ", ".join(parts)


def _bought(told: Stores, bought: Provision | None) -> Table:
    if bought is None:
        return {"cannot_words": told.no_provision, "shopping": [], "left": []}
    unpriced = f"{len(bought.unpriced)} of the items have no price." if bought.unpriced and bought.price else ""
    return {
        "cannot_words": told.no_provision,
        "shopping": [
            {
                "aisle": row.aisle,
                "item": row.item,
                "packs": row.packs,
                "pack_g": 1000.0 * row.pack_kg,
                "gross_kg": row.gross_kg,
                "energy_kcal": row.energy_kcal,
                "price": row.price,
            }
            for row in bought.shopping
        ],
        "shopping_gross_kg": bought.bought_kg,
        "shopping_kcal": bought.bought_kcal,
        "shopping_price": bought.price or None,
        "unpriced_words": unpriced,
        "reserve_day_count": bought.reserve_days,
        "above_least_in_100": math.ceil(100.0 * bought.gap_share - 1e-9),
        "left": [
            {"item": row.item, "left_g": 1000.0 * row.left_kg, "ashore": row.ashore}
            for row in sorted(bought.left, key=lambda row: row.ashore)
        ],
    }


# ---------------------------------------------------------------- in the terminal


def food_lines(table: Table) -> list[list[str]]:
    """Blocks of lines: need, audit, the shopping list by aisle, what to eat first, what is left."""
    f = shown(table)
    people = [
        f"{row['person']}: {row['self_steered_kcal']} to {row['heavy_kcal']} kcal a day by the weather, at rest "
        f"{row['at_rest_kcal']} give or take {row['give_or_take_kcal']}"
        for row in f["people"]
    ]
    return [
        aside("Food", [*people, f["need_source"], f["aboard_words"]]),
        aside("Cannot buy", [f["cannot_words"]] if f["cannot_words"] else []),
        _shopping_lines(f),
        aside("Eat first", _first_lines(f)),
        aside("Dinners", _dinner_lines(f)),
        aside("Left, typical", _left_lines(f)),
    ]


def _shopping_lines(f: Table) -> list[str]:
    if not f["shopping"]:
        return []
    aisles = [
        f"{aisle}: " + ", ".join(f"{row['packs']} x {row['pack_g']} g {row['item']}" for row in rows)
        for aisle, rows in groupby(f["shopping"], key=lambda row: row["aisle"])
    ]
    total = f"{f['shopping_gross_kg']} kg with packaging; {f['reserve_day_count']} days' no-cook reserve in it"
    return aside("To buy", [total, *aisles])


def _first_lines(f: Table) -> list[str]:
    return [
        f"{_day(day)}: " + ", ".join(f"{row['item']} {row['eat_g']} g" for row in day["eat_first"])
        for day in f["by_day"]
        if day["eat_first"]
    ]


def _dinner_lines(f: Table) -> list[str]:
    served = [f"{_day(day)}: {day['dinner']}" for day in f["by_day"] if day["dinner"]]
    return [*served, *([f["dinners_words"]] if f["dinners_words"] else [])]


def _day(day: Table) -> str:
    return f"day {day['day']}, {day['date_words']}"


def _left_lines(f: Table) -> list[str]:
    said = {True: "may as a rule be landed", False: "may not be landed"}
    return [
        f"{said[ashore]}: " + ", ".join(f"{row['item']} {row['left_g']} g" for row in rows)
        for ashore, rows in groupby(f["left"], key=lambda row: row["ashore"])
    ]


KEYS = {
    "people": "what each person needs a day",
    "person": "by role",
    "at_rest_kcal": "basal metabolic rate, kcal",
    "give_or_take_kcal": "its standard error for one person, kcal",
    "self_steered_kcal": "need on a self-steered day, kcal",
    "mixed_kcal": "need on a mixed day, kcal",
    "heavy_kcal": "need in heavy weather, kcal",
    "protein_g": "protein, g",
    "need_source": "where the needs come from",
    "need_kcal_per_day": "mean need of all aboard, kcal a day",
    "slow_end_day": "day out of the slow end, to which food is laid in",
    "aboard_words": "how far what is aboard goes, in words",
    "aboard_lasts_day": "last day out with energy enough from what is aboard",
    "protein_lasts_day": "last day out with protein enough from what is aboard",
    "need_kcal": "need of all aboard on that day, kcal",
    "aboard_gives_kcal": "what is aboard gives on that day, kcal",
    "enough": "whether that is enough",
    "spoiled_g": "what has spoiled of what is aboard and was not eaten, g",
    "dinner": "dinner of the day, empty where none is planned",
    "eat_first": "what must be eaten that day of what does not keep to the slow end, the most urgent first",
    "eat_g": "so much of it, g",
    "good_until_day": "last day out on which it is good",
    "dinners_words": "days without a dinner, in words",
    "least_words": "whether the list is the lightest or the cheapest",
    "cannot_words": "why no list can be made, else empty",
    "shopping": "packs to buy, by aisle",
    "aisle": "where it stands in the shop",
    "packs": "whole packs",
    "pack_g": "one pack without packaging, g",
    "gross_kg": "the packs with packaging, kg",
    "energy_kcal": "energy in them, kcal",
    "price": "their price, null where none is given",
    "shopping_gross_kg": "the whole list with packaging, kg",
    "shopping_kcal": "energy in the whole list, kcal",
    "shopping_price": "price of what has one, null where nothing has",
    "unpriced_words": "how many items have none",
    "reserve_day_count": "days of food that needs no cooking, beyond the slow end, in the list",
    "above_least_in_100": "no list within the bounds is better by more than so many hundredths",
    "left": "what is left at the typical landfall",
    "left_g": "so much of it as eaten, g",
    "ashore": "whether it may as a rule be landed",
}

SHEET = Sheet("food", table, keys=KEYS)
