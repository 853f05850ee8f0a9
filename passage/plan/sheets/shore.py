"""The sheet to tear off and leave ashore: who she is, when she is due, when to worry and whom to call."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.plan.printed import Table, moment_words, rounded
from passage.plan.sheet import Sheet
from passage.plan.sheets.cautions import DEFERS

if TYPE_CHECKING:
    from datetime import datetime

    from passage.consequences.lists.floatplan import PlanRow
    from passage.road import Outcome

LEAVE_WITH = (
    "Leave it with somebody who will act on it, not with a rescue service; send word of every change and of arrival."
)


def table(outcome: Outcome) -> Table:
    """Fields by heading, empty where the files do not tell; the two days that matter ashore; what to do then."""
    sheet, rules = outcome.float_plan, outcome.facts.gear.float_plan
    headings = dict.fromkeys(row.heading for row in sheet.rows)
    return rounded(
        {
            "shore_groups": [
                {
                    "shore_heading": heading,
                    "fields": [_field(row) for row in sheet.rows if row.heading == heading],
                }
                for heading in headings
            ],
            "worry_utc": _moment(sheet.worry_at),
            "alarm_utc": _moment(sheet.alarm_at),
            "rescue_authority": rules.rescue_authority,
            "rescue_telephone": rules.rescue_telephone,
            "when_overdue": list(sheet.when_overdue),
            "leave_with": LEAVE_WITH,
            "shore_source": sheet.source,
            "shore_caution": DEFERS,
        }
    )


def _field(row: PlanRow) -> Table:
    words = row.value if isinstance(row.value, str) else moment_words(row.value.isoformat(timespec="minutes"))
    return {"field": row.field, "shore_value": words}


def _moment(moment: datetime | None) -> str | None:
    return moment.isoformat(timespec="minutes") if moment else None


KEYS = {
    "shore_groups": "fields of the sheet by heading",
    "shore_heading": "vessel, communications, propulsion, safety gear, persons, itinerary, contacts",
    "fields": "the fields under it",
    "field": "what is asked",
    "shore_value": "the answer from the voyage's files; empty where it is to be filled in by hand",
    "worry_utc": "when to begin asking, UTC; none where the slow end is not reached",
    "alarm_utc": "when to call the rescue authority, UTC",
    "rescue_authority": "whom to call",
    "rescue_telephone": "the number",
    "when_overdue": "what to do when she is late",
    "leave_with": "with whom to leave it",
    "shore_source": "whose fields they are",
    "shore_caution": "whom it defers to",
}

SHEET = Sheet("shore", table, keys=KEYS)
