"""In words, from which day on going on is quicker than turning back or a refuge."""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING

from passage.tell.figures import Side, whole
from passage.troubles.turning import Turn

if TYPE_CHECKING:
    from passage.troubles.turning import Turning


def turn_words(turning: Turning) -> str:
    """From which day going on is the quicker, typically and at the slow end."""
    typical_out, slow_end_out = (out_words(turning, day) for day in (turning.typical_day, turning.slow_end_day))
    typical, slow_end = _turns(turning.typical, typical_out), _turns(turning.slow_end, slow_end_out)
    if typical == slow_end:
        return typical
    return f"{typical}; at the slow end {_in_short(turning.slow_end, slow_end_out)}"


def out_words(turning: Turning, day: float) -> str:
    """A day out, in hours on a passage so short that its ways are told by the hour; '' where there is none."""
    if not isfinite(day):
        return ""
    return f"hour {whole(24.0 * float(day), Side.UP)}" if turning.by_hour else f"day {day}"


def _turns(turn: Turn, out: str) -> str:
    return {
        Turn.NOT_KNOWN: "not known: neither gets there",
        Turn.NEVER: "never quicker to go on",
        Turn.ALWAYS: "always quicker to go on",
        Turn.FROM_DAY: f"go on from {out}",
    }[turn]


def _in_short(turn: Turn, out: str) -> str:
    return f"from {out}" if turn is Turn.FROM_DAY else turn.value
