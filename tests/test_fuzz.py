"""Sixty broken voyages; `make fuzz` has fifteen hundred. What they are is in tests/fuzz.py."""

from __future__ import annotations

import os
import random
import subprocess
import sys
from pathlib import Path

import pytest

pytest.importorskip("resource")  # bounds on a process

from passage.cli import main
from tests import fuzz

ROOT = Path(__file__).parents[1]


def test_sixty_broken_voyages_are_answered_or_refused_with_a_sentence() -> None:
    command = [sys.executable, "-m", "tests.fuzz", "--cases", "60", "--seed", "7", "--workers", "1"]
    env = os.environ | {"PASSAGE_KEPT": "no"}
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, env=env)
    assert 0 == done.returncode, done.stdout + done.stderr
    assert done.stdout.startswith("60 cases of seed 7")


def test_every_command_of_the_tree_is_asked() -> None:
    asked = {words for words, _ in fuzz.commands(main)}
    assert {("plan",), ("check",), ("log", "noon"), ("log", "rebuild"), ("relearn",)} <= asked
    found = set()
    for number in range(3000):
        given = fuzz.ask(Path("voyage"), random.Random(number))
        found.add(given[:2] if given[:2] in asked else given[:1])
    assert asked - {("desk",)} == found  # which serves until it is interrupted


def told_of(status: int = 0, cpu_s: float = 1.0, megabytes: float = 100.0, out: str = "", err: str = "") -> list[str]:
    case = fuzz.Case(0, ("legs", "voyage"), "nothing")
    return fuzz.faults_of(fuzz.Run(case, status, cpu_s, megabytes, out, err), Path("voyage"))


def test_what_is_wrong_with_a_run_is_noticed() -> None:
    assert [] == told_of(out="120 nm, as planned: information\n")
    assert [] == told_of(2, err="boat.toml line 3: mend it\n")
    assert ["traceback", "ended with 70"] == told_of(70, err="Traceback (most recent call last):")
    assert ["ended with -9 (killed: it hung, or had no turn)"] == told_of(-9)
    assert ["ended with -11"] == told_of(-11)
    assert ["refused without a word"] == told_of(2)
    assert ["25 s of processor"] == told_of(cpu_s=25.0)
    assert ["1200 MB"] == told_of(megabytes=1200.0)
    assert ["prints what is no number"] == told_of(out="water nan L")
    assert ["prints what is no number"] == told_of(out='"h": Infinity,')
    assert ["prints hidden letters"] == told_of(out="red \x1b[31m")
    assert ["endless sentences"] == told_of(2, err="x" * 200_000)


def test_an_entry_that_is_said_to_be_kept_and_is_not_is_noticed(tmp_path: Path) -> None:
    fuzz.lay_sound(tmp_path / "voyage")
    case = fuzz.Case(0, ("log", "noon", str(tmp_path / "voyage")), "nothing")
    for number, wrong in ((3, []), (4, ["entry 4 lost"])):
        run = fuzz.Run(case, 0, 1.0, 100.0, f"Entry {number} kept: noon, 2027-02-12 12:00 UTC.\n", "")
        assert wrong == fuzz.faults_of(run, tmp_path / "voyage")


def test_a_case_is_a_function_of_its_number(tmp_path: Path) -> None:
    fuzz.load()
    fuzz.lay_sound(tmp_path / "sound")
    for number in (3, 4):
        first, again = (fuzz.one(number, 5, tmp_path / "sound", tmp_path / "work")[0] for _ in range(2))
        assert (first.case, first.status, first.out) == (again.case, again.status, again.out)
