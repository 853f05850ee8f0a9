"""The shipped faces, read only as far as a drawing needs: which characters they hold, and how wide a text runs.

B612 (drawn for cockpit displays, figures all of one width) carries the plan; DejaVu Sans stands in where B612 lacks a
letter, such as the marks of Polynesian names. B612 Mono is left out: its files name their family "B612" too, and the
typesetter takes one for the other. Tables read: cmap formats 4 and 12, head, hhea, hmtx (OpenType specification 1.9).
"""

from __future__ import annotations

import struct
from functools import cache
from pathlib import Path

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
    return letter == "\n" or all(any(ord(letter) in _advances(name) for name in _FILES[bold]) for bold in (False, True))


def _letter_em(letter: str, bold: bool) -> float:
    for name in _FILES[bold]:
        width = _advances(name).get(ord(letter))
        if width is not None:
            return width
    return _UNKNOWN_EM


@cache
def _advances(name: str) -> dict[int, float]:
    """Advance width (em) by code point."""
    font = (FONTS / name).read_bytes()
    tables = {
        tag: offset for tag, _, offset, _ in struct.iter_unpack(">4sIII", font[12 : 12 + 16 * _number(font, ">H", 4)])
    }
    per_em = _number(font, ">H", tables[b"head"] + 18)
    count = _number(font, ">H", tables[b"hhea"] + 34)
    at = tables[b"hmtx"]
    widths = [width for width, _ in struct.iter_unpack(">Hh", font[at : at + 4 * count])]
    glyphs = _glyphs(font, tables[b"cmap"])
    return {code: widths[min(glyph, count - 1)] / per_em for code, glyph in glyphs.items() if glyph}


def _number(font: bytes, form: str, at: int) -> int:
    return int(struct.unpack_from(form, font, at)[0])


def _glyphs(font: bytes, cmap: int) -> dict[int, int]:
    """Glyph by code point, all Unicode subtables of the two formats together."""
    glyphs: dict[int, int] = {}
    for index in range(_number(font, ">H", cmap + 2)):
        at = cmap + _number(font, ">I", cmap + 8 + 8 * index)
        form = _number(font, ">H", at)
        glyphs |= _segments(font, at) if form == 4 else _groups(font, at) if form == 12 else {}
    return glyphs


def _segments(font: bytes, at: int) -> dict[int, int]:
    """A subtable of format 4."""
    count = _number(font, ">H", at + 6) // 2
    columns = [at + 14, *(at + 16 + 2 * count * column for column in (1, 2, 3))]
    ends, starts, deltas, offsets = (struct.unpack_from(f">{count}H", font, column) for column in columns)
    glyphs = {}
    for index, (start, end) in enumerate(zip(starts, ends, strict=True)):
        for code in range(start, min(end, 0xFFFE) + 1):
            glyph = code
            if offsets[index]:
                place = columns[3] + 2 * index + offsets[index] + 2 * (code - start)
                glyph = _number(font, ">H", place)
            glyphs[code] = (glyph + deltas[index]) % 0x10000 if glyph else 0
    return glyphs


def _groups(font: bytes, at: int) -> dict[int, int]:
    """A subtable of format 12."""
    groups = struct.iter_unpack(">III", font[at + 16 : at + 16 + 12 * _number(font, ">I", at + 12)])
    return {code: first + code - start for start, end, first in groups for code in range(start, end + 1)}
