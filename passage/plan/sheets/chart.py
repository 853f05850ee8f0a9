"""The chart: the track, where 8 crossings in 10 would be by day, winds, refuges; and a sheet to plot noons on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.times import Day, until_in
from passage.draw.chart import every_days
from passage.plan.charts import passage_chart, plotting_sheet
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.tell.blocks import Blocks, Drawing, Say, Title, note, strong
from passage.tell.customary import per_metric, unit_words
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.road import Outcome

ELLIPSES = (
    "Ellipses: 8 crossings in 10 are at the end of that day within their length; dot: the middle one. How far to "
    "either side of the track is not reckoned."
)


class Charted(Record):
    """Where 8 crossings in 10 are on the days that the chart marks, and what its numbers stand for."""

    start: str = told("where the voyage begins")
    end: str = told("where it ends")
    by_day: tuple[Day, ...] = told("the days that the chart marks")
    numbered: tuple[str, ...] = told("names for which the chart has room for a number alone, from 1")


def table(outcome: Outcome) -> Charted:
    waypoints, every = outcome.facts.voyage.waypoints, every_days(outcome.by_day)
    marked = tuple(row for row in until_in(outcome.by_day) if row.day % every == 0)
    return Charted(waypoints[0].name, waypoints[-1].name, marked, outcome.once(passage_chart)[1])


def chart_card(told: Charted) -> Blocks:
    return (
        Title("Passage chart: not for navigation"),
        Drawing(
            "chart",
            f"Chart of the track from {told.start} to {told.end}, with an ellipse along it where 8 crossings in 10 are "
            "at the end of some days; the table of day by day gives the same in figures.",
        ),
        Say(strong("; ".join(f"{number} {name}" for number, name in enumerate(told.numbered, start=1)))),
        note(
            f"{ELLIPSES} Roses: see winds. Triangles: refuges. Broken lines: variation. "
            f"Dotted: {_deep(200.0)}, finer {_deep(2000.0)}, "
            "of a relief so coarse that it misses banks: no line is no promise of depth. WGS 84. The coast may be a "
            "mile out, three at a remote island, and shows no reef awash; names only tell places apart: "
            f"{strong('the official chart decides.')}"
        ),
    )


def _deep(depth_m: float) -> str:
    """A depth of the relief, which is not known to ten feet."""
    of_feet = per_metric("m")
    return f"{depth_m:,.0f} m" if of_feet == 1.0 else f"{round(depth_m * of_feet, -1):,.0f} {unit_words('m')}"


def plotting_card(told: Charted) -> Blocks:
    return (
        Title("Plotting sheet: our noons"),
        Drawing(
            "plotting",
            f"A graticule with the track from {told.start} to {told.end} and an ellipse for the end of every day.",
        ),
        note(f"A cross for every noon, with its date. {ELLIPSES} No land and no danger is on this sheet."),
    )


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    return {"chart": outcome.once(passage_chart)[0], "plotting": outcome.once(plotting_sheet)[0]}


SHEET = Sheet(
    "chart",
    table,
    drawings,
    for_mate=(passage_chart, plotting_sheet),
    record=Charted,
    cards={"chart": chart_card, "plotting": plotting_card},
)
