"""The desk's page: every fact is on it, a change is checked beside its field, and saving writes what was shown."""

from __future__ import annotations

import re
import tomllib
from html import unescape
from typing import TYPE_CHECKING, Any

import pytest

from passage.desk.work import Worker
from tests.desk_cases import PORT, TOKEN, Browser, voyage_in

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

pytest.importorskip("starlette", reason="the extra 'desk' is not installed")

TANK = {"file": "boat.toml", "key": '["water_tank", 0, "capacity"]'}


class Orders:
    """In place of the processes: what they would be told to do."""

    def __init__(self) -> None:
        self.given: list[Any] = []


@pytest.fixture
def orders(monkeypatch: pytest.MonkeyPatch) -> Orders:
    orders = Orders()
    monkeypatch.setattr(Worker, "set_to", lambda _, order: orders.given.append(order))
    return orders


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return voyage_in(tmp_path)


@pytest.fixture
def browser(folder: Path, orders: Orders) -> Iterator[Browser]:
    from passage.desk.app import desk_app

    with Browser(desk_app(folder, PORT, TOKEN)) as browser:
        yield browser


def test_a_field_says_its_name_its_unit_its_limits_and_what_it_means(browser: Browser) -> None:
    form = browser.get("/facts?group=boat").text
    assert 'for="f-boat-helm-gust-limit">Gust limit</label>' in form
    assert "15 kn to 80 kn; 40 kn if left out" in form
    assert "She heaves to, or runs off where the wind is astern" in form


def test_a_change_is_put_where_the_file_has_it_and_the_answer_asked_for(browser: Browser, orders: Orders) -> None:
    before = len(orders.given)
    told = browser.post("/set", **TANK, value="60")
    assert 'value="60 L"' in told.text and "aria-invalid" not in told.text
    (order,) = orders.given[before:]
    assert "few" == order.what and any('capacity = "60 L"' in text for text in order.texts.values())
    assert "1 change not saved" in browser.get("/").text


@pytest.mark.parametrize(
    ("key", "value", "why"),
    [
        (TANK["key"], "60 kn", "'kn' is not a unit read here"),
        (TANK["key"], "-3", "give between 1 L and 20000 L"),
        ('["helm", "gust_limit"]', "20 kn", ""),
        ('["helm", "gust_resume"]', "60 kn", "it must be below gust_limit"),
        ('["boat", "beam"]', "", "missing"),
    ],
)
def test_what_a_file_may_not_say_is_told_beside_the_field(browser: Browser, key: str, value: str, why: str) -> None:
    told = browser.post("/set", file="boat.toml", key=key, value=value).text
    assert why in unescape(told)
    assert bool(why) == ('role="alert"' in told)


def test_while_something_is_to_be_mended_nothing_is_reckoned_and_that_is_said(browser: Browser, orders: Orders) -> None:
    browser.post("/set", **TANK, value="60 kn")
    before = len(orders.given)
    browser.post("/set", file="boat.toml", key='["helm", "gust_factor"]', value="1.5")
    assert before == len(orders.given)
    page = browser.get("/").text
    assert "Not reckoned: this is to be mended first." in page
    assert re.search(r"nine-metre/boat.toml line \d+: water_tank\[1\].capacity", page)


def test_what_is_typed_is_text_wherever_it_stands(browser: Browser) -> None:
    hostile = "<script>alert(1)</script>\"' {{ 7 * 7 }}"
    told = browser.post("/set", file="boat.toml", key='["boat", "name"]', value=hostile).text
    for text in (told, browser.get("/").text, browser.get("/difference").text, browser.get("/pulse?seen=0").text):
        assert "<script>alert" not in text
    assert "&lt;script&gt;" in told and "{{ 7 * 7 }}" in told


def test_saving_shows_the_difference_first_and_writes_it_when_told(browser: Browser, folder: Path) -> None:
    browser.post("/set", file="voyage.toml", key='["reserve", "typical_factor"]', value="2")
    difference = browser.get("/difference").text
    assert "-typical_factor = 1.5" in difference and "+typical_factor = 2.0" in difference
    assert 1.5 == tomllib.loads((folder / "voyage.toml").read_text())["reserve"]["typical_factor"]
    assert "Saved: voyage.toml." in browser.post("/save").text
    assert 2.0 == tomllib.loads((folder / "voyage.toml").read_text())["reserve"]["typical_factor"]
    assert "All is saved" in browser.get("/").text


def test_a_file_changed_by_another_hand_is_told_before_it_is_written(browser: Browser, folder: Path) -> None:
    browser.post("/set", file="voyage.toml", key='["reserve", "typical_factor"]', value="2")
    with (folder / "voyage.toml").open("a") as file:
        file.write("# their remark\n")
    assert "Changed by another hand" in browser.post("/save").text
    assert "typical_factor = 1.5" in (folder / "voyage.toml").read_text()
    assert "+typical_factor = 2.0" in browser.post("/again").text
    assert "Saved: voyage.toml." in browser.post("/save").text
    saved = (folder / "voyage.toml").read_text()
    assert "typical_factor = 2.0" in saved and "# their remark" in saved


def test_an_entry_is_put_in_with_a_name_of_its_own_and_taken_out(browser: Browser) -> None:
    more = browser.post("/entry/add", file="boat.toml", name="water_tank", group="water and food").text
    assert "water tank 4" in more
    fewer = browser.post("/entry/remove", file="boat.toml", name="water_tank", at="3", group="water and food").text
    assert "water tank 4" not in fewer


def test_a_waypoint_is_moved_by_chart_and_by_words_added_named_and_taken_out(browser: Browser, orders: Orders) -> None:
    chart = browser.get("/").text
    x, y = map(float, re.findall(r'id="mark-1" data-at="1" data-x="([\d.]+)" data-y="([\d.]+)"', chart)[0])
    browser.post("/waypoint", do="move", at="1", x=str(x - 5), y=str(y))
    browser.post("/waypoint", do="add", at="1")
    browser.post("/waypoint", do="name", at="2", value="halfway")
    browser.post("/waypoint", do="move", at="2", position="25 00.0S 5 00.0E")
    browser.post("/waypoint", do="remove", at="0")
    text = next(text for path, text in orders.given[-1].texts.items() if path.name == "voyage.toml")
    places = tomllib.loads(text)["waypoint"]
    assert ["west of Robben Island", "halfway", "north-east of St Helena", "off James Bay"] == [
        place["name"] for place in places
    ]
    assert "25 00.0S 5 00.0E" == places[1]["position"] and "sailing" not in places[0]
    assert "017°" in places[0]["position"]  # west of where it was, 18 10.0E


def test_land_on_a_leg_is_told_while_the_waypoint_is_still_in_the_hand(browser: Browser) -> None:
    frame = re.findall(r'data-frame="([\d.,]+)"', browser.get("/").text)[0].split(",")
    ashore = browser.post("/waypoint/try", at="2", x=frame[2], y=frame[1]).json
    assert "nm of land" in ashore["ashore"]["2"]
    x, y = re.findall(r'id="mark-1" data-at="1" data-x="([\d.]+)" data-y="([\d.]+)"', browser.get("/").text)[0]
    clear = browser.post("/waypoint/try", at="1", x=x, y=y).json
    assert {} == clear["ashore"] and "S" in clear["position"]


def test_a_leg_laid_over_land_is_refused_as_check_does(browser: Browser) -> None:
    browser.post("/waypoint", do="move", at="2", position="20 00.0S 20 00.0E")
    page = browser.get("/pulse?seen=0").text
    assert "nm of land" in page and 'class="leg ashore"' in page


def test_two_tabs_tell_each_other(browser: Browser) -> None:
    def change(tab: str, value: str) -> None:
        body = f"file=boat.toml&key=%5B%22helm%22%2C+%22gust_factor%22%5D&value={value}".encode()
        browser.ask("POST", "/set", body, x_desk_tab=tab)

    change("one", "1.5")
    seen = re.findall(r"seen=(\d+)", browser.get("/pulse?seen=0&tab=one").text)[0]
    change("one", "1.6")
    assert "in another tab" in browser.get(f"/pulse?seen={seen}&tab=two").text
    assert "in another tab" not in browser.get(f"/pulse?seen={seen}&tab=one").text


def test_the_plan_is_printed_of_what_is_saved_alone(browser: Browser, orders: Orders, folder: Path) -> None:
    browser.post("/set", **TANK, value="60")
    before = len(orders.given)
    assert "Save first" in browser.post("/job", name="plan").text and before == len(orders.given)
    browser.post("/save")
    assert 204 == browser.post("/job", name="plan").status
    assert ("plan", {"path": folder / "cape-town-st-helena.plan.pdf"}) == (
        orders.given[-1].what,
        orders.given[-1].given,
    )
    assert "Stop" in browser.get("/").text
    assert 204 == browser.post("/stop", name="plan").status and "Stopped; nothing was made." in browser.get("/").text


def test_a_boat_beside_is_one_of_those_that_are_there(browser: Browser, orders: Orders, folder: Path) -> None:
    page = browser.get("/").text
    assert {"boat:eleven-metre", "boat:ten-metre"} <= set(re.findall(r'value="(boat:[a-z-]+)"', page))
    browser.post("/job", name="beside", which="boat:ten-metre")
    assert str((folder / "../../boats/ten-metre").resolve()) == orders.given[-1].given["boat"]
    browser.post("/job", name="beside", which="boat:../../../etc")
    assert "boat" not in orders.given[-1].given


def test_an_empty_folder_asks_the_questions_and_begins_a_voyage_within_it(tmp_path: Path, orders: Orders) -> None:
    from passage.desk.app import desk_app

    with Browser(desk_app(tmp_path / "new", PORT, TOKEN)) as browser:
        page = browser.get("/").text
        assert "Who sails" in page and "Las Palmas, Spain" in page
        wrong = browser.post("/begin", folder="first", **{"from": "Atlantis", "crew": "9"}).text
        assert 2 == wrong.count('role="alert"') and not orders.given
        assert 'role="alert"' in browser.post("/begin", folder="///").text
        browser.post("/begin", folder="../First One")
        (order,) = orders.given
        assert ("begin", tmp_path / "new" / "first-one") == (order.what, order.given["into"])


def test_without_a_voyage_nothing_of_one_is_answered(tmp_path: Path, orders: Orders) -> None:
    from passage.desk.app import desk_app

    with Browser(desk_app(tmp_path, PORT, TOKEN)) as browser:
        for path in ("/facts?group=boat", "/difference", "/plan.pdf"):
            assert 404 == browser.get(path).status
        for path in ("/save", "/again", "/set", "/job", "/track", "/open"):
            assert browser.post(path, **TANK, value="1").status in (200, 400, 404)
        assert [] == list(tmp_path.iterdir())
