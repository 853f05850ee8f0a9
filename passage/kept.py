"""Long work kept on disk from one command to the next: what a mate would do is done once.

An answer is kept under a key of all that it hangs on: what the facts say and what stands in the files they name,
the day on which they were read, how many crossings, their seed and their day, this tool and what is installed beside
it. So it is never out of date: another key is another file. The folder may be deleted at any time and stays small.
``PASSAGE_KEPT`` names another folder, or says ``no``.
"""

from __future__ import annotations

import hashlib
import os
import pickle
import sys
from contextlib import suppress
from dataclasses import fields
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from passage.content import content_key, tool_key
from passage.disk import Unhurried, write_whole
from passage.follows import laid_in_of

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from passage.road import Outcome
    from passage.sailed import Work

VARIABLE, NOTHING = "PASSAGE_KEPT", "no"
MOST_B = 50_000_000  # an answer has some 10,000
WHERE_READ = ("home", "voyage_file")  # of the facts, what says where they were read and not what they say
_DIGEST_B = hashlib.sha256().digest_size


def keep(outcome: Outcome, works: Sequence[Work]) -> None:
    """``outcome.once`` takes these works, and the shopping, from the disk, and puts there what is not there yet. For
    crossings of the facts as they stand, on the ground laid for them: nothing else is in the key.
    """
    folder = kept_in()
    if folder is None:
        return
    for work in (*works, laid_in_of):
        outcome.expect([work], partial(_taken, folder, outcome, outcome.expected(work)))


def missing(outcome: Outcome, works: Sequence[Work]) -> list[Work]:
    """Those that are still to be worked out."""
    folder = kept_in()
    return [work for work in works if folder is None or _load(_path(folder, outcome, work)) is None]


def kept_in() -> Path | None:
    """The folder; None where nothing is to be kept."""
    said = os.environ.get(VARIABLE, "")
    if said:
        return None if said == NOTHING else Path(said)
    home = {"win32": "LOCALAPPDATA", "darwin": "HOME"}.get(sys.platform, "XDG_CACHE_HOME")
    if os.environ.get(home):
        return Path(os.environ[home], *(("Library", "Caches") if sys.platform == "darwin" else ()), "passage")
    return Path(os.environ["HOME"], ".cache", "passage") if os.environ.get("HOME") else None


def _taken(folder: Path, outcome: Outcome, other: Callable[[Work], Any] | None, work: Work) -> Any:
    """From the disk; else as it would come without, and on to the disk. Raises as the work does."""
    path = _path(folder, outcome, work)
    found = _load(path)
    if found is not None:
        return found[0]
    try:
        result = other(work) if other else work(outcome)
    except LookupError:  # of a mate that failed
        result = work(outcome)
    with suppress(OSError, pickle.PicklingError, TypeError, AttributeError):  # a full disk spoils no answer
        _put(path, pickle.dumps((result,), protocol=5))
    return result


def _path(folder: Path, outcome: Outcome, work: Work) -> Path:
    return folder / f"{outcome.once(_key)}-{work.__module__}.{work.__qualname__}"


def _key(outcome: Outcome) -> str:
    crossings = outcome.crossings
    said = [getattr(outcome.facts, each.name) for each in fields(outcome.facts) if each.name not in WHERE_READ]
    luck = crossings.members, crossings.seed, crossings.depart, outcome.shopping
    return content_key(said, luck, tool_key(), _beside())


@cache
def _beside() -> list[str]:
    """What is installed, with its versions, and the Python itself."""
    found = [sys.version]
    for path in map(Path, sys.path):
        with suppress(OSError):
            found += sorted(each.name for each in path.iterdir() if each.suffix in (".dist-info", ".egg-info"))
    return found


def _load(path: Path) -> tuple[Any] | None:
    """None where nothing is kept, or not what was written."""
    try:
        content = path.read_bytes()
        if hashlib.sha256(content[_DIGEST_B:]).digest() != content[:_DIGEST_B]:
            return None
        loaded: tuple[Any] = pickle.loads(content[_DIGEST_B:])
        os.utime(path)  # the last to be thrown away
    except Exception:  # whatever a pickle may raise, the work is done anew
        return None
    return loaded


def _put(path: Path, content: bytes) -> None:
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    write_whole(path, hashlib.sha256(content).digest() + content, disk=Unhurried())
    _make_room(path.parent)


def _make_room(folder: Path) -> None:
    """Away with what was not asked for longest, and with what a killed process left half written."""
    there = sorted((path.stat().st_mtime, path.stat().st_size, path) for path in folder.iterdir() if path.is_file())
    too_much = sum(size for _, size, _ in there) - MOST_B
    for _, size, path in there:
        if too_much <= 0:
            return
        path.unlink(missing_ok=True)
        too_much -= size
