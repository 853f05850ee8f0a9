"""A copy of the log as it was read, and what there is to say of two of them beside each other."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from passage.disk import LOG_FILES
from passage.journal.record import Entry, entry_of
from passage.journal.sound import MOST_ENTRIES, sound

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Sequence

DATABASE, COPY = LOG_FILES


@dataclass
class Shelf:
    """One of the two copies. entries: those it holds whole; odd: numbers of those that are right by their checksum and
    say what no entry can; spoilt: rows or lines that are neither; taken: the numbers it has given away, those of
    spoilt rows too; trouble: why it cannot be used, or ''; missing: because it is not there.
    """

    name: str
    entries: dict[int, Entry] = field(default_factory=dict)
    odd: list[int] = field(default_factory=list)
    spoilt: int = 0
    taken: set[int] = field(default_factory=set)
    trouble: str = ""
    missing: bool = False
    connection: sqlite3.Connection | None = None
    ends_whole: bool = True

    def take(self, line: str) -> None:
        entry = entry_of(line)
        if entry is None or not 1 <= entry.number <= MOST_ENTRIES:
            self.spoilt += 1
            return
        self.taken.add(entry.number)
        if sound(entry):
            self.entries[entry.number] = entry
        else:
            self.odd.append(entry.number)


def warnings(database: Shelf, copy: Shelf) -> tuple[str, ...]:
    """What is not in order, each a sentence that says what to do."""
    said = [each if "next entry" in each else f"{each} Run: passage log check" for each in troubles_of(database, copy)]
    if rows := spoilt_rows(database, copy):
        said.append(f"{rows} rows of {DATABASE} are spoilt. Run: passage log check")
    said += set_aside_said(database, copy)
    if lost := missing_from_both(database, copy):
        said.append(f"Entry {listed(lost)} stands whole in neither copy. Run: passage log check")
    if at_odds := differing(database, copy):
        said.append(f"The two copies differ in entry {listed(at_odds)}; {DATABASE} is believed. Run: passage log check")
    return tuple(said)


def set_aside_said(database: Shelf, copy: Shelf) -> tuple[str, ...]:
    """Entries that another hand must have written."""
    odd = _odd(database, copy)
    what = f"Entry {listed(odd)} says what no entry can, though its checksum is right: it is set aside, and kept."
    return (what,) if odd else ()


def _odd(database: Shelf, copy: Shelf) -> tuple[int, ...]:
    held = database.entries.keys() | copy.entries.keys()
    return tuple(sorted({*database.odd, *copy.odd} - held))


def spoilt_rows(database: Shelf, copy: Shelf) -> int:
    """Those not whole, and odd ones in place of which the text copy holds a sound one."""
    return database.spoilt + len(set(database.odd) & copy.entries.keys())


def troubles_of(database: Shelf, copy: Shelf) -> tuple[str, ...]:
    """What keeps either copy from being used; one that is only missing is made again by the next entry."""
    pairs = [(shelf, other) for shelf, other in ((database, copy), (copy, database)) if shelf.trouble]
    again = "The next entry will make it again from"
    return tuple(
        f"{shelf.trouble} {again} {other.name}." if shelf.missing and not other.trouble else shelf.trouble
        for shelf, other in pairs
    )


def listed(numbers: Sequence[int]) -> str:
    """``1-4, 7``: numbers in order, those that run on told by their ends."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and runs[-1][-1] == number - 1:
            runs[-1][1:] = [number]
        else:
            runs.append([number])
    return ", ".join("-".join(map(str, run)) for run in runs)


def missing_from_both(database: Shelf, copy: Shelf) -> tuple[int, ...]:
    whole = database.entries.keys() | copy.entries.keys()
    odd = {*database.odd, *copy.odd}
    return tuple(number for number in range(1, max(whole, default=0) + 1) if number not in whole | odd)


def differing(database: Shelf, copy: Shelf) -> tuple[int, ...]:
    shared = sorted(database.entries.keys() & copy.entries.keys())
    return tuple(number for number in shared if database.entries[number] != copy.entries[number])
