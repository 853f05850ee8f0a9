"""Long work kept on disk from one command to the next: what a mate would do is done once.

A result is kept under a key of all that it hangs on: what the facts say and what stands in the files they name,
the day on which they were read, how many crossings, their seed and their day, this tool and what is installed beside
it. A finished answer, which may print a file's name or its fingerprint, hangs on the very bytes of the voyage's files
and where they lie too, and on how it was asked for. So nothing is ever out of date: another key is another file. The
folder may be deleted at any time and stays small. ``PASSAGE_KEPT`` names another folder, or says ``no``.
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
from typing import TYPE_CHECKING, Any, TypeVar

from passage.content import content_key, tool_key
from passage.disk import Unhurried, write_whole
from passage.follows import laid_in_of
from passage.inputs.output import own_files
from passage.shipped import shipped

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from passage.inputs.folder import Facts
    from passage.road import Outcome
    from passage.sailed import Work

Result = TypeVar("Result")

VARIABLE, NOTHING = "PASSAGE_KEPT", "no"
MOST_B = 50_000_000  # a result has some 10,000, a printed plan 1,000,000
LARGEST_B = 5_000_000  # of one answer: every crossing as NetCDF is made again
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


def answered(facts: Facts, name: str, said: Sequence[Any], work: Callable[[], Result]) -> Result:
    """A finished answer: from the disk where the same was asked before, else what ``work`` brings, and on to the disk.

    said: all that it hangs on beside the facts and their files. Raises as the work does.
    """
    folder = kept_in()
    key = _answer_key(facts, said) if folder else None
    if folder is None or key is None:
        return work()
    path = folder / f"{key}-{name}"
    found = _load(path)
    if found is not None:
        answer: Result = found[0]
        return answer
    answer = work()
    if key == _answer_key(facts, said):  # nobody wrote in the files meanwhile
        _save(path, answer)
    return answer


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
    _save(path, result)
    return result


def _path(folder: Path, outcome: Outcome, work: Work) -> Path:
    return folder / f"{outcome.once(_key)}-{work.__module__}.{work.__qualname__}"


def _key(outcome: Outcome) -> str:
    crossings = outcome.crossings
    luck = crossings.members, crossings.seed, crossings.depart, outcome.shopping
    return content_key(_told_by(outcome.facts), luck, tool_key(), _beside())


def _answer_key(facts: Facts, said: Sequence[Any]) -> str | None:
    """None where a file of the voyage cannot be read again."""
    with suppress(OSError):
        files = [(str(path), path) for path in own_files(facts)]
        return content_key(_told_by(facts), list(said), str(facts.folder), files, tool_key(), _beside())
    return None


def _told_by(facts: Facts) -> list[Any]:
    return [getattr(facts, each.name) for each in fields(facts) if each.name not in WHERE_READ]


@cache
def _beside() -> list[str]:
    """What is installed, with its versions, the Python itself, and when the shipped data were last written."""
    found = [sys.version]
    for name in ("climatology_demo", "coastline"):
        found += sorted(f"{path.name} {path.stat().st_mtime_ns}" for path in shipped(name).iterdir() if path.is_file())
    for path in map(Path, sys.path):
        with suppress(OSError):
            found += sorted(each.name for each in path.iterdir() if each.suffix in (".dist-info", ".egg-info"))
    return found


def _load(path: Path) -> tuple[Any] | None:
    """None where nothing is kept, or not what was written, or not under this name, or not by this user."""
    try:
        if hasattr(os, "getuid") and path.stat().st_uid != os.getuid():
            return None
        content = path.read_bytes()
        if _digest(path, content[_DIGEST_B:]) != content[:_DIGEST_B]:
            return None
        loaded: tuple[Any] = pickle.loads(content[_DIGEST_B:])
        os.utime(path)  # the last to be thrown away
    except Exception:  # whatever a pickle may raise, the work is done anew
        return None
    return loaded


def _save(path: Path, result: Any) -> None:
    """A full disk, and what is no plain data, spoil no answer."""
    with suppress(OSError, pickle.PicklingError, TypeError, AttributeError):
        content = pickle.dumps((result,), protocol=5)
        if len(content) > LARGEST_B:
            return
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        write_whole(path, _digest(path, content) + content, disk=Unhurried())
        _make_room(path.parent)


def _digest(path: Path, content: bytes) -> bytes:
    """Of the content under its name: under another it is not what was written."""
    return hashlib.sha256(path.name.encode() + b"\0" + content).digest()


def _make_room(folder: Path) -> None:
    """Away with what was not asked for longest, and with what a killed process left half written."""
    there = sorted((path.stat().st_mtime, path.stat().st_size, path) for path in folder.iterdir() if path.is_file())
    too_much = sum(size for _, size, _ in there) - MOST_B
    for _, size, path in there:
        if too_much <= 0:
            return
        path.unlink(missing_ok=True)
        too_much -= size
