"""Who may ask the desk: this machine's browser, with the token of the opened address, and no page but the desk's own.

What another site's page can send is a form or a request with the name of its own site in it, and without the cookie,
which is for this site alone (SameSite). A name of DNS that is made to point here shows in the Host. Each of these is
refused before anything of the request is read. There is no websocket.
"""

from __future__ import annotations

import secrets
from http.cookies import CookieError, SimpleCookie
from typing import TYPE_CHECKING, Any
from urllib.parse import parse_qs

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable, MutableMapping

    Message = MutableMapping[str, Any]
    Scope = MutableMapping[str, Any]
    Receive = Callable[[], Awaitable[Message]]
    Send = Callable[[Message], Awaitable[None]]
    App = Callable[[Scope, Receive, Send], Awaitable[None]]

MOST_BYTES = 64_000  # of a request's body
LONGEST_ADDRESS = 4_000
HEADER = "x-desk"
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
HEADERS = (
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), geolocation=(), microphone=()"),
    (b"cache-control", b"no-store"),
)


class Guard:
    """Around the application. port: it is served on; token: of the opened address; word: that every change carries."""

    def __init__(self, app: App, port: int, token: str, word: str) -> None:
        self.app, self.token, self.word = app, token, word
        self.hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}
        self.cookie = f"desk-{port}"
        self._ticket = secrets.token_urlsafe(32)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        status, why = self._refused(scope)
        if status:
            await _answer(send, status, why.encode())
        elif self._opens(scope):
            kept = f"{self.cookie}={self._ticket}; HttpOnly; SameSite=Strict; Path=/"
            await _answer(send, 303, b"", (b"location", b"/"), (b"set-cookie", kept.encode()))
        else:
            await self.app(scope, _bounded(receive), _covered(send))

    def _refused(self, scope: Scope) -> tuple[int, str]:
        """Status and why; 0 where it may pass."""
        given = _headers(scope)
        if [*given.get("host", [])] not in [[host] for host in self.hosts]:
            return 421, "This is not the desk's name."
        origins = {f"http://{host}" for host in self.hosts}
        if any(origin not in origins for origin in given.get("origin", [])):
            return 403, "Another page asks."
        if any(site not in ("same-origin", "none") for site in given.get("sec-fetch-site", [])):
            return 403, "Another page asks."
        if len(scope["path"]) + len(scope.get("query_string", b"")) > LONGEST_ADDRESS:
            return 414, "No address here is as long."
        if not self._opens(scope) and not self._known(given):
            return 403, "Open the desk by the address that it printed."
        if scope["method"] not in ("GET", "HEAD", "POST"):
            return 405, "That cannot be asked."
        if scope["method"] == "POST" and not any(_same(word, self.word) for word in given.get(HEADER, [])):
            return 403, "Changes are made on the desk's own page."
        if any(not length.isdigit() or int(length) > MOST_BYTES for length in given.get("content-length", [])):
            return 413, "Too large."
        return 0, ""

    def _opens(self, scope: Scope) -> bool:
        """Whether this is the opened address with its token."""
        if scope["method"] != "GET" or scope["path"] != "/":
            return False
        tokens = parse_qs(scope.get("query_string", b"").decode("latin-1")).get("token", [])
        return len(tokens) == 1 and _same(tokens[0], self.token)

    def _known(self, given: dict[str, list[str]]) -> bool:
        for text in given.get("cookie", []):
            try:
                ticket = SimpleCookie(text).get(self.cookie)
            except CookieError:
                continue
            if ticket is not None and _same(ticket.value, self._ticket):
                return True
        return False


def _same(one: str, other: str) -> bool:
    return secrets.compare_digest(one.encode(), other.encode())


def _headers(scope: Scope) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, value in scope["headers"]:
        found.setdefault(name.decode("latin-1").lower(), []).append(value.decode("latin-1"))
    return found


class TooLarge(Exception):
    """A body that goes on and on."""


def _bounded(receive: Receive) -> Receive:
    """A body without a length is cut off where it grows too large."""
    got = 0

    async def bounded() -> Message:
        nonlocal got
        message = await receive()
        got += len(message.get("body", b""))
        if got > MOST_BYTES:
            raise TooLarge
        return message

    return bounded


def _covered(send: Send) -> Send:
    """Every answer says what its page may do, and is kept by nobody."""

    async def covered(message: Message) -> None:
        if message["type"] == "http.response.start":
            message["headers"] = [*message.get("headers", []), *HEADERS]
        await send(message)

    return covered


async def _answer(send: Send, status: int, body: bytes, *more: tuple[bytes, bytes]) -> None:
    length = (b"content-length", str(len(body)).encode())
    plain = (b"content-type", b"text/plain; charset=utf-8")
    headers = [length, plain, (b"connection", b"close"), *more, *HEADERS]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
