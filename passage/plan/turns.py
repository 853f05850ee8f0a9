"""In words, from which day on going on is quicker than turning back or a refuge."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.troubles.turning import Turn

if TYPE_CHECKING:
    from passage.troubles.turning import Turning


def turn_words(turning: Turning) -> str:
    """From which day going on is the quicker, typically and at the slow end."""
    typical = _turns(turning.typical, f"{turning.typical_day}")
    slow_end = _turns(turning.slow_end, f"{turning.slow_end_day}")
    return typical if typical == slow_end else f"{typical}; at the slow end {slow_end}"


def _turns(turn: Turn, day: str) -> str:
    return {
        Turn.NOT_KNOWN: "not known: too few get there either way",
        Turn.NEVER: "never quicker to go on",
        Turn.ALWAYS: "always quicker to go on",
        Turn.FROM_DAY: f"go on from day {day}",
    }[turn]
