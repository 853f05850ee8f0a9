"""What the desk is told: lines of what follows, in parts."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from typing import Any

FEW, ALL = 200, 1000  # crossings that are sailed first, and in the end


class Line(NamedTuple):
    """One thing that follows. words: the answer; more: what goes with it; bad: whether it speaks against going."""

    key: str
    head: str
    words: str
    more: str = ""
    bad: bool = False


class PartialAnswer(NamedTuple):
    """Lines from so many crossings; whole: whether nothing more is to come; boats: for the chart, by day."""

    crossings: int
    lines: tuple[Line, ...]
    whole: bool = False
    boats: dict[str, Any] | None = None
