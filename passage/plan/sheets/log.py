"""What the commands of the log print: what is said of an entry, and every entry with what corrects it beneath.

Nothing heavy is imported: a noon answers in a third of a second in this form too.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.journal.show import shown
from passage.tell.blocks import Blocks, Verbatim
from passage.tell.records import Record, told
from passage.tell.terminal import aside

if TYPE_CHECKING:
    from passage.journal.asking import Prompt
    from passage.journal.log import Logged
    from passage.journal.storage import Journal


LABELS = 22  # columns that the questions take


class Rebuilt(Record):
    """One copy of the log made anew."""

    set_aside: tuple[str, ...] = told("names that the old files now bear")


def said_card(logged: Logged) -> Blocks:
    return (Verbatim(logged.said),)


def asked_card(prompt: Prompt) -> Blocks:
    """What was wrong or is to be known first, then the question with what stands beside it."""
    said = [line for sentence in prompt.said for line in aside("!", sentence, margin=2)]
    return (Verbatim((*said, *aside(prompt.label, prompt.beside or "nothing yet", margin=LABELS))),)


def enter_words(prompt: Prompt) -> str:
    """What stands before the place where the answer is typed."""
    return f"  Enter: {prompt.enter} > " if prompt.enter else "  > "


def show_card(journal: Journal) -> Blocks:
    return (Verbatim((*shown(journal.entries), *journal.warnings)),)


def rebuilt_card(rebuilt: Rebuilt) -> Blocks:
    return (Verbatim((f"Made anew. Set aside: {', '.join(rebuilt.set_aside) or 'nothing'}.",)),)
