"""Stores: what lasts and what runs out first, what to load, the hand table, motoring range, gas, and what it weighs."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from passage.consequences.stores.handtable import ration
from passage.plan import figures
from passage.plan.columns import aside, joined
from passage.plan.printed import Table, rounded, shown
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.plan.sheets.answers import rounded_up, verdict_words
from passage.plan.sheets.food import food_lines
from passage.plan.sheets.times import NOT_REACHED, days, time_marks
from passage.plan.sheets.water import lost_words, making_words
from passage.tell.blocks import bare

if TYPE_CHECKING:
    from passage.consequences.stores.drawdown import Store
    from passage.consequences.stores.landfall import Stores
    from passage.consequences.stores.together import Remedy, Shortage, Together
    from passage.road import Outcome

FAN_GUTTER_PT = 14.0
FAN_MOST_PT, FAN_LEAST_PT = 150.0, 100.0
SUMMARY_PT, ROW_PT, LINE_PT, LINE_LETTERS = 245.0, 34.0, 16.0, 90  # of the page above the drawings
CAPTION_PT = 18.0
NO_PAYLOAD = "No payload is stated in the boat file, so nothing here says whether she may carry it."


class Measure(NamedTuple):
    """How a store is told to a person: its unit on paper, and how many of them one of its own units makes."""

    unit: str
    per_own: float


def measure(store: Store) -> Measure:
    """Nobody can look at kilocalories in a locker: food is told in days of full meals for all. Gas is weighed."""
    if store.name == "food":
        return Measure("days", 1.0 / store.daily)
    if store.name == "gas":
        return Measure("g", 1000.0)
    return Measure("litres" if store.unit == "L" else store.unit, 1.0)


def table(outcome: Outcome) -> Table:
    """Every store side by side, the remedy, the hand table, motoring, gas and weights."""
    told = outcome.stores
    return rounded(
        {
            "crossings": outcome.times.crossings,
            "slow_end_days": outcome.times.slow_end_h / 24.0,
            **together_answer(outcome),
            "stores": [_row(store, told) for store in told.all],
            "hand_table": _hand_table(told),
            "ration": _ration(outcome),
            "motoring": [
                {
                    "speed_kn": row.speed_kn,
                    "power_kw": row.power_kw,
                    "burns_l_h": row.consumption_l_h,
                    "range_nm": math.floor(row.range_nm),
                    "range_in_a_sea_nm": math.floor(row.range_in_a_sea_nm),
                }
                for row in told.motoring
            ],
            "motoring_l": math.floor(told.fuel.usable) if told.fuel else 0,
            "gas_words": _gas_words(outcome),
            "weights": _weights(told, outcome.facts.boat.hull.payload_kg),
            "cautions": list(told.cautions),
        }
    )


def together_answer(outcome: Outcome) -> Table:
    """Does everything last, what goes first, and the lightest remedy."""
    told = outcome.stores
    both = told.together
    counted = [store for store in told.all if store.name not in both.not_counted]
    hand = min(store.loaded - store.load_amount for store in counted)
    return {
        "verdict": _verdict(both, hand, bought=told.provision is not None and bool(told.provision.shopping)),
        "short_crossings": both.any_short.count,
        "short_in_100": _up(100.0 * both.any_short.value),
        "short_words": _short_words(both),
        "first_out": first.name if (first := _first_out(both)) else "",
        "first_out_words": _first_out_words(first, both) if first else "",
        "remedy_words": _remedy_words(both.remedy),
        "remedy_kg": both.remedy.mass_kg if both.remedy else None,
        "not_counted": list(both.not_counted),
        "not_counted_words": _not_counted_words(both.not_counted),
    }


def _verdict(both: Together, in_hand: float, *, bought: bool) -> str:
    """Whether all lasts; bought: whether that counts food which is still to be bought."""
    verdict = verdict_words(both.any_short.count, in_hand, 0.0)
    if not verdict.startswith("Yes"):
        return verdict
    once = ", once the shopping list is bought" if bought else ""
    of_what = ", of what is counted" if both.not_counted else ""
    return f"{verdict[:-1]}{once}{of_what}."


def _short_words(both: Together) -> str:
    short = both.any_short
    if not short.count:
        return f"Nothing ran out in any of the {short.members:,} crossings."
    share = f"not in more than {_up(100.0 * short.value)} of 100"
    return f"Something ran out in {short.count:,} of the {short.members:,} crossings, {share}."


def _up(number: float) -> int:
    return math.ceil(number - 1e-9)


def _first_out(both: Together) -> Shortage | None:
    row = max(both.shortages, key=lambda shortage: shortage.first.count)
    return row if row.first.count else None


def _first_out_words(first: Shortage, both: Together) -> str:
    name = first.name[:1].upper() + first.name[1:]
    day = f", as a rule on day {math.floor(first.typical_day) + 1}" if first.typical_day is not None else ""
    members = both.any_short.members
    return f"{name} is the first to run out: in {first.first.count:,} of the {members:,} crossings{day}."


def _remedy_words(remedy: Remedy | None) -> str:
    if remedy is None:
        return "Nothing that may be added mends it: leave in another month, or call somewhere on the way."
    if not remedy.pieces:
        return ""
    parts = [f"{count} x {piece.words}" for count, piece in remedy.pieces]
    short = {0: "no crossing", 1: "1 crossing"}.get(remedy.after.count, f"{remedy.after.count:,} crossings")
    brings = f"{short} of {remedy.after.members:,} short of anything"
    return f"The lightest remedy: {' and '.join(parts)}, {remedy.mass_kg:.0f} kg, leaves {brings}."


def _not_counted_words(names: tuple[str, ...]) -> str:
    if not names:
        return ""
    return f"Not counted, because no file says how much is aboard: {', '.join(names)}."


def _row(store: Store, told: Stores) -> Table:
    (unit, per_own), both = measure(store), told.together
    shortage = next((row for row in both.shortages if row.name == store.name), None)
    load = rounded_up(store.load_amount * per_own)
    aboard = math.floor(store.loaded * per_own + 1e-6)
    return {
        "store": store.name,
        "unit": unit,
        "load": load,
        "governs": store.load.governs if math.isfinite(load) else NOT_REACHED,
        "to_slow_end": rounded_up(store.load.to_slow_end * per_own),
        "typical_and_half": rounded_up(store.load.typical_and_half * per_own),
        "survival_in_all": rounded_up(store.load.survival_in_all * per_own),
        "kept_back": rounded_up(store.kept_back * per_own),
        "aboard_now": _now(store, told, aboard, per_own) if shortage else None,
        "aboard": aboard if shortage else None,
        "lacking": max(load - aboard, 0.0) if shortage else None,
        "counted": shortage is not None,
        "short_crossings": shortage.short.count if shortage else None,
        "short_in_100": _up(100.0 * shortage.short.value) if shortage else None,
        "short_at_most_in_100": _up(100.0 * shortage.short.high) if shortage else None,
        "typical_day": math.floor(shortage.typical_day) + 1 if shortage and shortage.typical_day is not None else None,
        "first_crossings": shortage.first.count if shortage else None,
        "left_by_day": [
            {"day": day, "slow_left": slow, "typical_left": typical, "quick_left": thrifty}
            for day, (slow, typical, thrifty) in enumerate((store.by_day * per_own).tolist(), start=1)
        ],
    }


def _now(store: Store, told: Stores, aboard: int, per_own: float) -> int:
    """Of food, what is to be bought still left out."""
    if store.name != "food" or told.audit is None:
        return aboard
    return min(math.floor(told.audit.edible_kcal * per_own + 1e-6), aboard)


def _hand_table(told: Stores) -> Table:
    """Rounded up, so that the first row is what to load."""
    per_own = [measure(store).per_own for store in told.all]
    return {
        "columns": [{"store": store.name, "unit": measure(store).unit} for store in told.all],
        "rows": [
            {
                "to_go_nm": row.miles_to_go,
                "out_days": row.typical_day_out,
                "typical_days": row.typical_days,
                "slow_end_days": row.slow_end_days,
                "least_aboard": [rounded_up(each * per) for each, per in zip(row.least, per_own, strict=True)],
                "survival_aboard": [rounded_up(each * per) for each, per in zip(row.survival, per_own, strict=True)],
            }
            for row in told.hand_table.rows
        ],
    }


def _ration(outcome: Outcome) -> Table:
    """Use a day for all aboard, in full and at the least, and one division done as an example."""
    told, arrival_h = outcome.stores, outcome.crossings.arrival_h
    example = told.hand_table.rows[len(told.hand_table.rows) // 2]
    half_l = math.floor((example.least[0] + example.survival[0]) / 2.0) if math.isfinite(example.least[0]) else 0.0
    return {
        "water_l_per_day": told.water.store.daily,
        "water_survival_l_per_day": _survival_a_day(told.water.store, arrival_h),
        "food_kcal_per_day": told.food.daily,
        "food_survival_kcal_per_day": _survival_a_day(told.food, arrival_h),
        "gas_g_per_day": 1000.0 * told.gas.daily,
        "gas_survival_g_per_day": 1000.0 * _survival_a_day(told.gas, arrival_h),
        "example_to_go_nm": example.miles_to_go,
        "example_aboard_l": half_l,
        "example_days": example.slow_end_days,
        "example_l_per_day": ration(half_l, example.slow_end_days) if half_l else 0.0,
    }


def _survival_a_day(store: Store, arrival_h: np.ndarray[Any, np.dtype[np.float64]]) -> float:
    arrived = np.isfinite(arrival_h)
    return float(24.0 * (store.survival[arrived] / arrival_h[arrived]).mean()) if arrived.any() else math.nan


def _gas_words(outcome: Outcome) -> str:
    bottles, use = outcome.facts.provisions.gas_bottles, outcome.facts.provisions.gas
    each = f"{1000 * use.use_kg:.0f} g for each person and day{', baking included' if use.baking else ''}"
    if not bottles:
        return f"Cooking takes {each}. No file says how much gas is aboard: weigh the bottles."
    named = ", ".join(f"{bottle.count} x {bottle.name} of {bottle.content_kg:g} kg" for bottle in bottles)
    gas_g = math.floor(1000.0 * outcome.facts.provisions.gas_kg + 1e-6)
    weigh = "Weigh the bottles; a gauge shows nothing until it is nearly empty."
    return f"Cooking takes {each}. Aboard: {named}, {gas_g:,} g of gas in all. {weigh}"


def _weights(told: Stores, payload_kg: float | None) -> Table:
    """By item; the plan on paper adds the foods up, which the shopping list gives one by one."""
    stowed = told.stowed
    foods = [row for row in stowed.rows if row.item.endswith((", aboard", ", to buy"))]
    others = [row for row in stowed.rows if row not in foods]
    sums = [
        {"item": words, "mass_kg": sum(row.mass_kg for row in part), "puts_down_mm": sum(r.immersion_mm for r in part)}
        for words, ending in (("food aboard, packed", ", aboard"), ("food to buy, packed", ", to buy"))
        if (part := [row for row in foods if row.item.endswith(ending)])
    ]
    rows = [{"item": row.item, "mass_kg": row.mass_kg, "puts_down_mm": row.immersion_mm} for row in others]
    return {
        "rows": sorted([*rows, *sums], key=lambda row: -row["mass_kg"]),
        "foods": [{"item": row.item, "mass_kg": row.mass_kg, "puts_down_mm": row.immersion_mm} for row in foods],
        "total_kg": stowed.total_kg,
        "puts_down_mm": stowed.immersion_mm,
        "waterplane_m2": stowed.waterplane_m2,
        "warning": stowed.warning,
        "payload_words": f"The stated payload is {payload_kg:,.0f} kg." if payload_kg is not None else NO_PAYLOAD,
    }


# ---------------------------------------------------------------- in the terminal


def text(tables: Table) -> str:
    """What lasts, what to load, food, fuel and weights, and the hand table; ``tables``: water, stores and food."""
    s, w = shown(tables["stores"]), tables["water"]
    lost = [bare(lost_words(tank)) for tank in w.tanks_lost]
    return joined(
        [
            aside("Does it all last?", _lasts(s)),
            _store_lines(s),
            aside("What decides", [f"{row['store']}: {row['governs']}" for row in s["stores"]]),
            aside("One tank lost", lost),
            aside("Watermaker", [making] if (making := making_words(w)) else []),
            *food_lines(tables["food"]),
            aside("Gas", [s["gas_words"]]),
            _motoring_lines(s),
            _weight_lines(s),
            _hand_lines(s),
            aside("Mind", s["cautions"]),
        ]
    )


def _lasts(s: Table) -> list[str]:
    words = (s["first_out_words"], s["remedy_words"], s["not_counted_words"])
    return [f"{s['verdict']} {s['short_words']}", *(each for each in words if each)]


def _store_lines(s: Table) -> list[str]:
    heads = (
        f"{'':<23}{'load':>7}{'aboard':>8}{'once':>8}{'still':>9}  {'':<7}{'runs out':>14}",
        f"{'':<23}{'':>7}{'now':>8}{'bought':>8}{'lacking':>9}  {'':<7}{'in 100':>14}",
    )
    return [*heads, *(_store_line(row) for row in s["stores"])]


def _store_line(row: Table) -> str:
    short = f"{row['short_in_100']} (to {row['short_at_most_in_100']})" if row["counted"] else "not counted"
    amounts = f"{row['load']:>7}{row['aboard_now']:>8}{row['aboard']:>8}{row['lacking']:>9}"
    return f"{row['store'][:22]:<23}{amounts}  {row['unit'][:7]:<7}{short:>14}"


def _motoring_lines(s: Table) -> list[str]:
    if not s["motoring"]:
        return []
    rows = [
        f"{row['speed_kn']:>18} kn{row['burns_l_h']:>8} L/h{row['range_nm']:>8} nm, "
        f"in a sea{row['range_in_a_sea_nm']:>6} nm"
        for row in s["motoring"]
    ]
    return [f"Range under engine on {s['motoring_l']} litres, the landfall reserve kept:", *rows]


def _weight_lines(s: Table) -> list[str]:
    w = s["weights"]
    rows = [f"{'':<18}{row['mass_kg']:>6} kg{row['puts_down_mm']:>5} mm  {row['item']}" for row in w["rows"]]
    total = f"{'Weights':<18}{w['total_kg']:>6} kg{w['puts_down_mm']:>5} mm  crew and stores; she goes down so far"
    return [total, *rows, *aside("", [w["warning"] or w["payload_words"]])]


def _hand_lines(s: Table) -> list[str]:
    columns = s["hand_table"]["columns"]
    names = "".join(f"{column['store'][:9]:>11}" for column in columns)
    units = "".join(f"{column['unit'][:9]:>11}" for column in columns)
    rows = [
        f"{row['to_go_nm']:>7}{row['slow_end_days']:>8}" + "".join(f"{amount:>11}" for amount in row["least_aboard"])
        for row in s["hand_table"]["rows"]
    ]
    return [
        "The least that should still be aboard:",
        f"{'to go':>7}{'slow':>8}{names}",
        f"{'nm':>7}{'days':>8}{units}",
        *rows,
    ]


# ---------------------------------------------------------------- on paper


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    """What is left by days out of each store but water, which has a page of its own."""
    to_day, wide = len(days(outcome)), (room.wide_pt - FAN_GUTTER_PT) / 2.0
    both = outcome.stores.together
    told = {f"store{n}": each for n, each in enumerate(outcome.stores.all) if n and each.name not in both.not_counted}
    page = tables["stores"]
    words = sum(len(page[key]) for key in ("short_words", "first_out_words", "remedy_words", "not_counted_words"))
    used_pt = SUMMARY_PT + ROW_PT * len(page["stores"]) + LINE_PT * (words // LINE_LETTERS)
    high = min((room.high_pt - used_pt) / max(math.ceil(len(told) / 2), 1) - CAPTION_PT, FAN_MOST_PT)
    high = max(high, FAN_LEAST_PT)
    return {name: _fan(outcome, store, to_day, (wide, high)) for name, store in told.items()}


def _fan(outcome: Outcome, store: Store, to_day: int, size_pt: tuple[float, float]) -> str:
    left = np.vstack([np.full(3, store.loaded), store.by_day[:to_day]])[: to_day + 1] * measure(store).per_own
    marks = [mark for mark in time_marks(outcome) if mark.words.startswith("slow end")]
    return figures.fan(np.arange(len(left), dtype=float), left, marks, "", *size_pt)


KEYS = {
    "short_words": "crossings in which anything runs out, in words",
    "first_out": "the store that is first to run out in most crossings; empty where none is",
    "first_out_words": "the same in words, with the day; on page one empty where it is water",
    "remedy_words": "the lightest pieces to add, and what they bring; empty where nothing need be added",
    "remedy_kg": "their mass, kg; null where no number of pieces will do",
    "not_counted": "stores of which no file says how much is aboard",
    "not_counted_words": "the same in words",
    "stores": "one row for each store, in its unit",
    "store": "its name",
    "unit": "its unit: food in days of full meals for all, gas in grams",
    "load": "to load, what is kept back included, rounded up; null where a deciding crossing never arrives",
    "to_slow_end": "first rule: full use to the slow end, rounded up",
    "typical_and_half": "second rule: use of the typical passage and half as much again, rounded up",
    "survival_in_all": "third rule: survival use in every crossing, rounded up",
    "kept_back": "kept for the landfall on top of the rules",
    "aboard_now": "aboard as it stands, nothing bought; null where no file says",
    "aboard": "aboard at departure, food with the shopping list, rounded down; null where not counted",
    "lacking": "too little aboard by so much; null where not counted",
    "counted": "whether a file says how much is aboard",
    "short_at_most_in_100": "crossings of a hundred that may be short, upper end of the 95 per cent interval",
    "typical_day": "day out on which it runs out, half earlier and half later, of the crossings in which it does",
    "first_crossings": "crossings in which it is the first to run out",
    "left_by_day": "what is left at the end of each day out, in its unit",
    "slow_left": "left, 1 crossing in 10 has less",
    "typical_left": "left in the middle one",
    "quick_left": "left, 1 crossing in 10 has more",
    "hand_table": "the least that should still be aboard, by miles to go",
    "columns": "the stores of the hand table, in the order of its amounts",
    "rows": "rows of the table",
    "to_go_nm": "miles to go",
    "out_days": "days from departure when the middle crossing has them to go",
    "least_aboard": "of each store, the largest of the three rules for the miles left, and what is kept back",
    "survival_aboard": "of each store, the survival ration to the slow end, and what is kept back",
    "ration": "use a day for all aboard, and an example of the division",
    "water_l_per_day": "water in full use, litres a day",
    "water_survival_l_per_day": "water at the survival ration, litres a day",
    "food_kcal_per_day": "food in full use, kcal a day",
    "food_survival_kcal_per_day": "food at the survival ration, kcal a day",
    "gas_g_per_day": "cooking gas in full use, g a day",
    "gas_survival_g_per_day": "cooking gas at the survival ration, g a day",
    "example_to_go_nm": "the example: miles to go",
    "example_aboard_l": "litres of water aboard",
    "example_days": "days to go at the slow end",
    "example_l_per_day": "litres a day for all aboard",
    "motoring": "range under engine by speed in smooth water",
    "speed_kn": "speed through the water, kn",
    "power_kw": "power at the shaft, kW",
    "burns_l_h": "fuel burnt, litres an hour",
    "range_nm": "range, miles, rounded down",
    "range_in_a_sea_nm": "the same against a head sea",
    "motoring_l": "litres above the landfall reserve",
    "gas_words": "cooking gas: use, and what is aboard",
    "weights": "what crew and stores weigh",
    "item": "what it is",
    "mass_kg": "its mass, kg",
    "puts_down_mm": "how far it puts her down, mm",
    "foods": "the foods one by one",
    "total_kg": "all of it, kg",
    "waterplane_m2": "area of the waterplane, square metres",
    "warning": "where the stated payload is passed, else empty",
    "payload_words": "the payload that the boat file states",
    "cautions": "what to mind",
}

SHEET = Sheet(
    "stores",
    table,
    drawings,
    keys=KEYS,
)
