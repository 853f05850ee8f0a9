"""Positions read as sailors write them: ``33 54.2S 18 25.5E``, ``33°54.2'S 018°25.5'E``, ``-33.903 18.425``."""

from __future__ import annotations

import re

from passage.positions import Position
from passage.units import NUMBER, Misread, shown

_EXAMPLE = "write latitude then longitude, such as '33 54.2S 18 25.5E'"
_MARKS = re.compile("[°º'′’\"″”\\s-]+")
_SIGNED = re.compile(rf"({NUMBER.pattern})(?:\s*[,;]\s*|\s+)({NUMBER.pattern})")
_LETTERS_LAST = re.compile(r"([^A-Z]+[NSEW])[\s,;/]*([^A-Z]+[NSEW])")
_LETTERS_FIRST = re.compile(r"([NSEW][^A-Z]+?)[\s,;/]*([NSEW][^A-Z]+)")


def parse_position(text: str) -> Position:
    """Read a position: degrees, minutes and seconds with letters, or signed degrees. Raises Misread."""
    plain = text.strip().upper()
    if signed := _SIGNED.fullmatch(plain):
        return _on_the_globe(float(signed[1]), float(signed[2]), text)
    halves = _LETTERS_LAST.fullmatch(plain) or _LETTERS_FIRST.fullmatch(plain)
    if halves is None:
        raise Misread(shown(text), _what_is_wrong(plain))
    if {halves[1][0], halves[1][-1]} & set("EW"):
        raise Misread(shown(text), "write the latitude, N or S, first and the longitude, E or W, after it")
    return _on_the_globe(_degrees(halves[1], "NS", text), _degrees(halves[2], "EW", text), text)


def parse_latitude(text: str) -> float:
    """Read one latitude, such as ``40S`` or ``40 30N``, in degrees north positive. Raises Misread."""
    return _on_the_globe(_degrees(text.strip().upper(), "NS", text), 0.0, text).latitude_deg


def _degrees(half: str, letters: str, text: str) -> float:
    """Degrees of one coordinate written with its letter before or after it."""
    first, second = letters[0], letters[1]
    if len(half) < 2 or (half[0] in letters) == (half[-1] in letters):
        raise Misread(shown(text), f"write {first} or {second} once, after the number")
    negative = second if second == "S" else "W"
    letter = half[0] if half[0] in letters else half[-1]
    body = half.replace(letter, "").strip()
    return _magnitude(body, text) * (-1 if letter == negative else 1)


def _magnitude(body: str, text: str) -> float:
    """Degrees of ``33``, ``33.9``, ``33 54.2`` or ``33 54 12``."""
    parts = _MARKS.sub(" ", body).split()
    if body[:1] in ("-", "+"):
        raise Misread(shown(text), "write a sign or a letter, not both")
    if "," in body:
        raise Misread(shown(text), "write a decimal point and no comma")
    if not 1 <= len(parts) <= 3 or not all(NUMBER.fullmatch(part) for part in parts):
        raise Misread(shown(text), _EXAMPLE)
    if any("." in part for part in parts[:-1]):
        raise Misread(shown(text), "only the last of degrees, minutes and seconds may have a decimal point")
    degrees, minutes, seconds = (*map(float, parts), 0.0, 0.0)[:3]
    if minutes >= 60 or seconds >= 60:
        raise Misread(shown(text), "minutes and seconds must be less than 60")
    return degrees + minutes / 60 + seconds / 3600


def _on_the_globe(latitude_deg: float, longitude_deg: float, text: str) -> Position:
    if abs(latitude_deg) > 90:
        raise Misread(shown(text), "a latitude lies between 90S and 90N")
    if abs(longitude_deg) > 180:
        raise Misread(shown(text), "a longitude lies between 180W and 180E")
    return Position(latitude_deg, -180.0 if longitude_deg == 180 else longitude_deg)


def _what_is_wrong(plain: str) -> str:
    if re.search(r"[0-9],[0-9]", plain):
        return "write a decimal point and no comma"
    letters = re.findall("[A-Z]", plain)
    if not letters and len(_MARKS.sub(" ", plain).split()) > 2:
        return "say which hemisphere, such as '33 54.2S 18 25.5E'"
    if len(letters) == 1:
        return "give both latitude and longitude a letter, such as '33 54.2S 18 25.5E'"
    return _EXAMPLE
