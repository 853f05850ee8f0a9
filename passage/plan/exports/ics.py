"""The voyage as iCalendar (RFC 5545): departure, landfall, reports, when to worry ashore, watches, sunrise, sunset."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from passage.consequences.watches.lookout import CAUTION as LOOK_OUT
from passage.journal.export import Date, overdue_words, to_ics
from passage.plan.rota import stood
from passage.tell.figures import zone_words

if TYPE_CHECKING:
    from passage.plan.rota import Stood
    from passage.road import Outcome

HALF_HOUR = timedelta(minutes=30)


def export(outcome: Outcome) -> bytes:
    """Dates in UTC; sun and watches are the typical crossing's, reports run to the slow end.

    The stamp of every event is the day the facts were read for, so that the same plan gives the same bytes. Each has an
    identity of its own that does not hang on the hour: a calendar given a later plan moves what it has.
    """
    today = outcome.facts.today
    written = datetime(today.year, today.month, today.day, tzinfo=UTC)
    return to_ics([*_voyage(outcome), *_reports(outcome), *_watches(outcome), *_sun(outcome)], written).encode()


def _key(outcome: Outcome, what: str) -> str:
    return f"{outcome.facts.voyage.departure.name} {what}"


def _voyage(outcome: Outcome) -> list[Date]:
    times, depart = outcome.times, outcome.crossings.depart
    name = outcome.facts.voyage.departure.name
    text = "The skipper and the official forecast decide."
    dates = [Date(depart, timedelta(hours=1), f"{name}: sail", text, _key(outcome, "sail"))]
    if math.isfinite(times.slow_end_h):
        begins, ends = (depart + timedelta(hours=hours) for hours in (times.fast_h, times.slow_end_h))
        late = overdue_words(outcome.float_plan.worry_utc)
        text = f"From the quick end to the slow end of the simulated crossings. {late}"
        dates.append(Date(begins, ends - begins, f"{name}: landfall", text, _key(outcome, "landfall")))
    return dates


def _reports(outcome: Outcome) -> list[Date]:
    """What the float plan agrees with the shore: reports as often as it says, when to begin asking, when to call."""
    plan, depart = outcome.facts.gear.float_plan, outcome.crossings.depart
    name, sheet = outcome.facts.voyage.departure.name, outcome.float_plan
    ends_h, every_h = outcome.times.slow_end_h, plan.report_every_h
    count = int(ends_h / every_h) if every_h and math.isfinite(ends_h) else 0
    text = "As the float plan agrees. What to do when it does not come stands there."
    dates = [
        Date(depart + timedelta(hours=number * (every_h or 0.0)), HALF_HOUR, f"{name}: report {number} due", text, key)
        for number in range(1, count + 1)
        for key in [_key(outcome, f"report {number}")]
    ]
    whom = ", ".join(part for part in (plan.rescue_authority, plan.rescue_telephone) if part) or "the float plan says"
    for moment, what, told in (
        (sheet.worry_utc, "ask after her", "Unless she is in or has reported: begin to ask, as the float plan says."),
        (sheet.alarm_utc, "call the rescue service", f"Unless she is in or has reported. Whom to call: {whom}."),
    ):
        dates += [Date(moment, HALF_HOUR, f"{name}: {what}", told, _key(outcome, what))] if moment else []
    return dates


def _watches(outcome: Outcome) -> list[Date]:
    return [_watch(outcome, watch) for watch in stood(outcome)]


def _watch(outcome: Outcome, watch: Stood) -> Date:
    begins = _ship_clock(watch.begins, watch.begins_zone_h)
    ends = _ship_clock(watch.ends, watch.ends_zone_h)
    standby = f" Standing by: {' and '.join(watch.standby)}." if watch.standby else ""
    return Date(
        watch.begins,
        watch.ends - watch.begins,
        f"Watch: {' and '.join(watch.on_watch)}",
        f"Typical crossing, by ship's time from {begins} to {ends}.{standby} {LOOK_OUT}",
        _key(outcome, f"watch {watch.day} {begins[:4]}"),
    )


def _ship_clock(moment: datetime, zone_h: int) -> str:
    return f"{moment + timedelta(hours=zone_h):%H%M} ({zone_words(zone_h)})"


def _sun(outcome: Outcome) -> list[Date]:
    dates = []
    for row in outcome.sky:
        for event, moment in (("sunrise", row.sunrise_utc), ("sunset", row.sunset_utc)):
            if moment is not None:
                title, text = f"{event}, day {row.day}", f"Typical crossing, at {row.noon_position}"
                dates.append(Date(moment, timedelta(minutes=1), title, text, _key(outcome, title)))
    return dates
