"""How soon the desk answers, whether random edits leave sound files, and whether it says what the plan says.

    .venv/bin/python -m benchmarks.desk            # some minutes: 20 changes, 200 random edits, the plan at the end
    .venv/bin/python -m benchmarks.desk 20 0       # the changes alone

Times are from the browser's side of the wire, over HTTP on this machine: from the request that makes a change to the
first answer that stands on it, and to the whole one. The first answer of all is counted from the start of the command,
its imports and processes included.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import tempfile
from http.client import HTTPConnection
from pathlib import Path
from shutil import copytree
from statistics import median
from time import perf_counter
from urllib.parse import urlencode

from tests.test_desk_work import random_edits

ROOT = Path(__file__).parents[1]
WATER = '["water_tank", 0, "capacity"]'


class Answered:
    def __init__(self, headers: dict[str, str], text: str) -> None:
        self.headers, self.text = headers, text


class Desk:
    """A desk, asked over one connection."""

    def __init__(self, folder: Path) -> None:
        self.began = perf_counter()
        command = [sys.executable, "-m", "passage", "desk", str(folder), "--no-browser"]
        env = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"}
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, env=env, text=True)
        assert self.process.stdout is not None
        found = re.search(r"http://(127\.0\.0\.1:\d+)(/\?token=\S+)", self.process.stdout.readline())
        assert found
        self.host, self.seen = found[1], 0
        opened = self._ask("GET", found[2], {})
        self.cookie = opened.headers["set-cookie"].split(";")[0]
        page = self.get("/")
        self.word = re.findall(r'"X-Desk": "([^"]+)"', page)[0]

    def _ask(self, method: str, path: str, headers: dict[str, str], body: bytes = b"") -> Answered:
        wire = HTTPConnection(self.host, timeout=60)
        wire.request(method, path, body or None, headers)
        response = wire.getresponse()
        given = {name.lower(): value for name, value in response.getheaders()}
        answered = Answered(given, response.read().decode())
        wire.close()
        return answered

    def get(self, path: str) -> str:
        return self._ask("GET", path, {"Cookie": self.cookie}).text

    def post(self, path: str, **form: str) -> str:
        headers = {"Cookie": self.cookie, "X-Desk": self.word, "Content-Type": "application/x-www-form-urlencoded"}
        return self._ask("POST", path, headers, urlencode(form).encode()).text

    def until(self, version: int, whole: bool = False) -> str:
        """The answer that stands on a version of the facts."""
        wanted = re.compile(
            rf'data-version="{version}" data-crossings="(?!0")\d+" data-whole="{"yes" if whole else ""}'
        )
        while True:
            told = self.get(f"/pulse?seen={self.seen}")
            self.seen = int(re.findall(r"seen=(\d+)", told)[0])
            if wanted.search(told):
                return told

    def close(self) -> None:
        with self.process:
            self.process.terminate()


def copied(folder: Path) -> Path:
    copytree(ROOT / "routes" / "cape-town-st-helena", folder / "routes" / "voyage")
    copytree(ROOT / "boats", folder / "boats")
    return folder / "routes" / "voyage"


def time_changes(folder: Path, changes: int) -> None:
    desk = Desk(folder)
    try:
        desk.until(1)
        print(f"first answer after the command was given: {perf_counter() - desk.began:.2f} s")
        desk.until(1, whole=True)
        first, whole = [], []
        for number in range(changes):
            begun = perf_counter()
            desk.post("/set", file="boat.toml", key=WATER, value=f"{50 + number % 2 * 10 + number} L")
            desk.until(number + 2)
            first.append(perf_counter() - begun)
            desk.until(number + 2, whole=True)
            whole.append(perf_counter() - begun)
        print(f"change of water to first answer: median {median(first):.2f} s, most {max(first):.2f} s, of {changes}")
        print(f"change of water to the whole answer: median {median(whole):.2f} s, most {max(whole):.2f} s")
        desk.post("/save")
        compare(folder, desk.until(changes + 1, whole=True) if changes == 0 else desk.get("/"))
    finally:
        desk.close()


def compare(folder: Path, page: str) -> None:
    """What the desk shows and what ``plan`` gives for the saved files."""
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    made = ["plan", str(folder), "--only", "front", "--json", "--out", str(folder / "front.pdf")]
    done = subprocess.run([sys.executable, "-m", "passage", *made], env=env, capture_output=True, text=True, check=True)
    front = json.loads(done.stdout)["front"]
    shown = dict(re.findall(r'data-line="(\w+)"><dt>[^<]*</dt><dd><b class="words">([^<]*)</b>', page))
    pairs = [
        (f"{front['time']['typical_days']} days", shown["typical"]),
        (f"{front['time']['slow_end_days']} days", shown["slow_end"]),
        (f"{front['as_boats_break']['times']['slow_end_days']} days", shown["breaks"]),
        (f"{front['water']['load_l']} litres", shown["load"]),
    ]
    for plan, desk in pairs:
        print(f"plan {plan}, desk {desk}: {'the same' if plan == desk else 'DIFFER'}")


def edit_at_random(folder: Path, edits: int) -> None:
    sound, told = random_edits(folder, edits)
    print(f"{edits} random edits, saved one by one: the files are sound {sound} times and told of {told} times")


def main(changes: int = 20, edits: int = 200) -> None:
    with tempfile.TemporaryDirectory() as place:
        time_changes(copied(Path(place)), changes)
    with tempfile.TemporaryDirectory() as place:
        edit_at_random(copied(Path(place)), edits)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
