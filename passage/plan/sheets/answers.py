"""The two answers that several sheets give alike: how long, and whether the water lasts."""

from __future__ import annotations

import math
from datetime import timedelta
from typing import TYPE_CHECKING

from passage.plan import figures
from passage.plan.columns import ASIDE

if TYPE_CHECKING:
    from collections.abc import Iterable

    from passage.plan.printed import Table
    from passage.road import Outcome


FAN_HIGH_PT = 225.0
NOT_REACHED = "too many of these crossings never arrive"


def time_answer(outcome: Outcome) -> Table:
    spread = outcome.times
    answer: Table = {"never_crossings": spread.never, "slow_end_in": _one_in(1.0 - spread.slow_share)}
    for name, hours in (("quick", spread.fast_h), ("typical", spread.typical_h), ("slow_end", spread.slow_end_h)):
        reached = math.isfinite(hours)
        landfall = outcome.crossings.depart + timedelta(hours=hours) if reached else None
        answer[f"{name}_days"] = hours / 24.0
        answer[f"{name}_landfall_utc"] = landfall.date().isoformat() if landfall else None
        answer[f"{name}_words"] = "" if reached else NOT_REACHED
    return answer


def _one_in(share: float) -> int:
    """20 for a twentieth: one crossing in so many."""
    return round(1.0 / share) if share > 0 else 0


def water_answer(outcome: Outcome) -> Table:
    answer = outcome.stores.water.answer
    words = {"verdict": f"{answer.verdict.words}.", "load_words": "" if answer.reached else NOT_REACHED}
    return {**answer.to_json(), **words}


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
        ("Slow end", "slow_end", f"1 crossing in {time['slow_end_in']} is slower still"),
        ("Quick end", "quick", "1 crossing in 10 is quicker"),
    )
    for title, name, note in rows:
        if time[f"{name}_words"]:
            yield f"{title:<{ASIDE}}not reached: {time[f'{name}_words']}"
        else:
            yield f"{title:<{ASIDE}}{time[f'{name}_days']:>5} days  {time[f'{name}_landfall_utc']}  {note}"
    if time["never_crossings"] != "0":
        yield f"{'':<{ASIDE}}{time['never_crossings']} of {crossings} crossings never arrived"


def load_lines(water: Table, crossings: str) -> Iterable[str]:
    short = f"runs out in {water['short_crossings']} of {crossings} crossings"
    yield f"{'Does water last?':<{ASIDE}}{water['verdict']} It {short}."
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
    "short_in_100": "the same in a hundred, rounded up",
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
