"""The log to be read: each entry on a line, what corrects it right under it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from passage.journal.entries import FIELDS
from passage.journal.record import stamp
from passage.positions import format_position
from passage.tell.customary import customary
from passage.tell.figures import amount

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from passage.journal.record import Entry

_UNITS = {"nm": "nm", "kn": "kn", "deg": "°", "l": "L", "h": "h", "m": "m", "hpa": "hPa", "v": "V", "oktas": "/8"}


def shown(entries: Sequence[Entry]) -> tuple[str, ...]:
    """Lines for the screen, in order of writing: number, time, kind, what was said; corrections indented."""
    beside: dict[int, list[Entry]] = {}
    for entry in entries:
        if entry.corrects is not None:
            beside.setdefault(entry.corrects, []).append(entry)
    lines = []
    for entry in (entry for entry in entries if entry.corrects is None):
        lines.append(f"{entry.number:>4} {_time(entry)} {entry.kind:<9} {words(entry.body)}")
        lines += [f"     corrected by {each.number}: {words(each.body)}" for each in beside.get(entry.number, [])]
    return tuple(lines)


def _time(entry: Entry) -> str:
    return stamp(entry.time)[:16].replace("T", " ")


def words(body: Mapping[str, Any]) -> str:
    """The fields of a body in words, in the order of the table of fields."""
    return "; ".join(_said(body))


def _said(body: Mapping[str, Any]) -> Iterator[str]:
    if body.get("struck"):
        yield "struck out"
    if "time" in body:
        yield f"time {body['time']}"
    if "lat_deg" in body:
        yield format_position(body["lat_deg"], body["lon_deg"])
    if "wind_kn" in body:
        bearing = f"{body['wind_from_deg']:03.0f} " if "wind_from_deg" in body else ""
        yield f"wind {bearing}{body['wind_kn']:g} kn"
    if "battery_share" in body or "battery_v" in body:
        yield f"battery {100 * body['battery_share']:.0f} %" if "battery_share" in body else f"{body['battery_v']:g} V"
    for field in FIELDS:
        if field.name in body:
            yield _one(field.option, field.name, body[field.name])


def _one(option: str, name: str, value: Any) -> str:
    if isinstance(value, str):
        on_one_line = " ".join(value.split())
        return on_one_line if option == "remarks" else f"{option} {on_one_line}"
    unit = _UNITS.get(name.rpartition("_")[2], "")
    if isinstance(value, dict):
        return f"{option} " + ", ".join(f"{key} {_amount(each, unit)}" for key, each in value.items())
    return f"{option} {_amount(value, unit)}"


def _amount(value: Any, unit: str) -> str:
    if not isinstance(value, str) and unit and customary(unit):
        return f"{amount(value, '', unit=unit):u}"
    return value if isinstance(value, str) else f"{value:g} {unit}".replace(" /", "/").replace(" °", "°").strip()
