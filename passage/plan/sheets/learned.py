"""What the log has taught, as it is told beside the day's reckoning and when the files are changed by it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.journal.taught import Factor
from passage.tell.terminal import aside

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from passage.journal.taught import Taught

Row = tuple[str, str]
LABELS = len("Overruled by") + 1
_OF = {
    Factor.SPEED: "of her polar",
    Factor.WATER: "of what was planned",
    Factor.FUEL: "of the boat file's",
    Factor.ELECTRICITY: "of that planned",
}


def learned_rows(learned: Iterable[Taught]) -> Iterator[Row]:
    """Belief before and after with its spread, and the days behind it."""
    for number, step in enumerate(learned):
        before = f"{step.before_percent} ± {step.before_spread_percent}"
        after = f"{step.after_percent} ± {step.after_spread_percent}"
        days = f"{step.days_count} {'day' if step.days_count == 1 else 'days'}"
        yield "" if number else "Learned", f"{step.of} {after} % {_OF[step.of]} ({before} before; {days})"


def learned_text(learned: Iterable[Taught]) -> str:
    """The same rows as plain text."""
    return "\n".join(line for label, words in learned_rows(learned) for line in aside(label, words, margin=LABELS))
