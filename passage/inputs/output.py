"""An answer written to a file: whole or not at all, and never over what the voyage is made of or over a log."""

from __future__ import annotations

import re
from contextlib import suppress
from typing import TYPE_CHECKING

from passage.disk import LOG_FILES, write_whole
from passage.errors import Fault, InputFaults
from passage.inputs.home import SEASON_FILE
from passage.inputs.template import WRITTEN

if TYPE_CHECKING:
    from pathlib import Path

    from passage.inputs.folder import Facts

_OF_A_LOG = re.compile(rf"({'|'.join(map(re.escape, LOG_FILES))})(-wal|-shm|-journal)?(\.old-.*)?")


def own_files(facts: Facts) -> list[Path]:
    """The files that the voyage was read from: those there in its folder and the boat's, and those they name."""
    departure, forecast = facts.voyage.departure, facts.voyage.forecast.file
    route = facts.voyage.route.file if facts.voyage.route else None
    named = (facts.boat.polar.file, departure.climate, departure.current_file, forecast, route)
    own = [path for name in WRITTEN for path in facts.home.paths(name)]
    return [path for path in own if path.exists()] + [path for path in named if path is not None]


def write_out(path: Path, content: bytes, facts: Facts) -> None:
    """Write an answer to ``path``. Raises OSError that names the file, and InputFaults, nothing written, where a file
    of the voyage or of any log stands there, or would be looked for there.
    """
    refuse_own(path, facts)
    write_whole(path, content)


def refuse_own(path: Path, facts: Facts) -> None:
    """Raises InputFaults where a file of the voyage or of any log stands, or has its place."""
    real = _real(path)
    name = real.name.casefold()  # as a Mac and Windows take names
    of_a_log = _OF_A_LOG.fullmatch(name) is not None
    ours = name in (*WRITTEN, SEASON_FILE) and (path.is_file() or real.parent == _real(facts.folder))
    ours = ours or any(_same(path, own) for own in own_files(facts))
    if of_a_log or ours:
        what = "a copy of the log" if of_a_log else "a file of the voyage"
        stands = "stands there" if path.exists() else "has its place there"
        raise InputFaults([Fault(str(path), 0, "", f"{what} {stands}", "name another file to write to")])


def _real(path: Path) -> Path:
    """Where links lead; a loop and a name that none can have are what they are, and refused when written to."""
    with suppress(OSError, RuntimeError, ValueError):
        return path.resolve()
    return path


def _same(path: Path, own: Path) -> bool:
    return path.is_file() and own.exists() and path.samefile(own)
