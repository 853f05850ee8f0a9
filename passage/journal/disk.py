"""What the log asks of a disk: a database, an appended line that is on the disk before it is said to be, a file
moved.
"""

from __future__ import annotations

import errno
import os
import sqlite3
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

WAIT_S = 5.0  # for another writer; an entry takes some hundredths of a second
NO_FILE = "this is not a file"


class Disk:
    """The disk that is there. The tests put one in its place that loses power, fills up or cannot be written."""

    def connect(self, path: Path, query: str) -> sqlite3.Connection:
        """The database at ``path`` with an SQLite address query, such as ``mode=rwc``. Raises sqlite3.Error."""
        if path.exists() and not path.is_file():
            raise sqlite3.OperationalError(NO_FILE)
        return sqlite3.connect(f"{path.resolve().as_uri()}?{query}", uri=True, isolation_level=None, timeout=WAIT_S)

    def read(self, path: Path) -> bytes:
        """The whole file; empty where there is none. Raises OSError."""
        _refuse_no_file(path)
        try:
            return path.read_bytes()
        except FileNotFoundError:
            return b""

    def exists(self, path: Path) -> bool:
        return path.exists()

    def append(self, path: Path, content: bytes) -> None:
        """Add to the end, and come back when it is on the disk. Raises OSError; part of it may then stand there."""
        _refuse_no_file(path)
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

    def move(self, path: Path, to: Path) -> None:
        """Rename, replacing what stood at ``to``; all of it or nothing."""
        path.replace(to)
        self.settle(to.parent)

    def settle(self, folder: Path) -> None:
        """Names made or changed in the folder reach the disk; a system that cannot open a folder sees to it itself."""
        if os.name == "nt":
            return
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _refuse_no_file(path: Path) -> None:
    """A pipe, a device or a folder of that name would keep the log waiting for ever."""
    if path.exists() and not path.is_file():
        raise OSError(errno.EINVAL, NO_FILE)


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
