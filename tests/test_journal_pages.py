"""The blank log pages: a line for everything that an entry may say, and enough of them."""

from __future__ import annotations

import re

import pytest

from passage.journal.entries import OPTIONS
from passage.plan.document import PAPERS_PT, plan_pdf
from passage.plan.editions import only
from passage.plan.sheets import logpages
from tests.plan_cases import ROUTES, plan_of, sailed, words_on
from tests.test_plan_document import plain


def test_every_field_of_an_entry_has_its_blank() -> None:
    """Remarks have whole lines of their own, and so has what belongs to entries between noons."""
    assert set(OPTIONS) - {"remarks", "on-watch", "seen"} == set(logpages.LABELS)
    outcome = sailed(ROUTES[0])
    blanks = [row.blank for row in logpages.table(outcome).blanks]
    assert len(set(blanks)) == len(blanks)
    for tank in outcome.facts.boat.water_tanks:
        assert f"Water: {tank.name}" in blanks
    for person in outcome.facts.crew.people:
        assert f"Sleep: {person.role}" in blanks
    assert "Deck: wind vane" in blanks  # by the demonstration's gear file
    assert "Done: chafe gear on the vane lines" in blanks


@pytest.mark.parametrize(("route", "paper"), list(zip(ROUTES, PAPERS_PT, strict=False)))
def test_a_page_of_the_log_says_how_many_such_pages_reach_the_slow_end_and_as_many_as_asked_are_printed(
    route: str, paper: str
) -> None:
    pages = words_on(plan_of(route, paper))
    noons = [len(re.findall(r"typed in", page)) for page in pages]
    slow_days = sailed(route).times.slow_end_h / 24.0
    (first,) = (number for number, count in enumerate(noons) if count)
    told = re.search(r"To the slow end, and two to spare, (\d+) noons, (\d+) such pages", plain(pages[first]))
    assert told
    assert slow_days + 1 <= int(told[1]) <= slow_days + 3
    assert (int(told[2]) - 1) * noons[first] < int(told[1]) <= int(told[2]) * noons[first]
    assert "Opened, changed, found" in plain(pages[first]) + plain(
        pages[first + 1]
    )  # beneath the noons where they leave room
    many = words_on(plan_pdf(sailed(route), paper, only("log")._replace(log_pages=3)))
    assert [noons[first]] * 3 == [count for page in many if (count := len(re.findall(r"typed in", page)))]
