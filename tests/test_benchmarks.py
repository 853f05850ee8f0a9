"""The studies that are run by hand stay in step with the code: each can be loaded, and what is cheap of it answers."""

from __future__ import annotations

import csv
import importlib
from pathlib import Path

import numpy as np
import pytest

from benchmarks.real_passages import TABLE, Ranked, of_ours, ranked

STUDIES = sorted(path.stem for path in (Path(__file__).parent.parent / "benchmarks").glob("*.py"))


@pytest.mark.parametrize("name", STUDIES)
def test_every_study_loads(name: str) -> None:
    pytest.importorskip("netCDF4")
    assert callable(importlib.import_module(f"benchmarks.{name}").main)


def real(**of: str) -> dict[str, str]:
    """The first passage of the table of which that is so."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        return next(row for row in csv.DictReader(file) if of.items() <= row.items())


def test_a_real_passage_is_ranked_among_ours() -> None:
    found = ranked(real(depart_utc="2016-05-15 12:00"), 20)
    assert 14.94 == found.days  # R2, the organiser's published arrival times
    assert found.fast_d < found.typical_d < found.slow_d
    assert 0.0 <= found.rank <= 1.0


def test_an_engine_aboard_that_never_drives_her_drags_its_propeller() -> None:
    row = real(to="Terceira", loa_ft="27")
    assert "aboard" == row["engine_used"]
    none, dragged = (ranked({**row, "engine_used": used}, 20) for used in ("no", "aboard"))
    assert none.typical_d < dragged.typical_d


def test_a_real_passage_can_be_ranked_among_boats_that_break() -> None:
    row = real(depart_utc="2016-05-15 12:00")
    whole, struck = (ranked(row, 40, breaks=breaks) for breaks in (False, True))
    assert whole.typical_d < struck.typical_d
    assert struck.rank <= whole.rank


def test_boats_of_one_start_stray_together() -> None:
    """D: with one weather for all the mean of ten strays as far as one; in a year each, by the root of ten less."""
    rng = np.random.default_rng(1)
    weather = rng.normal(15.0, 2.0, 400)
    row = Ranked("upwind", "here 2001", "", 15.0, 0.5, 12.0, 15.0, 18.0, weather)
    together = [row._replace(ours_d=weather + rng.normal(0.0, 0.01, 400)) for _ in range(10)]
    apart = [boat._replace(start=f"here {2001 + number}") for number, boat in enumerate(together)]
    one, many = of_ours(together).boats.std(), of_ours(apart).boats.std()
    assert one == pytest.approx(12**-0.5, rel=0.05)
    assert many == pytest.approx(one / 10**0.5, rel=0.05)
