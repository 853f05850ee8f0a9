"""Editions: the short plan of four pages, sheets and cards by name, and nothing worked out that is not printed."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from click.testing import CliRunner, Result

from passage.cli import main
from passage.errors import InputFaults
from passage.follows import (
    bracket_of,
    by_day_of,
    fast_kn_of,
    float_plan_of,
    laid_in_of,
    noons_of,
    power_of,
    readiness_of,
    sky_of,
    stores_of,
    times_of,
    watches_of,
)
from passage.plan.charts import course_chart
from passage.plan.document import PAGES, PAPERS_PT, SHEETS, plan_pdf, plan_tables
from passage.plan.editions import BRIEF, CONTENTS, LEAVES, SHORT, WHOLE, names_in_words, only
from passage.troubles.breakage import breakage_of
from tests.plan_cases import ENDLESS, ROUTES, endless_for_most, fresh, renamed, sailed, words_on

if TYPE_CHECKING:
    from passage.plan.editions import Edition
    from passage.road import Outcome
    from passage.sailed import Work

WATCHES = {fast_kn_of, noons_of, sky_of, times_of, watches_of}
ROOT = Path(__file__).parents[1]
DEMO = ROOT / "routes" / ROUTES[0]


def pages(outcome: Outcome, edition: Edition, paper: Any = "a4") -> list[str]:
    told = words_on(plan_pdf(outcome, paper, edition))
    return [" ".join(re.sub("[\u200b\u2068\u2069]", "", page).split()) for page in told]


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def test_the_contents_are_all_the_sheets() -> None:
    assert {*CONTENTS, "brief"} == {sheet.name for sheet in SHEETS}


def test_no_two_cards_share_a_name_and_each_is_made_of_blocks_or_set_in_its_sheet_s_page_file() -> None:
    names = [leaf.card.name for leaf in LEAVES] + [card.name for card in BRIEF]
    assert len(set(names)) == len(names)
    made = {sheet.name: set(sheet.cards) for sheet in SHEETS}
    by_sheet = {sheet: {leaf.card.name for leaf in leaves} for sheet, leaves in CONTENTS.items()}
    for sheet, cards in {**by_sheet, "brief": {card.name for card in BRIEF}}.items():
        by_hand = cards - made[sheet]
        assert made[sheet] <= cards
        if not by_hand:
            assert not (PAGES / f"{sheet}.typ").exists()
            continue
        source = (PAGES / f"{sheet}.typ").read_text(encoding="utf-8")
        drawn = source[source.index("#let cards = (") :]
        assert {name for name in by_hand if f"{name}: " in drawn} == by_hand, sheet


@pytest.mark.parametrize("paper", list(PAPERS_PT))
@pytest.mark.parametrize("route", ROUTES)
def test_the_short_plan_is_four_pages_with_what_is_needed_most(route: str, paper: str) -> None:
    front, course, aboard, worst = pages(sailed(route), SHORT, paper)
    assert "How long?" in front
    assert "Emergency card: page 4" in front
    for waypoint in sailed(route).facts.voyage.waypoints[1:]:
        assert waypoint.name in course
    assert "magnetic" in course
    assert "COLREG Rule 5" in aboard
    assert all(store.name in aboard for store in plan_tables(sailed(route), SHORT)["stores"].stores)
    assert "MAYDAY, MAYDAY, MAYDAY" in worst
    assert "ABANDON SHIP" in worst
    assert "Rescue authority" in worst


@pytest.mark.parametrize("change", [endless_for_most, lambda outcome: renamed(outcome, ENDLESS, ENDLESS, ENDLESS)])
def test_the_short_plan_stays_on_four_pages_whatever_happens(change: Any) -> None:
    assert 4 == len(pages(change(sailed(ROUTES[0])), SHORT, "us-letter"))


def test_the_short_plan_pays_for_no_page_that_it_does_not_print() -> None:
    outcome = fresh(ROUTES[1])
    plan_pdf(outcome, "a4", SHORT)
    needed = {
        bracket_of,
        breakage_of,
        course_chart,
        float_plan_of,
        by_day_of,
        fast_kn_of,
        laid_in_of,
        noons_of,
        power_of,
        readiness_of,
        sky_of,
        stores_of,
        times_of,
        watches_of,
    }
    assert needed == set(outcome._done), "neither troubles nor departures; page one tells doubts and breakage"


@pytest.mark.parametrize(("names", "done"), [("distress,abandon", set()), ("rota", WATCHES)])
def test_sheets_asked_for_by_name_alone_are_worked_out(names: str, done: set[Work]) -> None:
    outcome = fresh(ROUTES[0])
    plan_pdf(outcome, "a4", only(names))
    assert done == set(outcome._done)


def test_cards_come_in_the_order_of_the_plan_each_once() -> None:
    told = pages(sailed(ROUTES[0]), only("distress, ROTA ,abandon,distress"))
    heads = ["ABANDON SHIP", "DISTRESS CALL", "Watches: settled"]
    assert [True] * 3 == [head in page for head, page in zip(heads, told, strict=True)]


def test_a_sheet_s_name_stands_for_all_its_cards() -> None:
    assert {leaf.card.name for leaf in CONTENTS["emergency"]} == {leaf.card.name for leaf in only("emergency").leaves}
    assert only("emergency").leaves == tuple(leaf for leaf in WHOLE.leaves if leaf.sheet == "emergency")


@pytest.mark.parametrize("name", [leaf.card.name for leaf in WHOLE.leaves])
def test_every_card_is_printed_alone(name: str) -> None:
    """Of the voyage with all its files; own-and-best asks for a watch file."""
    if name == "own-and-best":
        with pytest.raises(InputFaults, match="nothing to print for own-and-best"):
            pages(sailed(ROUTES[0]), only(name))
        return
    told = pages(sailed(ROUTES[0]), only(name))
    assert told
    assert all(len(page) > 300 for page in told)
    assert f"of {len(told)}" in told[0]


@pytest.mark.parametrize(
    ("names", "expected"),
    [
        ("rotta", ["--only: no sheet or card is named 'rotta'; the nearest is rota; --help lists them all"]),
        ("abandonn,front,wather", ["the nearest is abandon", "the nearest is water"]),
        (" , ", ["no name is given"]),
    ],
)
def test_an_unknown_name_is_a_sentence_with_the_nearest_before_anything_is_sailed(
    names: str, expected: list[str]
) -> None:
    result = run("plan", DEMO, "--only", names)
    assert 2 == result.exit_code
    assert len(expected) == len(result.stderr.splitlines())
    for words, line in zip(expected, result.stderr.splitlines(), strict=True):
        assert words in line


def test_a_card_of_which_this_voyage_has_nothing_is_refused() -> None:
    with pytest.raises(InputFaults, match="nothing to print for anchor; leave it out"):
        plan_pdf(sailed(ROUTES[1]), "a4", only("rota,anchor"))


def test_short_and_only_do_not_go_together() -> None:
    result = run("plan", DEMO, "--short", "--only", "rota")
    assert 2 == result.exit_code
    assert "do not go together" in result.stderr


def test_the_command_writes_what_is_asked_and_sums_up_page_one_only_where_it_is_printed(tmp_path: Path) -> None:
    path = tmp_path / "cards.pdf"
    alone = run("plan", DEMO, "--only", "distress,fire", "--crossings", 20, "--out", path)
    assert 0 == alone.exit_code, alone.stderr
    assert str(path) in alone.stdout
    assert "Typical" not in alone.stdout
    assert 2 == len(words_on(path))
    short = run("plan", DEMO, "--short", "--crossings", 20, "--out", path)
    assert "How long?" in short.stdout
    assert 4 == len(words_on(path))


def test_the_help_and_the_guide_list_every_name() -> None:
    guide = (ROOT / "guide" / "README.md").read_text(encoding="utf-8")
    told = " ".join(run("plan", "--help").stdout.replace("-\n", "-").split()).replace("- ", "-")
    for leaf in WHOLE.leaves:
        assert re.search(rf"\b{leaf.card.name}\b", told)
        assert f"`{leaf.card.name}`" in guide
    assert "emergency (abandon, distress" in names_in_words()
