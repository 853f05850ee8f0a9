"""Nothing is lost: every entry is kept twice, in a database and in a text copy beside it, and neither is ever
rewritten.

An entry is written under the database's lock in this order: what either copy lacks of the other, the line in the text
copy, brought to the disk, the row in the database, brought to the disk. It is acknowledged when at least one of the
two has it, with a warning when only one has. Whoever reads the log reads both and believes every line that is whole,
so a power cut, a full disk or a damaged file costs at most the entry that was being written.
"""

from __future__ import annotations

import sqlite3
from codecs import BOM_UTF8
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from passage.disk import DISK, Disk
from passage.errors import PassageError
from passage.journal.record import Entry, EntryTold, body_text, checksum, content_of, entry_of, line_of, stamp
from passage.journal.shelf import (
    COPY,
    DATABASE,
    Shelf,
    differing,
    listed,
    missing_from_both,
    set_aside_said,
    spoilt_rows,
    troubles_of,
    warnings,
)
from passage.journal.show import words
from passage.journal.sound import MOST_ENTRIES, sound
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

QUERIES = ("mode=rw", "mode=ro&immutable=1")  # how it is opened to be read; the second on a card that cannot be written
LAYOUT = 1
SPOILT = (sqlite3.Error, UnicodeDecodeError)  # the second where what SQLite says of a damaged file is damaged too

HELD = "Another passage command is writing this log and has not let go; wait a moment and say it again."

_LAY_OUT = (
    f"""CREATE TABLE IF NOT EXISTS entry (
        number INTEGER PRIMARY KEY CHECK (number > 0),
        kind TEXT NOT NULL,
        time TEXT NOT NULL,
        written TEXT NOT NULL,
        corrects INTEGER,
        body TEXT NOT NULL,
        checksum TEXT NOT NULL
    ) {"STRICT" if sqlite3.sqlite_version_info >= (3, 37) else ""}""",  # unknown to an older SQLite
    """CREATE TRIGGER IF NOT EXISTS never_erased BEFORE DELETE ON entry
       BEGIN SELECT RAISE(ABORT, 'an entry is never erased; write a correction'); END""",
    """CREATE TRIGGER IF NOT EXISTS never_changed BEFORE UPDATE ON entry
       BEGIN SELECT RAISE(ABORT, 'an entry is never changed; write a correction'); END""",
    f"PRAGMA user_version = {LAYOUT}",
)
_COLUMNS = "SELECT checksum, number, kind, time, written, coalesce(corrects, '-'), body FROM entry"
_SELECT, _SELECT_ONE = f"{_COLUMNS} ORDER BY number", f"{_COLUMNS} WHERE number = ?"
_INSERT = (
    "INSERT OR IGNORE INTO entry (number, kind, time, written, corrects, body, checksum) VALUES (?, ?, ?, ?, ?, ?, ?)"
)


class LogRefused(PassageError):
    """The log cannot be begun, read or rebuilt as asked."""


class NotKept(PassageError):
    """An entry could not be put on the disk; the message says it whole, to be written on paper."""


class Journal(Record):
    """The log as read: every entry that either copy holds whole, by number."""

    folder: Path
    entries: tuple[Entry, ...]
    warnings: tuple[str, ...] = told("what was not in order", default=())

    @reckoned("every entry of the log, in the order of writing")
    def kept(self) -> tuple[EntryTold, ...]:
        return tuple(map(EntryTold, self.entries))


@dataclass(frozen=True)
class KeptEntry:
    """An entry that is on the disk, and what there is to say about the log beside it."""

    entry: Entry
    warnings: tuple[str, ...] = ()


def has_log(folder: Path, disk: Disk = DISK) -> bool:
    """Whether either copy of a log stands in the folder."""
    return disk.exists(folder / DATABASE) or disk.exists(folder / COPY)


def read_journal(folder: Path, disk: Disk = DISK) -> Journal:
    """The log of a voyage folder, both copies together. Raises LogRefused where none has been begun."""
    _must_stand(folder, disk)
    database, copy = _read_database(folder, disk), _read_copy(folder, disk)
    held = copy.entries | database.entries
    if not held:
        raise LogRefused(_nothing_left(folder, database, copy))
    return Journal(folder, _by_number(held), warnings(database, copy))


def _nothing_left(folder: Path, database: Shelf, copy: Shelf) -> str:
    """A file that would not be opened may yet be whole, and is not to be given up for lost."""
    said = ("The log cannot be read.", *troubles_of(database, copy), *set_aside_said(database, copy))
    shut = copy.trouble and not copy.missing
    left = f"Nothing whole {'can be read of' if shut else 'is left in'} it"
    first = f"; {COPY} may be whole all the same: see that it can be read. Else" if shut else ";"
    return (
        f"{' '.join(said)} {left}{first} begin anew, which keeps the old file, with: passage log start {folder} --yes"
    )


def add(
    folder: Path,
    kind: str,
    time: datetime,
    body: Mapping[str, Any],
    *,
    written: datetime,
    corrects: int | None = None,
    disk: Disk = DISK,
) -> KeptEntry:
    """Keep one entry. Comes back only when it is on the disk; the folder must hold a log unless kind is ``start``.

    Raises LogRefused where another writer holds the log, NotKept where neither copy would take the entry.
    """
    if kind != "start":
        _must_stand(folder, disk)
    with _alone(folder, disk):
        return _add(folder, kind, time, body, written, corrects, disk)


@contextmanager
def _alone(folder: Path, disk: Disk) -> Iterator[None]:
    """LogRefused where another writer does not let go."""
    try:
        with disk.alone(folder):
            yield
    except TimeoutError:
        raise LogRefused(HELD) from None


def _add(
    folder: Path,
    kind: str,
    time: datetime,
    body: Mapping[str, Any],
    written: datetime,
    corrects: int | None,
    disk: Disk,
) -> KeptEntry:
    database = _locked_database(folder, disk)
    try:
        copy = _read_copy(folder, disk)
        held = copy.entries | database.entries
        number = _next_free(held, copy.taken | database.taken)
        entry = Entry(number, kind, time.replace(microsecond=0), written.replace(microsecond=0), dict(body), corrects)
        _refuse_odd(entry)
        both = (*_by_number(held), entry)
        _append(folder, copy, both, disk)
        _insert(database, both)
        _read_back(folder, database, copy, entry, disk)
    finally:
        _close(database)
    if database.trouble and copy.trouble:
        raise NotKept(f"NOT KEPT. {database.trouble} {copy.trouble} Write it on paper: {_on_paper(entry)}")
    return KeptEntry(entry, warnings(database, copy))


def _next_free(held: Mapping[int, Entry], taken: set[int]) -> int:
    """The number after the last entry, or, where an odd one has taken the last there is, one left free before."""
    onwards = range(max(held, default=0) + 1, MOST_ENTRIES + 1)
    return next((number for number in (*onwards, *range(1, MOST_ENTRIES)) if number not in taken), MOST_ENTRIES + 1)


def _refuse_odd(entry: Entry) -> None:
    """NotKept where the log would set this entry aside when next it is read."""
    again = entry_of(line_of(entry))
    if again is None or not sound(again):
        raise NotKept(f"NOT KEPT. The log could not read this entry again. Write it on paper: {_on_paper(entry)}")


def _read_back(folder: Path, database: Shelf, copy: Shelf, entry: Entry, disk: Disk) -> None:
    """What is said to be kept has been read again; a copy that does not give it back is in trouble."""
    line, lost = line_of(entry), "does not give back what was written."
    if not copy.trouble:
        again = _read_copy(folder, disk)
        found = again.entries.get(entry.number)
        copy.trouble = again.trouble or ("" if found and line_of(found) == line_of(entry) else f"{COPY} {lost}")
    if database.connection is None or database.trouble:
        return
    try:
        rows = database.connection.execute(_SELECT_ONE, (entry.number,))
        if [line] != [" ".join(map(str, row)) for row in rows]:
            database.trouble = f"{DATABASE} {lost}"
    except SPOILT as error:
        database.trouble = _said(error)


def _on_paper(entry: Entry) -> str:
    beside = f" to entry {entry.corrects}" if entry.corrects is not None else ""
    return f"{entry.kind}{beside}, {stamp(entry.time)[:16].replace('T', ' ')} UTC: {words(entry.body)}"


def _must_stand(folder: Path, disk: Disk) -> None:
    if not has_log(folder, disk):
        raise LogRefused(f"{folder} holds no log yet; begin one with: passage log start {folder}")


def _by_number(entries: Mapping[int, Entry]) -> tuple[Entry, ...]:
    return tuple(entries[number] for number in sorted(entries))


# The database


def _read_database(folder: Path, disk: Disk) -> Shelf:
    """Read it, and where that fails, read it as on a card that cannot be written."""
    for query in QUERIES:
        shelf = Shelf(DATABASE)
        if not disk.exists(folder / DATABASE):
            shelf.trouble, shelf.missing = f"{DATABASE} is missing.", True
            return shelf
        try:
            with closing(disk.connect(folder / DATABASE, query)) as connection:
                _take_rows(shelf, connection)
            return shelf
        except SPOILT as error:
            shelf.trouble = _said(error)
    return shelf


def _take_rows(shelf: Shelf, connection: sqlite3.Connection) -> None:
    layout = _layout(connection)
    if layout > LAYOUT:
        raise sqlite3.NotSupportedError(f"its layout, {layout}, is newer than this tool")
    if layout:
        for row in connection.execute(_SELECT):
            shelf.take(" ".join(map(str, row)))
            shelf.taken.add(row[1])


def _layout(connection: sqlite3.Connection) -> int:
    return int(next(iter(connection.execute("PRAGMA user_version")))[0])


def _locked_database(folder: Path, disk: Disk) -> Shelf:
    """The database open, its rows read and nobody else writing; where that cannot be, a shelf that says why."""
    shelf = Shelf(DATABASE)
    try:
        shelf.connection = disk.connect(folder / DATABASE, "mode=rwc")
        _make_ready(shelf.connection)
        shelf.connection.execute("BEGIN IMMEDIATE")
        _take_rows(shelf, shelf.connection)
    except SPOILT as error:
        _close(shelf)
        if "locked" in str(error):
            raise LogRefused(HELD) from None
        shelf.trouble = _said(error)
    return shelf


def _make_ready(connection: sqlite3.Connection) -> None:
    """Write-ahead log, every commit brought to the platter, the layout made where there is none."""
    for pragma in ("journal_mode = WAL", "synchronous = FULL", "fullfsync = ON"):
        connection.execute(f"PRAGMA {pragma}")
    if _layout(connection) == 0:
        connection.execute("BEGIN IMMEDIATE")
        for statement in _LAY_OUT:
            connection.execute(statement)
        connection.execute("COMMIT")


def _insert(database: Shelf, entries: Iterable[Entry]) -> None:
    """Add the entries that it lacks and commit; where that fails, say so and leave it as it was."""
    if database.connection is None:
        return
    try:
        for entry in entries:
            if entry.number not in database.entries:
                database.connection.execute(_INSERT, _row(entry))
        database.connection.execute("COMMIT")
    except SPOILT as error:
        database.trouble = _said(error)


def _row(entry: Entry) -> tuple[Any, ...]:
    times = (stamp(entry.time), stamp(entry.written))
    return (entry.number, entry.kind, *times, entry.corrects, body_text(entry.body), checksum(content_of(entry)))


def _close(database: Shelf) -> None:
    if database.connection is not None:
        with suppress(sqlite3.Error):
            database.connection.close()
        database.connection = None


def _said(error: Exception) -> str:
    return f"{DATABASE}: {'its text is not UTF-8' if isinstance(error, UnicodeDecodeError) else error}."


# The text copy


def _read_copy(folder: Path, disk: Disk) -> Shelf:
    shelf = Shelf(COPY)
    try:
        content = disk.read(folder / COPY)
    except OSError as error:
        shelf.trouble = f"{COPY}: {error.strerror}."
        return shelf
    if not content and not disk.exists(folder / COPY):
        shelf.trouble, shelf.missing = f"{COPY} is missing.", True
    shelf.ends_whole = not content or content.endswith(b"\n")
    for line in content.removeprefix(BOM_UTF8).decode(errors="replace").split("\n"):
        if line.strip("\r \0"):
            shelf.take(line.rstrip("\r"))
    return shelf


def _append(folder: Path, copy: Shelf, entries: Iterable[Entry], disk: Disk) -> None:
    """Add the lines that it lacks, after the end of a torn one; where that fails, say so."""
    lines = [line_of(entry) for entry in entries if entry.number not in copy.entries]
    torn_end = "" if copy.ends_whole else "\n"
    try:
        disk.append(folder / COPY, (torn_end + "\n".join(lines) + "\n").encode())
        copy.trouble = ""
    except OSError as error:
        copy.trouble = f"{COPY}: {error.strerror}."


# Check and rebuild


class Checked(Record):
    """One copy against the other. troubles: sentences."""

    in_database: int = told("entries that the database holds whole")
    in_copy: int = told("entries that the text copy holds whole")
    only_in_database: tuple[int, ...] = told("numbers of entries that only the database holds")
    only_in_copy: tuple[int, ...] = told("numbers of entries that only the text copy holds")
    differing: tuple[int, ...] = told("numbers of entries that differ between the two")
    missing_from_both: tuple[int, ...] = told("numbers of entries that neither holds whole")
    spoilt_rows: int = told("rows of the database that are not whole")
    spoilt_lines: int = told("lines of the text copy that are not whole")
    integrity: str = told("what SQLite says of the database, 'ok' where all is well, empty where there is none")
    troubles: tuple[str, ...]

    @reckoned("whether the two copies of the log agree and nothing is amiss")
    def whole(self) -> bool:
        """A torn line whose entry stands whole elsewhere is no harm."""
        at_odds = (self.only_in_database, self.only_in_copy, self.differing, self.missing_from_both, self.troubles)
        return bool(self.in_database) and not any(at_odds) and not self.spoilt_rows and self.integrity == "ok"

    @property
    def _copied(self) -> str:
        return ": the next entry will copy it" if self.integrity in ("ok", "") else ""

    @reckoned("what was found, and what to do about it")
    def sentences(self) -> tuple[str, ...]:
        """What was found, and what to do about it."""
        found = [f"{DATABASE} holds {self.in_database} entries, {COPY} {self.in_copy}.", *self.troubles]
        numbered = (
            (self.only_in_database, f"only in {DATABASE}: the next entry will copy it"),
            (self.only_in_copy, f"only in {COPY}{self._copied}"),
            (self.differing, "differs between the two: look at both, then rebuild the one that is wrong"),
            (self.missing_from_both, "stands whole in neither"),
        )
        found += [f"Entry {listed(numbers)} {what}." for numbers, what in numbered if numbers]
        if self.spoilt_lines:
            found.append(f"{self.spoilt_lines} torn lines in {COPY}, no harm where the entry stands whole elsewhere.")
        empty = not self.in_database and not self.in_copy
        anew = (
            "begin anew with: passage log start --yes" if empty else "make it anew with: passage log rebuild database"
        )
        if self.integrity not in ("ok", ""):
            found.append(f"{DATABASE} is damaged ({self.integrity}): {anew}")
        elif self.spoilt_rows:
            found.append(f"{self.spoilt_rows} rows of {DATABASE} are not whole, though its file is: {anew}")
        if empty:
            found.append(f"Nothing whole is left in either: {anew}")
        return (*found, "All is well." if self.whole else "Nothing has been changed by looking.")


def check(folder: Path, disk: Disk = DISK) -> Checked:
    """Verify either copy against the other. Raises LogRefused where no log has been begun."""
    _must_stand(folder, disk)
    database, copy = _read_database(folder, disk), _read_copy(folder, disk)
    in_database, in_copy = set(database.entries), set(copy.entries)
    return Checked(
        in_database=len(in_database),
        in_copy=len(in_copy),
        only_in_database=tuple(sorted(in_database - in_copy)),
        only_in_copy=tuple(sorted(in_copy - in_database)),
        differing=differing(database, copy),
        missing_from_both=missing_from_both(database, copy),
        spoilt_rows=spoilt_rows(database, copy),
        spoilt_lines=copy.spoilt,
        integrity=_integrity(folder, disk),
        troubles=(*troubles_of(database, copy), *set_aside_said(database, copy)),
    )


def _integrity(folder: Path, disk: Disk) -> str:
    """What SQLite says of its file, opened as it is for reading; empty where there is none."""
    said = ""
    for query in QUERIES if disk.exists(folder / DATABASE) else ():
        try:
            with closing(disk.connect(folder / DATABASE, query)) as connection:
                return "; ".join(str(row[0]) for row in connection.execute("PRAGMA integrity_check"))
        except SPOILT as error:
            said = str(error)
    return said


def rebuild(folder: Path, which: Literal["database", "copy"], disk: Disk = DISK) -> tuple[str, ...]:
    """Make one copy anew from everything that either holds whole; the other is believed where they differ.

    The old file is set aside under another name, never thrown away. Returns the names of what was set aside. Raises
    LogRefused where nothing whole is left to build from.
    """
    _must_stand(folder, disk)
    with _alone(folder, disk):
        return _rebuild(folder, which, disk)


def _rebuild(folder: Path, which: Literal["database", "copy"], disk: Disk) -> tuple[str, ...]:
    database, copy = _read_database(folder, disk), _read_copy(folder, disk)
    held = database.entries | copy.entries if which == "database" else copy.entries | database.entries
    if not held:
        raise LogRefused(f"Neither {DATABASE} nor {COPY} holds a whole entry; there is nothing to rebuild from.")
    if which == "copy":
        aside = _set_aside(folder, (COPY,), disk)
        _append_or_refuse(folder, _by_number(held), disk)
    else:
        aside = _set_aside(folder, (f"{DATABASE}-wal", f"{DATABASE}-shm", DATABASE), disk)
        _insert_or_refuse(folder, _by_number(held), disk)
    return aside


def _append_or_refuse(folder: Path, entries: tuple[Entry, ...], disk: Disk) -> None:
    fresh = Shelf(COPY)
    _append(folder, fresh, entries, disk)
    if fresh.trouble:
        raise LogRefused(f"{fresh.trouble} The old copy stands beside it, set aside.")


def _insert_or_refuse(folder: Path, entries: tuple[Entry, ...], disk: Disk) -> None:
    fresh = _locked_database(folder, disk)
    try:
        _insert(fresh, entries)
    finally:
        _close(fresh)
    if fresh.trouble:
        raise LogRefused(f"{fresh.trouble} The old database stands beside it, set aside.")


def _set_aside(folder: Path, names: Iterable[str], disk: Disk) -> tuple[str, ...]:
    """Move the files that exist to the first free ``name.old-1``, ``name.old-2`` ..."""
    moved = []
    for name in names:
        if disk.exists(folder / name):
            number = next(n for n in range(1, 10_000) if not disk.exists(folder / f"{name}.old-{n}"))
            disk.move(folder / name, folder / f"{name}.old-{number}")
            moved.append(f"{name}.old-{number}")
    return tuple(moved)


def now_utc() -> datetime:
    """The computer's clock, whole seconds, UTC."""
    return datetime.now(UTC).replace(microsecond=0)
