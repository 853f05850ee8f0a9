"""What the log and every file that is written ask of a disk: a database, an appended line that is on the disk before it
is said to be, a file moved, a file written whole or not at all.
"""

from __future__ import annotations

import errno
import os
import sqlite3
from contextlib import contextmanager, suppress
from itertools import count
from time import monotonic, sleep
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

LOG_FILES = ("journal.db", "journal.txt")  # the two copies of the log in a voyage's folder
WAIT_S = 5.0  # for another writer; an entry takes some hundredths of a second
LOOKS_EVERY_S = 0.02  # whether that other writer has done
NO_FILE = "this is not a file"
MOST_B = 64_000_000  # of a text copy: 99,999 entries, the most there can be, of some 600 letters
TOO_LARGE = f"larger than {MOST_B / 1e6:.0f} MB, which no log is"


class Disk:
    """The disk that is there. The tests put one in its place that loses power, fills up or cannot be written."""

    def connect(self, path: Path, query: str) -> sqlite3.Connection:
        """The database at ``path`` with an SQLite address query, such as ``mode=rwc``. Raises sqlite3.Error."""
        if path.exists() and not path.is_file():
            raise sqlite3.OperationalError(NO_FILE)
        return sqlite3.connect(f"{path.resolve().as_uri()}?{query}", uri=True, isolation_level=None, timeout=WAIT_S)

    def read(self, path: Path) -> bytes:
        """The whole file; empty where there is none. Raises OSError."""
        _refuse_unfit(path)
        try:
            return path.read_bytes()
        except FileNotFoundError:
            return b""

    def exists(self, path: Path) -> bool:
        return path.exists()

    def append(self, path: Path, content: bytes) -> None:
        """Add to the end, and come back when it is on the disk. Raises OSError; part of it may then stand there."""
        _refuse_unfit(path)
        is_new = not path.exists()
        file = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o644)
        try:
            while content:
                content = content[os.write(file, content) :]
            _to_the_platter(file)
        finally:
            os.close(file)
        if is_new:
            self.settle(path.parent)

    @contextmanager
    def alone(self, folder: Path) -> Iterator[None]:
        """No other writer of the folder's log meanwhile, whatever its database is worth: a lock on the folder itself,
        gone with the process. A system, a card or a folder that knows no such lock goes without. Raises TimeoutError.
        """
        handle = _opened(folder)
        try:
            if handle is not None:
                _lock(handle, monotonic() + WAIT_S)
            yield
        finally:
            if handle is not None:
                os.close(handle)

    def move(self, path: Path, to: Path) -> None:
        """Rename, replacing what stood at ``to``; all of it or nothing."""
        path.replace(to)
        self.settle(to.parent)

    def remove(self, path: Path) -> None:
        """Away with it, where it is there."""
        path.unlink(missing_ok=True)

    def settle(self, folder: Path) -> None:
        """Names made or changed in the folder reach the disk; a system that cannot open a folder sees to it itself."""
        if os.name == "nt":
            return
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


class Unhurried(Disk):
    """A disk that brings things to the platter when it likes: for what shows by a digest that it was torn."""

    def append(self, path: Path, content: bytes) -> None:
        with path.open("ab") as file:
            file.write(content)

    def settle(self, folder: Path) -> None:
        """Names too."""


DISK = Disk()


def write_whole(path: Path, content: bytes, look: Callable[[Path], object] = lambda _: None, disk: Disk = DISK) -> None:
    """Write a file beside, bring it to the disk, look at it, and give it its name: whatever befalls, the old one or the
    new one stands there whole. What is no file, a device or a pipe, is written to as it is.

    look: reads what was written, and raises where it is not to stand. Raises OSError that names the file.
    """
    try:
        if path.exists() and not path.is_file():
            _write_through(path, content)
            return
        real = path.resolve()  # a link leads on to the file that is meant
        beside = next(each for each in _names_beside(real) if not disk.exists(each))
        try:
            disk.append(beside, content)
            look(beside)
            disk.move(beside, real)
        except BaseException:
            disk.remove(beside)
            raise
    except (OSError, ValueError, RuntimeError) as trouble:  # of a full disk, of a name that none can have, of a loop
        number, said = getattr(trouble, "errno", None), getattr(trouble, "strerror", None)
        raise OSError(number or errno.EINVAL, said or str(trouble), str(path)) from None


def _names_beside(path: Path) -> Iterator[Path]:
    return (path.with_name(f".new-{os.getpid()}-{number}{path.suffix}") for number in count())


def _write_through(path: Path, content: bytes) -> None:
    """Into a device or a pipe that somebody reads; one that nobody reads would keep us waiting for ever."""
    file = os.open(path, os.O_WRONLY | getattr(os, "O_NONBLOCK", 0))
    with os.fdopen(file, "wb") as through:
        if os.name != "nt":
            os.set_blocking(file, True)
        through.write(content)


def _refuse_unfit(path: Path) -> None:
    """A pipe, a device or a folder of that name would keep the log waiting for ever, a giant take all the memory."""
    if path.exists() and not path.is_file():
        raise OSError(errno.EINVAL, NO_FILE)
    if path.exists() and path.stat().st_size > MOST_B:
        raise OSError(errno.EFBIG, TOO_LARGE)


def _opened(folder: Path) -> int | None:
    """None where a folder cannot be opened."""
    with suppress(OSError):
        return os.open(folder, os.O_RDONLY)
    return None


def _lock(handle: int, until: float) -> None:
    """Wait for it to a moment of monotonic time."""
    try:
        import fcntl
    except ImportError:
        return
    while True:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            if monotonic() > until:
                raise TimeoutError from None
            sleep(LOOKS_EVERY_S)
        except OSError:  # no locks on this card
            return
        else:
            return


def _to_the_platter(file: int) -> None:
    """On a Mac a plain fsync stops at the drive's own memory."""
    try:
        import fcntl
    except ImportError:
        os.fsync(file)
        return
    full = getattr(fcntl, "F_FULLFSYNC", None)
    if full is None:
        os.fsync(file)
    else:
        fcntl.fcntl(file, full)
