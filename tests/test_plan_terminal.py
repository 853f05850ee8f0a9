"""The summary in the terminal."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from passage.plan.sheets import before, front, legs, times
from passage.tell.terminal import blocks_text
from tests.plan_cases import ENDLESS, MARKUP, ROUTES, endless_for_most, legs_of, renamed, sailed

if TYPE_CHECKING:
    from pathlib import Path


def summary_of(page: front.Front) -> str:
    return blocks_text(front.summary(page))


@pytest.mark.parametrize("route", ROUTES)
def test_it_says_what_page_one_says_in_eighty_columns(route: str) -> None:
    page = front.table(sailed(route))
    text = summary_of(page)
    assert all(len(line) <= 80 for line in text.splitlines())
    words = " ".join(text.split())
    for part in (
        f"{page.time.typical_days:u}",
        f"{page.time.slow_end_landfall_utc}",
        f"{page.water.load_l:u}",
        page.water.governs,
        front.said(page).cyclones,
        *page.left_out,
        "Official forecasts",
    ):
        assert part in words


@pytest.mark.parametrize("name", [ENDLESS, MARKUP])
def test_long_names_are_wrapped(name: str) -> None:
    outcome = renamed(sailed(ROUTES[1]), name, name, name)
    for text in (summary_of(front.table(outcome)), blocks_text(legs.SHEET.blocks(legs_of(outcome)))):
        assert all(len(line) <= 80 for line in text.splitlines())


def test_a_passage_that_most_never_finish_is_told() -> None:
    text = summary_of(front.table(endless_for_most(sailed(ROUTES[1]))))
    assert "not reached" in text
    assert "120 of 200 crossings never arrived" in " ".join(text.split())


@pytest.mark.parametrize("route", ROUTES)
def test_what_a_command_says_first_fits_a_terminal(route: str) -> None:
    outcome = sailed(route)
    page, sound = front.table(outcome), before.check_table(outcome.facts, outcome.ground)
    for blocks in (front.written_short(front.PlanWritten("a.plan.pdf", page, None)), before.check_short(sound)):
        lines = blocks_text(blocks, tight=True).splitlines()
        assert len(lines) < 24, lines
        assert all(len(line) <= 80 for line in lines), lines
        assert all(len(line) <= 60 for line in blocks_text(blocks, 60, tight=True).splitlines())


def test_legs_give_courses_and_the_whole_distance() -> None:
    table = legs_of(sailed(ROUTES[2]))
    text, printed = blocks_text(legs.SHEET.blocks(table)), table.printed()
    for leg in printed["legs"]:
        assert leg["initial_magnetic_course_deg"] in text
        assert f"{leg['distance_nm']} nm" in text
    assert f"{printed['distance_nm']} miles in all" in text


def test_the_nearest_land_is_told_with_its_caution() -> None:
    text = blocks_text(legs.SHEET.blocks(legs_of(sailed(ROUTES[0]))))
    assert "nm off" in text
    assert "the chart decides" in " ".join(text.split())


def test_how_long_fits_the_terminal_and_tells_the_table() -> None:
    for route in ROUTES:
        long = times.table(sailed(route))
        text = blocks_text(times.SHEET.blocks(long))
        assert all(len(line) <= 80 for line in text.splitlines())
        assert re.search(rf"Slow end, nothing broken +{long.passage.slow_end_days:u}", text)


def test_a_sound_folder_is_told_what_was_understood_and_what_is_doubtful() -> None:
    outcome = sailed(ROUTES[0])
    table = before.check_table(outcome.facts, outcome.ground)
    text = blocks_text(before.check_card(table))
    assert text.startswith("No fault found.")
    assert "! nearer than 5 miles" in text
    assert f"{table.distance_nm:u}" in text
    assert () == table.doubts
    odd = replace(table, doubts=("in 12 kn of wind something is odd",))
    assert "something is odd" in blocks_text(before.check_card(odd))


def test_a_track_of_another_length_than_expected_is_doubted() -> None:
    outcome = sailed(ROUTES[0])
    voyage = outcome.facts.voyage
    for share, doubted in ((1.0, False), (1.1, True)):
        expected_nm = share * outcome.ground.track.length_nm
        departure = voyage.departure.model_copy(update={"expected_distance_nm": expected_nm})
        facts = replace(outcome.facts, voyage=voyage.model_copy(update={"departure": departure}))
        told = before.check_table(facts, outcome.ground)
        assert "The track laid is" in told.control
        assert doubted == (told.doubts == (told.control,))
        assert doubted == ("Check waypoints" in blocks_text(before.check_card(told)))


def test_an_alternator_without_an_engine_is_doubted() -> None:
    outcome = sailed(ROUTES[0])
    assert outcome.facts.electrics is not None and outcome.facts.electrics.alternator is not None
    assert () == before.check_table(outcome.facts, outcome.ground).doubts
    bare = replace(outcome.facts, boat=outcome.facts.boat.model_copy(update={"engine": None}))
    (doubt,) = before.check_table(bare, outcome.ground).doubts
    assert "no engine" in doubt


def test_a_new_folder_says_what_to_do_next(tmp_path: Path) -> None:
    text = blocks_text(before.new_card(before.NewFolder(str(tmp_path / "mine"), ("voyage.toml",))))
    assert "voyage.toml" in text
    assert "passage check" in text


def test_the_printed_plan_s_place_is_told() -> None:
    page = front.table(sailed(ROUTES[1]))
    for told in (front.written_card, front.written_short):
        assert "x.plan.pdf" in blocks_text(told(front.PlanWritten("x.plan.pdf", page, None)))
        assert "Printed plan      x.plan.pdf" == blocks_text(told(front.PlanWritten("x.plan.pdf", None, None)))
