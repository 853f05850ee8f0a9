"""Three noons kept by asking, at a terminal: a wrong longitude, a wrong part of the deck, an interruption half way, a
correction. Invented; the days are reckoned back from the computer's clock.
"""

from __future__ import annotations

import os
import pty
import select
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from passage.journal.asking import DRAFT
from passage.journal.storage import add, read_journal
from tests.test_journal_asking import SETTING

if TYPE_CHECKING:
    from pathlib import Path

PASSAGE = [sys.executable, "-m", "passage"]
SAILED = datetime.now(UTC).replace(hour=8, minute=0, second=0, microsecond=0) - timedelta(days=4)
INTERRUPT = "\x03"
MOST_KEYS = 40
WAIT_S = 60.0


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    add(tmp_path, "start", SAILED, SETTING, written=SAILED)
    return tmp_path


def typed_at_a_terminal(folder: Path, *typed: str) -> tuple[str, int]:
    """What ``passage log FOLDER`` says where that is typed, a line at each prompt; and its exit status."""
    ours, theirs = pty.openpty()
    asked = [*PASSAGE, "log", str(folder)]
    with subprocess.Popen(
        asked,
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        env=os.environ | {"TERM": "xterm"},
        start_new_session=True,
        preexec_fn=lambda: _take(theirs),
    ) as run:
        os.close(theirs)
        said = ""
        try:
            for text in typed:
                said += _until(ours, "> ")
                os.write(ours, text.encode() if text == INTERRUPT else f"{text}\r".encode())
            said += _until(ours, None)
        except BaseException:
            run.kill()  # or it would be waited for
            raise
    os.close(ours)
    return said, run.returncode


def _take(end: int) -> None:
    """The terminal is the new session's own, so that Ctrl-C reaches it, also where the tests run in the background, of
    whose children a shell lets none be interrupted.
    """
    import fcntl
    import signal
    import termios

    signal.signal(signal.SIGINT, signal.SIG_DFL)
    fcntl.ioctl(end, termios.TIOCSCTTY, 0)


def _until(end: int, sign: str | None) -> str:
    said = ""
    while sign is None or sign not in said:
        if not select.select([end], [], [], WAIT_S)[0]:
            raise AssertionError(f"no {sign!r} in {said!r}")
        try:
            part = os.read(end, 4096).decode(errors="replace")
        except OSError:
            break
        if not part:
            break
        said += part
    return said


def test_three_noons_by_asking(folder: Path) -> None:
    first = ("", "", "32 40S 61 50E", "", "32 40S 16 50E", "110", "SE 14", INTERRUPT)
    said, status = typed_at_a_terminal(folder, *first)
    assert (1, True) == (status, "offered again next time" in said)
    assert "miles in" in said and "Is it so?" in said
    assert 1 == len(read_journal(folder).entries)

    rest = ("", "1019 hPa", "", "84", *[""] * 4, "mast=loose", "vane=frayed", "ok", "")
    said, status = typed_at_a_terminal(folder, *rest)
    assert (0, True) == (status, "no such part; there are pins, chafe, wind vane" in said)
    assert "Go on with it?" in said and "Entry 2 kept" in said
    assert not (folder / DRAFT).exists()

    second = ("", "", "31 30S 15 20E", "98", "", "1017", "", "78", *[""] * 4, "ok", "", "")
    third = ("", "", "30 20S 13 55E", "101", "", "1017", "", "71", *[""] * 4, "ok", "", "")
    for number, keys in ((3, second), (4, third)):
        said, status = typed_at_a_terminal(folder, *keys)
        assert (0, True) == (status, f"Entry {number} kept" in said), said
        assert sum(len(text) + 1 for text in keys) < MOST_KEYS

    said, status = typed_at_a_terminal(folder, "c", "3", "log", "89", "")
    assert (0, True) == (status, "stands beside entry 3 and corrects it" in said), said
    entries = read_journal(folder).entries
    assert ["start", "noon", "noon", "noon", "correction"] == [entry.kind for entry in entries]
    assert 89.0 == entries[-1].body["log_nm"]
    assert {"wind vane": "frayed"} == entries[1].body["deck"]
