"""The chart: the track, and where 8 crossings in 10 would be by day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.times import Day
from passage.plan.chart import Place, draw_chart, every_days
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.plan.sheets.times import days
from passage.tell.blocks import Blocks, Drawing, Title, note, strong
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.road import Outcome


FURNITURE_PT = 126.0  # heading, caption and the head of the table on the chart's page
ROW_PT = 15.5


class Charted(Record):
    """Where 8 crossings in 10 are on the days that the chart marks."""

    start: str = told("where the voyage begins")
    end: str = told("where it ends")
    by_day: tuple[Day, ...] = told("the days that the chart marks")


def table(outcome: Outcome) -> Charted:
    waypoints, every = outcome.facts.voyage.waypoints, every_days(outcome.by_day)
    marked = tuple(row for row in days(outcome) if row.day % every == 0)
    return Charted(waypoints[0].name, waypoints[-1].name, marked)


def chart_card(told: Charted) -> Blocks:
    return (
        Title("Passage chart: not for navigation"),
        Drawing(
            "chart",
            f"Mercator chart of the track from {told.start} to {told.end}, with brackets beside it where 8 crossings "
            "in 10 are at the end of some days; the table of day by day gives the same in figures.",
        ),
        note(
            "Brackets: where 8 crossings in 10 are at the end of that day; dot: the middle one. Mercator, WGS 84. The "
            f"coast may be a mile out and shows no reef awash: {strong('the official chart decides.')}"
        ),
    )


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    high = room.high_pt - FURNITURE_PT - ROW_PT * len(table(outcome).by_day)
    places = [Place(waypoint.name, *waypoint.position) for waypoint in outcome.facts.voyage.waypoints]
    return {"chart": draw_chart(outcome.ground.track, places, outcome.by_day, room.wide_pt, high).svg}


SHEET = Sheet("chart", table, drawings, record=Charted, cards={"chart": chart_card})
