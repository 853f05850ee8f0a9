"""A page that means ill gets nothing from the desk, and changes nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import urlencode

import pytest

from passage.desk.guard import MOST_BYTES
from passage.desk.work import Worker
from tests.desk_cases import HOST, PORT, TOKEN, Browser, voyage_in

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from tests.desk_cases import Told

pytest.importorskip("starlette", reason="the extra 'desk' is not installed")

CHANGE = urlencode({"file": "boat.toml", "key": '["helm", "gust_factor"]', "value": "2"}).encode()
SECRETS = ("Cape Town", "gust", "water")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return voyage_in(tmp_path_factory.mktemp("guarded"))


@pytest.fixture(scope="module")
def browser(folder: Path) -> Iterator[Browser]:
    from passage.desk.app import desk_app

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Worker, "set_to", lambda *_: None)
        with Browser(desk_app(folder, PORT, TOKEN)) as browser:
            yield browser


def gets_nothing(told: Told) -> bool:
    return 400 <= told.status < 500 and not any(secret in told.text for secret in SECRETS)


def test_the_desks_own_page_is_served_and_may_run_nothing_of_anothers(browser: Browser) -> None:
    page = browser.get("/")
    assert 200 == page.status and "Cape Town" in page.text
    policy = page.headers["content-security-policy"]
    assert "default-src 'none'" in policy and "frame-ancestors 'none'" in policy and "unsafe" not in policy
    assert "style=" not in page.text and "onclick" not in page.text and "<script>" not in page.text


def test_the_opened_address_gives_a_cookie_that_no_other_site_may_send(browser: Browser) -> None:
    opened = browser.get(f"/?token={TOKEN}", cookie="")
    assert (303, "/") == (opened.status, opened.headers["location"])
    assert {"HttpOnly", "SameSite=Strict"} <= set(opened.headers["set-cookie"].split("; "))


@pytest.mark.parametrize(
    "otherwise",
    [
        {"host": "desk.example"},  # a name of DNS that was made to point here
        {"host": f"desk.example:{PORT}"},
        {"host": "127.0.0.1"},
        {"host": ""},
        {"origin": "http://desk.example"},
        {"origin": "null"},
        {"origin": f"https://{HOST}"},
        {"origin": "http://127.0.0.1:1"},  # another program on this machine
        {"sec_fetch_site": "cross-site"},
        {"sec_fetch_site": "same-site"},
        {"cookie": ""},
        {"cookie": f"desk-{PORT}=guessed"},
        {"cookie": '"; desk'},
    ],
    ids=str,
)
@pytest.mark.parametrize("path", ["/", "/facts?group=boat", "/boats", "/pulse?seen=0", "/plan.pdf", "/static/desk.js"])
def test_another_page_reads_nothing(browser: Browser, path: str, otherwise: dict[str, str]) -> None:
    assert gets_nothing(browser.get(path, **otherwise))


@pytest.mark.parametrize(
    "otherwise",
    [
        {"x_desk": ""},  # a form of another site can set no header
        {"x_desk": "guessed"},
        {"x_desk": "", "origin": "http://desk.example", "cookie": ""},
        {"origin": "http://desk.example"},
        {"sec_fetch_site": "cross-site"},
        {"host": "desk.example"},
        {"cookie": ""},
    ],
    ids=str,
)
@pytest.mark.parametrize("path", ["/set", "/save", "/undo-all", "/job", "/waypoint"])
def test_another_page_changes_nothing(browser: Browser, path: str, otherwise: dict[str, str]) -> None:
    assert gets_nothing(browser.ask("POST", path, CHANGE, **otherwise))
    assert "All is saved" in browser.get("/pulse?seen=0").text


@pytest.mark.parametrize("token", ["", "guessed", f"{TOKEN}x", f"{TOKEN}&token={TOKEN}", "é"])
def test_a_token_that_is_not_the_opened_addresss_opens_nothing(browser: Browser, token: str) -> None:
    assert gets_nothing(browser.get(f"/?token={token}", cookie=""))


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py",
        "/static/%2e%2e/app.py",
        "/static/..%2f..%2fapi.py",
        "/static//etc/passwd",
        "/../../etc/passwd",
        "/static/templates/desk.html",
        f"/{'a' * 5000}",
    ],
)
def test_no_path_climbs_out(browser: Browser, path: str) -> None:
    assert browser.get(path).status in (404, 414)


def test_a_giant_body_is_cut_off_whether_its_length_is_told_or_not(browser: Browser) -> None:
    assert 413 == browser.ask("POST", "/set", content_length=str(MOST_BYTES + 1)).status
    assert 413 == browser.ask("POST", "/set", content_length="-1").status
    assert 413 == browser.ask("POST", "/set", b"a" * 20_000, chunks=1000).status


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "TRACE", "PROPFIND"])
def test_nothing_but_reading_and_forms_is_known(browser: Browser, method: str) -> None:
    assert gets_nothing(browser.ask(method, "/set", CHANGE))


def test_there_is_no_websocket(browser: Browser) -> None:
    sent: list[object] = []

    async def knock() -> None:
        async def send(message: object) -> None:
            sent.append(message)

        async def receive() -> dict[str, str]:
            return {"type": "websocket.connect"}

        await browser.app({"type": "websocket", "path": "/", "headers": []}, receive, send)

    browser.loop.run_until_complete(knock())
    assert not [message for message in sent if "accept" in str(message)]


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ('["voyage", "climate"]', "../../../../etc/passwd"),
        ('["voyage", "climate"]', "/etc/passwd"),
        ('["voyage", "boat"]', "/etc"),
        ('["forecast", "file"]', "../../boats/../../../secret.grib"),
        ('["route", "file"]', "\u0000x"),
    ],
)
def test_no_file_outside_is_named(browser: Browser, folder: Path, key: str, value: str) -> None:
    told = browser.post("/set", file="voyage.toml", key=key, value=value)
    assert 'aria-invalid="true"' in told.text
    assert "All is saved" in browser.get("/").text


@pytest.mark.parametrize(
    "form",
    [
        {"file": "../boat.toml", "key": '["helm", "gust_factor"]', "value": "2"},
        {"file": "journal.db", "key": '["a"]', "value": "2"},
        {"file": "boat.toml", "key": '["__class__"]', "value": "2"},
        {"file": "boat.toml", "key": "not json", "value": "2"},
        {"file": "boat.toml", "key": '{"a": 1}', "value": "2"},
        {"file": "boat.toml", "key": '["water_tank", 99, "capacity"]', "value": "2"},
        {},
    ],
    ids=str,
)
def test_what_is_no_key_of_any_file_changes_nothing(browser: Browser, form: dict[str, str]) -> None:
    browser.post("/set", **form)
    assert "All is saved" in browser.get("/").text
