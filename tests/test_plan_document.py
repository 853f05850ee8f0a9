"""The printed plan as a PDF: what it says, what it leaves alone, and what a red lamp does to it."""

from __future__ import annotations

import math
import re
from ctypes import c_uint
from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from io import BytesIO
from itertools import pairwise, product
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

import pypdfium2
import pytest
from pypdf import PdfReader
from pypdfium2 import raw

from passage.inputs.gear import FloatPlan
from passage.inputs.home import Home
from passage.plan import document
from passage.plan.document import PAPERS_PT, plan_drawings, plan_pdf, plan_tables, write_plan
from passage.plan.editions import CHAPTERS, SHORT, WHOLE, only
from passage.plan.foot import fingerprint
from passage.plan.sheet import Room
from passage.plan.sheets.front import NOT_REACHED, said
from passage.plan.svg import BLACK, TINT
from passage.tell.figures import Count, Figure
from passage.tell.records import Record, tellings
from tests.plan_cases import (
    ARABIC,
    ENDLESS,
    MARKUP,
    POLYNESIAN,
    ROUTES,
    endless_for_most,
    of_hours,
    plan_of,
    renamed,
    sailed,
    tables_of,
    with_facts,
    words_on,
)
from tests.test_plan_basis import with_forecast

if TYPE_CHECKING:
    from pathlib import Path

    from passage.plan.sheets.front import Front

PAPERS = list(PAPERS_PT)
# Relative luminance under a lamp of one colour is that channel alone; 7 : 1 is WCAG 2's enhanced contrast for text.
LEAST_CONTRAST = 7.0


def pdf(route: str, paper: str = "a4") -> PdfReader:
    return reader_of(plan_of(route, paper))


@cache
def reader_of(plan: bytes) -> PdfReader:
    return PdfReader(BytesIO(plan))


def text_of(plan: bytes) -> str:
    return plain("\n".join(words_on(plan)))


def plain(text: str) -> str:
    """Text without the marks that break and turn lines, white space made one blank."""
    return " ".join(re.sub("[\u200b\u2068\u2069\u202a-\u202e\u200e\u200f]", "", text).split())


def numbers_of_page_one(page: Front) -> list[str]:
    """Every number that page one has to say, as print shows it: of its figures and of its sentences."""
    time, water, lost = page.time, page.water, page.tanks_lost
    figures = [
        *(page.distance_nm, time.typical_days, time.quick_days, time.slow_end_days, time.slow_end_in),
        *(time.slow_end_least_days, time.slow_end_most_days),
        *(water.load_l, water.tanks_give_l, water.daily_l_per_day, water.emergency_l),
        *(figure for tank in lost for figure in (tank.left_l, tank.survival_ration_days)),
    ]
    sentences = " ".join(each for each in said(page) if isinstance(each, str) and each != NOT_REACHED)
    return [*map(str, figures), *re.findall(r"\d[\d,.]*\b", f"{sentences} {' '.join(page.left_out)}")]


def told_numbers(told: Any) -> list[str]:
    """Every number that a record tells, as print shows it; of what is not printed as a number none."""
    if isinstance(told, Record):
        return [found for name in tellings(type(told)) for found in told_numbers(getattr(told, name))]
    if isinstance(told, (list, tuple)):
        return [found for each in told for found in told_numbers(each)]
    return [str(told)] if isinstance(told, (Figure, Count)) and math.isfinite(told) else []


@cache
def headings_by_page(reader: PdfReader) -> dict[int, list[str]]:
    """The document's own outline: headings of every level, page by page, white space and breaks left out."""
    found: dict[int, list[str]] = {}

    def walk(entries: Any) -> None:
        for entry in entries:
            if isinstance(entry, list):
                walk(entry)
            else:
                page = reader.get_destination_page_number(entry)
                found.setdefault(int(page or 0), []).append(squeezed(str(entry.title)))

    walk(reader.outline)
    return found


def squeezed(text: str) -> str:
    return plain(text).replace(" ", "")


def first_page_with(reader: PdfReader, heading: str) -> int:
    return min(page for page, headings in headings_by_page(reader).items() if squeezed(heading) in headings)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("route", ROUTES)
def test_every_page_is_of_a_chapter_that_begins_with_a_heading_and_none_runs_over(route: str, paper: str) -> None:
    reader = pdf(route, paper)
    headings = headings_by_page(reader)
    running_head = squeezed(words_on(plan_of(route, paper))[0]).split("UTC")[0] + "UTC"
    before: list[str] = []
    for number, page in enumerate(words_on(plan_of(route, paper))):
        words = plain(page)
        told, body = at_the_edge(words)
        body = body.replace(" ", "").removeprefix(running_head)
        assert bool(told) == (number > 1), f"page {number + 1}: {words[:60]} ... {words[-60:]}"
        if told and told[0] not in before:
            assert any(body.startswith(heading) for heading in headings[number]), f"page {number + 1}: {words[:120]}"
        before = told
        assert "official forecasts" in words.lower()
        assert "inputs" in words and "Wed 25 Nov 2026" in words


def at_the_edge(words: str) -> tuple[list[str], str]:
    """The chapters of which something stands on a page, in order, and its words without those."""
    told: list[str] = []
    while name := next((name for name in CHAPTERS if words.startswith(name) or words.endswith(name)), ""):
        told.append(name)
        words = words.removeprefix(name).removesuffix(name).strip()
    return sorted(told, key=list(CHAPTERS).index), words


@pytest.mark.parametrize("paper", PAPERS)
def test_the_sheet_has_the_size_asked_for(paper: str) -> None:
    for page in pdf(ROUTES[0], paper).pages:
        assert PAPERS_PT[paper] == pytest.approx((float(page.mediabox.width), float(page.mediabox.height)), abs=0.02)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("route", ROUTES)
def test_each_front_page_and_legs_number_of_the_tables_stands_in_the_text(route: str, paper: str) -> None:
    tables = tables_of(route)
    pages = [plain(page) for page in words_on(plan_of(route, paper))]
    first = first_page_with(pdf(route, paper), "Legs")
    legs = f"{pages[first]} {pages[first + 1]}"  # they may take two pages
    for page, found in ((pages[0], numbers_of_page_one(tables["front"])), (legs, told_numbers(tables["legs"]))):
        assert len(found) > 10
        assert [] == [number for number in found if not re.search(rf"(?<![\d,.]){re.escape(number)}(?![\d])", page)]


def test_same_outcome_and_date_give_the_same_bytes() -> None:
    assert plan_pdf(sailed(ROUTES[1]), "a4") == plan_of(ROUTES[1])


def test_the_plan_is_written_where_asked_with_the_day_its_files_were_read(tmp_path: Path) -> None:
    outcome = sailed(ROUTES[1])
    later = with_facts(outcome, replace(outcome.facts, today=date(2026, 11, 26)))
    write_plan(later, tmp_path / "plan.pdf")
    assert (tmp_path / "plan.pdf").read_bytes() != plan_of(ROUTES[1])
    words = text_of((tmp_path / "plan.pdf").read_bytes())
    assert "DISTRESS CALL" in words
    assert "Made Thu 26 Nov 2026" in words


def test_it_is_tagged_and_says_so() -> None:
    root = pdf(ROUTES[0]).root_object
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert pdf(ROUTES[0]).metadata.title == "Cape Town to St Helena"  # type: ignore[union-attr]


def test_it_is_archival_and_accessible_by_its_own_declaration() -> None:
    """ISO 19005-2 (PDF/A-2a) and ISO 14289-1 (PDF/UA-1) are declared in the metadata stream."""
    xmp = pdf(ROUTES[0]).root_object["/Metadata"].get_object().get_data().decode()
    for name, expected in (("pdfaid:part", "2"), ("pdfaid:conformance", "A"), ("pdfuaid:part", "1")):
        assert [expected] == re.findall(rf"<{name}>(.*?)</{name}>", xmp)
    assert "Cape Town to St Helena" in xmp
    assert pdf(ROUTES[0]).root_object["/ViewerPreferences"]["/DisplayDocTitle"]


def test_every_face_is_embedded() -> None:
    descendants = [
        font.get_object()["/DescendantFonts"][0].get_object()
        for page in pdf(ROUTES[2]).pages
        for font in page["/Resources"].get_object().get("/Font", {}).get_object().values()
    ]
    names = {str(font["/BaseFont"]).split("+")[-1] for font in descendants}
    assert {"B612-Regular", "B612-Bold"} <= {name.removesuffix("-Identity-H") for name in names}
    assert all("Mono" not in name for name in names)
    for font in descendants:
        assert {"/FontFile2", "/FontFile3"} & set(font["/FontDescriptor"].get_object())


@pytest.mark.parametrize("name", [MARKUP, f"{POLYNESIAN}, 船 by the bay"])
def test_names_are_printed_letter_for_letter_and_never_read_as_markup(name: str) -> None:
    plan = plan_pdf(renamed(sailed(ROUTES[2]), name, name, name), "us-letter")
    named, plain_one = (headings_by_page(each) for each in (reader_of(plan), pdf(ROUTES[2], "us-letter")))
    assert sum(map(len, plain_one.values())) == sum(map(len, named.values()))  # markup would make one more, or one less
    assert all(len(page.split()) > 40 for page in words_on(plan))  # and a page broken off would be empty
    expected = name.replace("船", "[U+8239]").replace(" ", "")
    assert squeezed(words_on(plan)[0]).count(expected) >= 4  # header, title, both ends or the boat


def test_a_name_written_from_the_right_leaves_the_numbers_after_it_in_their_place() -> None:
    named = renamed(sailed(ROUTES[2]), ARABIC, ARABIC, ARABIC)
    words = reader_of(plan_pdf(named, "a4", only("front"))).pages[0].extract_text()
    assert re.search(r", 1,025 miles\.", plain(words))
    assert all(word in words for word in ARABIC.split())


def test_a_name_without_a_break_still_fits_the_sheet() -> None:
    plan = plan_pdf(renamed(sailed(ROUTES[2]), ENDLESS, ENDLESS, ENDLESS), "us-letter")
    widest = PAPERS_PT["us-letter"][0] - document.MARGIN_PT["right"]
    beyond = {word for page in letters_beyond(plan, widest) for word in page.split()}
    assert beyond <= set(" ".join(CHAPTERS).split())  # at the thumb edge
    assert "W" * 80 in text_of(plan).replace(" ", "")


def letters_beyond(plan: bytes, widest: float) -> list[str]:
    """Of every page the letters that begin so many points from the left, or more."""
    found = []
    with pypdfium2.PdfDocument(plan) as document:
        for page in document:
            words = page.get_textpage()
            places = range(words.count_chars())
            found.append("".join(words.get_text_range(at, 1) for at in places if words.get_charbox(at)[0] >= widest))
            words.close()
            page.close()
    return found


def test_a_passage_that_most_crossings_never_finish_is_told_in_words() -> None:
    words = text_of(plan_pdf(endless_for_most(sailed(ROUTES[1])), "a4"))
    assert "not reached" in words
    assert "Load more than can be said" in words
    assert not re.search(r"\binf\b|\bnan\b|None", words)


def test_a_passage_of_hours_is_printed_too() -> None:
    outcome = of_hours(ROUTES[0], 20)
    assert outcome.times.slow_end_h < 24.0
    words = text_of(plan_pdf(outcome, "a4"))
    assert not re.search(r"\binf\b|\bnan\b|None", words)


def test_the_fingerprint_follows_the_files(tmp_path: Path) -> None:
    from shutil import copytree

    facts = sailed(ROUTES[1]).facts
    assert facts.home.boat is not None
    copytree(facts.folder, tmp_path / "copy")
    copytree(facts.home.boat, tmp_path / "boat")
    copied = Home(tmp_path / "copy", tmp_path / "boat")
    same = fingerprint(replace(facts, home=copied))
    assert fingerprint(facts) == same
    assert re.fullmatch("[0-9a-f]{8}", same)
    for name in ("crew.toml", "gear.toml"):
        with (tmp_path / "boat" / name).open("a", encoding="utf-8") as file:
            file.write("\n")
        changed = fingerprint(replace(facts, home=copied))
        assert same != changed
        same = changed


# ---------------------------------------------------------------- under the red lamp


def all_colours(plan: bytes) -> set[tuple[str, tuple[int, int, int]]]:
    """Use and red, green and blue, 0 to 255, of every colour that letters, lines and shapes have, in drawings too."""
    found, parts = set(), [c_uint() for _ in range(4)]
    uses = (("fill", raw.FPDFPageObj_GetFillColor), ("stroke", raw.FPDFPageObj_GetStrokeColor))
    with pypdfium2.PdfDocument(plan) as document:
        for page in document:
            for thing, (use, read) in product(page.get_objects(max_depth=15), uses):
                if read(thing, *parts):
                    red, green, blue, _ = (part.value for part in parts)
                    found.add((use, (red, green, blue)))
            page.close()
    return found


def contrast(grey: float) -> float:
    linear = grey / 12.92 if grey <= 0.04045 else ((grey + 0.055) / 1.055) ** 2.4
    return 1.05 / (linear + 0.05)


@pytest.mark.parametrize("route", ROUTES)
def test_nothing_is_coloured_and_no_ink_vanishes_in_red_light(route: str) -> None:
    found = all_colours(plan_of(route))
    assert {"fill", "stroke"} == {use for use, _ in found}
    for _, parts in found:
        assert len(set(parts)) == 1, "a colour: it changes in red light"
    inks = {(use, parts[0]) for use, parts in found}
    # white is no ink: the rim of paper round a chart's letters
    assert all(contrast(grey / 255) >= LEAST_CONTRAST for use, grey in inks if use == "stroke" and grey < 255)
    assert all(grey in (255, int(TINT[1:3], 16)) or contrast(grey / 255) >= LEAST_CONTRAST for _, grey in inks)


def test_a_coloured_ink_would_be_seen() -> None:
    from matplotlib.figure import Figure as Page

    page, made = Page(), BytesIO()
    page.text(0.5, 0.5, "red", color="#c00000")
    page.savefig(made, format="pdf")
    assert ("fill", (192, 0, 0)) in all_colours(made.getvalue())


def test_the_tint_always_has_a_dark_outline_and_text_is_always_black() -> None:
    outcome = sailed(ROUTES[2])
    tables = plan_tables(outcome)
    drawings = plan_drawings(WHOLE.filled(tables), outcome, tables, Room(500.0, 700.0))
    for name, drawing in drawings.items():
        shapes = list(ElementTree.fromstring(drawing).iter())
        assert all(shape.get("fill") is None for shape in shapes if shape.tag.endswith("text"))
        if name not in ("to_go", "water", "power") and not name.startswith("store"):  # edges drawn over it
            assert all(shape.get("stroke") == BLACK for shape in shapes if shape.get("fill") == TINT)


def test_page_one_says_on_which_page_the_emergency_cards_begin() -> None:
    for route in ROUTES:
        page = first_page_with(pdf(route), "ABANDON SHIP") + 1
        assert f"Emergency cards: page {page}" in plain(words_on(plan_of(route))[0])


def test_the_longest_rescue_address_runs_on_to_another_page_in_night_type_but_in_the_short_plan() -> None:
    outcome = sailed(ROUTES[0])
    address = FloatPlan(
        rescue_authority="Maritime Rescue Co-ordination Centre, " + "Long Street " * 13, rescue_telephone="1" * 200
    )
    gear = outcome.facts.gear.model_copy(update={"float_plan": address})
    long = with_facts(outcome, replace(outcome.facts, gear=gear))
    for edition, count in ((only("distress,radio"), 3), (SHORT, 4)):
        for paper in PAPERS_PT:
            plan = plan_pdf(long, paper, edition)  # type: ignore[arg-type]
            assert count == len(words_on(plan))
            assert text_of(plan).count("1") >= 200


def test_the_foot_of_the_page_calls_it_no_forecast_only_where_none_counts() -> None:
    outcome = sailed(ROUTES[2])
    served = with_forecast(outcome, outcome.crossings.depart - timedelta(hours=20))
    for case, expected in ((outcome, True), (served, False)):
        words = text_of(plan_pdf(case, "a4", only("fire")))
        assert expected == ("not a forecast" in words)
        assert "Official forecasts" in words


def test_words_of_statistics_stay_on_the_sources_pages() -> None:
    pages = [plain(page).lower() for page in words_on(plan_of(ROUTES[0]))]
    for words in pages[: first_page_with(pdf(ROUTES[0]), "Sources and assumptions")]:
        assert [] == re.findall(r"ensemble|percentile|\bp\d\d\b|quantile|distribution|standard deviation|member", words)


def test_headings_descend_without_a_gap() -> None:
    source = "".join(path.read_text(encoding="utf-8") for path in sorted(document.PAGES.glob("*.typ")))
    levels = [int(level) for level in re.findall(r"level: (\d)", source)]
    assert {1, 2} == set(levels)
    assert all(after - before <= 1 for before, after in pairwise(sorted(levels)))


def test_the_document_is_set_quickly(benchmark: Any) -> None:
    outcome = sailed(ROUTES[0])
    benchmark(lambda: plan_pdf(outcome, "a4"))
