"""Blocks as plain text for a terminal: heads in a margin, what they say beside them, tables below."""

from __future__ import annotations

import textwrap
from contextvars import ContextVar
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter
from typing import TYPE_CHECKING

from passage.tell.blocks import (
    END,
    MARKS,
    STRONG,
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
    Size,
    Sketch,
    Title,
    Together,
    ToWrite,
    Verbatim,
    bare,
    shown_on,
    strong,
    weights_of,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from passage.tell.blocks import Block, Column

WIDTH = 80
MARGIN = 18  # columns that are left to heads
GUTTER = 2
NARROWEST = 12  # a column of words is wrapped no narrower
WIDEST_TABLE = 140
MOST_HEAD_LINES = 2  # of a table, where there is room for so few


@dataclass(frozen=True)
class Screen:
    """What is written for. wide: columns; sentences take 80 of them at most, a table that would wrap there 140. bold:
    whether key figures keep their marks, for who prints them to turn into weight.
    """

    wide: int = WIDTH
    bold: bool = False

    @property
    def sentence(self) -> int:
        return min(self.wide, WIDTH)

    @property
    def table(self) -> int:
        return min(self.wide, WIDEST_TABLE)


SCREEN: ContextVar[Screen] = ContextVar("screen", default=Screen())  # noqa: B039 (it is frozen); set by a command


def text(cards: Iterable[Card], wide: int | None = None) -> str:
    """Cards one after another, an empty line between two parts."""
    return blocks_text([block for card in cards for block in card.blocks], wide)


def blocks_text(blocks: Sequence[Block], wide: int | None = None, *, tight: bool = False) -> str:
    """A part is a head and what stands below it up to the next; parts with nothing in them are left out. wide: columns,
    the screen's if left out; tight: without an empty line between two parts.
    """
    parts: list[list[str]] = []
    head: str | None = None
    lines: list[str] = []
    for block in flat(blocks):
        if isinstance(block, (Title, Head)):
            parts.append(lines)
            head, lines = bare(getattr(block, "short", "") or block.words), []
            continue
        head = _put(block, head, lines, wide)
    return ("\n" if tight else "\n\n").join("\n".join(part) for part in [*parts, lines] if part)


def flat(blocks: Iterable[Block]) -> Iterable[Block]:
    """The blocks that a screen shows, one after another."""
    for block in shown_on(Medium.SCREEN, tuple(blocks)):
        if isinstance(block, (Together, Newspaper)):
            yield from flat(block.blocks)
        elif isinstance(block, Beside):
            for part in block.parts:
                yield from flat(part)
        elif not isinstance(block, (Drawing, ToWrite, Break)):
            yield block


def _put(block: Block, head: str | None, lines: list[str], wide: int | None) -> str | None:
    """Add a block's lines; the head that is still to be put, None once it is."""
    if isinstance(block, (Grid, Verbatim, Sketch)):
        lines += textwrap.wrap(head or "", wide or SCREEN.get().sentence)
        lines += _lines(block, wide)
        return None
    said = [block.text] if isinstance(block, Say) else list(block.items) if isinstance(block, Points) else []
    numbered = isinstance(block, Points) and block.numbered
    heavy = isinstance(block, Say) and block.size is Size.VERDICT
    for number, words in enumerate(said, start=1):
        lead = f"{number}. " if numbered else ""
        lines += aside(head or "", f"{lead}{strong(words) if heavy else words}", wide)
        head = None
    return head


def _lines(block: Grid | Verbatim | Sketch, wide: int | None) -> Sequence[str]:
    if isinstance(block, Grid):
        return grid_lines(block, wide)
    return block.lines if isinstance(block, Verbatim) else block.draw(wide or SCREEN.get().sentence)


def aside(head: str, words: str, wide: int | None = None, margin: int = MARGIN) -> list[str]:
    """Words in the right-hand column, the head in the margin before them; a long head takes a line of its own."""
    wide = wide or SCREEN.get().sentence
    above, lines = [], []
    if len(head) >= margin:
        above, head = textwrap.wrap(head, wide), ""
    lead = f"{head:<{margin}}"
    for paragraph in bare(words).splitlines():
        lines += textwrap.wrap(
            paragraph, wide, initial_indent=lead, subsequent_indent=" " * margin, break_on_hyphens=False
        )
        lead = " " * margin
    return [*above, *_weighted(lines, words, margin)]


def _weighted(lines: list[str], text: str, margin: int = 0) -> list[str]:
    """The lines into which the bare text was wrapped, its key figures marked again by word where the screen is bold.
    margin: letters at the beginning of each line that are not of the text.
    """
    if not SCREEN.get().bold or not any(mark in text for mark in MARKS):
        return lines
    weights = (weight for letter, weight in weights_of(text) if not letter.isspace())
    return [line[:margin] + _marked(line[margin:], weights) for line in lines]


def _marked(line: str, weights: Iterator[bool]) -> str:
    letters = [(letter, not letter.isspace() and next(weights)) for letter in line]
    runs = ((heavy, "".join(letter for letter, _ in run)) for heavy, run in groupby(letters, key=itemgetter(1)))
    return "".join(f"{STRONG}{run}{END}" if heavy else run for heavy, run in runs)


def grid_lines(grid: Grid, wide: int | None = None) -> list[str]:
    """The table, its heads above it, figures to the right; where it is too wide the widest words are wrapped. Columns
    to be filled in by hand are left out.
    """
    wide = wide or SCREEN.get().table
    whole = [[bare(cell) for cell in row] for row in grid.rows if len(row) == len(grid.columns)]
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
    widths = _eased(heads, widths, wide - gutter * (len(widths) - 1))
    between = " " * gutter
    lines = _row(heads, widths, columns, between, foot=True) if any(heads) else []
    for row in grid.rows:
        over = len(row) != len(grid.columns)
        lines += (
            _weighted(textwrap.wrap(bare(row[0]), wide), row[0])
            if over
            else _row([row[number] for number in said], widths, columns, between)
        )
    return lines


def _longest_word(text: str) -> int:
    return max(map(len, text.split()), default=0)


def _eased(heads: Sequence[str], widths: list[int], room: int) -> list[int]:
    """Columns widened where their heads take more lines than two and the room allows fewer."""
    while (tall := max(map(_high, heads, widths), default=0)) > MOST_HEAD_LINES:
        wider = [
            width if _high(head, width) < tall else _lower(head, width)
            for head, width in zip(heads, widths, strict=True)
        ]
        if sum(wider) > room:
            break
        widths = wider
    return widths


def _high(head: str, width: int) -> int:
    return len(_cell_lines(head, width))


def _lower(head: str, width: int) -> int:
    """The width at which the head takes a line less."""
    tall = _high(head, width)
    return next(wider for wider in range(width + 1, len(head) + 1) if _high(head, wider) < tall)


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
    wrapped = [_weighted(_cell_lines(bare(cell), width), cell) for cell, width in zip(cells, widths, strict=True)]
    high = max((len(lines) for lines in wrapped), default=0)
    wrapped = [[""] * (high - len(lines)) + lines if foot else lines + [""] * (high - len(lines)) for lines in wrapped]
    return [
        between.join(
            _filled(cell, width, column) for cell, width, column in zip(line, widths, columns, strict=True)
        ).rstrip()
        for line in zip(*wrapped, strict=True)
    ]


def _cell_lines(cell: str, width: int) -> list[str]:
    return [line for part in cell.splitlines() for line in textwrap.wrap(part, width, break_on_hyphens=False) or [""]]


def _filled(cell: str, width: int, column: Column) -> str:
    """The cell with blanks up to its width, of which marks take none."""
    blanks = " " * (width - len(bare(cell)))
    return f"{cell}{blanks}" if column.align == "left" else f"{blanks}{cell}"
