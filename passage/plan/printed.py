"""Rounding and wording for print, in one place: a table's number as the terminal, the paper and ``--json`` all give it.

The suffix of a key says the unit and the unit says how many places are worth printing. Tables are rounded once, by
``rounded``; ``shown`` then writes the same number as a person reads it.
"""

from __future__ import annotations

import math
from datetime import date, datetime
from typing import Any

Table = dict[str, Any]

DASH = "–"
_PLACES = {
    "_days": 1,
    "_l_per_day": 1,
    "_kn": 1,
    "_off_nm": 1,
    "_variation_deg": 1,
    "_change_deg": 1,
    "_share": 2,
    "_charging_l": 1,
    "_charging_h": 1,
}
_PLACES |= {"_m": 1, "_m2": 1, "_ratio": 1, "_anchor_angle_deg": 1, "_straight_angle_deg": 1}
_PLACES |= {"_l_h": 1, "_power_kw": 1, "_gross_kg": 1, "_price": 2}
_PLACES |= {"_kss": 1, "_watch_h": 1, "_sleep_h": 1, "_rest_h": 1, "_complaint_h": 1, "_value": 1}
_PLACES |= {"_hours": 1, "_sleepiness": 1, "_amount": 1, "_time_s": 2}
_MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
_WEEKDAYS = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]


def rounded(table: Table) -> Table:
    """A table with every number rounded as its key asks, all the way down; not finite becomes None."""
    return {name: _rounded(inner, name) for name, inner in table.items()}


def _rounded(value: Any, key: str) -> Any:
    if isinstance(value, dict):
        return rounded(value)
    if isinstance(value, (list, tuple)):
        return [_rounded(inner, key) for inner in value]
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return value
    if not math.isfinite(value):
        return None
    places = _places(key)
    number = round(float(value), places) + 0.0  # no negative zero
    if key.endswith("_course_deg"):
        number %= 360.0
    return number if places else int(number)


def _places(key: str) -> int:
    return next((number for suffix, number in _PLACES.items() if f"_{key}".endswith(suffix)), 0)


def shown(table: Table) -> Table:
    """A rounded table with every number and time as text for print; yes and no stay what they are."""
    return {name: _shown(inner, name) for name, inner in table.items()}


def _shown(value: Any, key: str) -> Any:
    if isinstance(value, dict):
        return shown(value)
    if isinstance(value, list):
        return [_shown(inner, key) for inner in value]
    if value is None:
        return DASH
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return _number(value, key)
    return moment_words(value) if isinstance(value, str) and key.endswith(("_utc", "_date")) else value


def _number(value: float, key: str) -> str:
    if key.endswith("_course_deg"):
        return f"{value:03.0f}°"
    if key.endswith("variation_deg"):
        return _east_or_west(value)
    if key.endswith("_change_deg"):
        return f"{abs(value):.1f}° {'E' if value > 0 else 'W'}" if value else "0.0°"
    if key.endswith("_year"):
        return str(value)
    if isinstance(value, float):
        return f"{value:,.{_places(key)}f}".replace("-", "−")
    return f"{value:,}".replace("-", "−")


def _east_or_west(value: float) -> str:
    return f"{abs(value):.1f}° {'E' if value >= 0 else 'W'}"


def moment_words(text: str) -> str:
    """An ISO day or moment as ``Wed 10 Feb 2027`` or ``Wed 10 Feb 2027 0800 UTC``."""
    moment = datetime.fromisoformat(text)
    day = f"{_WEEKDAYS[moment.weekday()]} {moment.day} {_MONTHS[moment.month - 1]} {moment.year}"
    return day if len(text) == 10 else f"{day}, {moment:%H%M} UTC"


def zone_words(zone_h: int) -> str:
    """Ship's time less UTC, hours: ``UTC+12``."""
    return f"UTC{'+' if zone_h >= 0 else '−'}{abs(zone_h)}"


def day_words(day: date) -> str:
    """A day without its year: ``Wed 10 Feb``."""
    return f"{_WEEKDAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]}"
