"""The desk in a real browser: by keyboard, mouse and finger, from an empty folder on, in every dress and width."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from PIL import Image
from playwright.sync_api import Browser, Page, expect, sync_playwright

from tests.desk_cases import voyage_in
from tests.test_page_browser import ARGUMENTS, CHROMIUM

if TYPE_CHECKING:
    from collections.abc import Iterator

pytest.importorskip("uvicorn", reason="the extra 'desk' is not installed")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no browser to drive")

ROOT = Path(__file__).parents[1]
AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"  # npm install axe-core, for this alone
PATIENCE_MS = 60_000  # on a crowded machine
DARKEST = 40  # of 255: what blue or green a red letter's edge may have


def site(address: str) -> str:
    return "/".join(address.split("/")[:3])


class Served:
    """A desk served as a person starts it."""

    def __init__(self, folder: Path) -> None:
        command = [sys.executable, "-m", "passage", "desk", str(folder), "--no-browser"]
        env = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"}
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, env=env, text=True)
        assert self.process.stdout is not None
        found = re.search(r"http://127\.0\.0\.1:\d+/\?token=\S+", self.process.stdout.readline())
        assert found
        self.address = found[0]

    def close(self) -> None:
        with self.process:
            self.process.terminate()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return voyage_in(tmp_path_factory.mktemp("desk"))


@pytest.fixture(scope="module")
def address(folder: Path) -> Iterator[str]:
    served = Served(folder)
    yield served.address
    served.close()


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield browser
        browser.close()


class Opened:
    """A tab, and what it complained of."""

    def __init__(self, browser: Browser, address: str, **how: object) -> None:
        self.context = browser.new_context(**how)  # type: ignore[arg-type]
        self.page: Page = self.context.new_page()
        self.page.set_default_timeout(PATIENCE_MS)
        self.complaints: list[str] = []
        self.asked: list[str] = []
        self.page.on("console", lambda message: self.complaints.append(message.text))
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.goto(address)

    def line(self, key: str) -> str:
        return self.page.locator(f'[data-line="{key}"]').inner_text()

    def answered(self, version: int) -> None:
        self.page.wait_for_selector(f'.state[data-version="{version}"]:not([data-crossings="0"])')

    @property
    def waypoints(self) -> list[str | None]:
        """As they are read aloud."""
        return [mark.get_attribute("aria-label") for mark in self.page.locator(".mark").all()]

    @property
    def version(self) -> int:
        return int(self.page.get_attribute(".state[data-version]", "data-version") or 0)


@pytest.fixture(scope="module")
def tab(browser: Browser, address: str) -> Iterator[Opened]:
    opened = Opened(browser, address, viewport={"width": 1400, "height": 1000}, bypass_csp=False)
    opened.answered(1)
    yield opened
    assert [] == opened.complaints
    assert {site(address)} == set(map(site, opened.asked))
    opened.context.close()


def test_a_change_of_water_moves_the_answer_with_what_it_was_beside(tab: Opened) -> None:
    page, before = tab.page, tab.version
    page.get_by_role("button", name="Water and food").click()
    field = page.get_by_label("Capacity").nth(0)
    expect(field).to_have_value("90 L")
    field.fill("50")
    page.keyboard.press("Tab")
    tab.answered(before + 1)
    assert "The tanks give 142 litres" in tab.line("load")
    expect(page.locator("#aloud")).to_contain_text("Does water last?")
    expect(page.locator("#bar")).to_contain_text("1 change not saved")
    expect(page.locator("#f-boat-water-tank-0-capacity")).to_have_value("50 L")


def test_what_is_wrong_is_told_beside_the_field_and_nothing_else_is_lost(tab: Opened) -> None:
    page = tab.page
    field = page.get_by_label("Capacity").nth(1)
    field.fill("20 kn")
    page.keyboard.press("Tab")
    expect(page.locator("#f-boat-water-tank-1-capacity-fault")).to_contain_text("is not a unit read here")
    expect(page.locator("#answer")).to_contain_text("Not reckoned")
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("#answer")).not_to_contain_text("Not reckoned")


def test_a_waypoint_is_moved_by_mouse_and_keyboard_and_land_is_told_at_once(tab: Opened) -> None:
    page = tab.page
    mark = page.locator("#mark-2")
    mark.scroll_into_view_if_needed()
    box = page.locator("#mark-2 .dot").bounding_box()
    frame = page.locator("#chart .over").bounding_box()
    assert box and frame
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(frame["x"] + 0.9 * frame["width"], frame["y"] + 0.3 * frame["height"], steps=4)
    expect(page.locator("#trial-words")).to_contain_text("nm of land")
    expect(page.locator(".trial")).to_have_class(re.compile("ashore"))
    page.mouse.move(frame["x"] + 0.3 * frame["width"], frame["y"] + 0.5 * frame["height"], steps=4)
    expect(page.locator("#trial-words")).not_to_contain_text("nm of land to")
    before = tab.version
    page.mouse.up()
    tab.answered(before + 1)
    before, was = tab.version, page.get_attribute("#mark-2", "aria-label")
    mark.focus()
    for _ in range(3):
        page.keyboard.press("Shift+ArrowLeft")
    tab.answered(before + 1)
    assert was != page.get_attribute("#mark-2", "aria-label")
    expect(page.locator("#mark-2")).to_be_focused()
    page.keyboard.press("Insert")
    expect(page.locator("#mark-4")).to_be_attached()
    page.locator("#mark-3").focus()
    page.keyboard.press("Delete")
    expect(page.locator("#mark-4")).not_to_be_attached()


def test_saving_shows_the_difference_and_writes_it(tab: Opened, folder: Path) -> None:
    page = tab.page
    page.get_by_role("button", name="Save …").click()
    expect(page.locator(".diff")).to_contain_text('+capacity = "50 L"')
    expect(page.locator("#difference-head")).to_be_focused()
    page.get_by_role("button", name="Save to the files").click()
    expect(page.locator("#difference")).to_contain_text("Saved:")
    boat = tomllib.loads((folder.parents[1] / "boats/nine-metre/boat.toml").read_text(encoding="utf-8"))
    assert "50 L" == boat["water_tank"][0]["capacity"]


def test_another_tab_hears_of_a_change_and_shows_it(tab: Opened, browser: Browser) -> None:
    other = tab.context.new_page()
    other.goto(tab.page.url)
    other.get_by_role("button", name="Boat", exact=True).click()
    other.get_by_label("Night speed").fill("85")
    other.keyboard.press("Tab")
    tab.page.get_by_role("button", name="Boat", exact=True).click()
    expect(tab.page.get_by_label("Night speed")).to_have_value("85 %")
    other.close()
    tab.page.get_by_role("button", name="Undo").click()


@pytest.mark.parametrize("wide", [1400, 700, 320], ids=["wide", "200 % zoom", "phone"])
def test_nothing_runs_out_of_a_narrow_page(tab: Opened, wide: int) -> None:
    """1400 points at 200 % are a page of 700."""
    tab.page.set_viewport_size({"width": wide, "height": 800})
    assert wide >= tab.page.evaluate("document.documentElement.scrollWidth")
    tab.page.set_viewport_size({"width": 1400, "height": 1000})


def test_at_night_no_blue_or_green_light_leaves_it(browser: Browser, address: str) -> None:
    """In a tab without the policy, which keeps out what the picture's taker adds to the page."""
    opened = Opened(browser, address, viewport={"width": 1400, "height": 1000}, bypass_csp=True)
    opened.page.wait_for_selector("#answer dl .row")
    opened.page.get_by_role("button", name="Night dress").click()
    picture = Image.open(io.BytesIO(opened.page.screenshot(full_page=True))).convert("RGB")
    red, green, blue = (band.getextrema()[1] for band in picture.split())
    assert red == 255 and max(green, blue) <= DARKEST
    opened.context.close()


@pytest.mark.skipif(not AXE.exists(), reason="axe-core is not installed: npm install --no-save axe-core")
def test_axe_finds_no_violation_by_day_and_by_night(browser: Browser, address: str) -> None:
    """In a tab without the policy, which keeps axe out as it does any other script."""
    opened = Opened(browser, address, viewport={"width": 1400, "height": 1000}, bypass_csp=True)
    opened.page.wait_for_selector("#answer dl .row")
    opened.page.evaluate(AXE.read_text(encoding="utf-8"))
    for group in ("Voyage", "Electrics"):
        opened.page.get_by_role("button", name=group, exact=True).click()
        for _ in range(2):
            found = opened.page.evaluate("axe.run(document, {resultTypes: ['violations']})")
            assert [] == [(each["id"], each["nodes"][0]["html"]) for each in found["violations"]]
            opened.page.locator("#dress").click()
    opened.context.close()


def test_every_field_has_a_name_and_says_what_may_be_typed(tab: Opened) -> None:
    tab.page.get_by_role("button", name="Electrics").click()
    expect(tab.page.get_by_role("textbox", name="Capacity")).to_have_attribute("aria-describedby", re.compile("limits"))
    tree = tab.page.locator("#facts").aria_snapshot()
    assert 'textbox "Capacity": 200 Ah' in tree or 'textbox "Capacity"' in tree
    assert not re.search(r"^\s*- (?:textbox|combobox|button)(?:$|:)", tree, re.MULTILINE)


def drag_by_finger(opened: Opened, what: str, across: float) -> None:
    opened.page.locator(what).scroll_into_view_if_needed()
    box = opened.page.locator(f"{what} .dot").bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    fingers = opened.context.new_cdp_session(opened.page)
    for kind, at in (("touchStart", 0.0), ("touchMove", across / 2), ("touchMove", across)):
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x + at, "y": y}]})
    fingers.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    opened.answered(2)


def test_from_an_empty_folder_to_an_answer_without_touching_a_file(browser: Browser, tmp_path: Path) -> None:
    served = Served(tmp_path / "ours")
    try:
        opened = Opened(browser, served.address, viewport={"width": 390, "height": 844}, has_touch=True)
        page = opened.page
        page.get_by_label("From").fill("Lagos, Portugal")
        page.get_by_label("To", exact=True).fill("Atlantis")
        page.get_by_role("button", name="Begin the voyage").tap()
        expect(page.locator("#q-to-fault")).to_be_visible()
        page.get_by_label("To", exact=True).fill("Funchal, Portugal")
        page.get_by_label("When").fill("June")
        page.get_by_role("button", name="Begin the voyage").tap()
        page.wait_for_selector('.state:not([data-crossings="0"])')
        assert "days" in opened.line("typical")
        assert (tmp_path / "ours" / "my-voyage" / "voyage.toml").is_file()
        assert (tmp_path / "ours" / "my-boat" / "boat.toml").is_file()
        before = opened.waypoints
        drag_by_finger(opened, "#mark-1", -20.0)
        assert 1 == len(set(opened.waypoints) - set(before))
        expect(page.locator("#bar")).to_contain_text("1 change not saved")
        assert [] == opened.complaints
        opened.context.close()
    finally:
        served.close()
