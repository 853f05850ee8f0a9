"""Two copies, and everything that can befall them. Entries are invented."""

from __future__ import annotations

import errno
import os
import signal
import sqlite3
import subprocess
import sys
import textwrap
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from passage.disk import Disk
from passage.journal.record import Entry, checksum, entry_of, line_of, moment_of, stamp
from passage.journal.storage import (
    COPY,
    DATABASE,
    LogRefused,
    NotKept,
    add,
    check,
    read_journal,
    rebuild,
)

START = datetime(2027, 2, 10, 8, tzinfo=UTC)


def keep(folder: Path, count: int, disk: Disk | None = None) -> list[Entry]:
    """``count`` entries more, the first of a log a departure."""
    disk = disk or Disk()
    kept = []
    for day in range(count):
        begun = (folder / COPY).exists() or (folder / DATABASE).exists()
        when = START + timedelta(days=day)
        body = {"remarks": f"day {day}, wind § ü\nbacked", "water_l": {"keel tank": 90.5 - day}}
        kept.append(add(folder, "noon" if begun else "start", when, body, written=when, disk=disk).entry)
    return kept


class FullCopy(Disk):
    """Room for half a line in the text copy."""

    def append(self, path: Path, content: bytes) -> None:
        super().append(path, content[: len(content) // 2])
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


class FullDatabase(Disk):
    """A database that may not grow: SQLite's own "database or disk is full"."""

    def connect(self, path: Path, query: str) -> sqlite3.Connection:
        connection = super().connect(path, query)
        pages = connection.execute("PRAGMA page_count").fetchone()[0]
        connection.execute(f"PRAGMA max_page_count = {max(pages, 1)}")
        return connection


class ReadOnly(Disk):
    """A card that can be read and not written."""

    def connect(self, path: Path, query: str) -> sqlite3.Connection:
        if "immutable" not in query and "rwc" not in query:
            raise sqlite3.OperationalError("unable to open database file")
        return super().connect(path, "mode=ro&immutable=1")

    def append(self, path: Path, content: bytes) -> None:
        raise OSError(errno.EROFS, os.strerror(errno.EROFS))


class FullCard(FullDatabase, FullCopy):
    pass


def test_a_line_gives_its_entry_back_and_no_spoilt_one_does() -> None:
    entry = Entry(7, "noon", START, START, {"remarks": "a b\nc", "log_nm": 112.5}, None)
    line = line_of(entry)
    assert "\n" not in line
    assert entry == entry_of(line)
    for place in range(0, len(line), 7):
        assert entry_of(line[:place] + chr(ord(line[place]) ^ 1) + line[place + 1 :]) is None
        assert entry_of(line[:place]) is None


def test_both_copies_hold_every_entry(tmp_path: Path) -> None:
    kept = keep(tmp_path, 5)
    assert tuple(kept) == read_journal(tmp_path).entries
    checked = check(tmp_path)
    assert checked.whole
    assert (5, 5, "ok") == (checked.in_database, checked.in_copy, checked.integrity)


def test_the_database_itself_forbids_erasing_and_changing(tmp_path: Path) -> None:
    keep(tmp_path, 2)
    connection = sqlite3.connect(tmp_path / DATABASE)
    for statement in ("DELETE FROM entry", "UPDATE entry SET kind = 'note'"):
        with pytest.raises(sqlite3.IntegrityError, match="never"):
            connection.execute(statement)
    with pytest.raises(sqlite3.IntegrityError, match="cannot store BLOB"):
        connection.execute("INSERT INTO entry VALUES (9, x'00', '', '', 1, '', '')")
    assert "wal" == connection.execute("PRAGMA journal_mode").fetchone()[0]
    connection.close()


def test_no_log_is_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(LogRefused, match="holds no log yet; begin one"):
        read_journal(tmp_path)
    with pytest.raises(LogRefused, match="holds no log yet"):
        add(tmp_path, "noon", START, {}, written=START)


@pytest.mark.parametrize("lost", [DATABASE, COPY])
def test_a_copy_that_is_gone_is_told_and_made_again_by_the_next_entry(tmp_path: Path, lost: str) -> None:
    kept = keep(tmp_path, 3)
    (tmp_path / lost).unlink()
    journal = read_journal(tmp_path)
    assert tuple(kept) == journal.entries
    assert f"{lost} is missing" in journal.warnings[0]
    assert not check(tmp_path).whole
    kept += keep(tmp_path, 1)
    assert tuple(kept) == read_journal(tmp_path).entries
    assert check(tmp_path).whole


def test_a_half_written_copy_is_mended_and_the_torn_line_stays(tmp_path: Path) -> None:
    kept = keep(tmp_path, 3)
    content = (tmp_path / COPY).read_bytes()
    (tmp_path / COPY).write_bytes(content[:-20])
    assert (3,) == check(tmp_path).only_in_database
    kept += keep(tmp_path, 1)
    assert tuple(kept) == read_journal(tmp_path).entries
    checked = check(tmp_path)
    assert checked.whole
    assert 1 == checked.spoilt_lines
    assert content[:-20] in (tmp_path / COPY).read_bytes()


def test_a_rotten_database_costs_nothing_and_can_be_rebuilt(tmp_path: Path) -> None:
    kept = keep(tmp_path, 3)
    rotten = os.urandom((tmp_path / DATABASE).stat().st_size)
    (tmp_path / DATABASE).write_bytes(rotten)
    journal = read_journal(tmp_path)
    assert tuple(kept) == journal.entries
    assert "not a database" in journal.warnings[0]
    kept += keep(tmp_path, 1)  # the text copy takes it
    assert (f"{DATABASE}.old-1",) == rebuild(tmp_path, "database")
    assert rotten == (tmp_path / f"{DATABASE}.old-1").read_bytes()
    assert tuple(kept) == read_journal(tmp_path).entries
    assert check(tmp_path).whole


def test_a_rotten_row_is_told_and_the_text_copy_is_believed(tmp_path: Path) -> None:
    kept = keep(tmp_path, 3)
    connection = sqlite3.connect(tmp_path / DATABASE)
    connection.execute("DROP TRIGGER never_changed")
    connection.execute("UPDATE entry SET body = '{}' WHERE number = 2")
    connection.commit()
    connection.close()
    journal = read_journal(tmp_path)
    assert tuple(kept) == journal.entries
    assert "1 rows of journal.db are spoilt" in journal.warnings[0]
    assert 4 == keep(tmp_path, 1)[0].number
    assert 1 == check(tmp_path).spoilt_rows
    rebuild(tmp_path, "database")
    assert check(tmp_path).whole


def test_the_text_copy_can_be_rebuilt_from_the_database(tmp_path: Path) -> None:
    kept = keep(tmp_path, 3)
    (tmp_path / COPY).write_text("scribble\n", encoding="utf-8")
    assert (f"{COPY}.old-1",) == rebuild(tmp_path, "copy")
    assert "scribble\n" == (tmp_path / f"{COPY}.old-1").read_text(encoding="utf-8")
    assert [line_of(entry) for entry in kept] == (tmp_path / COPY).read_text(encoding="utf-8").split("\n")[:-1]


def test_nothing_whole_is_nothing_to_rebuild_from(tmp_path: Path) -> None:
    (tmp_path / COPY).write_text("scribble\n", encoding="utf-8")
    (tmp_path / DATABASE).write_bytes(b"scribble" * 1000)
    with pytest.raises(LogRefused, match="nothing to rebuild from"):
        rebuild(tmp_path, "database")


def test_an_entry_whole_in_neither_copy_is_named(tmp_path: Path) -> None:
    keep(tmp_path, 3)
    lines = (tmp_path / COPY).read_bytes().split(b"\n")
    (tmp_path / COPY).write_bytes(b"\n".join([lines[0], lines[1][:-9], lines[2], b""]))
    (tmp_path / DATABASE).unlink()
    assert (2,) == check(tmp_path).missing_from_both
    assert "Entry 2 stands whole in neither copy" in " ".join(read_journal(tmp_path).warnings)


def test_copies_that_differ_are_told(tmp_path: Path) -> None:
    keep(tmp_path, 2)
    lines = (tmp_path / COPY).read_text(encoding="utf-8").split("\n")
    other = line_of(Entry(2, "note", START, START, {"remarks": "another"}))
    (tmp_path / COPY).write_text("\n".join([lines[0], other, ""]), encoding="utf-8")
    assert (2,) == check(tmp_path).differing
    journal = read_journal(tmp_path)
    assert "differ in entry 2" in journal.warnings[0]
    assert "noon" == journal.entries[1].kind


def test_a_full_disk_for_the_text_copy_is_a_warning_and_the_entry_is_kept(tmp_path: Path) -> None:
    kept = keep(tmp_path, 2)
    told = add(tmp_path, "note", START, {"remarks": "full"}, written=START, disk=FullCopy())
    assert (f"{COPY}: No space left on device. Run: passage log check",) == told.warnings
    assert (*kept, told.entry) == read_journal(tmp_path).entries
    kept = [*kept, told.entry, *keep(tmp_path, 1)]
    assert tuple(kept) == read_journal(tmp_path).entries
    assert check(tmp_path).whole


def test_a_full_disk_for_the_database_is_a_warning_and_the_entry_is_kept(tmp_path: Path) -> None:
    keep(tmp_path, 2)
    told = [add(tmp_path, "note", START, {"remarks": "x" * 900}, written=START, disk=FullDatabase()) for _ in range(8)]
    assert f"{DATABASE}: database or disk is full. Run: passage log check" in told[-1].warnings
    assert 10 == len(read_journal(tmp_path).entries)
    keep(tmp_path, 1)
    assert check(tmp_path).whole


def test_a_disk_full_for_both_gives_the_entry_back_to_be_written_on_paper(tmp_path: Path) -> None:
    keep(tmp_path, 2)
    body = {"remarks": "ice ahead " + "x" * 5000}
    with pytest.raises(
        NotKept, match=r"disk is full\..*No space left.*on paper: note, 2027-02-10 08:00 UTC: ice ahead"
    ):
        add(tmp_path, "note", START, body, written=START, disk=FullCard())
    assert 2 == len(read_journal(tmp_path).entries)
    keep(tmp_path, 1)
    assert check(tmp_path).whole


def test_a_read_only_card_can_be_read_and_refuses_with_a_sentence(tmp_path: Path) -> None:
    kept = keep(tmp_path, 2)
    assert tuple(kept) == read_journal(tmp_path, ReadOnly()).entries
    with pytest.raises(NotKept, match=r"readonly database\. journal.txt: Read-only file system\. Write it on paper"):
        add(tmp_path, "note", START, {"remarks": "x"}, written=START, disk=ReadOnly())
    assert tuple(kept) == read_journal(tmp_path).entries


def test_a_card_that_cannot_be_written_is_not_called_damaged(tmp_path: Path) -> None:
    keep(tmp_path, 3)
    assert check(tmp_path, ReadOnly()).whole


def test_a_rotten_database_is_not_promised_what_the_next_entry_cannot_do(tmp_path: Path) -> None:
    keep(tmp_path, 3)
    (tmp_path / DATABASE).write_bytes(b"no database " * 500)
    said = " ".join(check(tmp_path).sentences)
    assert f"Entry 1-3 only in {COPY}." in said
    assert "next entry" not in said


def test_a_log_of_which_nothing_is_whole_can_be_begun_anew(tmp_path: Path) -> None:
    keep(tmp_path, 2)
    (tmp_path / DATABASE).write_bytes(b"no database " * 500)
    (tmp_path / COPY).unlink()
    with pytest.raises(LogRefused, match="begin anew, which keeps the old file, with: passage log start"):
        read_journal(tmp_path)
    kept = add(tmp_path, "start", START, {}, written=START)
    assert (kept.entry,) == read_journal(tmp_path).entries
    assert (tmp_path / DATABASE).read_bytes().startswith(b"no database")


@pytest.mark.parametrize("database", [None, b"no database " * 500])
def test_two_writers_at_once_keep_every_entry(tmp_path: Path, database: bytes | None) -> None:
    """Where the database is rotten too, which then keeps nobody out."""
    keep(tmp_path, 1)
    if database:
        (tmp_path / DATABASE).write_bytes(database)
    with ThreadPoolExecutor(4) as pool:
        kept = list(
            pool.map(lambda n: add(tmp_path, "note", START, {"remarks": f"{n}"}, written=START).entry, range(24))
        )
    assert list(range(2, 26)) == sorted(entry.number for entry in kept)
    assert sorted(kept, key=lambda entry: entry.number) == list(read_journal(tmp_path).entries[1:])
    assert check(tmp_path).whole is not bool(database)


def test_a_writer_who_holds_on_is_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("passage.disk.WAIT_S", 0.05)
    keep(tmp_path, 1)
    holder = sqlite3.connect(tmp_path / DATABASE, isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    with pytest.raises(LogRefused, match="Another passage command is writing this log"):
        keep(tmp_path, 1)
    assert 1 == len(read_journal(tmp_path).entries)
    holder.close()
    keep(tmp_path, 1)
    with Disk().alone(tmp_path), pytest.raises(LogRefused, match="Another passage command is writing this log"):
        rebuild(tmp_path, "copy")
    assert check(tmp_path).whole


def test_a_log_of_a_newer_layout_is_left_alone(tmp_path: Path) -> None:
    keep(tmp_path, 1)
    connection = sqlite3.connect(tmp_path / DATABASE)
    connection.execute("PRAGMA user_version = 99")
    connection.close()
    kept = add(tmp_path, "note", START, {"remarks": "x"}, written=START)
    assert "newer than this tool" in kept.warnings[0]
    assert 2 == len(read_journal(tmp_path).entries)


WRITER = """
    import sys
    from datetime import UTC, datetime
    from pathlib import Path
    from passage.journal.storage import add
    start = datetime(2027, 2, 10, 8, tzinfo=UTC)
    for number in range(10_000):
        kind = "start" if number == 0 else "note"
        kept = add(Path(sys.argv[1]), kind, start, {"remarks": "x" * 500}, written=start)
        print(kept.entry.number, flush=True)
"""


def test_a_killed_writer_loses_no_acknowledged_entry(tmp_path: Path) -> None:
    """kill -9 in the middle of writing, four times over the same log."""
    acknowledged = 0
    for lines in (3, 8, 2, 11):
        command = [sys.executable, "-c", textwrap.dedent(WRITER), str(tmp_path)]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=Path(__file__).parents[1]) as writer:
            assert writer.stdout
            for _ in range(lines):
                acknowledged = int(writer.stdout.readline())
            writer.send_signal(signal.SIGKILL)
            acknowledged = max([acknowledged, *map(int, writer.stdout.read().split())])
    assert acknowledged >= 24
    numbers = [entry.number for entry in read_journal(tmp_path).entries]
    assert [*range(1, acknowledged + 1)] == numbers[:acknowledged]
    add(tmp_path, "note", START, {}, written=START)
    assert check(tmp_path).whole


# ------------------------------------------------------- lines right by their checksum and odd in what they say


def written_by_another(number: int, kind: str, body: str, time: str = "2027-02-12T08:00:00Z") -> str:
    content = f"{number} {kind} {time} {time} - {body}"
    return f"{checksum(content)} {content}\n"


ODD = {
    "no table": "[1, 2]",
    "a position of words": '{"lat_deg": "north", "lon_deg": 3}',
    "half a position": '{"lat_deg": 3.0}',
    "no number": '{"log_nm": NaN}',
    "beyond any range": '{"log_nm": 1e300}',
    "tanks in a list": '{"water_l": [90]}',
    "a time that is none": '{"time": "soon"}',
    "a plan of another shape": '{"plan": {"by_day": [1]}}',
    "rotas cut short": '{"plan": {"watches": {"first_noon": "2027-02-10"}}}',
    "half the electricity": '{"plan": {"load_wh_per_day": 3}}',
}


@pytest.mark.parametrize("body", ODD.values(), ids=ODD)
@pytest.mark.parametrize("number", [3, 99_999])
def test_an_odd_line_is_set_aside_and_told_and_the_log_goes_on(tmp_path: Path, number: int, body: str) -> None:
    kept = keep(tmp_path, 2)
    with (tmp_path / COPY).open("a", encoding="utf-8") as file:
        file.write(written_by_another(number, "noon", body))
    journal = read_journal(tmp_path)
    assert tuple(kept) == journal.entries
    assert journal.warnings
    kept += keep(tmp_path, 2)
    assert tuple(kept) == read_journal(tmp_path).entries
    assert body in (tmp_path / COPY).read_text(encoding="utf-8")


def test_boxes_in_boxes_are_a_spoilt_line(tmp_path: Path) -> None:
    kept = keep(tmp_path, 2)
    with (tmp_path / COPY).open("a", encoding="utf-8") as file:
        file.write(written_by_another(3, "noon", "[" * 5000 + "]" * 5000))
    assert tuple(kept) == read_journal(tmp_path).entries
    assert 1 == check(tmp_path).spoilt_lines


def test_an_odd_line_is_named_by_its_number(tmp_path: Path) -> None:
    keep(tmp_path, 2)
    with (tmp_path / COPY).open("a", encoding="utf-8") as file:
        file.write(written_by_another(3, "noon", "[]"))
    (warning,) = read_journal(tmp_path).warnings
    assert "Entry 3 says what no entry can, though its checksum is right: it is set aside, and kept." in warning
    assert not check(tmp_path).whole


def test_an_entry_of_a_year_written_without_its_noughts_is_told_and_not_lost_without_a_word(tmp_path: Path) -> None:
    """As an earlier edition wrote the year 227."""
    keep(tmp_path, 2)
    with (tmp_path / COPY).open("a", encoding="utf-8") as file:
        file.write(written_by_another(3, "noon", "{}", "227-06-06T12:00:00Z"))
    assert "Entry 3 says what no entry can" in read_journal(tmp_path).warnings[0]


@pytest.mark.parametrize("year", [1, 227, 999, 1970, 2027, 2100, 9999])
def test_a_time_is_read_as_it_was_written_in_every_year(year: int) -> None:
    moment = datetime(year, 6, 6, 12, tzinfo=UTC)
    assert moment == moment_of(stamp(moment))


def test_what_the_log_could_not_read_again_is_not_said_to_be_kept(tmp_path: Path) -> None:
    keep(tmp_path, 1)
    with pytest.raises(NotKept, match="could not read this entry again"):
        add(tmp_path, "noon", datetime(227, 6, 6, 12, tzinfo=UTC), {}, written=START)
    assert 1 == len(read_journal(tmp_path).entries)


class Forgetful(Disk):
    """A card that takes everything and keeps nothing."""

    def append(self, path: Path, content: bytes) -> None:
        pass


def test_a_copy_that_does_not_give_back_what_it_took_is_told(tmp_path: Path) -> None:
    kept = add(tmp_path, "start", START, {}, written=START, disk=Forgetful())
    assert "journal.txt is missing" in " ".join(kept.warnings)
    keep(tmp_path, 1)
    kept = add(tmp_path, "noon", START, {}, written=START, disk=Forgetful())
    assert "journal.txt does not give back what was written" in " ".join(kept.warnings)


def test_both_copies_rubbish_says_that_nothing_is_left(tmp_path: Path) -> None:
    keep(tmp_path, 2)
    (tmp_path / DATABASE).write_bytes(b"\x00\xff" * 300)
    (tmp_path / COPY).write_bytes(b"rubbish\nmore\n")
    with pytest.raises(LogRefused, match=r"Nothing whole is left in it; begin anew.*log start"):
        read_journal(tmp_path)
    said = " ".join(check(tmp_path).sentences)
    assert "Nothing whole is left in either: begin anew with: passage log start --yes" in said
    assert "rebuild" not in said
    assert "1" == str(add(tmp_path, "start", START, {}, written=START).entry.number)


@pytest.mark.parametrize("left", [b"", b"x", bytes(3000)])
def test_a_log_of_noughts_or_of_nothing_is_not_called_well(tmp_path: Path, left: bytes) -> None:
    """As a power cut leaves what was never brought to the disk."""
    for name in (DATABASE, COPY):
        (tmp_path / name).write_bytes(left)
    with pytest.raises(LogRefused, match=r"Nothing whole is left in it; begin anew.*log start"):
        read_journal(tmp_path)
    checked = check(tmp_path)
    assert not checked.whole
    assert "All is well." not in checked.sentences
    assert 1 == add(tmp_path, "start", START, {}, written=START).entry.number


def test_a_copy_that_cannot_be_opened_is_not_given_up_for_lost(tmp_path: Path) -> None:
    keep(tmp_path, 1)
    (tmp_path / DATABASE).write_bytes(b"no database " * 500)
    os.truncate(tmp_path / COPY, 3_000_000_000)
    with pytest.raises(
        LogRefused, match=r"journal.txt: larger than 64 MB.* journal.txt may be whole all the same: see"
    ):
        read_journal(tmp_path)
    with pytest.raises(NotKept, match="Write it on paper"):
        keep(tmp_path, 1)


def test_an_editor_that_marks_its_utf8_costs_no_line(tmp_path: Path) -> None:
    kept = keep(tmp_path, 2)
    (tmp_path / DATABASE).unlink()
    (tmp_path / COPY).write_bytes(b"\xef\xbb\xbf" + (tmp_path / COPY).read_bytes())
    assert tuple(kept) == read_journal(tmp_path).entries


def test_rotten_rows_in_a_sound_database_are_not_called_damage_that_is_ok(tmp_path: Path) -> None:
    keep(tmp_path, 2)
    connection = sqlite3.connect(tmp_path / DATABASE)
    connection.execute("DROP TRIGGER never_changed")
    connection.execute("UPDATE entry SET body = '{}' WHERE number = 2")
    connection.commit()
    connection.close()
    said = " ".join(check(tmp_path).sentences)
    assert "(ok)" not in said
    assert "1 rows of journal.db are not whole, though its file is: make it anew" in said


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
@pytest.mark.parametrize("name", [DATABASE, COPY])
def test_a_pipe_in_place_of_a_copy_keeps_nobody_waiting(tmp_path: Path, name: str) -> None:
    keep(tmp_path, 2)
    (tmp_path / name).unlink()
    os.mkfifo(tmp_path / name)
    assert f"{name}: this is not a file" in read_journal(tmp_path).warnings[0]
    assert 3 == keep(tmp_path, 1)[0].number
    rebuild(tmp_path, "copy" if name == COPY else "database")
    assert check(tmp_path).whole


def test_a_database_whose_damage_is_no_text_is_told_and_the_text_copy_is_believed(tmp_path: Path) -> None:
    """What SQLite says of it quotes the damage."""
    kept = keep(tmp_path, 2)
    content = bytearray((tmp_path / DATABASE).read_bytes())
    at = content.index(b"CREATE TABLE entry")
    content[at + 7 : at + 12] = b"\x8a\x8a\x8a\x8a\x8a"
    (tmp_path / DATABASE).write_bytes(content)
    assert tuple(kept) == read_journal(tmp_path).entries
    assert not check(tmp_path).whole
    assert 3 == keep(tmp_path, 1)[0].number
