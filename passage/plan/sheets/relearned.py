"""After landfall: what the log taught, and what would change in the files."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.journal.taught import Taught, taught_of
from passage.plan.sheets.learned import learned_text
from passage.tell.blocks import Blocks, Head, Say, Verbatim, grid, strong
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.journal.relearn import Relearned


class ProposedKey(Record):
    """One key of the voyage's files that the log would change."""

    file: str = told("the file of that key")
    key: str = told("the key, its tables before it, with full stops between")
    new_text: str = told("what would stand there, as written in the file")
    why_words: str = told("what the change rests on")


class RelearnedTold(Record):
    """The lessons and the changes."""

    learned: tuple[Taught, ...] = told("what the log taught, factor by factor")
    changes: tuple[ProposedKey, ...] = told("keys of the voyage's files that the log would change")
    diff_text: str = told("all changes line by line, as a unified difference; empty where nothing changes")
    accepted: bool = told("whether the files have been changed")


def table(found: Relearned, *, accepted: bool) -> RelearnedTold:
    """accepted: whether the changes, where there are any, have been made."""
    proposed = found.proposal.changes
    changes = tuple(ProposedKey(each.file, ".".join(map(str, each.key)), each.value, each.why) for each in proposed)
    return RelearnedTold(taught_of(found.lessons), changes, found.proposal.diff, accepted and bool(changes))


def relearned_short(told: RelearnedTold) -> Blocks:
    """Lessons, and what would stand in the files."""
    return (
        Verbatim(tuple(learned_text(told.learned).splitlines())),
        Head("Would change"),
        grid(
            told.changes,
            ("file", lambda change: change.file, "left"),
            ("key", lambda change: change.key, "left"),
            ("to", lambda change: strong(change.new_text), "left"),
        ),
        Head("Next"),
        Say(_done(told) or "Nothing to change."),
    )


def relearned_card(told: RelearnedTold) -> Blocks:
    """Lessons, the changes as a reader of files knows them, and whether they were made."""
    parts = [learned_text(told.learned), told.diff_text or "Nothing to change.\n", _done(told)]
    return (Verbatim(tuple("\n".join(part for part in parts if part).splitlines())),)


def _done(told: RelearnedTold) -> str:
    if told.accepted:
        return "The files are changed, and the log says so."
    return "Nothing has been changed. To accept this, say it again with --accept." if told.changes else ""
