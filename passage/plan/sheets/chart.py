"""The chart: the track, and where 8 crossings in 10 would be by day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.times import day_by_day
from passage.plan.chart import Place, draw_chart, every_days
from passage.plan.printed import Table, rounded
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.plan.sheets.times import days

if TYPE_CHECKING:
    from passage.road import Outcome


FURNITURE_PT = 118.0  # heading, caption and the head of the table on the chart's page
ROW_PT = 15.5


def table(outcome: Outcome) -> Table:
    """Where 8 crossings in 10 are on the days that the chart marks."""
    waypoints = outcome.facts.voyage.waypoints
    every = every_days(day_by_day(outcome.crossings), outcome.ground.track.length_nm)
    marked = [row for row in days(outcome) if row["day"] % every == 0]
    return rounded({"from": waypoints[0].name, "to": waypoints[-1].name, "by_day": marked})


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    high = room.high_pt - FURNITURE_PT - ROW_PT * len(tables["chart"]["by_day"])
    places = [Place(waypoint.name, *waypoint.position) for waypoint in outcome.facts.voyage.waypoints]
    return {"chart": draw_chart(outcome.ground.track, places, day_by_day(outcome.crossings), room.wide_pt, high).svg}


SHEET = Sheet("chart", table, drawings)
