"""What the page says of each day out: the tables' own numbers, worded once, here; the script only changes them over.

A day is counted from the hour of departure; sun, watches and battery go from one ship's noon to the next.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

from passage.plan.printed import DASH, day_words, moment_words
from passage.plan.rota import noon_to_noon, sails_h
from passage.plan.sheets.sky import ship_clock
from passage.tell.figures import zone_words

if TYPE_CHECKING:
    from passage.consequences.noons import SkyDay
    from passage.consequences.power.power import Power
    from passage.consequences.watches.phases import WatchPlan
    from passage.plan.printed import Table
    from passage.plan.sheet import Tables
    from passage.road import Outcome

NO_BATTERY = "No electrics.toml is in the folder: nothing is said of the battery."
NO_FOOD = "No file says how much food is aboard: nothing is said of it."
ALL_IN = "Half of the crossings are in before this noon: no sun, no watches."
SUN_ALL_DAY = {"up": "The sun does not set.", "down": "The sun does not rise."}
ONE_ALONE = "One alone keeps looks and sleep, not watches: see the printed plan."


def days_told(outcome: Outcome, tables: Tables) -> list[Table]:
    """One row for each day from the departure, day 0, until 99 crossings in 100 are in. Texts, but for the day.

    Raw numbers stand in the tables: ``times``, ``water``, ``stores``, ``sky`` and, with electrics, ``power``.
    """
    told = {
        "go": _to_go(tables),
        "water": _left(tables["water"]["answer"]["tanks_give_l"], tables["water"]["by_day"]),
        "food": food_left(tables),
        "night": _nights(outcome.power, outcome, tables),
    }
    return [_day(outcome, day, told) for day in range(len(tables["times"]["by_day"]) + 1)]


def food_left(tables: Tables) -> dict[int, Table]:
    """Days of full meals left, by day; empty where no file says how much is aboard."""
    food = store_row(tables, "food")
    return _left(food["aboard"], food["left_by_day"]) if food["said"] else {}


def store_row(tables: Tables, store: str) -> Table:
    """The row of one store in the table of stores."""
    row: Table = next(row for row in tables["stores"]["stores"] if row["name"] == store)
    return row


def _to_go(tables: Tables) -> dict[int, Table]:
    """Miles to go at the end of each day, crossings of a hundred that are in, and where the middle one is."""
    times = tables["times"]
    length_nm = times["distance_nm"]
    start = {"typical": length_nm, "least": length_nm, "most": length_nm, "in": 0, "at": "at the departure"}
    return {0: start} | {
        row["day"]: {
            "typical": row["typical_to_go_nm"],
            "least": row["least_to_go_nm"],
            "most": row["most_to_go_nm"],
            "in": row["arrived_in_100"],
            "at": "in harbour" if row["typical_in"] else row["typical_position"],
        }
        for row in times["by_day"]
    }


def _left(loaded: float, by_day: list[Table]) -> dict[int, Table]:
    """What is left of a store by day: in the middle crossing, and the least and most of 8 in 10."""
    start = {"typical": loaded, "least": loaded, "most": loaded}
    return {0: start} | {
        row["day"]: {"typical": row["typical_left"], "least": row["slow_left"], "most": row["quick_left"]}
        for row in by_day
    }


def _nights(power: Power | None, outcome: Outcome, tables: Tables) -> dict[int, Table]:
    """Rows of the battery's nights by the ship's day on whose noon each begins."""
    if power is None:
        return {}
    to_noon_h = (outcome.noons[0].moment - outcome.crossings.depart) / timedelta(hours=1)
    return {
        round((night.begins_hour - to_noon_h) / 24.0): row
        for night, row in zip(power.low.nights, tables["power"]["low"]["nights"], strict=True)
    }


def _day(outcome: Outcome, day: int, told: dict[str, dict[int, Any]]) -> Table:
    moment = outcome.crossings.depart + timedelta(days=day)
    words = {
        "title": f"Day {day}" if day else "Departure",
        "moment": moment_words(moment.isoformat(timespec="minutes")),
        "date": day_words(moment.date()),
        **_amounts(told["go"].get(day), "go", "miles"),
        "in": f"{told['go'][day]['in']}",
        "at": told["go"][day]["at"],
        **_amounts(told["water"].get(day), "water", "litres"),
        **(_amounts(told["food"].get(day), "food", "days") if told["food"] else _unsaid("food", NO_FOOD)),
        **_battery(outcome, told["night"].get(day)),
        **_sky(dict(enumerate(outcome.sky)).get(day)),
    }
    return {"day": day, "words": words | {"aloud": _aloud(words)}, **_rota(outcome, day, words)}


def _amounts(row: Table | None, name: str, unit: str) -> Table:
    """The middle crossing's amount, and 8 in 10 beside it; below nothing is short."""
    if row is None:
        return _unsaid(name, "No crossing is sailed so long.")
    typical, least, most = (_number(row[key]) for key in ("typical", "least", "most"))
    short = ", short" if row["typical"] < 0 else ""
    span = least if least == most else f"{least} to {most}"
    beside = f"8 in 10: {span}" if least != most else "8 in 10 the same"
    return {name: typical, f"{name}_unit": f"{unit}{short}", f"{name}_range": beside, f"{name}_span": span}


def _number(value: float) -> str:
    return f"{value:,.0f}".replace("-", "−")


def _unsaid(name: str, why: str) -> Table:
    return {name: DASH, f"{name}_unit": "", f"{name}_range": why, f"{name}_span": DASH}


def _battery(outcome: Outcome, night: Table | None) -> Table:
    """Its lowest in the night after that day's noon, with little sun."""
    if outcome.power is None:
        return _unsaid("battery", NO_BATTERY)
    if night is None:
        return _unsaid("battery", "Too few are still at sea that night.")
    half, one_in_20 = night["lowest_typical_in_100"], night["lowest_in_100"]
    return {
        "battery": f"{half}",
        "battery_unit": "% full",
        "battery_range": f"1 in 20 down to {one_in_20} %",
        "battery_span": f"{one_in_20}",
    }


def _sky(row: SkyDay | None) -> Table:
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


def _aloud(words: Table) -> str:
    """The day in one breath, for who cannot see it."""
    battery = f"Battery at its lowest that night {words['battery']} % full." if words["battery_unit"] else ""
    food = f"Food {words['food']} {words['food_unit']}." if words["food_unit"] else ""
    return (
        f"{words['title']}, {words['moment']}. To go typically {words['go']} miles. {words['in']} of 100 are in. "
        f"Water {words['water']} {words['water_unit']}. {food} {battery}"
    )


def _rota(outcome: Outcome, day: int, words: Table) -> Table:
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
