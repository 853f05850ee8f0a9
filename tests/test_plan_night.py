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
from tests.plan_cases import ROUTES, sailed

if TYPE_CHECKING:
    from pathlib import Path

LEAST_PT = 17.0
SMALL_PRINT_PT = 8.0  # sources and cautions
NIGHT = [leaf.card.name for leaf in WHOLE.leaves if leaf.card.night]
CASES = [(route, paper) for route in ROUTES for paper in PAPERS_PT]


@cache
def night_pages(route: str, paper: str) -> list[Any]:
    """Every page for the night of the whole plan, then those of the short one."""
    outcome = sailed(route)
    names = [name for name in NIGHT if name != "seacocks" or outcome.facts.gear.seacocks]
    short = Edition({"brief": tuple(leaf for leaf in SHORT.asked["brief"] if leaf.card.night)})
    found = []
    for edition in (only(",".join(names)), short):
        found += PdfReader(BytesIO(plan_pdf(outcome, paper, edition))).pages  # type: ignore[arg-type]
    return found


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
    assert {"rota", "handover", "hand-table", "abandon", "distress", "radio", "man-overboard", "fire"} <= set(NIGHT)
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
    (folder / "plan.pdf").write_bytes(plan_pdf(sailed(ROUTES[0]), "a4"))
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
