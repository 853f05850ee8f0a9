"""What is marked along the slider of days: new and full moon, and until when turning back or a refuge is quicker."""

from __future__ import annotations

from itertools import groupby
from math import isfinite
from typing import TYPE_CHECKING, Any, NamedTuple

from passage.errors import RouteRefused
from passage.plan.turns import turn_words
from passage.sailings.sky import MoonPhase
from passage.troubles.refuges import sail_ways_out, sail_whole_ways, turns_of
from passage.troubles.turning import Turn

if TYPE_CHECKING:
    from passage.road import Outcome
    from passage.troubles.ways import WaysOut, WholeWays

FAR = 10**6  # days
MOONS = {MoonPhase.NEW: "●", MoonPhase.FULL: "○"}


class TurnMark(NamedTuple):
    """words: a line of the page. mark: day out and sign, the day beyond all others where there is none."""

    words: str
    mark: dict[str, Any]


def moon_marks(outcome: Outcome, last_day: int) -> list[dict[str, Any]]:
    """The middle of every run of days that have a new moon, or a full one, by day out."""
    phases = [(day, row.moon_phase) for day, row in enumerate(outcome.sky[: last_day + 1])]
    runs = [(phase, [day for day, _ in run]) for phase, run in groupby(phases, key=lambda each: each[1])]
    return [
        {"day": days[len(days) // 2], "sign": MOONS[phase], "words": str(phase)}
        for phase, days in runs
        if phase in MOONS
    ]


def turn_marks(outcome: Outcome) -> list[TurnMark]:
    """From when on going on is quicker than the way back and than every refuge, at the slow end; where no wind is
    known on one of those ways, a sentence that says so.
    """
    try:
        out = _ways(outcome)
    except RouteRefused as refusal:
        return [TurnMark(f"The ways back and to refuges cannot be sailed: {refusal}.", {"day": FAR})]
    marks = []
    for turn in turns_of(outcome, out):
        day = turn.slow_end_day if turn.slow_end is Turn.FROM_DAY and isfinite(turn.slow_end_day) else float("inf")
        words = f"{turn.way[:1].upper()}{turn.way[1:]}: {turn_words(turn)}."
        marks.append(TurnMark(words, {"day": round(day, 1) if isfinite(day) else FAR, "sign": "▲", "words": words}))
    return marks


def _ways(outcome: Outcome) -> WaysOut | WholeWays:
    """All of them where they are sailed already, else those of the whole boat alone, for no others are marked."""
    if outcome.knows(sail_ways_out):
        return outcome.once(sail_ways_out)
    return outcome.once(sail_whole_ways)
