"""Refits beside the boat as she is: the same crossings, and only what the refit changes is otherwise."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from passage.cli import main
from passage.comparing import Tried, compare
from passage.crossings.wind import Luck
from passage.errors import InputFaults
from passage.inputs.folder import Facts, read_folder
from passage.inputs.refits import refit
from passage.plan.sheets.compared import table
from passage.shipped import shipped
from tests.test_plan_keys import unexplained

DEMO = shipped("routes") / "lagos-azores"
BASE = Path(__file__).parent / "broken" / "base"
SAID = ("panels 30 W for 400", "water +40 L for 60", "performance_mean 70 %", "trysail 8 kg")


@cache
def facts() -> Facts:
    return read_folder(DEMO)


@cache
def tried() -> tuple[Tried, ...]:
    return compare(facts(), SAID, Luck(1, 60), facts().voyage.departure.depart)


def test_what_does_not_change_how_she_sails_keeps_the_very_crossings() -> None:
    first, panels, water, slower, trysail = tried()
    assert all(one.outcome.crossings is first.outcome.crossings for one in (panels, water, trysail))
    assert all(one.outcome.watches is first.outcome.watches for one in (panels, water, trysail))
    assert slower.outcome.crossings is not first.outcome.crossings
    assert slower.outcome.watches is not first.outcome.watches
    assert slower.outcome.times.typical_h > first.outcome.times.typical_h


def test_each_refit_moves_its_own_answer_and_no_other() -> None:
    first, panels, water, slower, trysail = table(tried()).refits
    assert panels.battery_low_in_100 >= first.battery_low_in_100
    assert panels.typical_days == first.typical_days == water.typical_days
    assert (40.0, 0.0) == (water.aboard_kg, first.aboard_kg)
    assert slower.water_load_l > first.water_load_l
    assert (8.0, False, True) == (trysail.aboard_kg, trysail.counted, water.counted)
    assert (400.0, 60.0) == (panels.price, water.price)
    assert np.isnan(first.price)


def test_another_boat_sails_the_same_track_with_the_same_luck(tmp_path: Path) -> None:
    for file in BASE.iterdir():
        if file.name not in ("voyage.toml", "track.toml", "anchorage.toml", "stores.toml"):
            (tmp_path / file.name).write_bytes(file.read_bytes())
    first, other = compare(facts(), [str(tmp_path)], Luck(1, 60), facts().voyage.departure.depart)
    assert other.outcome.ground.track is first.outcome.ground.track
    assert "Sound" == other.outcome.facts.boat.hull.name
    assert other.outcome.times.typical_h != first.outcome.times.typical_h


@pytest.mark.parametrize(
    ("said", "key", "value"),
    [
        ("water +40 L", "usable_water_l", 40.0),
        ("water -10 US gal", "usable_water_l", -37.85411784),
        ("fuel +20 L", "usable_fuel_l", 20.0),
    ],
)
def test_more_and_less_are_counted_from_what_she_has(said: str, key: str, value: float) -> None:
    assert pytest.approx(getattr(facts().boat, key) + value) == getattr(refit(facts(), said).facts.boat, key)


def test_a_key_is_set_as_the_files_write_it() -> None:
    assert 0.85 == refit(facts(), "performance_mean 85 %").facts.boat.helm.performance_mean_share
    assert 35.0 == refit(facts(), "gust limit 35 kn").facts.boat.helm.gust_limit_kn
    assert refit(facts(), "motoring false").facts.boat.helm.motoring is False
    assert 350.0 == (refit(facts(), "panels 350 W").facts.electrics or facts().electrics).panels_w  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ("watter +40 L", "did you mean 'water'"),
        ("gust_limt 30 kn", "did you mean 'gust_limit'"),
        ("water 40", "say in which unit"),
        ("water +40 qt", "a quart is a quarter"),
        ("water -4000 L", "in all"),
        ("panels 350 L", "'L' is not a unit read here"),
        ("gust_limit 3 kn", "between"),
        ("", "say 'water"),
        ("x" * 300, "say 'water"),
        ("9", "say 'water"),
    ],
)
def test_what_is_not_understood_is_one_sentence(said: str, why: str) -> None:
    with pytest.raises(InputFaults, match=why) as told:
        refit(facts(), said)
    assert 1 == len(told.value.faults)


def test_the_command_tells_all_it_prints(tmp_path: Path) -> None:
    said = [word for each in SAID[:2] for word in ("--with", each)]
    result = CliRunner().invoke(main, ["compare", str(DEMO), "--crossings", "20", *said, "--json"])
    assert 0 == result.exit_code, result.output
    told = json.loads(result.stdout)
    assert set() == unexplained(told, "compare")
    text = CliRunner().invoke(main, ["compare", str(DEMO), "--crossings", "20", *said])
    assert "2. panels 30 W" in text.stdout
    assert 2 == CliRunner().invoke(main, ["compare", str(DEMO)]).exit_code
