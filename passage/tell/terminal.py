"""Blocks as plain text for a terminal: heads in a margin, what they say beside them, tables below."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from passage.tell.blocks import (
    Beside,
    Break,
    Card,
    Drawing,
    Grid,
    Head,
    Medium,
    Newspaper,
    Points,
    Say,
    Title,
    Together,
    ToWrite,
    Verbatim,
    bare,
    shown_on,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from passage.tell.blocks import Block, Column

WIDTH = 80
MARGIN = 18  # columns that are left to heads
GUTTER = 2
NARROWEST = 12  # a column of words is wrapped no narrower


def text(cards: Iterable[Card], wide: int = WIDTH) -> str:
    """Cards one after another, an empty line between two parts."""
    return blocks_text([block for card in cards for block in card.blocks], wide)


def blocks_text(blocks: Sequence[Block], wide: int = WIDTH) -> str:
    """A part is a head and what stands below it up to the next; parts with nothing in them are left out."""
    parts: list[list[str]] = []
    head: str | None = None
    lines: list[str] = []
    for block in _flat(blocks):
        if isinstance(block, (Title, Head)):
            parts.append(lines)
            head, lines = bare(getattr(block, "short", "") or block.words), []
            continue
        head = _put(block, head, lines, wide)
    return "\n\n".join("\n".join(part) for part in [*parts, lines] if part)


def _flat(blocks: Iterable[Block]) -> Iterable[Block]:
    for block in shown_on(Medium.SCREEN, tuple(blocks)):
        if isinstance(block, (Together, Newspaper)):
            yield from _flat(block.blocks)
        elif isinstance(block, Beside):
            for part in block.parts:
                yield from _flat(part)
        elif not isinstance(block, (Drawing, ToWrite, Break)):
            yield block


def _put(block: Block, head: str | None, lines: list[str], wide: int) -> str | None:
    """Add a block's lines; the head that is still to be put, None once it is."""
    if isinstance(block, (Grid, Verbatim)):
        lines += textwrap.wrap(head or "", wide)
        lines += grid_lines(block, wide) if isinstance(block, Grid) else block.lines
        return None
    said = [block.text] if isinstance(block, Say) else list(block.items) if isinstance(block, Points) else []
    numbered = isinstance(block, Points) and block.numbered
    for number, words in enumerate(said, start=1):
        lead = f"{number}. " if numbered else ""
        lines += aside(head or "", f"{lead}{bare(words)}", wide)
        head = None
    return head


def aside(head: str, words: str, wide: int = WIDTH, margin: int = MARGIN) -> list[str]:
    """Words in the right-hand column, the head in the margin before them; a long head takes a line of its own."""
    lines = []
    if len(head) >= margin:
        lines, head = textwrap.wrap(head, wide), ""
    lead = f"{head:<{margin}}"
    for paragraph in words.splitlines():
        lines += textwrap.wrap(
            paragraph, wide, initial_indent=lead, subsequent_indent=" " * margin, break_on_hyphens=False
        )
        lead = " " * margin
    return lines


def grid_lines(grid: Grid, wide: int = WIDTH) -> list[str]:
    """The table, its heads above it, figures to the right; where it is too wide the widest words are wrapped. Columns
    to be filled in by hand are left out.
    """
    cells = [[bare(cell) for cell in row] for row in grid.rows]
    whole = [row for row in cells if len(row) == len(grid.columns)]
    said = [number for number in range(len(grid.columns)) if any(row[number] for row in whole)]
    columns = [grid.columns[number] for number in said]
    heads = [bare(column.head).replace("\n", " ").replace(" \\ ", " ") for column in columns]
    widths = [
        max([_longest_word(head), *(max(map(len, row[number].splitlines()), default=0) for row in whole)])
        for head, number in zip(heads, said, strict=True)
    ]
    words = [column.align == "left" for column in columns]
    least = [
        max(map(_longest_word, [head, *(row[number] for row in whole)]))
        for head, number in zip(heads, said, strict=True)
    ]
    gutter = next((gap for gap in (GUTTER, 1) if _give_way(widths, words, least, wide - gap * (len(widths) - 1))), 1)
    if sum(widths) > wide - gutter * (len(widths) - 1):  # words must break
        _give_way(widths, words, [NARROWEST // 2] * len(widths), wide - gutter * (len(widths) - 1))
    between = " " * gutter
    lines = _row(heads, widths, columns, between, foot=True) if any(heads) else []
    for row in cells:
        over = len(row) != len(grid.columns)
        lines += (
            textwrap.wrap(row[0], wide) if over else _row([row[number] for number in said], widths, columns, between)
        )
    return lines


def _longest_word(text: str) -> int:
    return max(map(len, text.split()), default=0)


def _give_way(widths: list[int], words: list[bool], least: list[int], room: int) -> bool:
    """Narrow the widest columns, of words first, until they fit, none to less than its least; whether they do."""
    while sum(widths) > room:
        give = [number for number in range(len(widths)) if widths[number] > least[number]]
        if not give:
            return False
        widths[max(give, key=lambda number: (words[number] and widths[number] > NARROWEST, widths[number]))] -= 1
    return True


def _row(
    cells: Sequence[str], widths: Sequence[int], columns: Sequence[Column], between: str, foot: bool = False
) -> list[str]:
    wrapped = [
        [line for part in cell.splitlines() for line in textwrap.wrap(part, width, break_on_hyphens=False) or [""]]
        for cell, width in zip(cells, widths, strict=True)
    ]
    high = max((len(lines) for lines in wrapped), default=0)
    wrapped = [[""] * (high - len(lines)) + lines if foot else lines + [""] * (high - len(lines)) for lines in wrapped]
    return [
        between.join(
            f"{cell:<{width}}" if column.align == "left" else f"{cell:>{width}}"
            for cell, width, column in zip(line, widths, columns, strict=True)
        ).rstrip()
        for line in zip(*wrapped, strict=True)
    ]
