"""What follows from the facts, as the desk tells it: a few lines, each in the plan's own words and figures.

The lines come in three parts, the quickest first. All are readings of the records that the plan prints; the last part
is page one itself.
"""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING

from passage.consequences.power.power import Holds
from passage.consequences.stores.loading import Verdict
from passage.desk.part import Line, PartialAnswer
from passage.plan.page.fleet import WHOLE, fleet
from passage.plan.sheets import front, water
from passage.plan.sheets.compared import least_sleep_h
from passage.plan.sheets.power import battery_words, verdict_words
from passage.plan.sheets.shortages import first_out_words
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from typing import Any

    from passage.api import Sailing

EMPTY = (Holds.SOMETIMES_EMPTY, Holds.MOSTLY_EMPTY)
NO_BATTERY = "No electrics are given."
NO_ROTA = "Nobody is named to keep watches."


def quick_part(sailing: Sailing) -> PartialAnswer:
    """What can be said at once: how long, water, fuel, battery. The sailing is one without shopping."""
    return PartialAnswer(sailing.crossings.members, tuple(_quick(sailing)), boats=None)


def _quick(sailing: Sailing) -> list[Line]:
    times, answer = sailing.times, sailing.stores.water.answer
    lines = [
        Line("typical", "Typical passage", _days(times.typical_days), _in("Half are in", times.typical_landfall_utc)),
        Line(
            "slow_end",
            "Slow end",
            _days(times.slow_end_days),
            f"{_in('In', times.slow_end_landfall_utc)} 1 in {times.slow_end_in} is slower still.".strip(),
            not isfinite(times.slow_end_days),
        ),
        Line(
            "water",
            "Does water last?",
            f"{answer.verdict.words}.",
            f"It ran out in {water.short_words(answer)}.",
            answer.verdict is Verdict.NOT_ALWAYS,
        ),
        Line("load", "Water to load", _load(answer.load_l), f"The tanks give {answer.tanks_give_l:u}.{_odd(answer)}"),
    ]
    fuel = next((row for row in sailing.stores.together.shortages if row.name == "fuel"), None)
    if fuel is not None:
        words = f"Runs out in {fuel.short.in_100} of 100."
        lines.append(Line("fuel", "Fuel", words, f"Under engine {times.motoring_h:u}.", fuel.short.count > 0))
    return [*lines, _battery(sailing)]


def _odd(answer: Any) -> str:
    if answer.lacking_l > 0:
        return f" {answer.lacking_l:u} too little."
    return f" {answer.to_spare_l:u} to spare." if answer.to_spare_l > 0 else ""


def _battery(sailing: Sailing) -> Line:
    answer = sailing.power.answer if sailing.power else None
    if answer is None:
        return Line("battery", "Battery", "Not reckoned.", NO_BATTERY)
    return Line("battery", "Battery", verdict_words(answer), battery_words(answer), answer.verdict in EMPTY)


def boats_part(sailing: Sailing, part: PartialAnswer) -> PartialAnswer:
    """With the crossings for the chart."""
    days = next((day.day for day in sailing.by_day if day.arrived_in_100 >= 99), len(sailing.by_day))
    return part._replace(boats={**fleet(sailing.crossings, days), "days": days, "whole": WHOLE})


def whole_part(sailing: Sailing) -> PartialAnswer:
    """Page one of the plan."""
    page = front.table(sailing)
    words, answer = front.said(page), page.stores
    quick = {line.key: line for line in _quick(sailing)}
    quick["water"] = quick["water"]._replace(more=f"{quick['water'].more} {words.broken_water}".strip())
    first = first_out_words(answer) or "Nothing ran out in any crossing."
    broken = page.as_boats_break
    lines = [
        Line("verdict", "Verdict", words.verdict, bad=bool(page.stops)),
        *quick.values(),
        Line("food", "Food and other stores", words.others, " ".join(filter(None, (words.lacking, words.not_counted)))),
        Line("first", "What runs out first", first, words.remedy, answer.first_out is not None),
        _sleep(sailing),
    ]
    if broken:
        overdue = f"{words.overdue}." if words.overdue else ""
        more = f"{_breaks(sailing)} {overdue}".strip()
        lines.append(Line("breaks", "Slow end as boats break", _days(broken.times.slow_end_days), more))
    lines.append(Line("ready", "Is she ready?", page.ready.words, page.ready_words))
    lines.append(Line("cyclones", "Cyclones", words.cyclones))
    return PartialAnswer(sailing.crossings.members, tuple(lines), whole=True)


def _breaks(sailing: Sailing) -> str:
    """What strikes most often."""
    breakage = sailing.breakage
    rows = sorted(breakage.troubles, key=lambda row: row.struck.count, reverse=True)[:3] if breakage else []
    struck = ", ".join(f"{row.name.lower()} in {row.struck.in_100} of 100" for row in rows if row.struck.count)
    return f"Most often: {struck}." if struck else "Nothing broke in any crossing."


class Slept(Record):
    """What the rota leaves of the night."""

    sleep_h: float = told("hours of sleep a day for the one whom the rota leaves least")


def _sleep(sailing: Sailing) -> Line:
    slept = Slept(least_sleep_h(sailing.watches))
    if not isfinite(slept.sleep_h):
        return Line("sleep", "Sleep", "Not reckoned.", NO_ROTA)
    return Line("sleep", "Sleep", f"{slept.sleep_h:u} a day", "For the one whom the rota leaves least.")


def _days(days: float) -> str:
    return f"{days:u}" if isfinite(days) else "not reached"


def _in(words: str, day: Any) -> str:
    return f"{words} by {day}." if day else ""


def _load(litres: float) -> str:
    return f"{litres:u}" if isfinite(litres) else "more than can be said"
