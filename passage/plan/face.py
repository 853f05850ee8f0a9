"""The shipped faces, read only as far as a drawing needs: which characters they hold, and how wide a text runs.

B612 (drawn for cockpit displays, figures all of one width) carries the plan; DejaVu Sans stands in where B612 lacks a
letter, such as the marks of Polynesian names. B612 Mono is left out: its files name their family "B612" too, and the
typesetter takes one for the other.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

from passage.hidden import is_hidden

FONTS = Path(__file__).parent / "fonts"
FAMILIES = ("B612", "DejaVu Sans")
_FILES = {False: ("B612-Regular.otf", "DejaVuSans.ttf"), True: ("B612-Bold.otf", "DejaVuSans-Bold.ttf")}
_UNKNOWN_EM = 0.9


def width_em(text: str, bold: bool = False) -> float:
    """How wide ``text`` runs, in sizes of the face; kerning and joined letters are not counted."""
    return sum(_letter_em(letter, bold) for letter in text)


def drawable(text: str) -> str:
    """The text with every character that no shipped face holds written as its code point, ``[U+4E2D]``."""
    if all(map(_holds, text)):
        return text
    return "".join(letter if _holds(letter) else f"[U+{ord(letter):04X}]" for letter in text)


@cache
def _holds(letter: str) -> bool:
    if letter == "\n" or is_hidden(letter):
        return letter == "\n"
    return all(any(ord(letter) in _advances(name) for name in _FILES[bold]) for bold in (False, True))


def _letter_em(letter: str, bold: bool) -> float:
    for name in _FILES[bold]:
        width = _advances(name).get(ord(letter))
        if width is not None:
            return width
    return _UNKNOWN_EM


@cache
def _advances(name: str) -> dict[int, float]:
    """Advance width (em) by code point, as ``fonts/build.py`` found it in the face."""
    runs = json.loads((FONTS / "advances.json").read_bytes())[name]
    return {int(first) + step: width for first, count, width in runs for step in range(int(count))}
