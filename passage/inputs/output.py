"""An answer written to a file: whole or not at all, and never over what the voyage is made of or over a log."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from passage.disk import LOG_FILES, write_whole
from passage.errors import Fault, InputFaults
from passage.inputs.template import WRITTEN

if TYPE_CHECKING:
    from pathlib import Path

    from passage.inputs.folder import Facts

_OF_A_LOG = re.compile(rf"({'|'.join(map(re.escape, LOG_FILES))})(-wal|-shm|\.old-.*)?")


def own_files(facts: Facts) -> list[Path]:
    """The files that the voyage was read from: those there in its folder and the boat's, and those they name."""
    departure, forecast = facts.voyage.departure, facts.voyage.forecast.file
    route = facts.voyage.route.file if facts.voyage.route else None
    named = (facts.boat.polar.file, departure.climate, departure.current_file, forecast, route)
    own = [path for name in WRITTEN for path in facts.home.paths(name)]
    return [path for path in own if path.exists()] + [path for path in named if path is not None]


def write_out(path: Path, content: bytes, facts: Facts) -> None:
    """Write an answer to ``path``. Raises OSError that names the file, and InputFaults, nothing written, where a file
    of the voyage or of any log stands there.
    """
    if path.is_file() and (_is_named_like_ours(path) or any(_same(path, own) for own in own_files(facts))):
        what = "a copy of the log" if _OF_A_LOG.fullmatch(path.resolve().name) else "a file of the voyage"
        raise InputFaults([Fault(str(path), 0, "", f"{what} stands there", "name another file to write to")])
    write_whole(path, content)


def _is_named_like_ours(path: Path) -> bool:
    """Of this voyage or of another."""
    name = path.resolve().name
    return name in WRITTEN or _OF_A_LOG.fullmatch(name) is not None


def _same(path: Path, own: Path) -> bool:
    return own.exists() and path.samefile(own)
