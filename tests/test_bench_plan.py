"""Whole commands, timed as processes: ``--help`` beside bare Python, and the whole plan of the demonstration."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from pytest_benchmark.fixture import BenchmarkFixture

DEMO = Path(__file__).parents[1] / "routes" / "cape-town-st-helena"


@pytest.mark.parametrize("arguments", [["-c", "pass"], ["-m", "passage", "--help"]], ids=["bare Python", "help"])
@pytest.mark.benchmark(group="help")
def test_help_beside_bare_python(benchmark: BenchmarkFixture, arguments: list[str]) -> None:
    benchmark(lambda: subprocess.run([sys.executable, *arguments], check=True, capture_output=True))


@pytest.mark.parametrize("command", ["sail", "plan"])
@pytest.mark.benchmark(group="commands")
def test_whole_commands(benchmark: BenchmarkFixture, command: str, tmp_path: Path) -> None:
    out = ["--out", str(tmp_path / "plan.pdf")] if command == "plan" else []
    line = [sys.executable, "-m", "passage", command, str(DEMO), *out]
    benchmark.pedantic(lambda: subprocess.run(line, check=True, capture_output=True), rounds=2)
