"""After landfall: what the log taught, as changes to boat.toml and crew.toml that the person reads and accepts.

Files are changed line by line, so that every comment, blank line and order of keys stays.
"""

from __future__ import annotations

import os
import re
from dataclasses import dataclass
from difflib import unified_diff
from typing import TYPE_CHECKING

from passage.errors import Fault, InputFaults
from passage.inputs.boat import Boat
from passage.inputs.crew import Crew
from passage.inputs.text import read_text
from passage.inputs.toml import KeyPath, Section, key_lines, read_fact, written_key
from passage.journal.learning import next_time
from passage.units import written

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from passage.inputs.folder import Facts
    from passage.journal.evidence import Lessons

WORTH_SAYING = 0.005  # half a per cent: less is not proposed
_VALUE = r"""(?P<lead>(?:^|[\s{{,]){key}\s*=\s*)(?P<value>"[^"]*"|'[^']*'|[^\s,}}#]+)"""


@dataclass(frozen=True)
class Change:
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

    changes: tuple[Change, ...]
    texts: tuple[tuple[Path, str], ...]
    diff: str


def propose(facts: Facts, lessons: Lessons) -> Proposal:
    """What the log taught, for the next passage. Raises InputFaults for a file that cannot be changed by line."""
    changes = _changes(facts, lessons)
    texts = []
    diffs: list[str] = []
    for name in dict.fromkeys(change.file for change in changes):
        path = facts.folder / name
        before = read_text(path)
        after = _changed(before, name, [change for change in changes if change.file == name])
        texts.append((path, after))
        diffs += unified_diff(before.splitlines(True), after.splitlines(True), name, f"{name} as learned")
    return Proposal(changes, tuple(texts), "".join(line if line.endswith("\n") else f"{line}\n" for line in diffs))


def accept(proposal: Proposal) -> None:
    """Write the changed files, each whole or not at all, and read them back. Raises InputFaults, OSError."""
    for path, text in proposal.texts:
        fresh = path.with_name(path.name + ".new")
        with fresh.open("w", encoding="utf-8", newline="") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        kind: type[Section] = Boat if path.name == "boat.toml" else Crew
        read_fact(fresh, kind)
        fresh.replace(path)


def _changes(facts: Facts, lessons: Lessons) -> tuple[Change, ...]:
    return (*_performance(facts, lessons), *_fuel(facts, lessons), *_water(facts, lessons))


def _performance(facts: Facts, lessons: Lessons) -> list[Change]:
    learned, helm = lessons.performance, facts.boat.helm
    belief = next_time(learned)
    why = f"{learned.days} days of the log; half the spread is taken as the boat's own"
    rows = (
        ("performance_mean", helm.performance_mean_share, belief.mean),
        ("performance_sd", helm.performance_sd_share, belief.sd),
    )
    return [
        Change("boat.toml", ("helm", key), written(round(new, 3), "share"), why)
        for key, old, new in rows
        if abs(new - old) >= WORTH_SAYING
    ]


def _fuel(facts: Facts, lessons: Lessons) -> list[Change]:
    engine, factor = facts.boat.engine, lessons.fuel.after.mean
    if engine is None or abs(factor - 1.0) < WORTH_SAYING or not lessons.fuel.days:
        return []
    value = written(round(engine.consumption_l_h * factor, 2), "flow")
    return [Change("boat.toml", ("engine", "consumption"), value, f"{lessons.fuel.days} days under engine")]


def _water(facts: Facts, lessons: Lessons) -> list[Change]:
    factor, use = lessons.water.after.mean, facts.crew.water
    if not lessons.water.days or abs(factor - 1.0) < WORTH_SAYING:
        return []
    value = round(max(use.drink_and_cook_l_per_day * factor, use.survival_l_per_day), 2)
    return [
        Change("crew.toml", ("water", "drink_and_cook"), written(value, "daily volume"), f"{lessons.water.days} days")
    ]


def _changed(text: str, file: str, changes: Sequence[Change]) -> str:
    for change in reversed(changes):  # each new key goes right under its header: the last first
        text = _with(text, file, change)
    return text


def _with(text: str, file: str, change: Change) -> str:
    """The text with one key set: on its own line, under its table's header, or in a table added at the end."""
    where = key_lines(text)
    lines = text.splitlines(keepends=True)
    end = "\r\n" if "\r\n" in text else "\n"
    fresh = f'{change.key[-1]} = "{change.value}"{end}'
    if change.key in where:
        index = where[change.key] - 1
        lines[index] = _value_replaced(lines[index], file, index + 1, change)
    elif change.key[:-1] in where:
        index = where[change.key[:-1]]
        if not lines[index - 1].lstrip().startswith("["):
            raise InputFaults([_by_hand(file, index, change)])
        lines[index - 1] = lines[index - 1].rstrip("\r\n") + end
        lines.insert(index, fresh)
    else:
        gap = "" if not lines else end if lines[-1].endswith(("\n", "\r")) else 2 * end
        lines.append(f"{gap}[{written_key(change.key[:-1])}]{end}{fresh}")
    return "".join(lines)


def _value_replaced(line: str, file: str, number: int, change: Change) -> str:
    """The line with the value of the key changed, whatever stands around it."""
    found = re.search(_VALUE.format(key=re.escape(str(change.key[-1]))), line)
    if found is None:
        raise InputFaults([_by_hand(file, number, change)])
    return f'{line[: found.start("value")]}"{change.value}"{line[found.end("value") :]}'


def _by_hand(file: str, number: int, change: Change) -> Fault:
    found = "written in a way that cannot be changed by line"
    return Fault(file, number, written_key(change.key), found, f'write {change.key[-1]} = "{change.value}" yourself')
