r"""Letters that show nothing and act all the same: what steers a terminal, turns the direction of writing, or hides.

Text that came from outside, a title in a file of winds, a name in a route, a remark in the log, is printed with them
written out, as in ``\x1b[31m`` and ``\u202e``.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from unicodedata import category

if TYPE_CHECKING:
    from collections.abc import Callable

_ACTING = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")  # Unicode's general categories: controls, formats, lone surrogates
_NOT_PLAIN = re.compile(r"[^\n -~]")


def is_hidden(letter: str) -> bool:
    """Whether it must not be printed as it is; the end of a line may."""
    return letter != "\n" and category(letter) in _ACTING


def escaped(letter: str) -> str:
    r"""As Python writes it between quotes: ``\x1b``."""
    return ascii(letter)[1:-1]


def uncovered(text: str) -> str:
    """The text with what is hidden in it written out; ends of lines, of either kind, stay."""
    return "\r\n".join(_NOT_PLAIN.sub(_as(escaped), line) for line in text.split("\r\n"))


def uncovered_json(text: str) -> str:
    r"""The same of JSON, where every letter may stand as ``\u202e`` and means the same."""
    return _NOT_PLAIN.sub(_as(_in_json), text)


def _as(written: Callable[[str], str]) -> Callable[[re.Match[str]], str]:
    return lambda found: written(found[0]) if is_hidden(found[0]) else found[0]


def _in_json(letter: str) -> str:
    units = letter.encode("utf-16-be", "surrogatepass")
    return "".join(f"\\u{units[at] << 8 | units[at + 1]:04x}" for at in range(0, len(units), 2))
