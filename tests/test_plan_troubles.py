"""Troubles on paper and in the terminal: the sheet's words, its keys, and its pages."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from html import unescape
from math import inf, isfinite, nan
from typing import TYPE_CHECKING, Any

import pytest

from passage.inputs.troubles import Troubles
from passage.plan.sheets import sources
from passage.plan.sheets.sources import TROUBLES_WORDS
from passage.plan.sheets.troubles import SHEET, people_words, ration_words, table
from passage.plan.sheets.ways_out import dry_words, refuges_card, turn_back_card, ways_card
from passage.plan.turns import turn_words
from passage.sailings.magnetic import decimal_year, variation
from passage.tell.paper import set_blocks
from passage.tell.records import as_json, keys_of
from passage.tell.web import html
from passage.troubles import reckon
from passage.troubles.effects import Ration
from passage.troubles.hands import Hands, Keeping
from passage.troubles.resail import strike_at
from passage.troubles.turning import Turning
from passage.troubles.ways import Lasts
from tests.plan_cases import ROUTES, sailed

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from passage.tell.blocks import Blocks
    from passage.troubles.nearest import Harbour
    from passage.troubles.reckon import Troubled


def told(route: str) -> Troubled:
    return table(sailed(route))


def test_the_table_is_worked_out_once_for_an_outcome() -> None:
    assert told(ROUTES[1]) is told(ROUTES[1])


@pytest.mark.parametrize("route", ROUTES)
def test_every_trouble_says_how_long_what_runs_out_and_what_to_do(route: str) -> None:
    words = SHEET.text(told(route))
    for effect in told(route).effects:
        assert effect.trouble.name.upper() in words
        assert effect.trouble.first
        assert effect.running_out or effect.tightest
        assert all(step.source for step in effect.trouble.first)
    assert "Nothing runs out" in words


@pytest.mark.parametrize("route", ROUTES)
def test_the_terminal_keeps_to_80_columns_and_says_no_inf(route: str) -> None:
    words = SHEET.text(told(route))
    assert all(len(line) <= 80 for line in words.splitlines())
    for word in ("inf", "nan", "None"):
        assert word not in words.replace("information", "").split()


@pytest.mark.parametrize("route", ROUTES)
def test_the_ways_stand_in_one_order_everywhere(route: str) -> None:
    refuges = told(route).refuges
    for day in refuges.days:
        assert len(refuges.ways) == len(day.whole) == len(day.jury) == len(day.rudder)
    assert refuges.ways[1:] == tuple(row.way for row in refuges.whole) == tuple(row.way for row in refuges.jury)


def test_the_sources_page_shows_every_default_of_the_troubles() -> None:
    shown = {(part, key) for part, key, _ in TROUBLES_WORDS} | {
        ("hand_steering", "hove_to_h"),
        ("self_steering", "pilot"),
    }
    sections = {
        name: field.annotation
        for name, field in Troubles.model_fields.items()
        if name not in ("refuges", "reliability")
    }
    assert shown == {(name, key) for name, section in sections.items() for key in section.model_fields}
    (rows,) = [it.rows for it in sources.table(sailed(ROUTES[2])).groups if it.title == "When something breaks"]
    assert "60 %" == next(row.value for row in rows if row.what.startswith("Rudder lost: of the speed"))
    assert all(row.source and row.value for row in rows)


def test_ways_to_refuges_without_the_legs_drift_are_said_to_be() -> None:
    outcome = sailed(ROUTES[0])
    assert reckon.NO_DRIFT not in told(ROUTES[0]).cautions
    voyage = outcome.facts.voyage
    first, *others = voyage.waypoints
    drifting = [place.model_copy(update={"set_deg": 300.0, "drift_kn": 0.5}) for place in others]
    adrift = replace(outcome.facts, voyage=voyage.model_copy(update={"waypoints": (first, *drifting)}))
    assert [reckon.NO_DRIFT] == reckon._without_drift(adrift)


def test_a_ration_that_does_not_last_is_said_loudly() -> None:
    assert "NOT LONG ENOUGH" in ration_words(Ration(45.5, lasts=False))
    assert "NOT" not in ration_words(Ration(45.5, lasts=True))


def test_tricks_naps_and_no_sleep_at_all_are_three_states() -> None:
    in_turn = Hands(2, Keeping.IN_TURN, 3.0, nan, 12.0, 5.0, 7.2, 3.0)
    naps = Hands(1, Keeping.NAPS, nan, 15, 24.0, 4.5, 8.1, 6.0)
    awake = Hands(1, Keeping.AWAKE, nan, nan, 24.0, 0.0, nan, nan)
    assert people_words(in_turn).startswith("Tricks of 3.0 h, 12.0 h a day each, hours lying to not taken off.")
    assert people_words(naps).startswith("One alone: a look every 15 min, 4.5 h of sleep in naps; sleepiest 8.1 of 9.")
    assert "no day of naps" in people_words(awake)
    assert ["in turn", "alone, in naps", "alone, awake"] == [as_json(it)["keeping"] for it in (in_turn, naps, awake)]
    assert (None, 15, None) == tuple(as_json(it)["interval_min"] for it in (in_turn, naps, awake))


def test_neither_way_gets_there_is_no_reason_to_turn_back() -> None:
    assert "go on from day 3; at the slow end not known" == turn_words(Turning("back", 2.5, nan))


def test_a_day_has_at_most_equal_quickest_ways() -> None:
    for day in told(ROUTES[0]).refuges.days:
        quickest = [way.slow_end_h for way in day.whole if way.quickest]
        reached = [way.slow_end_h for way in day.whole if way.water is not Lasts.NEITHER]
        assert set(quickest) == ({min(reached)} if reached else set())
    assert any(way.quickest for day in told(ROUTES[0]).refuges.days for way in day.whole)


@pytest.mark.parametrize("route", ROUTES)
def test_no_way_that_the_water_does_not_reach_is_the_one_to_take(route: str) -> None:
    for day in told(route).refuges.days:
        assert not [way for way in (*day.whole, *day.jury) if way.quickest and way.water is Lasts.NEITHER]


def test_what_is_left_agrees_with_what_runs_out() -> None:
    for effect in told(ROUTES[0]).effects:
        gone = {thing.name for thing in effect.running_out}
        short = {it.name for it in effect.lasting if isfinite(it.gone_day) and it.short_before_in_100 == 0}
        assert gone == short


@pytest.mark.parametrize(
    ("typical", "slow", "words"),
    [
        (7.2, 7.9, "go on from day 8"),
        (7.2, 9.0, "go on from day 8; at the slow end from day 9"),
        (0.0, 0.0, "always quicker to go on"),
        (float("inf"), 4.0, "never quicker to go on; at the slow end from day 4"),
    ],
)
def test_turning_points_in_words(typical: float, slow: float, words: str) -> None:
    assert words == turn_words(Turning("back", typical, slow))


def test_every_key_has_its_meaning() -> None:
    def paths(value: object, path: str) -> set[str]:
        if isinstance(value, dict):
            return {f"{path}.{name}".lstrip(".") for name in value}.union(
                *(paths(inner, f"{path}.{name}".lstrip(".")) for name, inner in value.items())
            )
        return set().union(*(paths(each, path) for each in value)) if isinstance(value, list) else set()

    known = {key.path.replace("[]", ""): key.means for key in keys_of(type(told(ROUTES[0])))}
    assert set() == paths(as_json(told(ROUTES[0])), "") - set(known)
    assert all(known.values())


def test_paper_terminal_and_browser_tell_every_first_step() -> None:
    blocks = SHEET.blocks(told(ROUTES[0]))
    paper = "".join(run["text"] for run in runs_in(set_blocks(blocks)))
    terminal, browser = " ".join(SHEET.text(told(ROUTES[0])).split()), unescape(html(blocks))
    for effect in told(ROUTES[0]).effects:
        for step in effect.trouble.first:
            assert all(step.words in words for words in (paper, terminal, browser))


def runs_in(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict) and "weights" in value:
        yield value
    elif isinstance(value, (dict, list)):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from runs_in(inner)


def test_where_no_harbour_is_reached_under_jury_rig_it_is_said_and_why() -> None:
    days = told(ROUTES[0]).refuges.nearest
    here = days[0].whole
    assert here is not None
    near, dry, slow = here, replace(here, reached=False), replace(here, reached=False, slow_end_h=inf)

    def words(*harbours: Harbour | None) -> str:
        return dry_words([replace(day, jury=harbour) for day, harbour in zip(days, harbours, strict=False)])

    assert "" == words(near, near)
    assert "The rig lost on day 2 to 3, no harbour is reached on the water aboard" in words(near, dry, dry)
    assert "lost on day 1, 3, too few get to any harbour" in words(slow, near, None)


@pytest.mark.parametrize("route", ROUTES)
def test_every_day_of_the_passage_has_its_harbour_with_course_miles_and_days(route: str) -> None:
    """As the brief at the chart table: found by the day alone."""
    refuges = told(route).refuges
    assert list(range(1, len(refuges.nearest) + 1)) == [row.day for row in refuges.nearest]
    assert sailed(route).times.typical_days - 1.0 <= refuges.nearest[-1].day
    paper = " ".join(run["text"] for run in runs_in(set_blocks(SHEET.blocks(told(route)))))
    for row in refuges.nearest:
        assert row.whole is not None
        name = row.whole.way.split(" to ")[0]
        days = f"{row.whole.typical_days}\N{NO-BREAK SPACE}–\N{NO-BREAK SPACE}{row.whole.slow_end_days}"
        course = row.whole.magnetic_course_deg
        miles = row.to_go_nm if name == "on" else row.whole.distance_nm
        told_so = f"{row.day} {row.ship_date:short} {name} {course} {miles} {days}"
        assert told_so in paper


@pytest.mark.parametrize("route", ROUTES)
def test_miles_to_go_are_those_of_day_by_day(route: str) -> None:
    by_day = {day.day: f"{day.typical_to_go_nm}" for day in sailed(route).by_day}
    assert [by_day[row.day] for row in told(route).refuges.nearest] == [
        f"{row.to_go_nm}" for row in told(route).refuges.nearest
    ]


@pytest.mark.parametrize("route", ROUTES)
def test_the_order_to_go_on_never_goes_against_what_the_water_reaches(route: str) -> None:
    refuges = told(route).refuges
    for state in ("whole", "jury", "rudder"):
        for at, turning in enumerate(getattr(refuges, state), start=1):
            if not isfinite(turning.slow_end_day):
                continue
            for day in (day for day in refuges.days if day.day >= turning.slow_end_day):
                on, other = (getattr(day, state)[way] for way in (0, at))
                assert on.water is not Lasts.NEITHER or other.water is Lasts.NEITHER


@pytest.mark.parametrize("route", ROUTES)
def test_courses_to_a_refuge_are_steered_by_the_compass(route: str) -> None:
    """The variation is that of the model, which is held elsewhere: magnetic and variation, east positive, give true."""
    outcome = sailed(route)
    for row in told(route).refuges.nearest:
        harbours = [harbour for harbour in (row.whole, row.jury, row.rudder) if harbour]
        node = strike_at(outcome.crossings, 24 * row.day).node
        track, at = outcome.ground.track, outcome.crossings.depart + timedelta(days=row.day)
        here = variation(float(track.lat_deg[node]), float(track.lon_deg[node]), decimal_year(at)).variation_deg
        for harbour in harbours:
            assert harbour.course_deg == pytest.approx((harbour.magnetic_course_deg + here) % 360.0)


def test_where_no_way_is_reached_on_the_water_the_row_gives_no_order() -> None:
    """In its row by day, and in the days in a row among those of turning back."""
    refuges = told(ROUTES[0]).refuges
    dry = [row.day for row in refuges.nearest if row.jury and not row.jury.reached]
    runs = sum(day - 1 not in dry for day in dry)
    assert len(dry) + runs == dry_in(refuges_card, turn_back_card, ways_card, told=told(ROUTES[0]))


def dry_in(*cards: Callable[[Troubled], Blocks], told: Troubled) -> int:
    return sum(
        " ".join(run["text"] for run in runs_in(set_blocks(card(told)))).count("water too short") for card in cards
    )


def test_a_harbour_that_the_water_does_not_reach_is_no_order_with_everything_whole_either() -> None:
    whole = told(ROUTES[0])
    nearest = tuple(
        replace(row, whole=replace(row.whole, reached=False)) if row.whole else row for row in whole.refuges.nearest
    )
    dry = replace(whole, refuges=replace(whole.refuges, nearest=nearest))
    assert len(nearest) == dry_in(refuges_card, told=dry)
