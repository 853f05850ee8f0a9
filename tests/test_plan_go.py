"""Go or no go: every box holds a limit of this plan, and what is in order has none."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from passage.plan.sheets import go
from passage.plan.sheets.go import Subject
from passage.tell.blocks import TICK, Beside, Grid, Medium, Together, shown_on
from tests.plan_cases import ROUTES, sailed


@pytest.mark.parametrize("route", ROUTES)
def test_every_part_has_boxes_and_every_check_is_one(route: str) -> None:
    told = go.table(sailed(route))
    assert list(Subject) == list(dict.fromkeys(check.part for check in told.checks))
    (whole,) = shown_on(Medium.PAPER, go.SHEET.blocks(told))
    assert isinstance(whole, Together)
    halves = next(block for block in whole.blocks if isinstance(block, Beside)).parts
    boxes = [row for half in halves for table in half if isinstance(table, Grid) for row in table.rows if len(row) == 2]
    assert len(told.checks) == len(boxes)
    assert {TICK} == {row[0] for row in boxes}


def test_the_limits_are_those_that_the_crossings_were_sailed_with() -> None:
    outcome = sailed(ROUTES[0])
    said = " ".join(check.wanted for check in go.table(outcome).checks)
    helm = outcome.facts.boat.helm
    assert f"No gusts over {helm.gust_limit_kn:.0f} kn" in said
    assert f"first {helm.first_days_h:.0f} hours" in said
    for row in outcome.stores.stores:
        assert f"{row.name} {row.to_load:u}" in said


def test_where_she_sails_in_the_dark_no_box_asks_to_be_clear_of_land_before_it() -> None:
    outcome = sailed(ROUTES[0])
    (day,) = [check.wanted for check in go.table(outcome).checks if " dark" in check.wanted]
    assert day.startswith("Clear of land and traffic before dark: sun ")
    first = outcome.sky[0]
    assert first.sunset_utc is not None
    words = go.light_words(first, first.sunset_utc + timedelta(hours=1))
    assert words.startswith("She sails in the dark (sun ")
    assert "Clear of land" not in words


def test_what_keeps_her_from_being_ready_has_a_box_and_nothing_else_of_hers() -> None:
    outcome = sailed(ROUTES[0])
    ready = outcome.readiness
    checks = [check for check in go.table(outcome).checks if check.wanted.startswith("Put right")]
    assert {Subject.BOAT, Subject.PAPERS} == {check.part for check in checks}
    wanted = [check.wanted for check in checks if check.part is Subject.BOAT]
    gear = [finding.name for finding in ready.findings if finding.name in ready.because]
    assert len(gear) > 2
    assert [f"Put right since this was printed, {name}" for name in gear] == [words.split(":")[0] for words in wanted]


def test_papers_not_in_order_and_the_days_told_ashore_are_on_it() -> None:
    outcome = sailed(ROUTES[0])
    papers = [check.wanted.lower() for check in go.table(outcome).checks if check.part is Subject.PAPERS]
    assert all(any(row.label.lower() in words for words in papers) for row in outcome.readiness.papers_to_do)
    assert any(str(outcome.float_plan.worry_utc).lower() in words for words in papers)


def test_what_rescuers_ask_for_first_and_is_blank_has_a_box_until_it_is_known() -> None:
    outcome = sailed(ROUTES[0])
    told = [check.wanted for check in go.table(outcome).checks if "where they are blank" in check.wanted]
    blank = "call sign, MMSI, EPIRB identity, our satellite telephone, rescue authority, its telephone."
    assert [f"Written into the distress cards and the float plan, where they are blank: {blank}"] == told
    who = outcome.facts.gear.identity.model_copy(
        update={"call_sign": "X", "mmsi": "1", "epirb_id": "1", "satellite_number": "1"}
    )
    rules = outcome.facts.gear.float_plan.model_copy(update={"rescue_authority": "X", "rescue_telephone": "1"})
    gear = outcome.facts.gear.model_copy(update={"identity": who, "float_plan": rules})
    known = replace(outcome, facts=replace(outcome.facts, gear=gear))
    assert [] == [check.wanted for check in go.table(known).checks if "where they are blank" in check.wanted]
