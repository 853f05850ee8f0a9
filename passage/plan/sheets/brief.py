"""The three cards that, with page one, make the short plan: chart and legs, watches and stores, the worst hour.

They show what other sheets tell and have no figures of their own; whatever these do not show is not worked out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.plan.charts import course_chart
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.road import Outcome

MOST_LEGS = 19  # in small type, on the smaller paper


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    return {"course": outcome.once(course_chart)[0]}


class Brief(Record):
    """The short plan."""

    most_legs_count: int = told("legs that the short plan has room for")


SHEET = Sheet("brief", lambda outcome: Brief(MOST_LEGS), drawings, for_mate=(course_chart,), record=Brief)
