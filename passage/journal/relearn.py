"""After landfall: what this log taught, and the changes to the files that follow, to be read and accepted once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from passage.ground import lay_ground
from passage.inputs.climate import read_climate
from passage.journal.doubts import Doubtful
from passage.journal.entries import setting_of, standing
from passage.journal.evidence import Lessons, lessons
from passage.journal.now import air_ahead_c, planned_water_l
from passage.journal.proposal import Proposal, accept, propose
from passage.journal.storage import add

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from passage.inputs.folder import Facts
    from passage.journal.log import Moment
    from passage.journal.record import Entry

RELEARNED = "relearned"


@dataclass(frozen=True)
class Relearned:
    """The lessons of a log, and what they propose for the files."""

    lessons: Lessons
    proposal: Proposal


def relearn(facts: Facts, entries: Sequence[Entry], *, yes: bool = False) -> Relearned:
    """From the log's entries as read, a weekend's or an ocean's alike.

    Raises Doubtful where the log has no landfall yet or was learned from before, unless ``yes``: in either case its
    days would count twice. InputFaults for a log without a departure and for a file that cannot be changed by line.
    """
    setting, kept = setting_of(entries), standing(entries)
    if not yes and (asked := _twice(kept)):
        raise Doubtful(asked)
    ground = lay_ground(facts)
    water_l = planned_water_l(setting, facts, air_ahead_c(ground, kept[0].time))
    usual, current = read_climate(facts.voyage.departure.climate), facts.voyage.current_away
    taught = lessons(kept, facts.boat, ground.vessel, water_l, setting.plan, current, usual)
    return Relearned(taught, propose(facts, taught))


def _twice(kept: Sequence[Entry]) -> list[str]:
    kinds = {entry.kind: entry.number for entry in kept}
    asked = []
    if "landfall" not in kinds:
        asked.append("There is no landfall in this log: its days would count again in each 'now'. Sure?")
    if RELEARNED in kinds:
        asked.append(f"This log was learned from before (entry {kinds[RELEARNED]}): its days would count twice. Sure?")
    return asked


def accept_and_note(folder: Path, relearned: Relearned, at: Moment) -> tuple[str, ...]:
    """Write the files and note in the log that it was done; returns the log's warnings. Raises InputFaults, OSError."""
    accept(relearned.proposal)
    changes = ", ".join(f"{change.key[-1]} = {change.value}" for change in relearned.proposal.changes)
    body = {"remarks": f"relearned: {changes or 'nothing to change'}"}
    return add(folder, RELEARNED, at.clock, body, written=at.clock, disk=at.disk).warnings
