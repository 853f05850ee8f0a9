"""The two answers that several sheets give alike: how long, and whether the water lasts."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from passage.plan.columns import ASIDE
from passage.plan.sheets.times import NOT_REACHED

if TYPE_CHECKING:
    from collections.abc import Iterable

    from passage.consequences.stores.water import WaterAnswer
    from passage.plan.printed import Table
    from passage.road import Outcome


def time_answer(outcome: Outcome) -> Table:
    times = outcome.times
    ends = (("quick", times.quick_days), ("typical", times.typical_days), ("slow_end", times.slow_end_days))
    words = {f"{name}_words": "" if math.isfinite(days) else NOT_REACHED for name, days in ends}
    told = {key: value for key, value in times.to_json().items() if key.startswith((*dict(ends), "never"))}
    return {**told, **words}


def water_answer(outcome: Outcome) -> Table:
    answer = outcome.stores.water.answer
    words = {
        "verdict": f"{answer.verdict.words}.",
        "load_words": "" if answer.reached else NOT_REACHED,
        "short_words": short_words(answer),
        "short_if_words": _short_if_words(outcome),
    }
    return {**answer.to_json(), **words}


def short_words(answer: WaterAnswer) -> str:
    """How many crossings, and how many in a hundred it may be, so few having been sailed: 19 chances in 20."""
    at_most = f"not more than {answer.short_at_most_in_100} of 100"
    return f"{answer.short_crossings} of {answer.crossings} crossings, and so in {at_most}"


def _short_if_words(outcome: Outcome) -> str:
    """In how many crossings of a hundred water runs out in the worst of the doubts that were tried: those of the
    bracket, and of the heat.
    """
    tried = [
        (line.change.words, row.short_in_100)
        for line in outcome.bracket.lines
        for row in line.short
        if row.store == "water"
    ]
    tried += [(other.way, other.short_in_100) for other in outcome.stores.water.otherwise if other.short_in_100 > 0]
    words, worst = max(tried, key=lambda each: each[1], default=("", 0.0))
    return f"{worst} in 100 {words}" if words else "none in any of the doubts tried"


def verdict_words(short: int, loaded_l: float, load_l: float) -> str:
    if loaded_l >= load_l:
        return "Yes, nearly always." if short else "Yes."
    return "Not always." if short else "Yes, with too little in hand."


def rounded_up(litres: float) -> float:
    """Rounded up to a whole litre; infinite stays infinite."""
    return float(math.ceil(litres - 1e-6)) if math.isfinite(litres) else litres


def tanks_lost_answer(outcome: Outcome) -> list[Table]:
    return [lost.to_json() for lost in outcome.stores.water.tanks_lost]


def time_lines(time: Table, crossings: str) -> Iterable[str]:
    rows = (
        ("Typical passage", "typical", "half are quicker, half slower"),
        ("Slow end", "slow_end", f"1 crossing in {time['slow_end_in']} is slower still; {_between(time)}"),
        ("Quick end", "quick", "1 crossing in 10 is quicker"),
    )
    for title, name, note in rows:
        if time[f"{name}_words"]:
            yield f"{title:<{ASIDE}}not reached: {time[f'{name}_words']}"
        else:
            yield f"{title:<{ASIDE}}{time[f'{name}_days']:>5} days  {time[f'{name}_landfall_utc']}  {note}"
    if time["never_crossings"] != "0":
        yield f"{'':<{ASIDE}}{time['never_crossings']} of {crossings} crossings never arrived"


def _between(time: Table) -> str:
    return f"{time['slow_end_least_days']} to {time['slow_end_most_days']} by the number sailed"


def load_lines(water: Table, crossings: str) -> Iterable[str]:
    yield f"{'Does water last?':<{ASIDE}}{water['verdict']} It runs out in {water['short_words']}."
    yield f"{'':<{ASIDE}}With one thing otherwise than we think: {water['short_if_words']}."
    if water["load_words"]:
        yield f"{'Load':<{ASIDE}}more than can be said: {water['load_words']}"
        return
    yield f"{'Load':<{ASIDE}}{water['load_l']} litres, decided by: {water['governs']}"
    spare = f"{water['to_spare_l']} to spare" if water["lacking_l"] == "0" else f"{water['lacking_l']} too little"
    yield f"{'Tanks give':<{ASIDE}}{water['tanks_give_l']} litres, {spare}; emergency water is not counted"


def lost_line(tank: Table) -> str:
    reaches = "reaches the slow end" if tank["reaches_slow_end"] else "DOES NOT REACH the slow end"
    return (
        f"{tank['tank']}: {tank['left_l']} litres left, {tank['survival_ration_days']} days' survival ration, {reaches}"
    )


KEYS = {
    "never_crossings": "crossings that never arrive within the simulation",
    "slow_end_in": "the slow end is what 1 crossing in so many exceeds",
    "quick_days": "passage time that 1 crossing in 10 beats, days",
    "quick_landfall_utc": "its date of landfall",
    "quick_words": "why it is null, else empty",
    "typical_days": "passage time that half the crossings beat, days",
    "typical_landfall_utc": "its date of landfall",
    "typical_words": "why it is null, else empty",
    "slow_end_days": "passage time at the slow end, days",
    "slow_end_landfall_utc": "its date of landfall",
    "slow_end_words": "why it is null, else empty",
    "crossings": "how many crossings were sailed",
    "lasts": "whether water lasts in every crossing and no less is loaded than asked",
    "verdict": "the answer in words",
    "short_crossings": "crossings in which it runs out",
    "short_words": "the same of how many, and how many in a hundred it may be: upper end of the 95 per cent interval",
    "short_if_words": "in how many of a hundred it runs out in the worst of the doubts that were tried",
    "slow_end_least_days": "the earliest that the slow end may lie, for so few were sailed; 19 chances in 20",
    "slow_end_most_days": "the latest; null where too few were sailed to say",
    "load_l": "litres to load, rounded up; null where a deciding crossing never arrives",
    "load_words": "why it is null, else empty",
    "governs": "which of the three loading rules decides; in a row of rules, whether it is this one",
    "tanks_give_l": "litres that can be drawn at departure",
    "to_spare_l": "litres the tanks give beyond the load",
    "lacking_l": "litres lacking to the load",
    "emergency_l": "sealed water apart, never counted, litres",
    "daily_l_per_day": "mean use of the whole crew, litres a day",
    "tanks_lost": "each tank lost at departure",
    "tank": "its name",
    "left_l": "litres left without it",
    "survival_ration_days": "days the rest gives everybody the survival ration",
    "reaches_slow_end": "whether that reaches the slow end",
}
