"""Plain text in 80 columns for the terminal: a title, and what it says beside it."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

WIDTH = 80
ASIDE = 18


def joined(blocks: Sequence[Sequence[str]]) -> str:
    """Blocks of lines, fitted, an empty line between two; empty blocks left out."""
    return "\n\n".join("\n".join(fitted(block)) for block in blocks if block)


def aside(title: str, texts: Sequence[str], wide: int = ASIDE) -> list[str]:
    """Texts in the right-hand column, the title before the first; ``wide``: columns that are left to titles."""
    lines: list[str] = []
    for number, text in enumerate(texts):
        lead = title if number == 0 else ""
        lines += textwrap.wrap(
            text, WIDTH, initial_indent=f"{lead:<{wide}}", subsequent_indent=" " * wide, break_on_hyphens=False
        )
    return lines


def fitted(lines: Sequence[str]) -> list[str]:
    """Lines too long for the terminal wrapped into the right-hand column; names of any length are."""
    fitted: list[str] = []
    for line in lines:
        fitted += [line] if len(line) <= WIDTH else textwrap.wrap(line, WIDTH, subsequent_indent=" " * ASIDE)
    return fitted
