"""From which day out one way is quicker than another for good."""

from __future__ import annotations

from enum import StrEnum
from math import inf, isfinite, isnan, nan
from typing import TYPE_CHECKING

from passage.tell.records import Record, reckoned, told, up

if TYPE_CHECKING:
    from collections.abc import Sequence

    Times = tuple[float, float]  # typical hours, and those of the slow end


class Turn(StrEnum):
    """When going on is quicker than another way."""

    ALWAYS = "always"
    FROM_DAY = "from a day on"
    NEVER = "never"
    NOT_KNOWN = "not known"


class Turning(Record):
    """The day out from which going on is quicker than this way; inf where it never is before landfall, 0 where it
    always is, nan where too few get there either way to tell.
    """

    way: str = told("the way that going on is held against")
    typical_day: float = up("day out from which going on is typically quicker; 0 from the start")
    slow_end_day: float = up("the same at the slow end")
    first_day: float = told("the first day out sailed from; a part of one on a short passage", default=1.0)

    @property
    def by_hour(self) -> bool:
        return self.first_day < 1.0

    @reckoned("whether going on is typically quicker: always, from a day on, never, or not known")
    def typical(self) -> Turn:
        return _turn_of(self.typical_day)

    @reckoned("the same at the slow end")
    def slow_end(self) -> Turn:
        return _turn_of(self.slow_end_day)


def _turn_of(day: float) -> Turn:
    if isnan(day):
        return Turn.NOT_KNOWN
    if day == 0.0:
        return Turn.ALWAYS
    return Turn.FROM_DAY if isfinite(day) else Turn.NEVER


def turning_points(ways: tuple[str, ...], days: Sequence[tuple[float, Sequence[Times]]]) -> tuple[Turning, ...]:
    """Against every way but the first, straight between the days. days: day out, and the times of every way then."""
    ends = [
        [[(day, times[0][end], times[at][end]) for day, times in days] for end in (0, 1)] for at in range(len(ways))
    ]
    return tuple(
        Turning(way, _turns(typical), _turns(slow_end), days[0][0])
        for way, (typical, slow_end) in list(zip(ways, ends, strict=True))[1:]
    )


def _turns(rows: list[tuple[float, float, float]]) -> float:
    """The day from which on the first of two times is the shorter for good; rows: day, one time, the other. Days on
    which neither gets there decide nothing; where they are the last, nobody knows that she is never the quicker.
    """
    first_day, last_day = rows[0][0], rows[-1][0]
    rows = [row for row in rows if min(row[1:]) < inf]
    if not rows:
        return nan
    quicker = [on_h <= other_h for _, on_h, other_h in rows]
    last_behind = max((at for at, ahead in enumerate(quicker) if not ahead), default=-1)
    if last_behind < 0:
        return 0.0 if rows[0][0] == first_day else float(rows[0][0])
    if last_behind == len(rows) - 1:
        return inf if rows[-1][0] == last_day else nan
    (day, on_h, other_h), (next_day, next_on_h, next_other_h) = rows[last_behind : last_behind + 2]
    behind, ahead = on_h - other_h, next_other_h - next_on_h
    share = behind / (behind + ahead) if isfinite(behind) and isfinite(ahead) else 1.0
    return day + share * (next_day - day)
