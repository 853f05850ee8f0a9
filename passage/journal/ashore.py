"""What goes ashore, put together from the folder, the log and the crossings sailed from here."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from passage.consequences.lists.floatplan import EVERY_H, overdue
from passage.journal.entries import setting_of, standing
from passage.journal.export import coming_dates, to_csv, to_gpx, to_ics
from passage.journal.now import now
from passage.journal.reckoning import points
from passage.journal.reports import Ashore, latest_noon, missed_text, next_report, satellite_text, ship_report

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from passage.consequences.lists.floatplan import Overdue
    from passage.inputs.folder import Facts
    from passage.journal.now import Now
    from passage.journal.record import Entry
    from passage.journal.reports import ReportType

Form = Literal["csv", "gpx", "ics"]


def ashore(facts: Facts, report: Now, every_h: float = EVERY_H, **said: str) -> Ashore:
    """What a report says beside position and time; said: the free texts of ``Ashore``."""
    places = [place.name for place in facts.voyage.waypoints]
    hull, forward = facts.boat.hull, report.forward
    return Ashore(
        every_h=every_h,
        began=report.started,
        eta=forward.typical if forward else None,
        departed_from=places[0],
        route=" - ".join(places),
        vessel=f"sailing boat, {hull.length_overall_m:.1f} m",
        persons=len(facts.crew.people),
        **said,
    )


def report_text(kind: ReportType | Literal["satellite"], report: Now, entries: Sequence[Entry], told: Ashore) -> str:
    """A ship report, or all of it that fits a satellite message; from where she is by the last entry."""
    kept = standing(entries)
    if kind == "satellite":
        return satellite_text(report.setting, report.here, latest_noon(kept), report.yesterday, told) + "\n"
    return ship_report(kind, report.setting, report.here, report.yesterday, told)


def if_silent(facts: Facts, report: Now, every_h: float) -> str:
    """For the shore contact: when the next report is due, and what to do when it does not come."""
    return missed_text(report.here.time, every_h, _late(facts, report), report.started)


def _late(facts: Facts, report: Now) -> Overdue:
    return overdue(facts.gear.float_plan, report.started, report.forward.slow_end if report.forward else None)


def exported(form: Form, facts: Facts, entries: Sequence[Entry], written: datetime, every_h: float = EVERY_H) -> str:
    """The log as CSV, its track as GPX, its coming dates as iCalendar."""
    setting, kept = setting_of(entries), standing(entries)
    if form == "csv":
        return to_csv(kept)
    if form == "gpx":
        return to_gpx(points(kept), setting)
    report = now(facts, entries)
    forward = report.forward
    landfall = (forward.typical, forward.slow_end) if forward else (None, None)
    due = next_report(report.here.time, every_h, report.started)
    missed = if_silent(facts, report, every_h)
    return to_ics(coming_dates(setting.ship, due, missed, *landfall, _late(facts, report)), written)
