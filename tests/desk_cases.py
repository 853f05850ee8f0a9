"""A desk asked as a browser asks it, without one: ASGI messages, in one loop, over copies of the demonstrations."""

from __future__ import annotations

import asyncio
import json
import re
from dataclasses import dataclass, field
from shutil import copytree
from typing import TYPE_CHECKING, Any, Self
from urllib.parse import urlencode

from passage.shipped import shipped

if TYPE_CHECKING:
    from pathlib import Path

PORT, TOKEN = 8765, "the-token"
HOST = f"127.0.0.1:{PORT}"


def voyage_in(folder: Path, route: str = "cape-town-st-helena") -> Path:
    """A copy of a demonstration with the boats beside it; the voyage's own folder comes back."""
    copytree(shipped("routes") / route, folder / "routes" / route)
    copytree(shipped("boats"), folder / "boats")
    return folder / "routes" / route


@dataclass
class Told:
    """What was answered."""

    status: int
    headers: dict[str, str]
    body: bytes

    @property
    def text(self) -> str:
        return self.body.decode()

    @property
    def json(self) -> Any:
        return json.loads(self.body)


@dataclass
class Browser:
    """Asks an application as the desk's own page does; what is given otherwise is what another page would send."""

    app: Any
    cookie: str = ""
    word: str = ""
    loop: asyncio.AbstractEventLoop = field(default_factory=asyncio.new_event_loop)
    _lifespan: Any = None

    def __enter__(self) -> Self:
        self.loop.run_until_complete(self._begin())
        opened = self.ask("GET", f"/?token={TOKEN}", cookie="")
        self.cookie = opened.headers["set-cookie"].split(";")[0]
        found = re.search(r"&#34;X-Desk&#34;: &#34;([^&]+)|\"X-Desk\": \"([^\"]+)", self.get("/").text)
        assert found
        self.word = found[1] or found[2]
        return self

    async def _begin(self) -> None:
        inbox: asyncio.Queue[Any] = asyncio.Queue()
        begun = asyncio.Event()

        async def send(message: Any) -> None:
            begun.set()

        self._inbox = inbox
        self._lifespan = asyncio.create_task(self.app({"type": "lifespan"}, inbox.get, send))
        await inbox.put({"type": "lifespan.startup"})
        await begun.wait()

    def __exit__(self, *_: object) -> None:
        async def end() -> None:
            await self._inbox.put({"type": "lifespan.shutdown"})
            await self._lifespan

        self.loop.run_until_complete(end())
        self.loop.close()

    def get(self, path: str, **otherwise: str) -> Told:
        return self.ask("GET", path, **otherwise)

    def post(self, path: str, **form: Any) -> Told:
        return self.ask("POST", path, urlencode(form).encode())

    def ask(self, method: str, path: str, body: bytes = b"", *, chunks: int = 1, **otherwise: str) -> Told:
        """otherwise: headers by name with ``_`` for ``-``; empty to leave one out."""
        given = {"host": HOST, "cookie": self.cookie, "x-desk": self.word} | {
            name.replace("_", "-"): value for name, value in otherwise.items()
        }
        headers = [(name.encode(), value.encode()) for name, value in given.items() if value]
        way, _, query = path.partition("?")
        scope = {"type": "http", "method": method, "path": way, "query_string": query.encode(), "headers": headers}
        scope |= {"http_version": "1.1", "scheme": "http", "raw_path": way.encode(), "root_path": "", "server": None}
        return self.loop.run_until_complete(self._asked(scope, body, chunks))

    async def _asked(self, scope: Any, body: bytes, chunks: int) -> Told:
        parts = [{"type": "http.request", "body": body, "more_body": number < chunks - 1} for number in range(chunks)]
        told: list[Any] = []

        async def receive() -> Any:
            return parts.pop(0) if parts else {"type": "http.disconnect"}

        async def send(message: Any) -> None:
            told.append(message)

        await self.app(scope, receive, send)
        headers = {name.decode().lower(): value.decode() for name, value in told[0]["headers"]}
        return Told(told[0]["status"], headers, b"".join(part.get("body", b"") for part in told[1:]))
