"""A place on the globe, and how it is printed."""

from __future__ import annotations

from typing import NamedTuple


class Position(NamedTuple):
    """A place: latitude, degrees north positive; longitude, degrees east positive, in [-180, 180)."""

    latitude_deg: float
    longitude_deg: float


def format_position(latitude_deg: float, longitude_deg: float) -> str:
    """A position for print, to a tenth of a minute: ``33°54.2'S 018°25.5'E``."""
    return f"{format_latitude(latitude_deg)} {_printed(longitude_deg, 'EW', 3)}"


def format_latitude(latitude_deg: float) -> str:
    """A latitude for print, to a tenth of a minute: ``33°54.2'S``."""
    return _printed(latitude_deg, "NS", 2)


def _printed(value_deg: float, letters: str, width: int) -> str:
    tenths = round(abs(value_deg) * 600)
    letter = letters[int(value_deg < 0 and tenths > 0)]
    degrees, tenths = divmod(tenths, 600)
    return f"{degrees:0{width}d}°{tenths / 10:04.1f}'{letter}"
