"""What an answer says of one thing only: the parts of it that are headed by a word or hold it."""

from __future__ import annotations

import re
from dataclasses import replace
from difflib import get_close_matches
from typing import TYPE_CHECKING

from passage.errors import Fault, InputFaults
from passage.tell.blocks import Grid, Head, Points, Say, Size, Title, bare
from passage.tell.terminal import flat

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from passage.tell.blocks import Block, Blocks


def narrowed(blocks: Sequence[Block], names: Sequence[str]) -> Blocks:
    """The parts of an answer, on a screen, that say something of any of these words: whole where the head has it, else
    the rows, points and paragraphs that do. A word is known by its beginning. Raises InputFaults for one that none has.
    """
    parts = list(_parts(blocks))
    if faults := [_unknown(name, parts) for name in names if not any(_of(part, _word(name)) for part in parts)]:
        raise InputFaults(faults)
    wanted = re.compile("|".join(_word(name).pattern for name in names), re.IGNORECASE)
    return tuple(block for part in parts for block in _of(part, wanted))


def _word(name: str) -> re.Pattern[str]:
    return re.compile(rf"\b{re.escape(name.strip())}", re.IGNORECASE)


def _parts(blocks: Sequence[Block]) -> Iterator[list[Block]]:
    """A head and what stands below it, up to the next."""
    part: list[Block] = []
    for block in flat(blocks):
        if isinstance(block, (Title, Head)) and part:
            yield part
            part = []
        part.append(block)
    if part:
        yield part


def _of(part: Sequence[Block], wanted: re.Pattern[str]) -> Blocks:
    head = part[0] if isinstance(part[0], (Title, Head)) else None
    if head and wanted.search(bare(head.words)):
        return tuple(part)
    found = tuple(kept for block in part for kept in _kept(block, wanted))
    return (head, *found) if head and found else found


def _kept(block: Block, wanted: re.Pattern[str]) -> Blocks:
    if isinstance(block, Grid):
        rows = tuple(row for row in block.rows if wanted.search(bare(" ".join(row))))
        return (replace(block, rows=rows),) if rows else ()
    if isinstance(block, Points):
        items = tuple(item for item in block.items if wanted.search(bare(item)))
        return (replace(block, items=items, numbered=False),) if items else ()
    if not isinstance(block, Say):
        return ()
    text = bare(block.text)
    found = wanted.match(text) if block.size is Size.NOTE else wanted.search(text)  # a note minds everything
    return (block,) if found else ()


def _unknown(name: str, parts: Sequence[Sequence[Block]]) -> Fault:
    words = {word for part in parts for block in part for word in re.findall(r"[^\W\d_]{4,}", _text(block).lower())}
    close = get_close_matches(name.lower(), sorted(words), n=1)
    wanted = f"did you mean {close[0]}?" if close else "--full tells all there is"
    return Fault(name, 0, "", "nothing is said of it here", wanted)


def _text(block: Block) -> str:
    if isinstance(block, (Title, Head)):
        return bare(block.words)
    if isinstance(block, Grid):
        return bare(" ".join(cell for row in block.rows for cell in row))
    return bare(" ".join(block.items) if isinstance(block, Points) else block.text if isinstance(block, Say) else "")
