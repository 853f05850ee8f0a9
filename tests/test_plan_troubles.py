"""Troubles on paper and in the terminal: the sheet's words, its keys, and its pages."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import nan
from typing import Any

import pytest

from passage.inputs.troubles import Troubles
from passage.plan.sheets import sources, troubles
from passage.plan.sheets.sources import TROUBLES_WORDS
from passage.plan.sheets.troubles import turn_words
from passage.troubles.refuges import Turning
from tests.plan_cases import ROUTES, sailed


@cache
def table(route: str) -> dict[str, Any]:
    return troubles.table(sailed(route))


def keys_of(value: Any) -> set[str]:
    if isinstance(value, dict):
        return set(value).union(*map(keys_of, value.values()))
    return set().union(*map(keys_of, value)) if isinstance(value, list) else set()


def test_the_table_is_worked_out_once_for_an_outcome() -> None:
    assert sailed(ROUTES[1]).once(troubles.reckon_troubles) is sailed(ROUTES[1]).once(troubles.reckon_troubles)


@pytest.mark.parametrize("route", ROUTES)
def test_every_trouble_says_how_long_what_runs_out_and_what_to_do(route: str) -> None:
    told = table(route)
    words = troubles.text(told)
    for row in told["troubles"]:
        assert row["trouble"].upper() in words
        assert row["first"]
        assert row["runs_out"] or row["tightest"]
        assert all(step["step_source"] for step in row["first"])
    assert "Nothing runs out" in words


@pytest.mark.parametrize("route", ROUTES)
def test_the_terminal_keeps_to_80_columns_and_says_no_inf(route: str) -> None:
    words = troubles.text(table(route))
    assert all(len(line) <= 80 for line in words.splitlines())
    for word in ("inf", "nan", "None"):
        assert word not in words.replace("information", "").split()


@pytest.mark.parametrize("route", ROUTES)
def test_the_ways_stand_in_one_order_everywhere(route: str) -> None:
    refuges = table(route)["refuges"]
    for day in refuges["by_day"]:
        assert len(refuges["ways"]) == len(day["whole"]) == len(day["jury"])
    assert refuges["ways"][1:] == [row["way"] for row in refuges["turning"]]


def test_the_sources_page_shows_every_default_of_the_troubles() -> None:
    shown = {(part, key) for part, key, _ in TROUBLES_WORDS} | {
        ("hand_steering", "hove_to_h"),
        ("self_steering", "pilot"),
    }
    sections = {name: field.annotation for name, field in Troubles.model_fields.items() if name != "refuges"}
    assert shown == {(name, key) for name, section in sections.items() for key in section.model_fields}
    (rows,) = [it.rows for it in sources.table(sailed(ROUTES[2])).groups if it.title == "When something breaks"]
    assert "60 %" == next(row.value for row in rows if row.what.startswith("Rudder lost: of the speed"))
    assert all(row.source and row.value for row in rows)


def test_ways_to_refuges_without_the_legs_drift_are_said_to_be() -> None:
    outcome = sailed(ROUTES[0])
    assert troubles.NO_DRIFT not in table(ROUTES[0])["trouble_cautions"]
    voyage = outcome.facts.voyage
    first, *others = voyage.waypoints
    told = [place.model_copy(update={"set_deg": 300.0, "drift_kn": 0.5}) for place in others]
    adrift = replace(outcome.facts, voyage=voyage.model_copy(update={"waypoints": (first, *told)}))
    assert [troubles.NO_DRIFT] == troubles._without_drift(replace(outcome, facts=adrift))


def test_a_ration_that_does_not_last_is_said_loudly() -> None:
    row = {"ration_days": "45.5", "ration_reaches_slow_end": False}
    assert "NOT LONG ENOUGH" in troubles.ration_words(row)
    assert "NOT" not in troubles.ration_words(row | {"ration_reaches_slow_end": True})


def test_neither_way_gets_there_is_no_reason_to_turn_back() -> None:
    assert "go on from day 3; at the slow end neither gets there" == turn_words(Turning("back", 2.5, nan))


def test_a_day_has_at_most_equal_quickest_ways() -> None:
    for day in table(ROUTES[0])["refuges"]["by_day"]:
        quickest = [way["slow_end_days"] for way in day["whole"] if way["quickest"]]
        assert quickest
        assert 1 == len(set(quickest))


def test_what_is_left_agrees_with_what_runs_out() -> None:
    for row in table(ROUTES[0])["troubles"]:
        gone = {thing["thing"] for thing in row["runs_out"]}
        short = {t["thing"] for t in row["things"] if t["gone_on_day"] is not None and t["short_before_in_100"] == 0}
        assert gone == short


@pytest.mark.parametrize(
    ("typical", "slow", "words"),
    [
        (7.2, 7.9, "go on from day 8"),
        (7.2, 9.0, "go on from day 8; at the slow end go on from day 9"),
        (0.0, 0.0, "always quicker to go on"),
        (float("inf"), 4.0, "never quicker to go on; at the slow end go on from day 4"),
    ],
)
def test_turning_points_in_words(typical: float, slow: float, words: str) -> None:
    assert words == turn_words(Turning("back", typical, slow))


def test_every_key_has_its_meaning() -> None:
    from passage.plan.keys import KEYS

    assert set() == keys_of(table(ROUTES[0])) - set(KEYS) - set(troubles.KEYS)
