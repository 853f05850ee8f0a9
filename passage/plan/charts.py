"""The plan's charts, drawn from the outcome alone, so that a mate can draw them while other work runs."""

from __future__ import annotations

import math
from datetime import timedelta
from typing import TYPE_CHECKING

from passage.draw.chart import Besides, Place, RoseAt, Way, draw_chart
from passage.draw.waters import Wall
from passage.inputs.months import MONTHS
from passage.plan.face import drawable
from passage.plan.sheets.winds import roses_of
from passage.sailings.cyclones import basins, falls_between
from passage.sailings.magnetic import decimal_year
from passage.sailings.track import at_distance

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from passage.draw.chart import Chart
    from passage.road import Outcome
    from passage.sailings.cyclones import Basin

ALL_YEAR = "1 January", "31 December"
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
    return Besides(roses, refuges, tuple(_walls(outcome)), decimal_year(outcome.crossings.depart), inset=True)


def _walls(outcome: Outcome) -> Iterator[Wall]:
    """Waters of a cyclone season that falls into the passage, and what the skipper keeps out of in it."""
    last_day = math.ceil(min(outcome.times.slow_end_h / 24.0, outcome.crossings.hours / 24.0))
    days = [(outcome.crossings.depart + timedelta(days=day)).date() for day in range(last_day + 1)]
    parts: dict[str, list[tuple[float, float, float, float]]] = {}
    for basin in basins():
        if any(map(basin.in_season, days)):
            name = _season_words(basin)
            wide = (basin.east_deg - basin.west_deg) % 360.0
            box = (basin.west_deg, basin.south_deg, basin.west_deg + wide, basin.north_deg)
            parts.setdefault(name, []).append(box)
    for kept_out in outcome.facts.limits.boxes:
        if any(falls_between(kept_out.first_day, kept_out.last_day, day) for day in days):
            west, wide = kept_out.bounds_deg
            parts[drawable(kept_out.name)] = [(west, kept_out.south_deg, west + wide, kept_out.north_deg)]
    yield from (Wall(name, boxes) for name, boxes in parts.items())


def _season_words(basin: Basin) -> str:
    first, last = (f"{day} {MONTHS[month - 1]}" for month, day in (basin.first_day, basin.last_day))
    return "cyclones all year" if (first, last) == ALL_YEAR else f"cyclone season, {first} to {last}"
