"""The power goes in the middle of a write, hundreds of times: no acknowledged entry is lost, every file opens again.

A disk of our own under SQLite (an apsw VFS, apsw's own copy of SQLite) keeps what was written apart from what was
brought to the platter. When the power goes, each write not yet synced is kept, lost, torn at a sector, or, in the
database's own files, leaves rubbish in the sectors it touched; an append not yet synced may leave its length in
zeros. Harder still: an append leaves rubbish in its first sector, which earlier lines share, and a file taken away
stands there again, until the folder is synced, as it is with every file that is new. All invented.
"""

from __future__ import annotations

import random
import sqlite3
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import apsw
import pytest

from passage.disk import Disk, write_whole
from passage.journal.storage import COPY, DATABASE, LogRefused, add, check, read_journal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from passage.journal.record import Entry

SECTOR = 512
START = datetime(2027, 2, 10, 8, tzinfo=UTC)
FOLDER = Path("/voyage")


class PowerGone(Exception):
    """The power went."""


@dataclass
class Platter:
    """One file: what is on the platter, what a reader sees, and the writes between the two."""

    durable: bytearray = field(default_factory=bytearray)
    seen: bytearray = field(default_factory=bytearray)
    pending: list[tuple[int, bytes | None]] = field(default_factory=list)  # offset and bytes; None cuts off there
    on_platter: bool = False  # its name, too

    def write(self, offset: int, content: bytes | None) -> None:
        _put(self.seen, offset, content)
        self.pending.append((offset, content))

    def sync(self) -> None:
        self.durable, self.pending, self.on_platter = bytearray(self.seen), [], True

    def after_the_cut(self, chance: random.Random, rubbish: bool) -> bytearray:
        left = bytearray(self.durable)
        for offset, content in self.pending:
            fate = chance.random()
            if fate < 0.4:
                _put(left, offset, content)
            elif fate < 0.8 and content:
                torn = chance.randrange(len(content))
                _put(left, offset, content[: torn - torn % SECTOR if rubbish else torn])
                if fate > 0.6:
                    _spoil(left, offset, content, chance, rubbish)
        return left


def _put(into: bytearray, offset: int, content: bytes | None) -> None:
    if content is None:
        del into[offset:]
        return
    into.extend(bytes(max(offset - len(into), 0)))
    into[offset : offset + len(content)] = content


def _spoil(into: bytearray, offset: int, content: bytes, chance: random.Random, rubbish: bool) -> None:
    if rubbish:
        sector = (offset + chance.randrange(len(content))) // SECTOR * SECTOR
        _put(into, sector, chance.randbytes(SECTOR))
    else:
        _put(into, len(into), bytes(offset + len(content) - len(into)))


class CutDisk(Disk):
    """A disk whose power goes at operation ``cut_at``; 0 never. synchronous: what SQLite is told, for the control."""

    def __init__(self, cut_at: int = 0, files: dict[str, Platter] | None = None, synchronous: bool = True) -> None:
        self.cut_at, self.operations, self.dead = cut_at, 0, False
        self.files = {} if files is None else files
        self.synchronous = synchronous
        self.unsettled: tuple[str, str] | None = None
        self.taken_away: dict[str, Platter] = {}
        self.vfs = CutVfs(self)

    def tick(self) -> bool:
        """One operation; True while there is power. SQLite is not told: its caller is, by ``must_live``."""
        self.operations += 1
        self.dead = self.dead or self.operations == self.cut_at
        return not self.dead

    def must_live(self) -> None:
        if self.dead:
            raise PowerGone

    def sync(self, platter: Platter) -> None:
        if not platter.on_platter:
            self.taken_away.clear()
        platter.sync()

    def after_the_cut(self, chance: random.Random, cut_at: int = 0, harder: bool = False) -> CutDisk:
        """The same disk when the power is back; this one stays as it was when it went."""
        files = dict(self.files)
        if self.unsettled and chance.random() < 0.5:
            name, to = self.unsettled
            files[to] = files.pop(name)
        left = {}
        for name, platter in files.items():
            if platter.on_platter or chance.random() < 0.5:
                content = platter.after_the_cut(chance, rubbish=harder or name != COPY)
                left[name] = Platter(content, bytearray(content), on_platter=platter.on_platter)
        for name, platter in self.taken_away.items() if harder else ():
            if chance.random() < 0.5:
                old = bytearray(platter.durable)
                left.setdefault(name, Platter(old, bytearray(old), on_platter=True))
        return CutDisk(cut_at, left, self.synchronous)

    def connect(self, path: Path, query: str) -> sqlite3.Connection:
        if query != "mode=rwc" and path.name not in self.files:
            raise sqlite3.OperationalError("unable to open database file")
        return CutConnection(self, path.name)  # type: ignore[return-value]

    def exists(self, path: Path) -> bool:
        return path.name in self.files

    def read(self, path: Path) -> bytes:
        return bytes(self.files[path.name].seen) if path.name in self.files else b""

    def append(self, path: Path, content: bytes) -> None:
        half = len(content) // 2
        for part in (content[:half], content[half:]):
            self.tick()
            self.must_live()
            platter = self.files.setdefault(path.name, Platter())
            platter.write(len(platter.seen), part)
        self.tick()
        self.must_live()
        self.sync(platter)

    def move(self, path: Path, to: Path) -> None:
        """Kept, or as if it had never been, if the power goes before it is settled."""
        for step in ("renamed", "settled"):
            self.tick()
            if self.dead and step == "settled":
                self.unsettled = (path.name, to.name)
            self.must_live()
        self.files[to.name] = self.files.pop(path.name)

    def remove(self, path: Path) -> None:
        if not self.dead:
            self.files.pop(path.name, None)


class CutVfs(apsw.VFS):
    def __init__(self, disk: CutDisk) -> None:
        self.disk, self.label = disk, f"cut-{id(disk)}"
        super().__init__(self.label, "")

    def xOpen(self, name: Any, flags: list[int]) -> CutFile:
        path = name if isinstance(name, str) else name.filename()
        if not self.disk.tick():
            return CutFile(self.disk, Platter())
        return CutFile(self.disk, self.disk.files.setdefault(Path(path).name, Platter()))

    def xFullPathname(self, name: str) -> str:
        return name

    def xAccess(self, pathname: str, flags: int) -> bool:
        return Path(pathname).name in self.disk.files

    def xDelete(self, filename: str, syncdir: bool) -> None:
        name = Path(filename).name
        if self.disk.tick() and name in self.disk.files:
            self.disk.taken_away[name] = self.disk.files.pop(name)


class CutFile:
    def __init__(self, disk: CutDisk, platter: Platter) -> None:
        self.disk, self.platter = disk, platter

    def xRead(self, amount: int, offset: int) -> bytes:
        return bytes(self.platter.seen[offset : offset + amount])

    def xWrite(self, data: bytes, offset: int) -> None:
        if self.disk.tick():
            self.platter.write(offset, bytes(data))

    def xTruncate(self, newsize: int) -> None:
        if self.disk.tick():
            self.platter.write(newsize, None)

    def xSync(self, flags: int) -> None:
        if self.disk.tick():
            self.disk.sync(self.platter)

    def xFileSize(self) -> int:
        return len(self.platter.seen)

    def xSectorSize(self) -> int:
        return SECTOR

    def xDeviceCharacteristics(self) -> int:
        return 0

    def xLock(self, level: int) -> None: ...

    def xUnlock(self, level: int) -> None: ...

    def xCheckReservedLock(self) -> bool:
        return False

    def xFileControl(self, op: int, ptr: int) -> bool:
        return False

    def xClose(self) -> None: ...


class CutConnection:
    """apsw's connection in the clothes of sqlite3's: what `storage` uses of it."""

    def __init__(self, disk: CutDisk, name: str) -> None:
        self.disk = disk
        flags = apsw.SQLITE_OPEN_READWRITE | apsw.SQLITE_OPEN_CREATE
        self.connection = apsw.Connection(name, flags=flags, vfs=disk.vfs.label)
        self.execute("PRAGMA locking_mode = EXCLUSIVE")  # no shared memory under a VFS of our own

    def execute(self, sql: str, values: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
        if not self.disk.synchronous:
            sql = sql.replace("synchronous = FULL", "synchronous = OFF")
        try:
            rows = list(self.connection.execute(sql, values))
        except apsw.Error as error:
            self.disk.must_live()
            raise sqlite3.OperationalError(str(error)) from None
        self.disk.must_live()
        return iter(rows)

    def close(self) -> None:
        self.connection.close(True)
        self.disk.must_live()


def keep(disk: CutDisk, count: int) -> list[Entry]:
    """Keep entries until the power goes; returns those that were acknowledged."""
    kept: list[Entry] = []
    with suppress(PowerGone):
        for day in range(count):
            when = START + timedelta(days=day)
            body = {"remarks": f"day {day} " + "x" * 300, "water_l": {"keel tank": 90.0 - day}}
            kept.append(add(FOLDER, "start" if 0 == day else "noon", when, body, written=when, disk=disk).entry)
    return kept


@cache
def cut(cut_at: int) -> tuple[CutDisk, tuple[Entry, ...]]:
    """A log of so many entries until the power went: the disk as it is then, and what was acknowledged."""
    disk = CutDisk(cut_at)
    return disk, tuple(keep(disk, ENTRIES))


def operations_of(count: int) -> int:
    disk = CutDisk()
    assert count == len(keep(disk, count))
    return disk.operations


ENTRIES = 5
EVERY_OPERATION = operations_of(ENTRIES)


def held_by(disk: CutDisk, name: str) -> list[Entry]:
    """What one copy alone gives; nothing where it holds no entry, of which the log says so."""
    alone = CutDisk(files={name: disk.files[name]} if name in disk.files else {})
    if DATABASE == name and f"{DATABASE}-wal" in disk.files:
        alone.files[f"{DATABASE}-wal"] = disk.files[f"{DATABASE}-wal"]
    with suppress(LogRefused):
        return list(read_journal(FOLDER, alone).entries)
    return []


def test_a_day_of_the_log_has_many_moments_to_lose_power_in() -> None:
    assert EVERY_OPERATION > 60


@pytest.mark.parametrize("seed", range(6))
def test_no_acknowledged_entry_is_lost_wherever_the_power_goes(seed: int) -> None:
    for cut_at in range(1, EVERY_OPERATION + 1):
        chance = random.Random(1000 * seed + cut_at)
        disk, kept = cut(cut_at)
        assert disk.dead
        back = disk.after_the_cut(chance, harder=seed % 2 == 1)
        if not kept:
            assert add(FOLDER, "start", START, {}, written=START, disk=back).entry
            continue
        assert kept == read_journal(FOLDER, back).entries[: len(kept)], f"cut {cut_at}"
        again = add(FOLDER, "note", START, {"remarks": "power back"}, written=START, disk=back)
        assert () == again.warnings
        checked = check(FOLDER, back)
        assert checked.whole, f"cut {cut_at}: {checked}"


@pytest.mark.parametrize("name", [DATABASE, COPY])
def test_either_copy_alone_holds_every_acknowledged_entry(name: str) -> None:
    for cut_at in range(EVERY_OPERATION // 4, EVERY_OPERATION + 1):
        disk, kept = cut(cut_at)
        back = disk.after_the_cut(random.Random(cut_at))
        assert list(kept) == held_by(back, name)[: len(kept)], f"cut {cut_at}"


def test_the_power_goes_again_while_the_log_is_being_mended() -> None:
    for first_cut in range(EVERY_OPERATION // 3, EVERY_OPERATION, 3):
        for second_cut in (1, 2, 3, 5, 8, 13):
            chance = random.Random(first_cut * 100 + second_cut)
            disk, acknowledged = cut(first_cut)
            kept = list(acknowledged)
            mending = disk.after_the_cut(chance, second_cut)
            with suppress(PowerGone):
                kept.append(add(FOLDER, "note", START, {"remarks": "mending"}, written=START, disk=mending).entry)
            back = mending.after_the_cut(chance)
            found = {entry.number: entry for entry in read_journal(FOLDER, back).entries}
            assert kept == [found[entry.number] for entry in kept]


def test_the_simulated_power_cuts_do_bite() -> None:
    """The control: told not to sync, the database alone loses acknowledged entries; were it not so, nothing is
    proved.
    """
    lost = 0
    for cut_at in range(EVERY_OPERATION // 3, EVERY_OPERATION, 2):
        disk = CutDisk(cut_at, synchronous=False)
        kept = keep(disk, ENTRIES)
        back = disk.after_the_cut(random.Random(cut_at))
        lost += kept != held_by(back, DATABASE)[: len(kept)]
    assert lost > 5


@pytest.mark.parametrize("stood", [b"", b"the plan of yesterday"])
def test_a_file_that_is_written_stands_whole_or_as_it_was_wherever_the_power_goes(stood: bytes) -> None:
    """Plan, page, exports, the files of `new`, and those that `relearn` changes."""
    fresh = random.Random(1).randbytes(5000)
    for cut_at in range(1, 8):
        for seed in range(40):
            files = {"plan.pdf": Platter(bytearray(stood), bytearray(stood), on_platter=True)} if stood else {}
            disk = CutDisk(cut_at, files)
            done = False
            with suppress(PowerGone):
                write_whole(Path("/no/such/folder/plan.pdf"), fresh, disk=disk)
                done = True
            back = disk.after_the_cut(random.Random(seed)).files.get("plan.pdf", Platter()).seen
            assert bytes(back) in ((fresh,) if done else (stood, fresh)), f"cut {cut_at}"
    assert done
