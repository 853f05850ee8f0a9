"""The whole road on the demonstration voyages, and the trade's own expectation of them."""

from __future__ import annotations

import tracemalloc
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from passage.crossings.wind import Luck
from passage.errors import InputFaults
from passage.ground import lay_ground
from passage.inputs.folder import read_folder
from passage.road import Outcome, walk
from tests.voyage_cases import whole

ROUTES = Path(__file__).parents[1] / "routes"
DEMO = ROUTES / "cape-town-st-helena"


def sailed(folder: Path, members: int = 400, seed: int = 1) -> Outcome:
    facts = read_folder(folder)
    return walk(facts, lay_ground(facts), Luck(seed, members), facts.voyage.departure.depart)


@pytest.fixture(scope="module")
def demo() -> Outcome:
    return sailed(DEMO)


def test_a_nine_metre_boat_sails_from_cape_town_to_st_helena_in_the_trades_time(demo: Outcome) -> None:
    """Common practice, no source: 15 to 20 days typically, the slow end 1.15 to 1.4 times that."""
    times = demo.times
    assert 15.0 <= times.typical_h / 24.0 <= 20.0
    assert 1.15 <= times.slow_end_h / times.typical_h <= 1.4
    assert times.fast_h < times.typical_h < times.slow_end_h


def test_the_same_seed_gives_the_same_outcome(demo: Outcome) -> None:
    again = sailed(DEMO)
    assert demo.times == again.times
    assert np.array_equal(demo.stores.water.store.used, again.stores.water.store.used)


@pytest.mark.parametrize("name", ["lagos-azores", "opua-tonga"])
def test_the_other_demonstrations_arrive(name: str) -> None:
    outcome = sailed(ROUTES / name, members=100)
    assert 0 == outcome.times.never_crossings
    water = outcome.stores.water
    assert 0.0 == pytest.approx(water.store.loaded + water.store.supplied - water.store.used - water.store.left)


def test_opua_to_tonga_crosses_180_degrees_without_a_jump() -> None:
    track = lay_ground(read_folder(ROUTES / "opua-tonga")).track
    assert track.lon_deg[0] > 170.0
    assert track.lon_deg[-1] < -170.0
    step = (np.diff(track.lon_deg) + 180.0) % 360.0 - 180.0
    assert np.abs(step).max() < 0.2


def test_land_in_the_way_is_a_fault_at_the_waypoint_led_to(tmp_path: Path) -> None:
    folder = whole(DEMO, tmp_path / "voyage")
    text = (folder / "voyage.toml").read_text(encoding="utf-8")
    moved = text.replace("15 52.0S 5 36.0W", "16 05.0S 5 36.0W")  # south of the island: the last leg then crosses it
    assert moved != text
    (folder / "voyage.toml").write_text(moved, encoding="utf-8")
    with pytest.raises(InputFaults) as refused:
        lay_ground(read_folder(folder))
    (fault,) = refused.value.faults
    line = next(n for n, row in enumerate(moved.splitlines(), 1) if "15 53.5S 5 43.5W" in row)
    assert ("voyage.toml", line, "waypoint[4].position") == (fault.file, fault.line, fault.key)
    assert "land" in fault.found


@pytest.mark.parametrize("key", ["climate", "current"])
def test_a_bad_file_is_told_with_the_line_that_names_it(key: str, tmp_path: Path) -> None:
    folder = Path(whole(DEMO, tmp_path / "voyage"))
    (folder / "mine.nc").write_bytes(b"no grid")
    lines = (folder / "voyage.toml").read_text(encoding="utf-8").splitlines()
    at = lines.index("[voyage]") + 1
    (folder / "voyage.toml").write_text("\n".join([*lines[:at], f'{key} = "mine.nc"', *lines[at:]]), encoding="utf-8")
    with pytest.raises(InputFaults) as refusal:
        lay_ground(read_folder(folder))
    assert ["mine.nc", "voyage.toml"] == [fault.file for fault in refusal.value.faults]
    assert at + 1 == refusal.value.faults[1].line


def test_what_follows_takes_ten_bytes_for_an_hour_of_a_crossing_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    """All stores and batteries hour by hour would take some two hundred; the log itself has 17. Blocks are small here,
    so that few crossings are many.
    """
    monkeypatch.setattr("passage.crossings.ensemble.BLOCK_H", 12_000)
    grown = []
    for members in (60, 180):
        outcome = replace(sailed(DEMO, members), shopping=False)
        tracemalloc.start()
        told = outcome.times, outcome.power, outcome.stores, outcome.wind_sea, outcome.noons, outcome.fast_kn
        grown.append((tracemalloc.get_traced_memory()[1], members * outcome.crossings.hours))
        tracemalloc.stop()
        assert all(told)
    (few, few_h), (many, many_h) = grown
    assert 10.0 > (many - few) / (many_h - few_h)
