"""The page in a real browser: it moves, it is silent on the wire, and at night no blue or green light leaves it."""

from __future__ import annotations

import io
import re
import shutil
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from passage.plan.page.assemble import page_html
from tests.plan_cases import ENDLESS, ROUTES, page_of, renamed, sailed

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
    pages = {route: page_of(route) for route in ROUTES}
    pages["endless"] = page_html(renamed(sailed(ROUTES[1]), ENDLESS, ENDLESS, ENDLESS))
    for name, page in pages.items():
        (folder / f"{name}.html").write_bytes(page)
    return {name: folder / f"{name}.html" for name in pages}


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
    for button in seen.page.locator(".starts button:enabled, .glass button").all():
        button.click()
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


def test_those_in_harbour_leave_the_ridge(visit: Any) -> None:
    seen = visit(ROUTES[0])
    seen.to_day(2)
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
    for key, day in (("Home", "Departure"), ("ArrowRight", "Day 1"), ("ArrowRight", "Day 2"), ("ArrowLeft", "Day 1")):
        page.keyboard.press(key)
        expect(title).to_have_text(day)
    page.locator("#after").focus()
    page.keyboard.press("Enter")
    expect(title).to_have_text("Day 2")
    page.locator("#before").focus()
    page.keyboard.press("Space")
    expect(title).to_have_text("Day 1")


def test_it_opens_half_way_with_the_crossings_in_the_first_screen(visit: Any) -> None:
    for size in ({"width": 1280, "height": 800}, PHONE):
        seen = visit(ROUTES[0], viewport=size)
        assert f"Day {round(sailed(ROUTES[0]).times.typical_days / 2)}" == seen.say("title")
        box = seen.page.locator("#ridge svg").bounding_box()
        assert box["y"] + box["height"] < size["height"]


def test_one_crossing_is_touched_and_read(visit: Any) -> None:
    seen, outcome = visit(ROUTES[0]), sailed(ROUTES[0])
    slowest = float(np.sort(outcome.crossings.arrival_h[np.isfinite(outcome.crossings.arrival_h)])[-1]) / 24.0
    seen.page.locator("#one").focus()
    seen.page.keyboard.press("End")
    expect(seen.page.locator("#told")).to_contain_text(f"in harbour after {slowest:.1f} days")
    seen.page.keyboard.press("Home")
    expect(seen.page.locator("#told")).to_contain_text("0 of 100 are quicker")
    box = seen.page.locator("#ridge svg").bounding_box()
    seen.page.mouse.click(box["x"] + box["width"] / 2, box["y"] + 70)
    assert re.search(r"miles to go; .* litres of water (left|short)", seen.page.locator("#told").inner_text())
    assert "visible" == seen.page.locator("#ridge .picked").get_attribute("visibility")


def test_another_departure_brings_its_own_crossings_and_says_what_is_not_hers(visit: Any) -> None:
    seen = visit(ROUTES[0])
    before, figures = seen.specks(), seen.page.locator(".day .planned").first
    assert figures.is_visible()
    seen.page.locator(".starts button").first.click()
    assert before != seen.specks()
    assert 100 == seen.specks().count("M")
    assert figures.is_hidden()
    expect(seen.page.locator("#elsewhere")).to_contain_text("those of the planned day and track only")
    seen.page.locator(".starts button[aria-label]").nth(4).click()
    assert before == seen.specks()
    assert figures.is_visible()


def test_her_own_position_is_laid_on_the_track(visit: Any) -> None:
    """The second waypoint of the voyage lies on the track, so many miles from its end as the legs are long."""
    seen, track = visit(ROUTES[0]), sailed(ROUTES[0]).ground.track
    node = track.nodes // 2
    lat, lon = float(track.lat_deg[node]), float(track.lon_deg[node])
    sides = ("S" if lat < 0 else "N"), ("W" if lon < 0 else "E")
    words = " ".join(
        f"{int(abs(deg))} {abs(deg) % 1 * 60:.1f}{side}" for deg, side in zip((lat, lon), sides, strict=True)
    )
    seen.page.locator("#own").fill(words)
    seen.page.keyboard.press("Enter")
    told = seen.page.locator("#own_told")
    to_go = track.length_nm * (1 - node / (track.nodes - 1))
    found = re.search(r"([\d,]+) miles to go along the track, (\d+) off it", told.inner_text())
    assert found
    assert to_go == pytest.approx(float(found[1].replace(",", "")), abs=2.0)
    assert 0 == int(found[2])
    seen.page.locator("#own").fill("somewhere")
    seen.page.locator("#lay").click()
    expect(told).to_have_text("Write it as 33 10.5S 016 20.0E.")


def test_the_chart_is_looked_at_more_closely_and_whole_again(visit: Any) -> None:
    seen = visit(ROUTES[0])
    chart = seen.page.locator(".chart svg")
    whole = chart.get_attribute("viewBox")
    for _ in range(3):
        seen.page.get_by_role("button", name="Nearer").click()
    assert float(whole.split()[2]) / 1.6**3 == pytest.approx(float(chart.get_attribute("viewBox").split()[2]), rel=1e-3)
    seen.page.get_by_role("button", name="Whole chart").click()
    assert [float(part) for part in whole.split()] == [float(part) for part in chart.get_attribute("viewBox").split()]


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
        seen.to_day(2)
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
    for name in ("Nearer", "Farther", "Whole chart", "Lay it down"):
        assert f'button "{name}"' in tree
    assert 'textbox "Where you are"' in tree
    assert 6 == page.locator("svg[role=img][aria-label]").count()
    assert 6 == page.locator("svg").count()
