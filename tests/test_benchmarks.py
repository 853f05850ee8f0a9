"""The studies that are run by hand stay in step with the code: each can be loaded, and what is cheap of it answers."""

from __future__ import annotations

import csv
import importlib
from pathlib import Path

import pytest

from benchmarks.real_passages import TABLE, ranked

STUDIES = sorted(path.stem for path in (Path(__file__).parent.parent / "benchmarks").glob("*.py"))


@pytest.mark.parametrize("name", STUDIES)
def test_every_study_loads(name: str) -> None:
    pytest.importorskip("netCDF4")
    assert callable(importlib.import_module(f"benchmarks.{name}").main)


def test_a_real_passage_is_ranked_among_ours() -> None:
    with TABLE.open(encoding="utf-8", newline="") as file:
        row = next(csv.DictReader(file))
    found = ranked(row, 20, smooth=False)
    assert 14.94 == found.days  # R2, the organiser's published arrival times
    assert found.fast_d < found.typical_d < found.slow_d
    assert 0.0 <= found.rank <= 1.0
