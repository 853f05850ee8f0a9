"""Answers never stand over what a voyage is made of. Voyages are the demonstration, with an invented log."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from passage.cli import main
from passage.disk import LOG_FILES
from passage.errors import InputFaults
from passage.inputs.folder import read_folder
from passage.inputs.output import own_files, write_out
from passage.shipped import shipped
from tests.voyage_cases import whole


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = Path(whole(shipped("routes") / "cape-town-st-helena", tmp_path / "voyage"))
    for name in LOG_FILES:
        (folder / name).write_bytes(b"what was kept at sea")
    return folder


def test_nothing_that_the_voyage_is_made_of_is_written_over(folder: Path) -> None:
    facts = read_folder(folder)
    paths = [*own_files(facts), *(folder / name for name in LOG_FILES)]
    assert 8 < len(paths)
    for path in paths:
        before = path.read_bytes()
        with pytest.raises(InputFaults, match="stands there; name another file to write to"):
            write_out(path, b"a plan", facts)
        assert before == path.read_bytes()


def test_a_link_to_the_log_and_the_log_of_another_voyage_are_refused(folder: Path, tmp_path: Path) -> None:
    facts = read_folder(folder)
    (tmp_path / "plan.pdf").symlink_to(folder / "journal.db")
    (tmp_path / "hard.pdf").hardlink_to(folder / "boat.toml")
    (tmp_path / "journal.txt").write_bytes(b"of another voyage")
    (tmp_path / "journal.db.old-1").write_bytes(b"set aside")
    for name in ("plan.pdf", "hard.pdf", "journal.txt", "journal.db.old-1"):
        with pytest.raises(InputFaults, match="stands there"):
            write_out(tmp_path / name, b"a plan", facts)


@pytest.mark.parametrize("name", ["Journal.DB", "JOURNAL.TXT", "Boat.toml", "journal.db.OLD-1"])
def test_another_case_of_letters_is_the_same_name_where_a_disk_thinks_so(
    folder: Path, tmp_path: Path, name: str
) -> None:
    (tmp_path / name).write_bytes(b"as a Mac shows it")
    with pytest.raises(InputFaults, match="stands there"):
        write_out(tmp_path / name, b"a plan", read_folder(folder))


@pytest.mark.parametrize("name", ["journal.txt", "journal.db-wal", "journal.db-journal", "journal.db-wal.old-1"])
def test_nothing_is_written_where_a_log_would_look_for_its_own(folder: Path, tmp_path: Path, name: str) -> None:
    with pytest.raises(InputFaults, match="a copy of the log has its place there; name another file"):
        write_out(tmp_path / name, b"a plan", read_folder(folder))
    assert not (tmp_path / name).exists()
    (tmp_path / "plan.pdf").symlink_to(tmp_path / name)
    with pytest.raises(InputFaults, match="has its place there"):
        write_out(tmp_path / "plan.pdf", b"a plan", read_folder(folder))


def test_nothing_is_written_where_the_folder_lacks_a_file(folder: Path) -> None:
    assert not (folder / "track.toml").exists()
    with pytest.raises(InputFaults, match="a file of the voyage has its place there"):
        write_out(folder / "track.toml", b"a plan", read_folder(folder))


def test_a_link_to_itself_is_refused_with_its_name(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "loop.pdf").symlink_to(tmp_path / "loop.pdf")
    with pytest.raises(OSError, match=r"loop\.pdf"):
        write_out(tmp_path / "loop.pdf", b"a plan", read_folder(folder))


def test_a_file_that_is_none_of_these_is_written_anew(folder: Path, tmp_path: Path) -> None:
    for content in (b"first", b"second"):
        write_out(tmp_path / "plan.pdf", content, read_folder(folder))
        assert content == (tmp_path / "plan.pdf").read_bytes()


@pytest.mark.parametrize("name", ["journal.db", "journal.txt", "polar.csv", "voyage.toml"])
@pytest.mark.parametrize(
    "command", [("export", "{}", "gpx", "--crossings", "20", "--out"), ("speed", "{}", "--out")], ids=lambda c: c[0]
)
def test_commands_refuse_it_with_a_sentence(folder: Path, command: tuple[str, ...], name: str) -> None:
    before = (folder / name).read_bytes()
    done = CliRunner().invoke(main, [*(word.format(folder) for word in command), str(folder / name)])
    assert 2 == done.exit_code
    assert "stands there; name another file to write to" in done.stderr
    assert before == (folder / name).read_bytes()
