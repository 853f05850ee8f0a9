"""The three cards that, with page one, make the short plan: chart and legs, watches and stores, the worst hour.

They show what other sheets tell and have no figures of their own; whatever these do not show is not worked out.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from passage.plan.chart import Place, draw_chart
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.road import Outcome

MOST_LEGS = 14
FURNITURE_PT, LEAST_PT = 160.0, 200.0  # of the page round the chart; of the chart
ROW_PT, LINE_PT = 18.0, 13.0  # of one leg, and of a line of its name
LINE_LETTERS = 16  # at the least


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    """The chart, lower by the legs beneath it."""
    names = [waypoint.name for waypoint in outcome.facts.voyage.waypoints[1 : MOST_LEGS + 1]]
    legs_pt = sum(ROW_PT + LINE_PT * math.ceil(len(name) / LINE_LETTERS) for name in names)
    high = max(room.high_pt - FURNITURE_PT - legs_pt, LEAST_PT)
    places = [Place(waypoint.name, *waypoint.position) for waypoint in outcome.facts.voyage.waypoints]
    return {"course": draw_chart(outcome.ground.track, places, outcome.by_day, room.wide_pt, high).svg}


class Brief(Record):
    """The short plan."""

    most_legs_count: int = told("legs that the short plan has room for")


SHEET = Sheet("brief", lambda outcome: Brief(MOST_LEGS), drawings, record=Brief)
