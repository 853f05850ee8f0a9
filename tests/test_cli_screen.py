"""What an answer is printed to: bold and wide in a terminal that shows it, plain eighty columns anywhere else."""

from __future__ import annotations

import os
import pty
import re
import struct
import subprocess
import sys
from fcntl import ioctl
from pathlib import Path
from termios import TIOCSWINSZ

import pytest

from passage.cli.progress import CLEAR
from passage.cli.screen import in_bold
from passage.tell.blocks import END, STRONG

DEMO = Path(__file__).parents[1] / "routes" / "cape-town-st-helena"
SAIL = [sys.executable, "-m", "passage", "sail", str(DEMO), "--crossings", "20"]
PLAIN = {name: value for name, value in os.environ.items() if name not in ("NO_COLOR", "COLUMNS")} | {"TERM": "xterm"}


def in_terminal(columns: int, **environment: str) -> str:
    """What the command writes to a terminal of its own of so many columns."""
    ours, theirs = pty.openpty()
    ioctl(theirs, TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
    with subprocess.Popen(SAIL, stdin=theirs, stdout=theirs, stderr=subprocess.DEVNULL, env=PLAIN | environment) as run:
        os.close(theirs)
        said = b"".join(iter(lambda: _read(ours), b"")).decode()
    os.close(ours)
    assert 0 == run.returncode
    return said.replace("\r\n", "\n")


def test_troubles_say_how_far_they_are_and_leave_no_trace_of_it() -> None:
    ours, theirs = pty.openpty()
    asked = [*SAIL[:3], "troubles", str(DEMO), "--crossings", "400"]
    with subprocess.Popen(asked, stdout=subprocess.DEVNULL, stderr=theirs, env=PLAIN | {"PASSAGE_KEPT": "no"}) as run:
        os.close(theirs)
        said = b"".join(iter(lambda: _read(ours), b"")).decode()
    os.close(ours)
    assert 0 == run.returncode
    assert re.search("\r\x1b\\[Kone trouble after another =+ +[0-9]+ %", said)
    assert said.endswith(CLEAR)


def _read(end: int) -> bytes:
    try:
        return os.read(end, 65536)
    except OSError:  # Linux says so where the other end is closed
        return b""


@pytest.fixture(scope="module")
def piped() -> str:
    return subprocess.run(SAIL, capture_output=True, text=True, check=True, env=PLAIN).stdout


def test_a_terminal_shows_the_key_figures_bold_and_the_same_letters(piped: str) -> None:
    shown = in_terminal(80)
    assert re.search("\x1b\\[1m[0-9.]+\x1b\\[22m \x1b\\[1mdays\x1b\\[22m", shown)
    assert "\x1b" not in piped
    assert piped == re.sub("\x1b\\[(1|22)m", "", shown)


@pytest.mark.parametrize("asked", [{"NO_COLOR": "1"}, {"TERM": "dumb"}], ids=str)
def test_nothing_is_bold_where_that_is_not_wanted(asked: dict[str, str], piped: str) -> None:
    assert piped == in_terminal(80, **asked)


def test_tables_that_would_wrap_take_a_wide_terminal_and_a_narrow_one_is_kept_to(piped: str) -> None:
    lines = {wide: in_terminal(wide, NO_COLOR="1").splitlines() for wide in (60, 140)}
    assert max(map(len, lines[60])) <= 60
    assert 80 < max(map(len, lines[140])) <= 140
    assert len(lines[140]) < len(piped.splitlines()) < len(lines[60])


def test_what_would_steer_the_terminal_is_written_out_in_bold_too() -> None:
    assert "\x1b[1m\\x1b[31m\x1b[22m \\x1b \\ue000" == in_bold(f"{STRONG}\x1b[31m{END} \x1b {STRONG}")
