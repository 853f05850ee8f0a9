"""The summary in the terminal."""

from __future__ import annotations

import pytest

from passage.plan import tables
from passage.plan.printed import shown
from passage.plan.terminal import legs_text, summary
from tests.plan_cases import ENDLESS, MARKUP, ROUTES, endless_for_most, renamed, sailed


@pytest.mark.parametrize("route", ROUTES)
def test_it_says_what_page_one_says_in_eighty_columns(route: str) -> None:
    front = tables.front(sailed(route))
    text = summary(front)
    assert all(len(line) <= 80 for line in text.splitlines())
    words, printed = " ".join(text.split()), shown(front)
    for part in (
        printed["time"]["typical_days"],
        printed["time"]["slow_end_landfall_utc"],
        f"{printed['water']['load_l']} litres",
        printed["water"]["governs"],
        printed["cyclone_words"],
        *printed["left_out"],
        "official forecasts",
    ):
        assert part in words


@pytest.mark.parametrize("name", [ENDLESS, MARKUP])
def test_long_names_are_wrapped(name: str) -> None:
    outcome = renamed(sailed(ROUTES[1]), name, name, name)
    for text in (summary(tables.front(outcome)), legs_text(tables.legs(outcome))):
        assert all(len(line) <= 80 for line in text.splitlines())


def test_a_passage_that_most_never_finish_is_told() -> None:
    text = summary(tables.front(endless_for_most(sailed(ROUTES[1]))))
    assert "not reached" in text
    assert "120 of 200 crossings never arrived" in text


def test_legs_give_courses_and_the_whole_distance() -> None:
    legs = tables.legs(sailed(ROUTES[2]))
    text, printed = legs_text(legs), shown(legs)
    for leg in printed["legs"]:
        assert leg["initial_magnetic_course_deg"] in text
        assert f"{leg['distance_nm']} nm" in text
    assert f"{printed['distance_nm']} nm in all" in text
