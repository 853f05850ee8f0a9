"""The chart: the track, and where 8 crossings in 10 would be on every fifth day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.times import day_by_day
from passage.plan.chart import EVERY_DAYS, Place, draw_chart
from passage.plan.sheet import Drawings, Room, Sheet, Tables

if TYPE_CHECKING:
    from passage.road import Outcome


FURNITURE_PT = 118.0  # heading, caption and the head of the table on the chart's page


ROW_PT = 15.5


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    rows = sum(1 for row in tables["times"]["by_day"] if row["day"] % EVERY_DAYS == 0)
    high = room.high_pt - FURNITURE_PT - ROW_PT * rows
    places = [Place(waypoint.name, *waypoint.position) for waypoint in outcome.facts.voyage.waypoints]
    return {"chart": draw_chart(outcome.ground.track, places, day_by_day(outcome.crossings), room.wide_pt, high).svg}


SHEET = Sheet("chart", lambda outcome: {}, drawings)
