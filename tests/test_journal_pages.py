"""The blank log pages: a line for everything that an entry may say, and enough of them."""

from __future__ import annotations

import re
from io import BytesIO

import pytest
from pypdf import PdfReader

from passage.journal.entries import OPTIONS
from passage.plan.document import PAPERS_PT, plan_pdf
from passage.plan.sheets import logpages
from tests.plan_cases import ROUTES, sailed


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
def test_there_are_noons_to_the_slow_end_at_the_end_of_the_plan(route: str, paper: str) -> None:
    pages = [page.extract_text() for page in PdfReader(BytesIO(plan_pdf(sailed(route), paper))).pages]  # type: ignore[arg-type]
    noons = [len(re.findall(r"typed in", page)) for page in pages]
    slow_days = sailed(route).times.slow_end_h / 24.0
    assert slow_days + 1 <= sum(noons) <= slow_days + 8
    assert "opened, changed, found" in pages[-1]
    first = next(number for number, count in enumerate(noons) if count)
    assert all(noons[first:-1])
