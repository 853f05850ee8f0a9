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
    if typical == slow_end:
        return typical
    return f"{typical}; at the slow end {_in_short(turning.slow_end, f'{turning.slow_end_day}')}"


def _turns(turn: Turn, day: str) -> str:
    return {
        Turn.NOT_KNOWN: "not known: neither gets there",
        Turn.NEVER: "never quicker to go on",
        Turn.ALWAYS: "always quicker to go on",
        Turn.FROM_DAY: f"go on from day {day}",
    }[turn]


def _in_short(turn: Turn, day: str) -> str:
    return f"from day {day}" if turn is Turn.FROM_DAY else turn.value
