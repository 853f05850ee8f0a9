"""How the pages of the plan are filled: none more than a third empty, and no more of them than a person turns over.

A page is a grid of cells of 12 points between head and foot, left of the thumb edge; a cell with a drop of ink in it is
full. Ruled lines for notes or for the log are ink.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pypdfium2
import pytest

from passage.plan import document
from passage.plan.document import MARGIN_PT, plan_pdf
from passage.plan.editions import Leaf, PlanCard, only
from passage.plan.sheets.brief import MOST_LEGS, Brief
from passage.plan.sheets.legs import Legs
from tests.plan_cases import ROUTES, plan_of, sailed, tables_of, with_facts, words_on
from tests.test_plan_document import first_page_with, pdf

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.plan.document import Paper

    Cells = NDArray[np.bool_]

PIXELS_PER_PT, CELL_PX = 0.5, 6
MOST_EMPTY = 1 / 3
FLOAT_PLAN = "Float plan: tear off and leave ashore"
MOST_PAGES = 39  # of St Helena on A4; 38 before the refuges and when to turn back were set for the night


def inked(pdf: bytes) -> list[Cells]:
    """Every page as cells, (rows, columns): whether there is ink."""
    top, foot, left, right = (
        round((MARGIN_PT[side] + more) * PIXELS_PER_PT)
        for side, more in (("top", -8.0), ("bottom", 2.0), ("left", -3.0), ("right", 4.0))
    )
    with pypdfium2.PdfDocument(pdf) as document:
        pages = [page.render(scale=PIXELS_PER_PT, grayscale=True).to_numpy().squeeze() for page in document]
    return [cells_of(page[top:-foot, left:-right] < 200) for page in pages]


def cells_of(dark: Cells) -> Cells:
    rows, columns = (size // CELL_PX for size in dark.shape)
    kept = dark[: rows * CELL_PX, : columns * CELL_PX]
    return np.asarray(kept.reshape(rows, CELL_PX, columns, CELL_PX).any(axis=(1, 3)), dtype=np.bool_)


def largest_white(cells: Cells) -> float:
    """The largest rectangle without ink, as a share of the page."""
    best, high = 0, np.zeros(cells.shape[1], dtype=int)
    for row in cells:
        high = np.where(row, 0, high + 1)
        best = max(best, _under(high.tolist()))
    return best / cells.size


def _under(heights: list[int]) -> int:
    """The largest rectangle under a skyline."""
    best, stack = 0, []
    for at, high in enumerate([*heights, 0]):
        begins = at
        while stack and stack[-1][1] >= high:
            begins, top = stack.pop()
            best = max(best, top * (at - begins))
        stack.append((begins, high))
    return best


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize("route", ROUTES)
def test_no_page_is_more_than_a_third_empty(route: str, paper: Paper) -> None:
    empty = {number: largest_white(page) for number, page in enumerate(inked(plan_of(route, paper)), start=1)}
    assert {} == {number: share for number, share in empty.items() if share > MOST_EMPTY}


def test_an_empty_page_a_hole_in_one_and_a_column_of_none_are_seen() -> None:
    page = np.ones((60, 40), dtype=np.bool_)
    assert 0.0 == largest_white(page)
    assert 1.0 == largest_white(~page)
    page[10:40, 5:35] = False
    assert 30 * 30 / 2400 == largest_white(page)
    page[:, 20:] = False
    assert 0.5 == largest_white(page)


def test_the_demonstration_has_no_more_pages_than_its_list_of_cards_says() -> None:
    assert len(words_on(plan_of(ROUTES[0]))) <= MOST_PAGES


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize("route", ROUTES)
def test_nothing_needed_at_sea_is_on_the_leaf_that_is_left_ashore(route: str, paper: Paper) -> None:
    """Printed on both sides pages 1 and 2 are a leaf; the float plan is the last one, alone."""
    reader = pdf(route, paper)
    order = [first_page_with(reader, heading) for heading in ("Log", "Sources and assumptions", FLOAT_PLAN)]
    assert sorted(order) == order
    assert len(reader.pages) - 1 == order[-1]
    assert order[1] < order[-1]
    assert order[-1] % 2 == 0  # from nought: the front of a leaf, whose back is empty


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize("route", ROUTES)
def test_every_foot_and_the_contents_name_the_sheet_that_is_there(route: str, paper: Paper) -> None:
    pages = words_on(plan_of(route, paper))
    feet = [re.findall(r"(\d+) of (\d+)", words)[-1] for words in pages]
    assert [(str(number), str(len(pages))) for number in range(1, len(pages) + 1)] == feet
    told = dict(re.findall(r"^(.+?)\s+(\d+)$", pages[1], flags=re.MULTILINE))
    for heading in ("Sun and moon", "What to load", "Sources and assumptions", FLOAT_PLAN):
        where = [number for number, words in enumerate(pages, start=1) if number > 2 and f"\n{heading}\n" in words]
        assert str(where[0]) == told[heading]


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_the_float_plan_of_a_voyage_of_many_waypoints_is_one_sheet(paper: Paper) -> None:
    outcome = sailed(ROUTES[0])
    first, *_, last = outcome.facts.voyage.waypoints
    names = (f"clear of land lying to the north ({number})" for number in range(20))
    between = [first.model_copy(update={"name": name}) for name in names]
    voyage = outcome.facts.voyage.model_copy(update={"waypoints": (first, *between, last)})
    told = with_facts(outcome, replace(outcome.facts, voyage=voyage))
    pages = words_on(plan_pdf(told, paper, only("shore")))
    assert 1 == len(pages)
    assert "(19)" in pages[0]


def test_the_setting_of_the_plan_comes_to_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    """Else pages are numbered as they stood a round before."""
    import typst

    said: list[str] = []

    def compiled(*args: object, **named: object) -> bytes:
        content, warnings = typst.compile_with_warnings(*args, **named)  # type: ignore[call-overload]
        said.extend(warning.message for warning in warnings)
        return bytes(content)

    monkeypatch.setattr(typst, "compile", compiled)
    plan_pdf(sailed(ROUTES[1]), "us-letter")
    assert [] == said


@pytest.mark.parametrize("legs", [15, 24])
def test_the_short_plan_has_the_landfall_however_many_legs_lead_to_it(legs: int) -> None:
    tables = dict(tables_of(ROUTES[0]))
    told = tables["legs"]
    assert isinstance(told, Legs)
    points = (told.waypoints[0],) * legs + (told.waypoints[-1],)
    middle = [replace(told.legs[0], leg=number) for number in range(1, legs)]
    tables["legs"] = replace(told, waypoints=points, legs=(*middle, replace(told.legs[-1], leg=legs)))
    tables["brief"] = Brief(MOST_LEGS)
    drawings = {"course": "<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'/>"}
    outcome = sailed(ROUTES[0])
    head = document.PageHead(outcome.facts, outcome.crossings.depart)
    leaf = Leaf("brief", PlanCard("course"))
    (page,) = words_on(document.typeset([leaf], tables, drawings, head, "us-letter"))
    assert told.legs[-1].end in page
    assert (legs > MOST_LEGS) == ("are left out here" in page)
