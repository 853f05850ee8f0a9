"""One entry of the log as a line of text with its checksum: what both copies of the log hold."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256
from math import nan
from typing import TYPE_CHECKING, Any

from passage.tell.records import Record, reckoned

if TYPE_CHECKING:
    from collections.abc import Mapping

# What a start keeps so that the log needs no other file; the voyage's own files and ``now`` print it.
SETTING = ("hull_speed_kn", "tanks_l", "capacity_fuel_l", "people", "plan", "bound_for", "deck_parts", "upkeep")
CHECKSUM_LETTERS = 16
NO_CORRECTION = "-"
_STAMP = re.compile(r"(\d{1,4})-(\d\d)-(\d\d)T(\d\d):(\d\d):(\d\d)Z", re.ASCII)


@dataclass(frozen=True)
class Entry:
    """One entry, never changed once written.

    number: from 1, in the order of writing; kind: ``start``, ``noon``, ``note``, ``used``, ``landfall`` or
    ``correction``; time: of what it tells, UTC; written: when it was written by the computer's own clock, UTC, right
    or wrong; body: the fields given, as JSON; corrects: number of the entry that a correction stands beside.
    """

    number: int
    kind: str
    time: datetime
    written: datetime
    body: Mapping[str, Any]
    corrects: int | None = None


class EntryTold(Record):
    """An entry as it was kept, to the second and the digit; what it holds itself stays plain, for checksums."""

    entry: Entry

    @reckoned("number of the entry, from 1")
    def number(self) -> int:
        return self.entry.number

    @reckoned("start, noon, note, used, landfall or correction")
    def kind(self) -> str:
        return self.entry.kind

    @reckoned("the time it tells of")
    def time_utc(self) -> str:
        return stamp(self.entry.time)

    @reckoned("when it was written, by the computer's clock")
    def written_utc(self) -> str:
        return stamp(self.entry.written)

    @reckoned("number of the entry that it stands beside; null where it corrects none")
    def corrects(self) -> float:
        return nan if self.entry.corrects is None else self.entry.corrects

    @reckoned("what was given, as kept")
    def fields(self) -> dict[str, Any]:
        """Values given one by one as rows, so that no name of a tank or a person stands as a key."""
        return {
            name: [{"name": of, "value": each} for of, each in value.items()] if isinstance(value, dict) else value
            for name, value in self.entry.body.items()
            if name not in SETTING
        }

    @property
    def cells(self) -> dict[str, Any]:
        """The same with a key for each: ``water_l keel tank``."""
        return {
            f"{name} {of}".strip(): each
            for name, value in self.entry.body.items()
            if name not in SETTING
            for of, each in (value.items() if isinstance(value, dict) else (("", value),))
        }


def stamp(moment: datetime) -> str:
    """``2027-02-12T12:00:00Z``, the year always of four digits; the moment has a time zone."""
    return moment.astimezone(UTC).replace(tzinfo=None).isoformat(timespec="seconds") + "Z"


def moment_of(text: str) -> datetime:
    """The moment of a stamp; the year may lack its noughts, as it once was written. Raises ValueError."""
    numbers = _STAMP.fullmatch(text)
    if numbers is None:
        raise ValueError(text)
    year, month, day, hour, minute, second = map(int, numbers.groups())
    return datetime(year, month, day, hour, minute, second, tzinfo=UTC)


def body_text(body: Mapping[str, Any]) -> str:
    """The body as JSON on one line, keys sorted, so that the same body is the same text."""
    return json.dumps(body, ensure_ascii=False, sort_keys=True, allow_nan=False)


def content_of(entry: Entry) -> str:
    """Number, kind, time, time of writing, number corrected or ``-``, body: what the checksum covers."""
    corrects = NO_CORRECTION if entry.corrects is None else str(entry.corrects)
    parts = (str(entry.number), entry.kind, stamp(entry.time), stamp(entry.written), corrects, body_text(entry.body))
    return " ".join(parts)


def checksum(content: str) -> str:
    """The first sixteen letters of the SHA-256 of the content as UTF-8."""
    return sha256(content.encode()).hexdigest()[:CHECKSUM_LETTERS]


def line_of(entry: Entry) -> str:
    """The entry as a line of the text copy, without its end: the checksum, a space, the content."""
    content = content_of(entry)
    return f"{checksum(content)} {content}"


def entry_of(line: str) -> Entry | None:
    """The entry that a line holds, or None where it is not whole."""
    written_sum, _, content = line.partition(" ")
    if checksum(content) != written_sum:
        return None
    try:
        number, kind, time, written, corrects, body = content.split(" ", 5)
        return Entry(
            number=int(number),
            kind=kind,
            time=moment_of(time),
            written=moment_of(written),
            body=json.loads(body),
            corrects=None if corrects == NO_CORRECTION else int(corrects),
        )
    except (ValueError, RecursionError):
        return None
