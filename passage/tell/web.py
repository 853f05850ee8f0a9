"""Blocks as HTML: for the page and for a notebook's cell."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from passage.tell.blocks import (
    Beside,
    Break,
    Drawing,
    Grid,
    Head,
    Medium,
    Points,
    Say,
    Sketch,
    Title,
    ToWrite,
    Verbatim,
    runs,
    shown_on,
)

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from passage.tell.blocks import Block

TAGS = {"strong": "strong", "small": "small", "large": "b"}


def html(blocks: Sequence[Block], drawings: Mapping[str, str] | None = None) -> str:
    """Blocks as HTML without scripts or styles of their own. drawings: SVG by name; without one its words."""
    return "\n".join(_html(block, drawings or {}) for block in shown_on(Medium.PAPER, tuple(blocks)))


def _html(block: Block, drawings: Mapping[str, str]) -> str:
    if isinstance(block, (Title, Head)):
        level = 2 if isinstance(block, Title) else 3
        return f"<h{level}>{_text(block.words)}</h{level}>"
    if isinstance(block, Say):
        return f'<p class="{block.size.value}">{_text(block.text)}</p>'
    if isinstance(block, Points):
        tag = "ol" if block.numbered else "ul"
        return f"<{tag}>{''.join(f'<li>{_text(item)}</li>' for item in block.items)}</{tag}>"
    if isinstance(block, Grid):
        return _grid(block)
    if isinstance(block, Drawing):
        shown = drawings.get(block.name, escape(block.alt))
        return f'<figure role="img" aria-label="{escape(block.alt)}">{shown}</figure>'
    if isinstance(block, Verbatim):
        lines = "\n".join(block.lines)
        return f"<pre>{escape(lines)}</pre>"
    if isinstance(block, (ToWrite, Sketch, Break)):
        return ""
    parts = block.parts if isinstance(block, Beside) else (block.blocks,)
    return "".join(f"<div>{html(part, drawings)}</div>" for part in parts)


def _grid(grid: Grid) -> str:
    how = [f' class="{column.align}"' for column in grid.columns]
    heads = "".join(
        f'<th scope="col"{cls}>{_text(column.head)}</th>' for cls, column in zip(how, grid.columns, strict=True)
    )
    rows = "".join(f"<tr>{_cells(row, how)}</tr>" for row in grid.rows)
    return f"<table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>"


def _cells(row: Sequence[str], how: Sequence[str]) -> str:
    if len(row) != len(how):
        return f'<td colspan="{len(how)}">{_text(row[0])}</td>'
    return "".join(f"<td{cls}>{_text(cell)}</td>" for cls, cell in zip(how, row, strict=True))


def _text(text: str) -> str:
    return "".join(_run(weights, words) for weights, words in runs(text)).replace("\n", "<br>")


def _run(weights: tuple[str, ...], words: str) -> str:
    if weights[-1:] == ("picture",):
        return escape(words.partition("|")[2])
    out = escape(words)
    for weight in reversed(weights):
        out = f"<{TAGS[weight]}>{out}</{TAGS[weight]}>"
    return out
