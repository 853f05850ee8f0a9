"""New files made together, or none of them."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

from passage.disk import write_whole
from passage.errors import Fault, InputFaults

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path


def write_together(texts: Mapping[Path, str]) -> None:
    """Write files, their folders made where missing; where one cannot be written, those that are new go again.

    Raises InputFaults.
    """
    made: list[Path] = []
    try:
        for path, text in texts.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            is_new = not path.exists()
            write_whole(path, text.encode())
            made += [path] if is_new else []
    except (OSError, ValueError) as error:
        for each in made:
            with suppress(OSError, ValueError):
                each.unlink()
        reason = getattr(error, "strerror", None) or str(error)
        found = f"cannot be written ({reason})"
        raise InputFaults([Fault(str(path), 0, "", found, "name a folder you may write to")]) from None
