"""Whether an entry whose checksum is right is one that a log can hold: nothing that reads the log asks again.

A line can be right by its checksum and odd in what it says, written by another hand or another program. It is then set
aside and told, and the log goes on without it.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from passage.journal.entries import FIELDS, Field, believable
from passage.journal.record import moment_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from passage.journal.record import Entry

MOST_ENTRIES = 99_999
_LONGEST = 100_000  # letters: more than any command takes
_LARGEST = 1e6  # of any number of a plan: hours, miles, litres, watt-hours


def sound(entry: Entry) -> bool:
    """Whether number, time and body are such as the log itself writes. A correction has the computer's time, right or
    wrong.
    """
    if not 1 <= entry.number <= MOST_ENTRIES or not isinstance(entry.body, dict):
        return False
    if entry.corrects is None and not believable(entry.time):
        return False
    body = entry.body
    in_pairs = ("lat_deg" in body) == ("lon_deg" in body) and ("wind_kn" in body or "wind_from_deg" not in body)
    return in_pairs and all(value is None or _SHAPES.get(name, _any)(value) for name, value in body.items())


def _any(value: Any) -> bool:
    """What a later layout may add."""
    return True


def _between(least: float, most: float) -> Callable[[Any], bool]:
    def fits(value: Any) -> bool:
        return isinstance(value, (int, float)) and not isinstance(value, bool) and least <= value <= most

    return fits


def _text(value: Any) -> bool:
    return isinstance(value, str) and len(value) <= _LONGEST


def _flag(value: Any) -> bool:
    return isinstance(value, bool)


def _each(fits: Callable[[Any], bool]) -> Callable[[Any], bool]:
    def all_fit(value: Any) -> bool:
        return isinstance(value, dict) and all(fits(each) for each in value.values())

    return all_fit


def _list(fits: Callable[[Any], bool], least: int = 0) -> Callable[[Any], bool]:
    def all_fit(value: Any) -> bool:
        return isinstance(value, list) and len(value) >= least and all(fits(each) for each in value)

    return all_fit


def _row(*fits: Callable[[Any], bool]) -> Callable[[Any], bool]:
    def all_fit(value: Any) -> bool:
        return (
            isinstance(value, list)
            and len(value) == len(fits)
            and all(fit(each) for fit, each in zip(fits, value, strict=True))
        )

    return all_fit


def _moment(value: Any) -> bool:
    try:
        return believable(moment_of(value))
    except (TypeError, ValueError):
        return False


def _day(value: Any) -> bool:
    try:
        date.fromisoformat(value)
    except (TypeError, ValueError):
        return False
    return True


def _or_none(fits: Callable[[Any], bool]) -> Callable[[Any], bool]:
    return lambda value: value is None or fits(value)


def _held(shapes: dict[str, Callable[[Any], bool]], together: bool = False) -> Callable[[Any], bool]:
    """A table whose known keys have their shapes; ``together``: all of them or none."""

    def fits(value: Any) -> bool:
        if not isinstance(value, dict) or (together and value and not shapes.keys() <= value.keys()):
            return False
        return all(shape(value[name]) for name, shape in shapes.items() if name in value)

    return fits


def _field(field: Field) -> Callable[[Any], bool]:
    fits = _text if field.kind == "text" else _between(field.least, field.most)
    return _each(fits) if field.each else fits


_number = _between(0.0, _LARGEST)
_turns = _list(_row(_between(0.0, 24.0), _between(0.0, 24.0), _list(_text)))
_watches = {
    "first_noon": _day,
    "first_days": _between(0, 400),
    "first": _list(_turns),
    "settled": _list(_turns, least=1),
}
_plan = {
    **dict.fromkeys(("length_nm", "one_in", "water_l_per_day", "water_l"), _number),
    **dict.fromkeys(("typical_h", "slow_end_h"), _or_none(_number)),
    "by_day": _list(_row(_number, _number, _number)),
    "watches": _held(_watches, together=True),
}
_electricity = ("sun_wh_per_day", "load_wh_per_day", "battery_wh")


def _whole_plan(value: Any) -> bool:
    if not _held(_plan)(value):
        return False
    given = [name for name in _electricity if name in value]
    if given and len(given) < len(_electricity):
        return False
    rotas = value.get("watches") or {"first_days": 0, "first": []}
    return all(_number(value[name]) for name in given) and rotas["first_days"] <= len(rotas["first"])


_SHAPES: dict[str, Callable[[Any], bool]] = {
    **{field.name: _field(field) for field in FIELDS if field.kind not in ("position", "wind", "battery")},
    "lat_deg": _between(-90.0, 90.0),
    "lon_deg": _between(-180.0, 180.0),
    "wind_from_deg": _between(0.0, 360.0),
    "wind_kn": _between(0.0, 1000.0),
    "battery_share": _between(0.0, 1.0),
    "battery_v": _between(0.0, 100.0),
    "time": _moment,
    "struck": _flag,
    "ship": _text,
    "destination": _text,
    "hull_speed_kn": _number,
    "tanks_l": _each(_number),
    "capacity_fuel_l": _number,
    "people": _list(_text),
    "bound_for": _row(_between(-90.0, 90.0), _between(-180.0, 180.0)),
    "deck_parts": _list(_text),
    "upkeep": _list(_row(_text, _number, _number)),
    "plan": _whole_plan,
}
