"""What facts say, as a key: the same for the same content, whatever the files are called and where they lie.

A key is made of every value that a fact holds, of the bytes of every file that it names, and, with ``tool_key``, of the
tool's own files and the shipped data that work on it. A pickle would not do: it is not the same for the same facts.
"""

from __future__ import annotations

import hashlib
import struct
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

LETTERS = 16  # of a key: 64 bits
_PARTS = ("_shipped", "__pycache__")


def content_key(*values: Any) -> str:
    """Of facts, numbers, texts, dates, arrays and whatever holds them. Raises TypeError for what has no content to be
    read, OSError for a file that is named and cannot be read.
    """
    digest = hashlib.sha256()
    for part in _parts(values):
        digest.update(struct.pack("<q", len(part)))
        digest.update(part)
    return digest.hexdigest()[:LETTERS]


def _parts(value: Any) -> Iterator[bytes]:
    """Kind and content, one after another, so that no two values are told alike."""
    yield type(value).__name__.encode()
    if value is None or isinstance(value, (bool, int, float, str, bytes)):
        yield value if isinstance(value, bytes) else repr(value).encode("utf-8", "surrogatepass")
    elif isinstance(value, Path):
        yield _of_file(value)
    elif isinstance(value, Enum):
        yield value.name.encode()
    elif hasattr(value, "tobytes"):
        yield repr((value.dtype.str, value.shape)).encode()
        yield value.tobytes()
    elif hasattr(value, "isoformat"):
        yield value.isoformat().encode()
    else:
        yield from _of_many(value)


def _of_many(value: Any) -> Iterator[bytes]:
    named = _named(value)
    if named is not None:
        for name, inner in named:
            yield name.encode()
            yield from _parts(inner)
        return
    members = sorted(value, key=repr) if isinstance(value, (set, frozenset)) else value
    if not isinstance(value, (tuple, list, range, set, frozenset)):
        raise TypeError(f"{type(value).__name__} has no content that a key could be made of")
    yield str(len(value)).encode()
    for inner in members:
        yield from _parts(inner)


def _named(value: Any) -> Iterable[tuple[str, Any]] | None:
    """Values by name; None where they have none."""
    if hasattr(type(value), "model_fields"):
        return [(name, getattr(value, name)) for name in type(value).model_fields]
    if is_dataclass(value):
        return [(each.name, getattr(value, each.name)) for each in fields(value)]
    if hasattr(value, "items"):
        return [(repr(name), inner) for name, inner in value.items()]
    return None


def _of_file(path: Path) -> bytes:
    """Of what stands in it; of a path where no file stands, its own name, wherever that may lie."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").digest()
    except (FileNotFoundError, IsADirectoryError, NotADirectoryError):
        return path.name.encode("utf-8", "surrogatepass")


@cache
def tool_key() -> str:
    """Of all that this tool is made of, faces and page files too, the sizes of what is shipped with it, and the
    arithmetic beneath it.
    """
    import numpy as np

    from passage.shipped import shipped

    here = Path(__file__).parent
    sources = sorted(path for path in here.rglob("[!.]*") if not set(_PARTS) & set(path.parts) and path.is_file())
    data = sorted(path for name in ("climatology_demo", "coastline") for path in shipped(name).iterdir())
    return content_key(
        [(path.relative_to(here).as_posix(), path.read_bytes()) for path in sources],
        [(path.name, path.stat().st_size) for path in data if path.suffix != ".py" and path.is_file()],
        np.__version__,
    )
