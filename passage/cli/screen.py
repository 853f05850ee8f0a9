"""What the answer is printed to: how many columns, and whether it shows weight."""

from __future__ import annotations

import os
import re
import sys
from typing import TYPE_CHECKING

from passage.hidden import uncovered
from passage.tell.blocks import END, STRONG
from passage.tell.terminal import Screen

if TYPE_CHECKING:
    from typing import TextIO

NARROWEST = 40  # columns; a terminal that says less is not believed
BOLD, NORMAL = "\x1b[1m", "\x1b[22m"
_KEY = re.compile(f"{STRONG}([^{STRONG}{END}]*){END}")


def screen() -> Screen:
    """Of what stands at the other end of standard output; the plain eighty columns where that is no terminal."""
    if sys.stdout is None or not sys.stdout.isatty():  # None: closed before we began
        return Screen()
    from shutil import get_terminal_size

    return Screen(max(get_terminal_size().columns, NARROWEST), shows_weight(sys.stdout))


def shows_weight(stream: TextIO | None) -> bool:
    """Whether it is a terminal that can show bold letters and whose owner has not asked for plain ones."""
    return (
        stream is not None and stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    )


def in_bold(text: str) -> str:
    """Key figures in bold; whatever else would steer the terminal is written out."""
    parts = _KEY.split(text)
    return "".join(f"{BOLD}{uncovered(part)}{NORMAL}" if odd % 2 else uncovered(part) for odd, part in enumerate(parts))
