"""The desk served on this machine, on a port of its own, for as long as the terminal leaves it."""

from __future__ import annotations

import secrets
import socket
from contextlib import suppress
from importlib.util import find_spec
from typing import TYPE_CHECKING

from passage.desk.work import called
from passage.errors import Fault, InputFaults, MissingExtra

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

HERE = "127.0.0.1"
PARTS = ("jinja2", "starlette", "uvicorn")  # of the extra


def serve(folder: Path, told: Callable[[str], None], port: int = 0, *, browser: bool = True) -> None:
    """Serve the desk of a folder until it is interrupted. told: called with the address; port: a free one for 0.

    Raises MissingExtra without starlette, uvicorn and jinja2, and InputFaults for a folder or port that will not do.
    """
    if any(find_spec(part) is None for part in PARTS):
        raise MissingExtra("desk", "The desk")
    if folder.exists() and not folder.is_dir():
        raise InputFaults([Fault(str(folder), 0, "", "this is a file", "name a voyage's folder, or one for voyages")])
    listens = _listening(port)
    ready = called()  # loads what the first answer takes while the server loads what it takes
    import uvicorn

    from passage.desk.app import desk_app

    token = secrets.token_urlsafe(24)
    number: int = listens.getsockname()[1]
    address = f"http://{HERE}:{number}/?token={token}"
    app = desk_app(folder, number, token, ready)
    config = uvicorn.Config(
        app, log_level="critical", access_log=False, ws="none", server_header=False, timeout_graceful_shutdown=1
    )
    told(address)
    if browser:
        _open(address)
    with listens, suppress(KeyboardInterrupt):
        uvicorn.Server(config).run(sockets=[listens])


def _listening(port: int) -> socket.socket:
    listens = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listens.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listens.bind((HERE, port))
        listens.listen()  # who comes before the server is up waits, and is not refused
    except OSError as error:
        listens.close()
        found = f"cannot be listened on ({error.strerror})"
        raise InputFaults([Fault(f"port {port}", 0, "", found, "name another, or leave --port out")]) from None
    return listens


def _open(address: str) -> None:
    """In the browser, where there is one; the address stands in the terminal too."""
    import webbrowser

    with suppress(webbrowser.Error):
        webbrowser.open(address)
