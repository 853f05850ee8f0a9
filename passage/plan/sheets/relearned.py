"""After landfall: what the log taught, and what would change in the files."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.plan.sheets.now import learned, learned_text

if TYPE_CHECKING:
    from passage.journal.relearn import Relearned
    from passage.plan.printed import Table


def table(found: Relearned, *, accepted: bool) -> Table:
    """The lessons and the changes; accepted: whether the files have been changed."""
    changes = [
        {"file": change.file, "key": ".".join(map(str, change.key)), "new_text": change.value, "why_words": change.why}
        for change in found.proposal.changes
    ]
    return {
        "learned": learned(found.lessons),
        "changes": changes,
        "diff_text": found.proposal.diff,
        "accepted": accepted,
    }


def text(table: Table) -> str:
    """Lessons, the changes as a reader of files knows them, and whether they were made."""
    if table["accepted"]:
        done = "The files are changed, and the log says so."
    elif table["changes"]:
        done = "Nothing has been changed. To accept this, say it again with --accept."
    else:
        done = ""
    blocks = [learned_text(table["learned"]), table["diff_text"] or "Nothing to change.\n", done]
    return "\n".join(block for block in blocks if block)


KEYS = {
    "changes": "keys of the voyage's files that the log would change",
    "file": "the file of that key",
    "key": "the key, its tables before it, with full stops between",
    "new_text": "what would stand there, as written in the file",
    "why_words": "what the change rests on",
    "diff_text": "all changes line by line, as a unified difference; empty where nothing changes",
    "accepted": "whether the files have been changed",
}
