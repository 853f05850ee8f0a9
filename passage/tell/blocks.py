"""What a sheet is made of, before anybody decides whether it goes onto a screen, onto paper or into a browser.

Texts may hold runs of weight: ``f"Load {strong(load)} now"``. Weight is set by characters for private
use, which no text from a file keeps, so that nothing a person wrote can be taken for one.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Any, Literal, TypeVar

from passage.tell.figures import in_words

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

Row = TypeVar("Row")

SMALL_PT, BODY_PT = 8.0, 9.0  # two of the five sizes of type; pages/furniture.typ has all
INSET_PT = 1.6  # above and below the words of a cell
GUTTER_PT = 14.0  # between blocks side by side
TICK = "☐"  # a box to tick
STRONG, SMALL, LARGE, PICTURE, END = "\ue000", "\ue001", "\ue002", "\ue003", "\ue00f"
MARKS = {STRONG: "strong", SMALL: "small", LARGE: "large", PICTURE: "picture"}


def strong(value: Any) -> str:
    """A run in bold."""
    return f"{STRONG}{in_words(value)}{END}"


def small(value: Any) -> str:
    """A run in small letters."""
    return f"{SMALL}{in_words(value)}{END}"


def large(value: Any) -> str:
    """A run in large bold figures."""
    return f"{LARGE}{in_words(value)}{END}"


def picture(name: str, alt: str) -> str:
    """A small drawing within a line or a cell; its words where there is no room for one."""
    return f"{PICTURE}{name}|{alt}{END}"


def bare(text: str) -> str:
    """The text without its weights, of a picture its words."""
    text = re.sub(f"{PICTURE}[^|]*\\|", "", text)
    return "".join(letter for letter in text if letter not in MARKS and letter != END)


def weights_of(text: str) -> Iterator[tuple[str, bool]]:
    """Every letter of the bare text, and whether it is bold."""
    within: list[str] = []
    for letter in re.sub(f"{PICTURE}[^|]*\\|", PICTURE, text):
        if letter in MARKS:
            within.append(letter)
        elif letter != END:
            yield letter, STRONG in within or LARGE in within
        elif within:
            within.pop()


class Size(StrEnum):
    """How large a sentence is set on paper."""

    VERDICT = "verdict"  # the answer that a sheet gives
    LEAD = "lead"
    BODY = "body"
    NOTE = "note"  # what a table's words mean, where figures come from


class Medium(StrEnum):
    SCREEN = "screen"
    PAPER = "paper"


@dataclass(frozen=True)
class Title:
    """The head of a card."""

    words: str


@dataclass(frozen=True)
class Head:
    """The head of a part of a card; short: a few letters for the margin of a terminal, the words where left out."""

    words: str
    short: str = ""


@dataclass(frozen=True)
class Say:
    """A paragraph; left out where it says nothing."""

    text: str
    size: Size = Size.BODY


@dataclass(frozen=True)
class Points:
    """A list, numbered or with points."""

    items: tuple[str, ...]
    numbered: bool = False


@dataclass(frozen=True)
class Column:
    """A column of a grid. wide: "auto" as wide as its words, or a share of what is left, "1fr"."""

    head: str = ""
    align: Literal["left", "right"] = "left"
    wide: str = "auto"


@dataclass(frozen=True)
class Grid:
    """A table. rows: texts, as many as columns, or one alone for all of them; every: so many rows between two light
    lines; size, inset: points.
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    every: int = 5
    size: float = BODY_PT
    inset: float = INSET_PT


@dataclass(frozen=True)
class Drawing:
    """A picture by name, and what it shows in words for those who cannot see it. natural: as large as it was drawn, in
    the middle, not as wide as the room.
    """

    name: str
    alt: str
    natural: bool = False


@dataclass(frozen=True)
class Beside:
    """Blocks side by side on paper, one after another elsewhere. wide: of each column, equal where left out."""

    parts: tuple[Blocks, ...]
    wide: tuple[str, ...] = ()


@dataclass(frozen=True)
class Newspaper:
    """Blocks that run down two columns on paper, one after another elsewhere; size: of the letters, points."""

    blocks: Blocks
    size: float = BODY_PT


@dataclass(frozen=True)
class Together:
    """Blocks that are not to be parted by the end of a page."""

    blocks: Blocks


@dataclass(frozen=True)
class On:
    """Blocks for one medium only; a browser shows what paper does."""

    medium: Medium
    blocks: Blocks


@dataclass(frozen=True)
class ToWrite:
    """So many empty lines to write on by hand."""

    lines: int


@dataclass(frozen=True)
class Verbatim:
    """Lines as they are, never wrapped: what is drawn with letters, and what is to be copied."""

    lines: tuple[str, ...]


@dataclass(frozen=True)
class Sketch:
    """A drawing made of letters, for a screen alone. draw: its lines for so many columns."""

    draw: Callable[[int], Sequence[str]]


@dataclass(frozen=True)
class Break:
    """A new page on paper."""


Block = (
    Title
    | Head
    | Say
    | Points
    | Grid
    | Drawing
    | Beside
    | Newspaper
    | Together
    | On
    | ToWrite
    | Verbatim
    | Sketch
    | Break
)
Blocks = tuple[Block, ...]


def note(text: str) -> Say:
    return Say(text, Size.NOTE)


def on_screen(*blocks: Block) -> On:
    return On(Medium.SCREEN, blocks)


def on_paper(*blocks: Block) -> On:
    return On(Medium.PAPER, blocks)


def grid(
    rows: Iterable[Row],
    *columns: tuple[str, Callable[[Row], Any]] | tuple[str, Callable[[Row], Any], str],
    every: int = 5,
    size: float = BODY_PT,
    inset: float = INSET_PT,
    under: Callable[[Row], str] | None = None,
) -> Grid:
    """A table of records. columns: (head, cell of a row, how), in which ``how`` is ``left`` or ``right`` (right
    where left out: figures) and a width after it where it is not ``auto``: ``"left 1fr"``. under: words that stand over
    the rows which follow one another with the same.
    """
    laid = tuple(_column(*each) for each in columns)
    cells: list[tuple[str, ...]] = []
    over = ""
    for row in rows:
        if under is not None and under(row) != over:
            over = under(row)
            cells.append((strong(over),))
        cells.append(tuple(in_words(each[1](row)) for each in columns))
    return Grid(laid, tuple(cells), every, size, inset)


def _column(head: str, _: object, how: str = "right") -> Column:
    align, _, wide = how.partition(" ")
    assert align in ("left", "right"), align
    return Column(head, "left" if align == "left" else "right", wide or "auto")


@dataclass(frozen=True)
class Card:
    """One printed card: blocks, or none where it is set by hand in the page file of its sheet. night: for the night."""

    name: str
    blocks: Blocks = ()
    night: bool = False


def shown_on(medium: Medium, blocks: Sequence[Block]) -> Iterator[Block]:
    """The blocks that one medium shows; what is empty is left out, and heads with nothing below them."""
    head: Head | None = None
    for block in _on(medium, blocks):
        if isinstance(block, Head):
            head = block
            continue
        if head is not None and not isinstance(block, (Title, Break)):
            yield head
        head = None
        yield block


def _on(medium: Medium, blocks: Sequence[Block]) -> Iterator[Block]:
    for block in blocks:
        if isinstance(block, On):
            if block.medium == medium:
                yield from _on(medium, block.blocks)
        elif not _is_empty(block) and (medium is Medium.SCREEN or not isinstance(block, Sketch)):
            yield block


def _is_empty(block: Block) -> bool:
    what = {Say: "text", Points: "items", Grid: "rows", Together: "blocks", Newspaper: "blocks", Verbatim: "lines"}.get(
        type(block)
    )
    return what is not None and not getattr(block, what)


def runs(text: str) -> list[tuple[tuple[str, ...], str]]:
    """A text in runs, each with the weights it stands in: ``[((), "Load "), (("strong",), "171")]``."""
    found: list[tuple[tuple[str, ...], str]] = []
    weights: list[str] = []
    letters = ""
    for letter in text:
        if letter not in MARKS and letter != END:
            letters += letter
            continue
        if letters:
            found.append((tuple(weights), letters))
        letters = ""
        if letter == END:
            weights.pop()
        else:
            weights.append(MARKS[letter])
    return [*found, (tuple(weights), letters)] if letters else found
