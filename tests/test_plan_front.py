"""Page one: what speaks against going stands on top, and the worst answer before the others."""

from __future__ import annotations

from dataclasses import replace

import pytest

from passage.consequences.readiness.ready import Verdict as Ready
from passage.consequences.stores.loading import Verdict
from passage.plan.sheets import front
from passage.plan.sheets.front import NOTHING_AGAINST, Grade, Question, grades, in_short, said, summary
from passage.plan.sheets.legs import LandOnLeg
from passage.tell.terminal import blocks_text
from tests.plan_cases import ROUTES, sailed, with_facts


@pytest.mark.parametrize("route", ROUTES)
def test_the_worst_answer_comes_first_and_every_question_once(route: str) -> None:
    page = front.table(sailed(route))
    found = grades(page)
    assert set(page.order) == set(found)
    assert len(page.order) == len(found)
    assert sorted(found.values()) == [found[question] for question in page.order]


def test_what_is_not_ready_is_named_in_the_verdict() -> None:
    page = front.table(sailed(ROUTES[0]))
    assert Question.READY is page.order[0]
    verdict = said(page).verdict
    assert verdict.startswith("Do not go yet: ")
    assert page.not_ready[0] in verdict
    assert verdict in " ".join(blocks_text(summary(page)).split())


def test_of_many_things_not_ready_four_are_named_and_the_rest_counted() -> None:
    page = replace(front.table(sailed(ROUTES[0])), not_ready=tuple("abcdefg"))
    assert "Do not go yet: a, b, c, d and 3 more." == said(page).verdict


def test_nothing_against_going_is_said_only_where_no_answer_stops_her() -> None:
    page = replace(front.table(sailed(ROUTES[0])), ready=Ready.READY, not_ready=())
    assert NOTHING_AGAINST == said(page).verdict
    dry = replace(page, water=replace(page.water, verdict=Verdict.NOT_ALWAYS))
    assert Question.WATER is dry.order[0]
    assert Grade.STOPS is grades(dry)[Question.WATER]
    assert "the water runs out in" in said(dry).verdict


def test_a_track_over_land_stops_her_before_all_else() -> None:
    page = front.table(sailed(ROUTES[0]))
    assert () == page.over_land
    assert Question.TRACK not in grades(page)
    ashore = replace(page, over_land=(LandOnLeg(2, "38°31.7'N 028°37.9'W", 0.3),))
    assert Question.TRACK is ashore.order[0]
    assert said(ashore).verdict.startswith("Do not go yet: the track runs over land on leg 2; ")
    assert "leg 2 for 0.3 nm from 38°31.7'N 028°37.9'W on" in " ".join(blocks_text(summary(ashore)).split())


def test_the_short_answer_has_the_verdict_too() -> None:
    page = front.table(sailed(ROUTES[0]))
    assert "Do not go yet" in blocks_text(in_short(page))


def test_what_was_told_from_her_length_alone_stands_among_what_is_left_out() -> None:
    outcome = sailed(ROUTES[0])
    assert not any("length alone" in words for words in front.table(outcome).left_out)
    boat = outcome.facts.boat
    hull = boat.hull.model_copy(update={"not_measured": ("displacement", "sail_area")})
    guessed = with_facts(outcome, replace(outcome.facts, boat=boat.model_copy(update={"hull": hull})))
    assert "Told from her length alone, to be measured: displacement and sail_area." == front.table(guessed).left_out[0]


def test_a_season_is_a_doubt_and_storms_in_two_crossings_of_a_hundred_stop_her() -> None:
    page = front.table(sailed(ROUTES[2]))
    assert page.cyclone_seasons
    few, many = (replace(page, storms=replace(page.storms, near_in_100=near)) for near in (1.5, 2.5))
    assert Grade.DOUBTFUL is grades(few)[Question.CYCLONES]
    assert Grade.STOPS is grades(many)[Question.CYCLONES]
    assert "2.5 of 100 crossings come near a named storm" in said(many).verdict


def test_page_one_trusts_the_second_slow_end_where_the_wind_is_ahead_and_else_says_nothing_of_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    outcome = sailed(ROUTES[0])
    assert not any("Wind ahead" in words for words in front.table(outcome).left_out)
    monkeypatch.setattr(front, "wind_ahead_share", lambda crossings: 0.472)
    page = front.table(outcome)
    assert page.left_out[0].startswith("Wind ahead in 47 of 100 hours: upwind real boats took about a tenth longer")
    assert page.left_out[0].endswith("Trust the slow end as boats break.")
    assert "Trust the slow end as boats break." in " ".join(blocks_text(in_short(page)).split())


def test_where_nothing_breaks_no_slow_end_is_trusted_to_windward() -> None:
    (words,) = front._to_windward(0.5, False)
    assert "Wind ahead in 50 of 100 hours" in words
    assert words.endswith("Nothing breaks here: trust no slow end.")
    assert () == front._to_windward(0.3, True)
    assert () == front._to_windward(float("nan"), True)
