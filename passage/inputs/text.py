"""A file read, as UTF-8 text or as it is, or a sentence saying why not."""

from __future__ import annotations

import os
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING

from passage.errors import Fault, InputFaults

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

LARGEST_BYTES = 4_000_000  # a thousand times any honest voyage file

_UNSAVED: ContextVar[Mapping[str, str] | None] = ContextVar("texts not yet saved, by real path", default=None)


@contextmanager
def unsaved(texts: Mapping[Path, str]) -> Iterator[None]:
    """Within it files are read as if these texts stood in them; nothing is written."""
    token = _UNSAVED.set({os.path.realpath(path): text for path, text in texts.items()})
    try:
        yield
    finally:
        _UNSAVED.reset(token)


def _not_saved(path: Path) -> str | None:
    """What is to be read in place of a file; None for most."""
    texts = _UNSAVED.get()
    return texts.get(os.path.realpath(path)) if texts else None


def read_text(path: Path) -> str:
    """The text of ``path``, a byte-order mark at its head taken off. Raises InputFaults."""
    if (text := _not_saved(path)) is not None:
        return text
    content = read_bytes(path)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise _fault(path, "a byte that is not UTF-8 text", "save the file as UTF-8", line) from None


def is_file(path: Path) -> bool:
    """Whether a file stands at ``path``; a name that no file can have is none."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def is_there(path: Path) -> bool:
    """Whether anything has the name ``path``, a folder or a link that leads nowhere too.

    Asked of a file that may be left out: what cannot be read there is then told, and not taken for a file left out.
    """
    return os.path.lexists(path) or _not_saved(path) is not None


def read_bytes(path: Path) -> bytes:
    """What stands at ``path``, up to ``LARGEST_BYTES``. Raises InputFaults."""
    try:
        if path.exists() and not path.is_file():
            raise _fault(path, "this is not a file", "a text file must stand here")
        with path.open("rb") as file:
            content = file.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        raise _fault(path, "missing file", f"nothing stands at {str(path)!r}; write it or mend the name") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _fault(path, f"cannot be read ({reason})", "make it a text file you may read") from None
    if len(content) > LARGEST_BYTES:
        raise _fault(path, f"larger than {LARGEST_BYTES // 1_000_000} MB", "is this the right file?")
    return content


def _fault(path: Path, found: str, wanted: str, line: int = 0) -> InputFaults:
    return InputFaults([Fault(path.name, line, "", found, wanted)])
