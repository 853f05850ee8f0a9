"""The plan's charts, drawn from the outcome alone, so that a mate can draw them while other work runs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.draw.chart import Besides, Place, RoseAt, Way, draw_chart
from passage.plan.face import drawable
from passage.plan.sheets.winds import roses_of
from passage.sailings.magnetic import decimal_year
from passage.sailings.track import at_distance

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.draw.chart import Chart
    from passage.road import Outcome

WIDE_PT = 504.0  # paper fits it to its own width
HIGH_PT, COURSE_HIGH_PT, PLOTTING_HIGH_PT = 450.0, 380.0, 630.0


def way_of(outcome: Outcome, word: str = "") -> Way:
    """The track with its waypoints and days; word: for it, where several are on one chart."""
    return Way(outcome.ground.track, places_of(outcome), outcome.by_day, word)


def places_of(outcome: Outcome) -> Sequence[Place]:
    return [Place(drawable(waypoint.name), *waypoint.position) for waypoint in outcome.facts.voyage.waypoints]


def passage_chart(outcome: Outcome) -> tuple[str, tuple[str, ...]]:
    """The chart with roses, variation, refuges and names, SVG; and what its numbers stand for."""
    return _finished(draw_chart([way_of(outcome)], WIDE_PT, HIGH_PT, _all(outcome)))


def course_chart(outcome: Outcome) -> tuple[str, tuple[str, ...]]:
    """The chart of the short plan, without roses."""
    besides = _all(outcome)._replace(roses=())
    return _finished(draw_chart([way_of(outcome)], WIDE_PT, COURSE_HIGH_PT, besides))


def plotting_sheet(outcome: Outcome) -> tuple[str, tuple[str, ...]]:
    """Nothing but the graticule, the track and where 8 crossings in 10 are at the end of every day."""
    return _finished(draw_chart([way_of(outcome)], WIDE_PT, PLOTTING_HIGH_PT, Besides(plotting=True)))


def _finished(chart: Chart) -> tuple[str, tuple[str, ...]]:
    return chart.svg(), chart.key


def _all(outcome: Outcome) -> Besides:
    track = outcome.ground.track
    runs = roses_of(outcome)
    where = at_distance(track, [there.run_nm for there in runs])
    roses = [
        RoseAt(float(lat), float(lon), there.rose, there.wind)
        for lat, lon, there in zip(where.lat_deg, where.lon_deg, runs, strict=True)
    ]
    refuges = [Place(drawable(refuge.name), *refuge.position) for refuge in outcome.facts.troubles.refuges]
    return Besides(roses, refuges, decimal_year(outcome.crossings.depart), inset=True)
