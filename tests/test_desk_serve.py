"""The desk as a person starts it: what it needs, where it listens, and that a crowd at the door does not close it."""

from __future__ import annotations

import os
import re
import socket
import subprocess
import sys
from http.client import HTTPConnection
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner

from passage.cli import main
from passage.desk import serve
from tests.desk_cases import voyage_in

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT = Path(__file__).parents[1]
CROWD = 100


def test_without_the_extra_a_sentence_says_what_to_install(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(serve, "find_spec", lambda _: None)
    done = CliRunner().invoke(main, ["desk", str(tmp_path)])
    assert 2 == done.exit_code
    assert "The desk needs the extra 'desk'; install it with: pip install 'slow-end[desk]'" in done.stderr


def test_a_file_and_a_port_that_is_taken_are_told_of(tmp_path: Path) -> None:
    pytest.importorskip("uvicorn", reason="the extra 'desk' is not installed")
    (tmp_path / "file").write_text("x")
    done = CliRunner().invoke(main, ["desk", str(tmp_path / "file")])
    assert (2, True) == (done.exit_code, "this is a file" in done.stderr)
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        done = CliRunner().invoke(main, ["desk", str(tmp_path), "--port", str(port)])
    assert (2, True) == (done.exit_code, f"port {port}: cannot be listened on" in done.stderr)


@pytest.fixture
def address(tmp_path: Path) -> Iterator[re.Match[str]]:
    pytest.importorskip("uvicorn", reason="the extra 'desk' is not installed")
    command = [sys.executable, "-m", "passage", "desk", str(voyage_in(tmp_path)), "--no-browser"]
    env = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"}
    with subprocess.Popen(command, stdout=subprocess.PIPE, env=env, text=True) as served:
        assert served.stdout is not None
        found = re.search(r"http://127\.0\.0\.1:(\d+)(/\?token=\S+)", served.stdout.readline())
        assert found
        yield found
        served.terminate()


def test_a_hundred_at_the_door_get_nothing_and_keep_nobody_out(address: re.Match[str]) -> None:
    port = int(address[1])
    idle = [socket.create_connection(("127.0.0.1", port)) for _ in range(CROWD)]
    for number in range(CROWD):
        wire = HTTPConnection("127.0.0.1", port, timeout=30)
        way = ("/", "/boats", "/set", "/plan.pdf")[number % 4]
        wire.request("POST" if way == "/set" else "GET", way, headers={"Origin": "http://desk.example"})
        told = wire.getresponse()
        assert 403 == told.status and b"Cape Town" not in told.read()
        wire.close()
    ours = HTTPConnection("127.0.0.1", port, timeout=30)
    ours.request("GET", address[2])
    opened = ours.getresponse()
    opened.read()
    cookie = (opened.getheader("set-cookie") or "").split(";")[0]
    ours = HTTPConnection("127.0.0.1", port, timeout=30)
    ours.request("GET", "/", headers={"Cookie": cookie})
    assert b"Cape Town" in ours.getresponse().read()
    ours.close()
    for each in idle:
        each.close()


def test_it_listens_on_this_machine_alone() -> None:
    with serve._listening(0) as listens:
        assert "127.0.0.1" == listens.getsockname()[0]
