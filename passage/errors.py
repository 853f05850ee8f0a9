"""What can go wrong, and how it is said.

    PassageError               anything this tool says to a person instead of an answer; exit status 2
    ├── InputFaults            one or more faults in the person's own files, all told at once
    ├── RouteRefused           a track that cannot be sailed: land, a current that wins, walls that close
    ├── OutOfRange             a number outside what a method or a data set is good for
    ├── MissingExtra           an optional part is not installed; says what to install
    ├── NotTold                the answer could not be printed; what was to be kept is kept
    ├── LogRefused             (journal.storage) the log cannot be begun, read or rebuilt as asked
    ├── NotKept                (journal.storage) an entry is on no disk; the message says it whole, for paper
    └── Doubtful               (journal.doubts) what was typed is hard to believe; nothing was kept

Every message says what was found, where, and what would be right.
"""

from __future__ import annotations

from typing import NamedTuple

MOST_TOLD = 100  # of faults at once


class Fault(NamedTuple):
    """One thing wrong in one place of one file.

    line: 1-based, 0 where the file as a whole is meant; key: as the person would write it
    (``water_tank[2].capacity``), empty where no key is meant; found: what stands there; wanted: what would be right.
    """

    file: str
    line: int
    key: str
    found: str
    wanted: str

    def __str__(self) -> str:
        place = f"{self.file} line {self.line}" if self.line else self.file
        subject = f"{self.key}: " if self.key else ""
        return f"{place}: {subject}{self.found}; {self.wanted}"


class PassageError(Exception):
    """Base of everything the tool refuses with a sentence."""


class InputFaults(PassageError):
    """Faults found in input files, sorted by file and line, each one sentence."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = sorted(set(faults))
        told = [str(fault) for fault in self.faults[:MOST_TOLD]]
        if more := len(self.faults) - len(told):
            told.append(f"and {more:,} more faults; mend these first")
        super().__init__("\n".join(told))


class RouteRefused(PassageError):
    """The track cannot be sailed as asked."""


class OutOfRange(PassageError):
    """A number lies outside what the method or the data set is good for."""


class NotTold(PassageError):
    """What was asked is done, and the answer could not be printed."""


class MissingExtra(PassageError):
    """An optional part of the tool is needed and not installed."""

    def __init__(self, extra: str, purpose: str) -> None:
        super().__init__(f"{purpose} needs the extra '{extra}'; install it with: pip install 'slow-end[{extra}]'")
