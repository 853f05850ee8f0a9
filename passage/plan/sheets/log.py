"""What the commands of the log print as JSON: entries as they were kept, never rounded, and what is said beside them.

Nothing heavy is imported: a noon answers in a third of a second in this form too.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from passage.journal.entries import FIELDS
from passage.journal.record import stamp
from passage.journal.storage import Checked
from passage.tell.records import tellings

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from passage.journal.log import Logged
    from passage.journal.record import Entry
    from passage.journal.storage import Journal
    from passage.plan.printed import Table

# What a start keeps so that the log needs no other file; the voyage's own files and ``now`` print it.
_SETTING = ("hull_speed_kn", "tanks_l", "capacity_fuel_l", "people", "plan", "bound_for")


def logged_table(logged: Logged) -> Table:
    """An entry kept and what the log answered."""
    return {"entry": _entry(logged.entry), "said": list(logged.said)}


def show_table(journal: Journal) -> Table:
    return {"entries": [_entry(entry) for entry in journal.entries], "said": list(journal.warnings)}


def rebuilt_table(aside: Sequence[str]) -> Table:
    return {"set_aside": list(aside)}


def rebuilt_text(table: Table) -> str:
    return f"Made anew. Set aside: {', '.join(table['set_aside']) or 'nothing'}."


def handed_on_table(form: str, text: str, out: Path | None) -> Table:
    """An export or a report: its text, or the file that it was written to."""
    return {"format": form, "export": str(out) if out else None, "text": None if out else text}


def handed_on_text(table: Table) -> str:
    return str(table["text"]).removesuffix("\n") if table["export"] is None else f"Written: {table['export']}"


def said_text(table: Table) -> str:
    return "\n".join(table["said"])


def _entry(entry: Entry) -> Table:
    return {
        "number": entry.number,
        "kind": entry.kind,
        "time_utc": stamp(entry.time),
        "written_utc": stamp(entry.written),
        "corrects": entry.corrects,
        "fields": {name: _value(value) for name, value in entry.body.items() if name not in _SETTING},
    }


def _value(value: Any) -> Any:
    """Values given one by one as rows, so that no name of a tank or a person stands as a key."""
    return [{"name": name, "value": each} for name, each in value.items()] if isinstance(value, dict) else value


KEYS = {
    **{field.name: field.meaning for field in FIELDS},
    "entry": "the entry that was kept",
    "entries": "every entry of the log, in the order of writing",
    "said": "what the log says to it, in words",
    "number": "number of the entry, from 1",
    "kind": "start, noon, note, used, landfall or correction",
    "time_utc": "the time it tells of",
    "written_utc": "when it was written, by the computer's clock",
    "corrects": "number of the entry that it stands beside; none where it corrects none",
    "fields": "what was given, as kept",
    "lat_deg": "latitude, north positive",
    "lon_deg": "longitude, east positive",
    "wind_from_deg": "where the wind blows from, true",
    "wind_kn": "its speed",
    "battery_share": "charge of the battery",
    "battery_v": "its volts",
    "struck": "whether the entry is left out of all reckoning",
    "time": "the time that stands in place of the entry's own",
    "ship": "name of the boat",
    "destination": "where she is bound",
    "name": "its name: of the tank, the person, the part",
    "value": "what was given for it",
    **{name: telling.means for name, telling in tellings(Checked).items()},
    "set_aside": "names that the old files now bear",
    "text": "the export or the report itself; none where it was written to a file",
    "export": "path of the file written",
    "format": "its format",
}
