"""What the page says of each day out: the tables' own numbers, worded once, here; the script only changes them over.

A day is counted from the hour of departure; sun, watches and battery go from one ship's noon to the next.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any, NamedTuple

from passage.consequences.times import until_in
from passage.plan.rota import noon_to_noon, sails_h
from passage.plan.sheets.cautions import NO_BATTERY, NO_FOOD
from passage.plan.sheets.sky import ship_clock
from passage.tell.customary import unit_words
from passage.tell.figures import DASH, amount, day_words, moment_words, zone_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.consequences.noons import SkyDay
    from passage.consequences.power.power import NightRow
    from passage.consequences.stores.drawdown import Left
    from passage.consequences.times import Day
    from passage.consequences.watches.phases import WatchPlan
    from passage.road import Outcome

Words = dict[str, Any]

ALL_IN = "Half of the crossings are in before this noon: no sun, no watches."
SUN_ALL_DAY = {"up": "The sun does not set.", "down": "The sun does not rise."}
ONE_ALONE = "One alone keeps looks and sleep, not watches: see the printed plan."


class Amounts(NamedTuple):
    """Told figures: in the middle crossing, and the least and most of 8 in 10."""

    typical: float
    least: float
    most: float


def days_told(outcome: Outcome) -> list[Words]:
    """One row for each day from the departure, day 0, until 99 crossings in 100 are in. Texts, but for the day."""
    by_day, water, food = until_in(outcome.by_day), outcome.stores.water, outcome.stores.food
    told: dict[str, dict[int, Any]] = {
        "ended": {day.day: day for day in by_day},
        "go": _to_go(amount(outcome.ground.track.length_nm, "nm"), by_day),
        "water": _left(water.answer.tanks_give_l, water.by_day),
        "food": _left(food.aboard, food.left_by_day) if food.said else {},
        "night": _nights(outcome),
        "sky": dict(enumerate(outcome.sky)),
    }
    return [_day(outcome, day, told) for day in range(len(by_day) + 1)]


def _to_go(distance_nm: float, by_day: Sequence[Day]) -> dict[int, Amounts]:
    """Miles to go at the end of each day."""
    return {0: Amounts(*[distance_nm] * 3)} | {
        day.day: Amounts(day.typical_to_go_nm, day.least_to_go_nm, day.most_to_go_nm) for day in by_day
    }


def _left(loaded: float, by_day: Sequence[Left]) -> dict[int, Amounts]:
    """What is left of a store by day."""
    return {0: Amounts(loaded, loaded, loaded)} | {
        row.day: Amounts(row.typical_left, row.slow_left, row.quick_left) for row in by_day
    }


def _nights(outcome: Outcome) -> dict[int, NightRow]:
    """The battery's nights by the ship's day on whose noon each begins."""
    if outcome.power is None:
        return {}
    to_noon_h = (outcome.noons[0].moment - outcome.crossings.depart) / timedelta(hours=1)
    return {round((night.begins_hour - to_noon_h) / 24.0): night for night in outcome.power.low.nights}


def _day(outcome: Outcome, day: int, told: dict[str, dict[int, Any]]) -> Words:
    moment = outcome.crossings.depart + timedelta(days=day)
    ended = told["ended"].get(day)
    words = {
        "title": f"Day {day}" if day else "Departure",
        "moment": moment_words(moment),
        "date": day_words(moment.date()),
        **_amounts(told["go"].get(day), "go", "miles"),
        "in": f"{ended.arrived_in_100}" if ended else "0",
        "at": "at the departure" if ended is None else "in harbour" if ended.typical_in else ended.typical_position,
        **_amounts(told["water"].get(day), "water", unit_words("litres")),
        **(_amounts(told["food"].get(day), "food", "days") if told["food"] else _unsaid("food", NO_FOOD)),
        **_battery(outcome, told["night"].get(day)),
        **_sky(told["sky"].get(day)),
    }
    return {"day": day, "words": words | {"aloud": _aloud(words)}, **_rota(outcome, day, words)}


def _amounts(row: Amounts | None, name: str, unit: str) -> Words:
    """The middle crossing's amount, and 8 in 10 beside it; below nothing is short."""
    if row is None:
        return _unsaid(name, "No crossing is sailed so long.")
    typical, least, most = (f"{amount}" for amount in row)
    short = ", short" if row.typical < 0 else ""
    span = least if least == most else f"{least} to {most}"
    beside = f"8 in 10: {span}" if least != most else "8 in 10 the same"
    return {name: typical, f"{name}_unit": f"{unit}{short}", f"{name}_range": beside, f"{name}_span": span}


def _unsaid(name: str, why: str) -> Words:
    return {name: DASH, f"{name}_unit": "", f"{name}_range": why, f"{name}_span": DASH}


def _battery(outcome: Outcome, night: NightRow | None) -> Words:
    """Its lowest in the night after that day's noon, with little sun."""
    if outcome.power is None:
        return _unsaid("battery", NO_BATTERY)
    if night is None:
        return _unsaid("battery", "Too few are still at sea that night.")
    return {
        "battery": f"{night.lowest_typical_in_100}",
        "battery_unit": "% full",
        "battery_range": f"1 in 20 down to {night.lowest_in_100} %",
        "battery_span": f"{night.lowest_in_100}",
    }


def _sky(row: SkyDay | None) -> Words:
    if row is None:
        return {"noon": "", "sun": ALL_IN, "moon": "", "sunrise": DASH, "sunset": DASH}
    light = f"First light {ship_clock(row, 'civil_dawn')}, sun up {ship_clock(row, 'sunrise')}"
    dark = f"sun down {ship_clock(row, 'sunset')}, dark {ship_clock(row, 'civil_dusk')}"
    return {
        "noon": f"{row.ship_date:short}, ship's time {zone_words(row.zone_h)}",
        "sun": SUN_ALL_DAY.get(row.sun_all_day, f"{light}; {dark}."),
        "moon": f"Moon {row.moon_lit_in_100} % lit, {row.moon_phase}.",
        "sunrise": ship_clock(row, "sunrise"),
        "sunset": ship_clock(row, "sunset"),
    }


def _aloud(words: Words) -> str:
    """The day in one breath, for who cannot see it."""
    battery = f"Battery at its lowest that night {words['battery']} % full." if words["battery_unit"] else ""
    food = f"Food {words['food']} {words['food_unit']}." if words["food_unit"] else ""
    return (
        f"{words['title']}, {words['moment']}. To go typically {words['go']} miles. {words['in']} of 100 are in. "
        f"Water {words['water']} {words['water_unit']}. {food} {battery}"
    )


def _rota(outcome: Outcome, day: int, words: Words) -> Words:
    """The watches from that day's noon on; where there are none, why."""
    plan = outcome.watches
    if plan is None:
        return {"watches": [], "no_watches": "Nobody is named to keep watches."}
    if not words["noon"]:
        return {"watches": [], "no_watches": ""}  # what is said of the sun says why
    kept = plan.kept(day + 2)
    if not kept:
        return {"watches": [], "no_watches": ONE_ALONE}
    return {"watches": noon_to_noon(kept, day, sails_h(outcome) if day == 0 else 12.0), "no_watches": ""}


def rough_words(plan: WatchPlan | None) -> str:
    """That heavy weather has a rota of its own, where it has."""
    if plan is None or plan.rough is None or plan.rough.choice is None or plan.rough.choice is plan.settled.choice:
        return ""
    return "Heavy weather has a rota of its own: see the printed plan."
