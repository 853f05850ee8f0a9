"""After landfall: what the log taught, as changes to boat.toml and crew.toml that the person reads and accepts.

tomlkit changes the files, so that every comment, blank line and order of keys stays.
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import unified_diff
from functools import partial
from typing import TYPE_CHECKING

from passage.disk import write_whole
from passage.inputs.boat import Boat
from passage.inputs.crew import Crew
from passage.inputs.editing import with_keys
from passage.inputs.text import read_text
from passage.inputs.toml import KeyPath, Section, read_fact
from passage.journal.learning import next_time
from passage.units import written

if TYPE_CHECKING:
    from pathlib import Path

    from passage.inputs.folder import Facts
    from passage.journal.evidence import Lessons

WORTH_SAYING = 0.005  # half a per cent: less is not proposed


@dataclass(frozen=True)
class KeyChange:
    """One key of one file: its path, the value to write, and why."""

    file: str
    key: KeyPath
    value: str
    why: str


@dataclass(frozen=True)
class Proposal:
    """The changes, and each changed file as it would read. diff: unified, for the screen; empty where nothing
    changes.
    """

    changes: tuple[KeyChange, ...]
    texts: tuple[tuple[Path, str], ...]
    diff: str


def propose(facts: Facts, lessons: Lessons) -> Proposal:
    """What the log taught, for the next passage: changes to the boat's own files, where she has a folder of hers."""
    changes = _changes(facts, lessons)
    texts = []
    diffs: list[str] = []
    for name in dict.fromkeys(change.file for change in changes):
        path = facts.home.boats_path(name)
        before = read_text(path)
        after = with_keys(before, {change.key: change.value for change in changes if change.file == name})
        texts.append((path, after))
        called = facts.home.called(path)
        diffs += unified_diff(before.splitlines(True), after.splitlines(True), called, f"{called} as learned")
    return Proposal(changes, tuple(texts), "".join(line if line.endswith("\n") else f"{line}\n" for line in diffs))


def accept(proposal: Proposal) -> None:
    """Write the changed files, each whole or not at all, and read them back. Raises InputFaults, OSError."""
    for path, text in proposal.texts:
        kind: type[Section] = Boat if path.name == "boat.toml" else Crew
        write_whole(path, text.encode(), partial(read_fact, fact=kind))


def _changes(facts: Facts, lessons: Lessons) -> tuple[KeyChange, ...]:
    return (*_performance(facts, lessons), *_fuel(facts, lessons), *_water(facts, lessons))


def _performance(facts: Facts, lessons: Lessons) -> list[KeyChange]:
    learned, helm = lessons.performance, facts.boat.helm
    belief = next_time(learned)
    why = f"{learned.days} days of the log; half the spread is taken as the boat's own"
    rows = (
        ("performance_mean", helm.performance_mean_share, belief.mean),
        ("performance_sd", helm.performance_sd_share, belief.sd),
    )
    return [
        KeyChange("boat.toml", ("helm", key), written(round(new, 3), "share"), why)
        for key, old, new in rows
        if abs(new - old) >= WORTH_SAYING
    ]


def _fuel(facts: Facts, lessons: Lessons) -> list[KeyChange]:
    engine, factor = facts.boat.engine, lessons.fuel.after.mean
    if engine is None or abs(factor - 1.0) < WORTH_SAYING or not lessons.fuel.days:
        return []
    value = written(round(engine.consumption_l_h * factor, 2), "flow")
    return [KeyChange("boat.toml", ("engine", "consumption"), value, f"{lessons.fuel.days} days under engine")]


def _water(facts: Facts, lessons: Lessons) -> list[KeyChange]:
    factor, use = lessons.water.after.mean, facts.crew.water
    if not lessons.water.days or abs(factor - 1.0) < WORTH_SAYING:
        return []
    value = round(max(use.drink_and_cook_l_per_day * factor, use.survival_l_per_day), 2)
    return [
        KeyChange(
            "crew.toml", ("water", "drink_and_cook"), written(value, "daily volume"), f"{lessons.water.days} days"
        )
    ]
