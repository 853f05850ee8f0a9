"""The log as a library: keep, correct and read it, ask where she is, learn from it.

What only keeps an entry loads nothing of the road: a noon must answer in a third of a second.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from passage.journal.entries import OPTIONS
from passage.journal.log import (
    BETWEEN,
    ask_for_anew,
    between,
    correct,
    departure,
    landfall,
    moment,
    noon,
    note,
    start,
    used,
)
from passage.journal.storage import check, has_log, now_utc, rebuild
from passage.journal.storage import read_journal as read

if TYPE_CHECKING:
    from collections.abc import Callable, Generator
    from pathlib import Path

    from passage.inputs.folder import Facts
    from passage.journal.ashore import Form
    from passage.journal.asking import Prompt as Prompt
    from passage.journal.log import Logged as Logged
    from passage.journal.reports import ReportType as ReportType
    from passage.plan.sheets.now import NowTold
    from passage.plan.sheets.relearned import RelearnedTold
    from passage.road import Outcome

__all__ = [
    "BETWEEN",
    "OPTIONS",
    "as_csv",
    "ask_for_anew",
    "asking",
    "between",
    "check",
    "correct",
    "departure",
    "export",
    "has_log",
    "landfall",
    "moment",
    "noon",
    "note",
    "now",
    "planned",
    "read",
    "rebuild",
    "relearn",
    "report",
    "report_every_h",
    "start",
    "used",
]


def asking(folder: Path) -> Generator[Prompt, str, Logged]:
    """The next entry asked for field by field: yields what to ask, is sent what was typed, returns what was kept."""
    from passage.journal.asking import ask

    return ask(folder, moment())


def planned(outcome: Outcome) -> dict[str, Any]:
    """The plan's own numbers as the log's first entry keeps them, to be held against what comes."""
    from passage.journal.now import planned as in_plan

    return in_plan(outcome)


def now(
    voyage: Facts,
    what: str = "",
    time: str = "",
    crossings: int = 1000,
    seed: int = 1,
    progress: Callable[[float], None] | None = None,
) -> NowTold:
    """Where she is by the log, when she is in and what lasts: the crossings sailed from here.

    what: one thing to suppose, as ``motor 20 h``; time: the moment to ask for (UTC), this one if empty. Raises
    InputFaults.
    """
    from functools import partial

    from passage.journal.entries import read_moment
    from passage.journal.now import now as reckoned
    from passage.plan.sheets import now as sheet

    clock = now_utc()
    report = reckoned(
        voyage,
        read(voyage.folder).entries,
        time=read_moment(time, clock) if time else clock,
        what_if=partial(sheet.asked, what) if what else None,
        members=crossings,
        seed=seed,
        progress=progress,
    )
    return sheet.table(report, sheet.refuges_of(report))


def relearn(voyage: Facts, *, accept: bool = False, yes: bool = False) -> tuple[RelearnedTold, tuple[str, ...]]:
    """What the log taught, and the log's warnings. accept: write it into the files; yes: learn from a log without a
    landfall, or once more. Raises Doubtful, InputFaults.
    """
    from passage.journal.relearn import accept_and_note
    from passage.journal.relearn import relearn as learned
    from passage.plan.sheets import relearned as sheet

    found = learned(voyage, read(voyage.folder).entries, yes=yes)
    warnings = accept_and_note(voyage.folder, found, moment()) if accept else ()
    return sheet.table(found, accepted=accept), warnings


def export(voyage: Facts, form: Form, every_h: float, out: Path | None = None) -> str:
    """The log as CSV, its track as GPX, its coming dates as iCalendar, written to ``out`` too where that is given;
    every_h: hours from one report to the next.
    """
    from passage.inputs.output import write_out
    from passage.journal.ashore import exported

    text = exported(form, voyage, read(voyage.folder).entries, now_utc(), every_h)
    if out:
        write_out(out, text.encode(), voyage)
    return text


def report_every_h(voyage: Facts) -> float:
    """Hours from one report to the next, as the float plan of the gear file states; 24 where it says nothing."""
    from passage.consequences.lists.floatplan import EVERY_H

    return voyage.gear.float_plan.report_every_h or EVERY_H


def as_csv(folder: Path) -> str:
    """Every entry, corrections too, a row each."""
    from passage.journal.export import to_csv

    return to_csv(read(folder).entries)


def report(
    voyage: Facts,
    kind: ReportType | Literal["satellite", "missed"],
    every_h: float,
    progress: Callable[[float], None] | None = None,
    **said: str,
) -> str:
    """Where she is and when she will be in, in the lines of a ship report or in 160 letters; ``missed``: what the shore
    contact does. said: the free texts of ``Ashore``.
    """
    from passage.journal.ashore import ashore, if_silent, report_text
    from passage.journal.now import now as reckoned

    entries = read(voyage.folder).entries
    found = reckoned(voyage, entries, progress=progress)
    if kind == "missed":
        return if_silent(voyage, found, every_h)
    return report_text(kind, found, entries, ashore(voyage, found, every_h, **said))
