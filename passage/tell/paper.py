"""Blocks as data for the typesetter: ``pages/blocks.typ`` sets each kind in one way."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from passage.tell.blocks import (
    Beside,
    Break,
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
    runs,
    shown_on,
)
from passage.tell.figures import DASH

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.tell.blocks import Block


def set_blocks(blocks: Sequence[Block]) -> list[dict[str, Any]]:
    """Each block as a dictionary of its ``kind`` and what it holds; texts as runs of ``weights`` and ``text``."""
    return [_set(block) for block in shown_on(Medium.PAPER, tuple(blocks))]


def _set(block: Block) -> dict[str, Any]:
    if isinstance(block, (Title, Head)):
        return {"kind": "head", "level": 1 if isinstance(block, Title) else 2, "text": _runs(block.words)}
    if isinstance(block, Say):
        return {"kind": "say", "size": block.size.value, "text": _runs(block.text)}
    if isinstance(block, Points):
        return {"kind": "points", "numbered": block.numbered, "items": [_runs(item) for item in block.items]}
    if isinstance(block, Grid):
        return _set_grid(block)
    if isinstance(block, Drawing):
        return {"kind": "drawing", "name": f"{block.name}.svg", "alt": block.alt, "natural": block.natural}
    if isinstance(block, Beside):
        wide = block.wide or ("1fr",) * len(block.parts)
        return {"kind": "beside", "wide": list(wide), "parts": [set_blocks(part) for part in block.parts]}
    if isinstance(block, Together):
        return {"kind": "together", "blocks": set_blocks(block.blocks)}
    if isinstance(block, Newspaper):
        return {"kind": "newspaper", "size": block.size, "blocks": set_blocks(block.blocks)}
    if isinstance(block, ToWrite):
        return {"kind": "to-write", "lines": block.lines}
    if isinstance(block, Verbatim):
        return {"kind": "verbatim", "lines": list(block.lines)}
    assert isinstance(block, Break)
    return {"kind": "break"}


def _set_grid(grid: Grid) -> dict[str, Any]:
    """A column that has a head and nothing but dashes says nothing, and is left out."""
    told = [
        at
        for at, column in enumerate(grid.columns)
        if not column.head or any(bare(row[at]) != DASH for row in grid.rows if len(row) == len(grid.columns))
    ]
    if len(told) < len(grid.columns):
        rows = tuple(tuple(row[at] for at in told) if len(row) == len(grid.columns) else row for row in grid.rows)
        grid = replace(grid, columns=tuple(grid.columns[at] for at in told), rows=rows)
    return {
        "kind": "grid",
        "wide": [column.wide for column in grid.columns],
        "align": [column.align for column in grid.columns],
        "heads": [_runs(column.head) for column in grid.columns],
        "rows": [[_runs(cell) for cell in row] for row in grid.rows],
        "every": grid.every,
        "size": grid.size,
        "inset": grid.inset,
    }


def _runs(text: str) -> list[dict[str, Any]]:
    return [_run(weights, words) for weights, words in runs(text)]


def _run(weights: tuple[str, ...], words: str) -> dict[str, Any]:
    if weights[-1:] == ("picture",):
        name, _, alt = words.partition("|")
        return {"weights": [], "text": alt, "picture": f"{name}.svg"}
    return {"weights": list(weights), "text": words}
