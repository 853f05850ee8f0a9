"""What is told to those ashore: ship-report text, a satellite message of 160 characters, the next report and a missed
one.

Ship reports follow the general form of IMO Resolution A.851(20): a type, then lines by letter (quoted from memory;
the service that takes the report says which lines it wants). A private yacht owes nobody a report; a float plan works
all the same.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from math import floor
from typing import TYPE_CHECKING, Literal

from passage.consequences.lists.floatplan import ALWAYS, EVERY_H, silent_steps
from passage.journal.record import stamp
from passage.positions import format_position

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime

    from passage.consequences.lists.floatplan import Overdue
    from passage.journal.entries import Setting
    from passage.journal.reckoning import Point, Run
    from passage.journal.record import Entry

ReportType = Literal["SP", "PR", "DR", "FR"]
REPORT_TYPES: Mapping[ReportType, str] = {
    "SP": "sailing plan",
    "PR": "position report",
    "DR": "deviation report",
    "FR": "final report",
}
LINES = "ABCEFGILMNQSTUWX"  # their order; what is not known is left out
SATELLITE_LETTERS = 160
ON_TIME = 0.02  # of the time between two reports: one so little early is not asked for again
_LETTERS = str.maketrans({"°": " ", "’": "'", "–": "-", "−": "-"})


@dataclass(frozen=True)
class Ashore:
    """What a report says beside position and time; empty where nothing is to be said.

    every_h: hours from one report to the next, as agreed with the shore contact; began: the schedule, where it is
    counted from a departure. eta: of landfall. defects, weather,
    remarks, contact, radio: free text. persons: aboard.
    """

    every_h: float = EVERY_H
    began: datetime | None = None
    eta: datetime | None = None
    departed_from: str = ""
    route: str = ""
    radio: str = ""
    defects: str = ""
    weather: str = ""
    contact: str = ""
    vessel: str = ""
    persons: int = 0
    remarks: str = ""


def ship_report(kind: ReportType, setting: Setting, here: Point, made: Run | None, ashore: Ashore) -> str:
    """The report as text, one line for each letter: ``C/2814S 00512W``. made: the run that course and speed are taken
    of.
    """
    final = kind == "FR"
    words = {
        "A": setting.ship,
        "B": date_time_group(here.time),
        "C": position_group(here.lat_deg, here.lon_deg),
        "E": f"{round(made.course_deg) % 360:03d}" if made and not final else "",
        "F": f"{round(10 * made.speed_kn):03d}" if made and not final else "",
        "G": ashore.departed_from if kind == "SP" else "",
        "I": _destination(setting, ashore, final),
        "L": ashore.route if kind in ("SP", "DR") else "",
        "M": ashore.radio,
        "N": "" if final else date_time_group(next_report(here.time, ashore.every_h, ashore.began)),
        "Q": ashore.defects,
        "S": ashore.weather,
        "T": ashore.contact,
        "U": ashore.vessel if kind == "SP" else "",
        "W": str(ashore.persons) if ashore.persons and kind in ("SP", "DR") else "",
        "X": ashore.remarks if here.fix else " ".join(("POSITION RECKONED", ashore.remarks)).strip(),
    }
    lines = [kind, *(f"{letter}/{_plain(words[letter])}" for letter in LINES if words[letter])]
    return "\n".join(lines) + "\n"


def _destination(setting: Setting, ashore: Ashore, final: bool) -> str:
    eta = f"/{date_time_group(ashore.eta)}" if ashore.eta and not final else ""
    return f"{setting.destination}{eta}"


def date_time_group(moment: datetime) -> str:
    """Day of the month, hours and minutes UTC: ``121200Z``."""
    text = stamp(moment)
    return f"{text[8:10]}{text[11:13]}{text[14:16]}Z"


def position_group(lat_deg: float, lon_deg: float) -> str:
    """Latitude in degrees and minutes in four figures, longitude in five, whole minutes: ``2814S 00512W``."""
    return f"{_group(lat_deg, 'NS', 2)} {_group(lon_deg, 'EW', 3)}"


def _group(value_deg: float, letters: str, width: int) -> str:
    degrees, minutes = divmod(round(abs(value_deg) * 60.0), 60)
    return f"{degrees:0{width}d}{minutes:02d}{letters[value_deg < 0 and degrees + minutes > 0]}"


def _plain(text: str) -> str:
    """Capitals on one line, in letters that every radio and telex takes."""
    return _letters(text).upper()


def satellite_text(setting: Setting, here: Point, entry: Entry | None, made: Run | None, ashore: Ashore) -> str:
    """All that fits 160 plain letters, what matters most first; what no longer fits is left out whole, remarks cut."""
    body = entry.body if entry else {}
    water = sum(body.get("water_l", {}).values())
    place = format_position(here.lat_deg, here.lon_deg).replace("°", " ").replace("'", "")
    pieces = [
        f"{setting.ship} {stamp(here.time)[8:16].replace('T', ' ')}Z {place}{'' if here.fix else ' DR'}",
        f"{made.course_deg:03.0f} {made.speed_kn:.1f}kn" if made else "",
        "defect: " + ashore.defects if ashore.defects else "",
        f"eta {stamp(ashore.eta)[5:10]}" if ashore.eta else "",
        f"next {stamp(next_report(here.time, ashore.every_h, ashore.began))[8:16].replace('T', ' ')}Z",
        f"wind {body['wind_from_deg']:03.0f}/{body['wind_kn']:.0f}" if "wind_from_deg" in body else "",
        f"water {water:.0f}L" if water else "",
    ]
    text = ""
    for piece in (_letters(piece) for piece in pieces if piece):
        longer = f"{text} {piece}".strip()
        text = longer if len(longer) <= SATELLITE_LETTERS else text
    remarks = _letters(ashore.remarks or str(body.get("remarks", "")))
    return f"{text} {remarks}".strip()[:SATELLITE_LETTERS]


def _letters(text: str) -> str:
    ascii_only = text.translate(_LETTERS).encode("ascii", "replace").decode()
    return " ".join("".join(letter if letter.isprintable() else " " for letter in ascii_only).split())


def next_report(last: datetime, every_h: float, began: datetime | None = None) -> datetime:
    """When the shore contact should next hear: so long after the last, or by the schedule that began with a departure,
    a report every so many hours from it.
    """
    if began is None:
        return last + timedelta(hours=every_h)
    reports = floor((last - began) / timedelta(hours=every_h) + ON_TIME)
    return began + timedelta(hours=every_h * (reports + 1))


@dataclass(frozen=True)
class ShoreStep:
    """What the shore contact does, and from when on."""

    from_time: datetime
    what: str


def if_missed(last: datetime, every_h: float, late: Overdue, began: datetime | None = None) -> tuple[ShoreStep, ...]:
    """For the person ashore: the steps of the float plan's sheet with their hours, and the days on which she is
    overdue. began: the schedule's, as ``next_report`` takes it.
    """
    due = next_report(last, every_h, began)
    steps = [ShoreStep(due + timedelta(hours=step.after_h), step.what) for step in silent_steps(every_h)]
    for moment, text in (
        (late.worry_at, "She is overdue, reports or none: begin to ask after her, as the float plan says."),
        (late.alarm_at, "Not in and long overdue: ring the rescue authority whatever else is known."),
    ):
        steps += [ShoreStep(moment, text)] if moment else []
    return tuple(sorted(steps, key=lambda step: step.from_time))


def missed_text(last: datetime, every_h: float, late: Overdue, began: datetime | None = None) -> str:
    """The steps as text for the float plan."""
    lines = [f"Last heard {stamp(last)[:16].replace('T', ' ')} UTC. {ALWAYS}"]
    lines += [
        f"{stamp(step.from_time)[:16].replace('T', ' ')} UTC: {step.what}"
        for step in if_missed(last, every_h, late, began)
    ]
    return "\n".join(lines) + "\n"


def latest_noon(entries: Sequence[Entry]) -> Entry | None:
    """The last standing noon or landfall."""
    return next((entry for entry in reversed(entries) if entry.kind in ("noon", "landfall")), None)
