"""The two answers that several sheets give alike: how long, and whether the water lasts."""

from __future__ import annotations

import math
from datetime import timedelta
from typing import TYPE_CHECKING

from passage.plan import figures
from passage.plan.columns import ASIDE

if TYPE_CHECKING:
    from collections.abc import Iterable

    from passage.consequences.stores.water import WaterAnswer
    from passage.crossings.bracket import Bracket, Line
    from passage.plan.printed import Table
    from passage.road import Outcome


FAN_HIGH_PT = 225.0
NOT_REACHED = "too many of these crossings never arrive"


BRACKET_WORDS = {  # by what is changed, in the order of its lines
    "persistence": ("if weather lasts half as long as we think", "if weather lasts twice as long as we think"),
    "unevenness": (
        "if her speed differs half as much from passage to passage",
        "if her speed differs twice as much from passage to passage",
    ),
    "performance": ("if she is a tenth slower than we think", "if she is a tenth quicker than we think"),
    "wind": ("if the wind is a tenth lighter than we think", "if the wind is a tenth stronger than we think"),
}
CURRENT_WORDS = {
    "0.5 kn with her": "with half a knot of current with her all the way",
    "0.5 kn against her": "with half a knot of current against her all the way",
    "none": "in water that does not move",
    "x 1.7": "if the current is 1.7 times as strong",
}


def time_answer(outcome: Outcome) -> Table:
    spread = outcome.times
    answer: Table = {"never_crossings": spread.never, "slow_end_in": _one_in(1.0 - spread.slow_share)}
    for name, hours in (("quick", spread.fast_h), ("typical", spread.typical_h), ("slow_end", spread.slow_end_h)):
        reached = math.isfinite(hours)
        landfall = outcome.crossings.depart + timedelta(hours=hours) if reached else None
        answer[f"{name}_days"] = hours / 24.0
        answer[f"{name}_landfall_utc"] = landfall.date().isoformat() if landfall else None
        answer[f"{name}_words"] = "" if reached else NOT_REACHED
    least_h, most_h = spread.slow_end_between_h
    return answer | {"slow_end_least_days": least_h / 24.0, "slow_end_most_days": most_h / 24.0}


def _one_in(share: float) -> int:
    """20 for a twentieth: one crossing in so many."""
    return round(1.0 / share) if share > 0 else 0


def water_answer(outcome: Outcome) -> Table:
    answer = outcome.stores.water.answer
    words = {
        "verdict": f"{answer.verdict.words}.",
        "load_words": "" if answer.reached else NOT_REACHED,
        "short_words": short_words(answer),
        "short_if_words": _short_if_words(outcome),
    }
    return {**answer.to_json(), **words}


def in_100(share: float) -> int:
    """Crossings in a hundred, rounded up."""
    return math.ceil(100.0 * share - 1e-9)


def short_words(answer: WaterAnswer) -> str:
    """How many crossings, and how many in a hundred it may be, so few having been sailed: 19 chances in 20."""
    at_most = f"not more than {answer.short_at_most_in_100} of 100"
    return f"{answer.short_crossings} of {answer.crossings} crossings, and so in {at_most}"


def _short_if_words(outcome: Outcome) -> str:
    """In how many crossings of a hundred water runs out in the worst of the doubts that were tried: those of the
    bracket, and of the heat.
    """
    tried = [(words, dict(line.short).get("water", 0.0)) for words, line in in_words(outcome.bracket)]
    tried += [(other.way, other.short_in_100 / 100.0) for other in outcome.stores.water.otherwise]
    words, worst = max(tried, key=lambda each: each[1])
    return f"{in_100(worst)} in 100 {words}" if worst > 0 else "none in any of the doubts tried"


def in_words(found: Bracket) -> list[tuple[str, Line]]:
    """The bracket's lines, each with what was changed in a sailor's words."""
    told = {figure: iter(words) for figure, words in BRACKET_WORDS.items()}
    return [
        (CURRENT_WORDS[line.value] if line.figure == "current" else next(told[line.figure]), line)
        for line in found.lines
    ]


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


def time_marks(outcome: Outcome) -> list[figures.Mark]:
    times = outcome.times
    named = (("quick", times.fast_h), ("typical", times.typical_h), ("slow end", times.slow_end_h))
    return [figures.Mark(hours / 24.0, f"{name} {hours / 24.0:.1f}") for name, hours in named if math.isfinite(hours)]


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
