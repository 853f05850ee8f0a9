"""Files written whole or not at all, whatever befalls. Contents are invented."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from passage.disk import Disk, write_whole


class Full(Disk):
    """Room for half of what is written."""

    def append(self, path: Path, content: bytes) -> None:
        super().append(path, content[: len(content) // 2])
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_a_file_is_written_anew_and_nothing_stands_beside_it(tmp_path: Path) -> None:
    for content in (b"first", b"second, and longer"):
        write_whole(tmp_path / "plan.pdf", content)
        assert content == (tmp_path / "plan.pdf").read_bytes()
    assert ["plan.pdf"] == [each.name for each in tmp_path.iterdir()]


def test_a_full_disk_leaves_the_old_file_and_names_it(tmp_path: Path) -> None:
    path = tmp_path / "plan.pdf"
    write_whole(path, b"yesterday")
    with pytest.raises(OSError, match="No space left") as told:
        write_whole(path, b"today" * 100, disk=Full())
    assert str(path) == told.value.filename
    assert b"yesterday" == path.read_bytes()
    assert ["plan.pdf"] == [each.name for each in tmp_path.iterdir()]


def test_what_does_not_stand_being_looked_at_never_stands(tmp_path: Path) -> None:
    def refuse(path: Path) -> None:
        assert b"odd" == path.read_bytes()
        raise KeyError(path)

    with pytest.raises(KeyError):
        write_whole(tmp_path / "boat.toml", b"odd", refuse)
    assert [] == [each.name for each in tmp_path.iterdir()]


def test_a_link_leads_to_the_file_that_is_written(tmp_path: Path) -> None:
    (tmp_path / "real.pdf").write_bytes(b"yesterday")
    (tmp_path / "plan.pdf").symlink_to("real.pdf")
    write_whole(tmp_path / "plan.pdf", b"today")
    assert b"today" == (tmp_path / "real.pdf").read_bytes()
    assert (tmp_path / "plan.pdf").is_symlink()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_pipe_that_nobody_reads_keeps_nobody_waiting(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(OSError, match="No such device"):
        write_whole(tmp_path / "pipe", b"today")


@pytest.mark.parametrize("name", ["no/such/folder.pdf", "x" * 300, "a\0b", "."])
def test_what_cannot_be_written_is_an_error_that_names_it(tmp_path: Path, name: str) -> None:
    with pytest.raises(OSError) as told:
        write_whole(tmp_path / name, b"today")
    assert str(tmp_path / name) == told.value.filename
    assert told.value.strerror


def test_a_device_is_written_to_as_it_is() -> None:
    write_whole(Path(os.devnull), b"today")
    assert not Path(os.devnull).is_file()
