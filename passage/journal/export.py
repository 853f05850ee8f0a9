"""The log as CSV, its track as GPX 1.1, its coming dates as iCalendar, returned as text."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256
from typing import TYPE_CHECKING

from passage.journal.entries import STORED
from passage.journal.record import EntryTold, stamp
from passage.tell import frames, gpx
from passage.tell.gpx import GpxPlace

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from passage.consequences.lists.floatplan import Overdue
    from passage.journal.entries import Setting
    from passage.journal.reckoning import Point
    from passage.journal.record import Entry

LINE_OCTETS = 75


def to_csv(entries: Iterable[Entry]) -> str:
    """The log as CSV: a row for each entry, a column for each field that any gives, for tanks, people and parts one
    each.
    """
    import pandas as pd

    rows = [row.to_json() | row.cells for row in map(EntryTold, entries)]
    table = pd.DataFrame(rows, dtype=object)  # as kept: a count stays whole where others gave none
    order = {name: at for at, name in enumerate(STORED)}
    columns = sorted(table.columns.drop("fields", errors="ignore"), key=lambda name: order.get(name.split()[0], -1))
    return frames.to_csv(table[columns])


def to_gpx(track: Iterable[Point], setting: Setting) -> str:
    """The points as a track, reckoned ones said to be so."""
    places = (
        GpxPlace(point.lat_deg, point.lon_deg, "", stamp(point.time), "" if point.fix else "dead reckoning")
        for point in track
    )
    return gpx.document(gpx.track(f"{setting.ship} to {setting.destination}", places))


@dataclass(frozen=True)
class Date:
    """One coming date: a moment of some length, and what it is. key: tells it from every other and stays when it
    moves, so that a calendar that is given the dates anew moves it too.
    """

    begins: datetime
    lasts: timedelta
    title: str
    text: str
    key: str


def coming_dates(
    ship: str, next_report: datetime, missed: str, typical: datetime | None, slow_end: datetime | None, late: Overdue
) -> tuple[Date, ...]:
    """Next report; between the typical and the slow landfall the days in which she is expected; and when she is
    overdue.
    """
    dates = [Date(next_report, timedelta(minutes=30), f"Report from {ship} due", missed, f"{ship} report")]
    if typical and slow_end:
        text = (
            f"Half the crossings sailed from her last position are in when this begins. {overdue_words(late.worry_at)}"
        )
        dates.append(Date(typical, slow_end - typical, f"Landfall of {ship} expected", text, f"{ship} landfall"))
    for moment, what, text in (
        (late.worry_at, f"Ask after {ship}", "Unless she is in or has reported: begin to ask, as the float plan says."),
        (late.alarm_at, f"Call the rescue service for {ship}", "Unless she is in or has reported."),
    ):
        dates += [Date(moment, timedelta(minutes=30), what, text, f"{ship} {what}")] if moment else []
    return tuple(dates)


def overdue_words(worry_at: datetime | None) -> str:
    """From when on she is overdue, for the text of a landfall."""
    if worry_at is None:
        return "When she is overdue stands in the float plan."
    return f"She is overdue from {worry_at:%d %b %H%M} UTC on, as the float plan has it."


def to_ics(dates: Sequence[Date], written: datetime) -> str:
    """The dates as iCalendar (RFC 5545): CRLF, lines folded at 75 octets, times in UTC; written: now, for DTSTAMP."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//passage//log//EN"]
    for date in dates:
        lines += _event(date, written)
    return "".join(f"{part}\r\n" for line in [*lines, "END:VCALENDAR"] for part in _folded(line))


def _event(date: Date, written: datetime) -> list[str]:
    identity = sha256(date.key.encode()).hexdigest()[:24]
    return [
        "BEGIN:VEVENT",
        f"UID:{identity}@passage.invalid",
        f"DTSTAMP:{_compact(written)}",
        f"DTSTART:{_compact(date.begins)}",
        f"DTEND:{_compact(date.begins + date.lasts)}",
        f"SUMMARY:{_escaped(date.title)}",
        f"DESCRIPTION:{_escaped(date.text)}",
        "END:VEVENT",
    ]


def _compact(moment: datetime) -> str:
    return stamp(moment).replace("-", "").replace(":", "")


def _escaped(text: str) -> str:
    plain = text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    return plain.replace("\r\n", "\n").replace("\n", "\\n")


def _folded(line: str) -> Iterator[str]:
    """Cut after 75 octets, never inside a letter; what follows begins with a space."""
    rest, lead = line, ""
    while len((lead + rest).encode()) > LINE_OCTETS:
        cut = len((lead + rest).encode()[:LINE_OCTETS].decode(errors="ignore")) - len(lead)
        yield lead + rest[:cut]
        rest, lead = rest[cut:], " "
    yield lead + rest
