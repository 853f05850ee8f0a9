"""What one worker of the tests has worked out the others read: files in a folder that lives as long as the run."""

from __future__ import annotations

import os
import pickle
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

FOLDER = "PASSAGE_TESTS_SHARE"  # names the folder; without it each process works everything out
Made = TypeVar("Made")


def shared(name: str, make: Callable[[], Made]) -> Made:
    """What ``make`` makes, by the first of the processes that asks for this name."""
    if FOLDER not in os.environ:
        return make()
    path = Path(os.environ[FOLDER]) / name
    with _alone(path.with_suffix(".lock")):
        if not path.exists():
            path.write_bytes(pickle.dumps(make()))
        made: Made = pickle.loads(path.read_bytes())
        return made


@contextmanager
def _alone(lock: Path) -> Iterator[None]:
    """One process at a time, the others wait; where there are no such locks, each makes its own."""
    try:
        from fcntl import LOCK_EX, flock
    except ImportError:
        yield
        return
    with lock.open("w") as held:
        flock(held, LOCK_EX)
        yield
