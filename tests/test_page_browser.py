"""The page in a real browser: it moves, it is silent on the wire, and at night no blue or green light leaves it."""

from __future__ import annotations

import io
import re
import shutil
from typing import TYPE_CHECKING, Any

import pytest
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from passage.plan.page.assemble import page_html
from tests.plan_cases import ENDLESS, ROUTES, renamed, sailed

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

NAMES = ("chromium", "chromium-browser", "google-chrome")
CHROMIUM = next(filter(None, map(shutil.which, NAMES)), None)
ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--no-first-run",
    "--disable-component-update",
    "--disable-sync",
]
DESK, PHONE, SMALL = ({"width": w, "height": h} for w, h in ((1280, 900), (390, 844), (320, 700)))
GLIDE_MS = 1500  # longer than the specks take to a day

pytestmark = pytest.mark.skipif(
    CHROMIUM is None, reason=f"no browser to drive: none of {', '.join(NAMES)} is installed"
)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The three voyages, and one whose every name is a word without end."""
    folder = tmp_path_factory.mktemp("pages")
    outcomes = {route: sailed(route) for route in ROUTES}
    outcomes["endless"] = renamed(outcomes[ROUTES[1]], ENDLESS, ENDLESS, ENDLESS)
    for name, outcome in outcomes.items():
        (folder / f"{name}.html").write_bytes(page_html(outcome))
    return {name: folder / f"{name}.html" for name in outcomes}


class Opened:
    """A page open in a context of its own, and what it asked for and complained of."""

    def __init__(self, context: BrowserContext, file: Path) -> None:
        self.asked: list[str] = []
        self.complaints: list[str] = []
        self.page: Page = context.new_page()
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.on("console", lambda message: self.complaints.append(message.text))
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.goto(file.as_uri())

    def say(self, name: str) -> str:
        return self.page.locator(f'[data-say="{name}"]').inner_text()

    def specks(self) -> str:
        return self.page.locator(".specks").get_attribute("d") or ""

    def to_day(self, day: int) -> None:
        self.page.locator("#day").fill(str(day))

    @property
    def last_day(self) -> int:
        return int(self.page.locator("#day").get_attribute("max") or 0)

    def overflows(self) -> bool:
        root = "document.documentElement"
        return bool(self.page.evaluate(f"{root}.scrollWidth > {root}.clientWidth"))


@pytest.fixture
def visit(browser: Browser, files: dict[str, Path]) -> Iterator[Any]:
    contexts = []

    def opened(name: str, **wanted: Any) -> Opened:
        contexts.append(browser.new_context(**{"viewport": DESK, "reduced_motion": "reduce"} | wanted))
        return Opened(contexts[-1], files[name])

    yield opened
    for context in contexts:
        context.close()


@pytest.mark.parametrize("route", ROUTES)
def test_it_moves_without_a_complaint_and_without_a_request(visit: Any, route: str) -> None:
    seen = visit(route)
    for day in range(seen.last_day + 1):
        seen.to_day(day)
        assert seen.say("title") == (f"Day {day}" if day else "Departure")
    seen.page.get_by_role("button", name="Night dress").click()
    seen.page.get_by_role("button", name="Sail on").click()
    expect(seen.page.locator("#title")).to_have_text("Day 1")
    assert [] == seen.complaints
    assert [] == [url for url in seen.asked if not url.startswith(("file:", "data:"))]


def test_the_policy_is_kept_by_the_browser(visit: Any) -> None:
    """An image from elsewhere is refused before anything goes out; the page itself never tries."""
    seen = visit(ROUTES[1])
    stopped: list[str | None] = []
    seen.page.on("requestfailed", lambda request: stopped.append(request.failure))
    refused = seen.page.evaluate(
        """() => new Promise((done) => {
            document.addEventListener("securitypolicyviolation", (event) => done(event.effectiveDirective));
            new Image().src = "https://example.invalid/x.png";
        })"""
    )
    assert "img-src" == refused
    assert ["csp"] == stopped


@pytest.mark.parametrize("route", ROUTES)
def test_the_slider_moves_the_crossings_the_numbers_and_the_day_across_the_fans(visit: Any, route: str) -> None:
    seen = visit(route)
    slider, cursor = seen.page.locator("#day"), seen.page.locator(".cursor").first
    told = []
    for day in (2, 6):
        seen.to_day(day)
        expect(seen.page.locator("#aloud")).to_contain_text(f"Day {day},")
        aloud = seen.page.locator("#aloud").inner_text()
        told.append((seen.specks(), aloud, slider.get_attribute("aria-valuetext"), cursor.get_attribute("x1")))
        assert re.search(rf"Day {day}, .* UTC\. To go typically {seen.say('go')} miles\.", aloud)
    assert all(before != after for before, after in zip(*told, strict=True))
    assert 200 == told[1][0].count("M")  # all are at sea, each is there
    current = seen.page.locator("tr[aria-current]")
    assert ("6", 1) == (current.get_attribute("data-day"), current.count())


def test_those_in_harbour_leave_the_chart(visit: Any) -> None:
    seen = visit(ROUTES[0])
    assert 200 == seen.specks().count("M")
    seen.to_day(0)
    assert "" == seen.specks()
    seen.to_day(seen.last_day)
    arrived = int((sailed(ROUTES[0]).crossings.arrival_h <= 24 * seen.last_day).sum())
    assert 200 - arrived == seen.specks().count("M")
    assert seen.page.locator("table.rota").is_hidden()


def test_it_is_worked_from_the_keyboard(visit: Any) -> None:
    page = visit(ROUTES[1]).page
    visited = []
    for _ in range(5):
        page.keyboard.press("Tab")
        visited.append(page.evaluate("document.activeElement.id"))
        width = page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
        assert "3px" == width, visited
    assert ["dress", "before", "day", "after", "sail"] == visited
    page.locator("#day").focus()
    title = page.locator("#title")
    for key, day in (("ArrowRight", "Day 2"), ("ArrowLeft", "Day 1"), ("Home", "Departure"), ("ArrowRight", "Day 1")):
        page.keyboard.press(key)
        expect(title).to_have_text(day)
    page.locator("#after").focus()
    page.keyboard.press("Enter")
    expect(title).to_have_text("Day 2")
    page.locator("#before").focus()
    page.keyboard.press("Space")
    expect(title).to_have_text("Day 1")


@pytest.mark.parametrize("size", [DESK, PHONE, SMALL], ids=["desk", "phone", "small"])
@pytest.mark.parametrize("route", ROUTES)
def test_the_night_dress_gives_off_red_light_only(visit: Any, route: str, size: dict[str, int]) -> None:
    seen = visit(route, viewport=size)
    seen.to_day(seen.last_day // 2)
    seen.page.get_by_role("button", name="Night dress").click()
    seen.page.locator("#day").focus()
    red, green, blue = lights(seen.page)
    assert ((0, 255), (0, 0), (0, 0)) == (red, green, blue)
    seen.page.get_by_role("button", name="Day dress").click()
    assert lights(seen.page)[2][1] > 240


@pytest.mark.parametrize("scripts", [True, False], ids=["with scripts", "without"])
def test_where_the_screen_is_set_dark_it_opens_in_night_dress(visit: Any, scripts: bool) -> None:
    seen = visit(ROUTES[1], color_scheme="dark", viewport=PHONE, java_script_enabled=scripts)
    assert ((0, 255), (0, 0), (0, 0)) == lights(seen.page)
    if scripts:
        seen.page.get_by_role("button", name="Day dress").click()
        assert lights(seen.page)[2][1] > 240
        seen.page.get_by_role("button", name="Night dress").click()
        assert 0 == lights(seen.page)[2][1]


def lights(page: Page) -> Any:
    """Least and most of red, green and blue in all of the page."""
    return Image.open(io.BytesIO(page.screenshot(full_page=True))).convert("RGB").getextrema()


def test_the_dress_is_remembered_nowhere(visit: Any) -> None:
    seen = visit(ROUTES[1])
    seen.page.get_by_role("button", name="Night dress").click()
    kept = seen.page.evaluate("[document.cookie, localStorage.length, sessionStorage.length, location.hash].join()")
    assert ",0,0," == kept
    seen.page.reload()
    assert seen.page.get_by_role("button", name="Night dress").is_visible()


@pytest.mark.parametrize("size", [PHONE, SMALL], ids=["phone", "small"])
@pytest.mark.parametrize("name", [*ROUTES, "endless"])
def test_a_small_screen_does_not_overflow(visit: Any, name: str, size: dict[str, int]) -> None:
    seen = visit(name, viewport=size)
    for day in (0, seen.last_day // 2, seen.last_day):
        seen.to_day(day)
        assert not seen.overflows()
    reach = seen.page.locator("button").evaluate_all("all => all.map((one) => one.getBoundingClientRect().height)")
    assert min(reach) >= 44  # CSS pixels, WCAG 2.2 criterion 2.5.5 (M)


def test_without_scripts_the_table_of_every_day_stands(visit: Any) -> None:
    page = visit(ROUTES[0], java_script_enabled=False).page
    assert page.locator("table.days").is_visible()
    rows = page.locator("table.days tbody tr")
    assert rows.count() > 20
    assert all(row.is_visible() for row in rows.all())
    assert page.get_by_text("No script runs").is_visible()
    assert 0 == page.locator("button:visible, input:visible").count()


def test_the_crossings_glide_unless_motion_is_unwanted(visit: Any) -> None:
    for wanted, glides in (("reduce", False), ("no-preference", True)):
        seen = visit(ROUTES[1], reduced_motion=wanted)
        seen.to_day(6)
        at_once = seen.specks()
        seen.page.wait_for_timeout(GLIDE_MS)
        assert glides == (at_once != seen.specks())


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_is_printed_black_on_white_even_at_night(visit: Any, scheme: str) -> None:
    seen = visit(ROUTES[1], color_scheme=scheme)
    if scheme == "light":
        seen.page.get_by_role("button", name="Night dress").click()
    seen.page.emulate_media(media="print")
    colours = seen.page.evaluate(
        "(({ backgroundColor, color }) => [backgroundColor, color])(getComputedStyle(document.documentElement))"
    )
    assert ["rgb(255, 255, 255)", "rgb(0, 0, 0)"] == colours
    assert 0 == seen.page.locator("button:visible, input:visible").count()


def test_every_control_and_drawing_has_a_name(visit: Any) -> None:
    page = visit(ROUTES[1]).page
    tree = page.locator("body").aria_snapshot()
    assert 'slider "Day out"' in tree
    for name in ("A day earlier", "A day later", "Sail on", "Night dress"):
        assert f'button "{name}"' in tree
    assert 5 == page.locator("svg[role=img][aria-label]").count()
    assert 5 == page.locator("svg").count()
