"""What a red lamp and a tired reader do to the pages for the night, and that no ink of the plan has any colour."""

from __future__ import annotations

import shutil
import subprocess
from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

import numpy as np
import pytest
from pypdf import PdfReader

from passage.consequences.readiness.seacocks import seacock_rows
from passage.inputs.gear import Gear, Seacock
from passage.plan.document import MARGIN_PT, PAPERS_PT, plan_pdf
from passage.plan.editions import BRIEF, SHORT, WHOLE, Edition, only
from passage.plan.hull import NIGHT_LETTERS, plan_view
from passage.plan.sheets import emergency, stores, troubles, watches
from passage.plan.sheets import looks as handover
from passage.plan.sheets.ways_out import dry_words
from passage.tell.paper import set_blocks
from tests.plan_cases import ROUTES, legs_of, plan_of, sailed
from tests.red_light import Seen, acuity, lamp_luminance, pages_by_red_light

if TYPE_CHECKING:
    from pathlib import Path

    from passage.road import Outcome

LEAST_PT = 17.0
SMALL_PRINT_PT = 8.0  # sources and cautions
NIGHT = [leaf.card.name for leaf in WHOLE.leaves if leaf.card.night]
SHORT_NIGHT = Edition({"brief": tuple(leaf for leaf in SHORT.asked["brief"] if leaf.card.night)})
FINE_PRINT = """Emergency Trouble Watch Letters Sources
Metres from the bow, bore. From your gear file; an outline from length and beam, not her lines: go and put your hand on
each. By the typical crossing's clock: where ship's time changes, whoever has the watch at noon stands the hour more or
less. Whenever it blows: the rota of heavy weather. Miles to go; days to go at the slow end. The largest of the three
loading rules for the miles still to sail, what is kept for the landfall included. Food in days of full meals for all.
For these crossings: a boat with broken gear needs more. Load: the largest of the three loading rules. Aboard: as it
stands now, nothing bought. Short in 100: crossings of 100 in which it runs out with what is to be bought aboard; ?: no
file says how much there is. Days: to the slow end."""  # what the cards themselves say of what is reckoned
CASES = [(route, paper) for route in ROUTES for paper in PAPERS_PT]


@cache
def night_pdfs(route: str, paper: str) -> tuple[bytes, bytes]:
    """The cards for the night of the whole plan, and those of the short one."""
    outcome = sailed(route)
    whole = only(",".join(names_for_the_night(outcome)))
    return plan_pdf(outcome, paper, whole), plan_pdf(outcome, paper, SHORT_NIGHT)  # type: ignore[arg-type]


def night_pages(route: str, paper: str) -> list[Any]:
    return [page for pdf in night_pdfs(route, paper) for page in PdfReader(BytesIO(pdf)).pages]


def names_for_the_night(outcome: Outcome) -> list[str]:
    return [name for name in NIGHT if name != "seacocks" or outcome.facts.gear.seacocks]


def pieces(page: Any) -> list[tuple[str, float, bool]]:
    """Pieces of text between head and foot of the page: words, size in points, whether bold."""
    high = float(page.mediabox.height)
    found: list[tuple[str, float, bool]] = []

    def note(text: str, place: list[float], matrix: list[float], font: Any, size: float) -> None:
        y = matrix[5] * place[3] + place[5]
        if text.strip() and font and MARGIN_PT["bottom"] < y < high - MARGIN_PT["top"]:
            found.append((text.strip(), size, "Bold" in str(font["/BaseFont"])))

    page.extract_text(visitor_text=note)
    return found


def test_the_cards_for_the_worst_night_and_for_the_watch_are_for_the_night() -> None:
    watch = {"rota", "handover", "hand-table", "by-date"}
    trouble = {"refuges", "turn-back", "abandon", "distress", "radio", "man-overboard", "fire"}
    assert watch | trouble <= set(NIGHT)
    assert ["aboard", "worst"] == [card.name for card in BRIEF if card.night]


@pytest.mark.parametrize(("route", "paper"), CASES)
def test_all_but_the_small_print_is_bold_and_of_17_points(route: str, paper: str) -> None:
    for page in night_pages(route, paper):
        read = [(words, size, bold) for words, size, bold in pieces(page) if size > SMALL_PRINT_PT]
        assert sum(len(words) for words, _, _ in read) > 60
        assert [] == [words for words, size, bold in read if size < LEAST_PT - 0.01 or not bold]


def test_the_words_and_numbers_on_the_hull_are_of_17_points_too() -> None:
    cock = Seacock(name="drain", along_m=3.0, athwart_m=0.4, below_waterline_m=0.2, bore_mm=38.0)
    holes = seacock_rows(Gear(seacocks=(cock,)))
    drawn = ElementTree.fromstring(plan_view(9.1, 2.9, holes, 500.0, NIGHT_LETTERS))
    sizes = [float(shape.get("font-size", "0")) for shape in drawn.iter() if shape.tag.endswith("text")]
    assert len(sizes) == 5
    assert min(sizes) >= LEAST_PT


@pytest.fixture(scope="module")
def pixels(tmp_path_factory: pytest.TempPathFactory) -> list[Any]:
    """Every page of a whole plan in red, green and blue, 0 to 255."""
    if shutil.which("pdftoppm") is None:
        pytest.skip("pdftoppm, which turns pages into pictures, is not installed")
    folder: Path = tmp_path_factory.mktemp("pages")
    (folder / "plan.pdf").write_bytes(plan_of(ROUTES[0]))
    subprocess.run(["pdftoppm", "-r", "36", folder / "plan.pdf", folder / "page"], check=True, capture_output=True)
    return [picture(path) for path in sorted(folder.glob("*.ppm"))]


def picture(path: Path) -> Any:
    """A binary portable pixmap, (high, wide, 3)."""
    kind, size, most, body = path.read_bytes().split(b"\n", 3)
    assert (b"P6", b"255") == (kind, most)
    wide, high = map(int, size.split())
    return np.frombuffer(body, dtype=np.uint8).reshape(high, wide, 3)


def test_in_red_light_every_ink_is_as_dark_as_by_day(pixels: list[Any]) -> None:
    """A red lamp shows the red channel alone; by day luminance counts, 0.2126 R + 0.7152 G + 0.0722 B (ITU-R BT.709).
    The two are equal at every point where, and only where, no ink has a colour.
    """
    assert len(pixels) > 30
    for page in pixels:
        luminance = page @ np.array([0.2126, 0.7152, 0.0722])
        assert page.min() < 128  # there is ink on it
        assert np.abs(luminance - page[..., 0]).max() < 0.5


def test_a_coloured_ink_would_be_seen() -> None:
    page = np.full((2, 2, 3), 255, dtype=np.uint8)
    page[0, 0] = (200, 0, 0)
    assert np.abs(page @ np.array([0.2126, 0.7152, 0.0722]) - page[..., 0]).max() > 100.0


# ---------------------------------------------------------------- by a red lamp, at 60 cm


@cache
def seen(route: str) -> list[list[Seen]]:
    """Every letter of every page for the night, between head and foot, by the lamp of ``red_light``."""
    foot, top = MARGIN_PT["bottom"] - 4.0, PAPERS_PT["a4"][1] - MARGIN_PT["top"]  # a y hangs below its line
    pages = [page for pdf in night_pdfs(route, "a4") for page in pages_by_red_light(pdf)]
    return [[one for one in page if one.letter == " " or foot < one.foot_pt < top] for page in pages]


def told(page: list[Seen], readable: bool) -> str:
    """Letters and figures of a page that can be read by that lamp, or those that cannot, without blanks."""
    return "".join(one.letter for one in page if one.letter != " " and one.is_readable is readable)


def letters(words: str) -> str:
    return "".join(letter for letter in words if letter.isalnum())


@pytest.mark.parametrize("route", ROUTES)
def test_by_a_red_lamp_at_60_cm_every_order_on_the_pages_for_the_night_can_be_read(route: str) -> None:
    outcome = sailed(route)
    card, watched, looks = emergency.table(outcome), watches.table(outcome), handover.table(outcome)
    orders = [row.text for one in (*card.night_cards, card.radio) for row in one.lines]
    orders += [row.text for row in (*card.distress_call, *card.urgency_call)]
    orders += [row.say for row in looks.handover]
    orders += [watch.from_ship + watch.to_ship for rota in watched.rotas for day in rota.days for watch in day.watches]
    orders += [f"{row.to_go_nm}{row.slow_end_days}" for row in stores.table(outcome).hand_table.rows]
    orders += [f"{day.ship_date:short}" for day in watched.dated]
    orders += [row.name for row in card.hull_holes]
    hurt = troubles.table(outcome)
    orders += [f"{row.day}{row.ship_date:short}" for row in hurt.refuges.nearest]
    orders += [f"{row.whole.magnetic_course_deg}" for row in hurt.refuges.nearest if row.whole]
    orders += [dry_words(hurt.refuges.nearest)]
    orders += [point.magnetic_course_deg for leg in legs_of(outcome).legs for point in leg.points]
    readable = " ".join(told(page, readable=True) for page in seen(route)).lower()
    assert len(orders) > 100
    assert [] == [order for order in orders if letters(f"{order}").lower() not in readable]


@pytest.mark.parametrize("route", ROUTES)
def test_what_a_red_lamp_hides_at_60_cm_is_where_a_line_is_from_and_what_a_card_is_not(route: str) -> None:
    outcome = sailed(route)
    card, watched = emergency.table(outcome), watches.table(outcome)
    lines = [row for one in (*card.night_cards, card.radio) for row in one.lines]
    sources = [
        *(row.standing for row in lines),
        *(source for one in (*card.night_cards, card.radio) for source in one.line_sources),
    ]
    notes = [
        words
        for sheet, name in ((troubles, "refuges"), (troubles, "turn-back"))
        for words in small_print(set_blocks(sheet.SHEET.cards[name](sheet.table(outcome))))
    ]
    notes += small_print(set_blocks(watches.SHEET.cards["by-date"](watched)))
    small = letters(
        "".join([*sources, *card.cautions, card.standings, card.call_source, *watched.cautions, FINE_PRINT, *notes])
    )
    for page in seen(route):
        hidden = "".join(one.letter if one.is_readable is False else " " for one in page).split()
        assert len(hidden) < 200
        assert [] == [word for word in hidden if word not in small]


def small_print(value: Any) -> list[str]:
    """The notes among blocks, and what is in small letters."""
    if isinstance(value, dict) and value.get("kind") == "say" and value["size"] == "note":
        return [run["text"] for run in value["text"]]
    if isinstance(value, dict) and "small" in value.get("weights", ()):
        return [value["text"]]
    if isinstance(value, (dict, list)):
        return [
            words for inner in (value.values() if isinstance(value, dict) else value) for words in small_print(inner)
        ]
    return []


def test_a_letter_is_as_high_to_the_eye_as_its_face_says_it_is() -> None:
    """B612 bold's x is 1,100 and its capital 1,500 of 2,000 units to the em (its OS/2 table, T): at 17 points 3.298 and
    4.498 mm, at 60 cm 18.9 and 25.8 minutes of arc (D).
    """
    page = seen(ROUTES[2])[-1]  # whose call names kHz
    low = [one.high_arcmin for one in page if one.letter in "xz" and one.high_arcmin > 12.0]
    high = [one.high_arcmin for one in page if one.letter in "EHT" and one.high_arcmin > 12.0]
    assert 18.9 == pytest.approx(np.median(low), rel=0.02)
    assert 25.8 == pytest.approx(np.median(high), rel=0.02)


def test_small_faint_and_ill_lit_letters_are_not_readable() -> None:
    assert Seen("x", 18.9, 10.0, 0.0).is_readable
    assert not Seen("x", 15.0, 10.0, 0.0).is_readable
    assert not Seen("X", 18.9, 10.0, 0.0).is_readable
    assert not Seen("x", 18.9, 5.0, 0.0).is_readable


def test_an_ink_that_is_red_is_gone_by_a_red_lamp() -> None:
    """White paper and pure red ink send the same red back; black ink a sixteenth, 0.05 of 0.80."""
    red, black = lamp_luminance(np.array([1.0, 0.0]))
    assert 0.35 == pytest.approx(red)
    assert 16.0 == pytest.approx(red / black)


def test_the_eye_by_a_chart_lamp_sees_less_than_half_of_what_it_sees_by_day() -> None:
    """More than 1.0 by 100 cd/m2 and full contrast, 0.61 by 0.35 (D, of the published curve)."""
    day, lamp, dim = (acuity(light, 94.0) for light in (100.0, 0.35, 0.1))
    assert 1.0 < day < 2.0
    assert 0.61 == pytest.approx(lamp, abs=0.01)
    assert dim < lamp < day / 2.0
