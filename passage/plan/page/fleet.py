"""The crossings as a script can move them: the track on the chart, and where each is along it as every day ends."""

from __future__ import annotations

from base64 import b64encode
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.consequences.times import day_by_day
from passage.crossings.ensemble import first_of
from passage.crossings.lanes import lane_of
from passage.crossings.search.choices import TrackKind
from passage.crossings.simulate import sail_lanes
from passage.crossings.wind import Luck
from passage.tell.figures import moment_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.crossings.ensemble import Crossings
    from passage.departures import Start
    from passage.draw.chart import Chart
    from passage.offered import Offered
    from passage.road import Outcome
    from passage.sailings.track import Track

    Floats = NDArray[np.float64]

MOST_DRAWN = 1000
MOST_POSITIONS = 60_000  # two bytes each, so that a voyage of months keeps the page small
WHOLE = 65_535  # the track's length
OTHERS_DRAWN, OTHERS_POSITIONS = 100, 3_000  # of each other departure
OTHER_NODES = 300  # of the line of another track
TOO_FEW = "too few get there"
GRID = 25  # places each way by which a position is laid on the chart
ROUND_SHARE = 0.5  # of the track's extent, that the grid goes beyond it


def fleet(crossings: Crossings, days: int, most: int = MOST_DRAWN, positions: int = MOST_POSITIONS) -> dict[str, Any]:
    """What the page's script draws of one departure.

    places: little-endian 16-bit shares of the track's length in ``WHOLE``, base64, all crossings on day 0, then on
    day 1 and so on. spread: least, typical, most share of the track of 8 crossings in 10 by day. arrive: days to
    landfall of each, null for who never arrives.
    """
    drawn = first_of(crossings, min(most, max(positions // (days + 1), 1)))
    return {
        "drawn": drawn.members,
        "places": b64encode(_places(drawn, days).tobytes()).decode("ascii"),
        "spread": _spread(crossings, days),
        "arrive": [round(hour / 24.0, 1) if np.isfinite(hour) else None for hour in drawn.arrival_h.tolist()],
    }


def track_on(track: Track, chart: Chart) -> dict[str, Any]:
    """``line_on``, and what lays a position on the chart.

    grid: south, west, north, east in degrees, and x and y of places
    evenly between them, row by row from the south, tenths of a point.
    """
    lon_deg = np.unwrap(track.lon_deg, period=360.0)
    bounds = [*_round(track.lat_deg), *_round(lon_deg)]
    south, north, west, east = max(bounds[0], -80.0), min(bounds[1], 80.0), *bounds[2:]
    lat, lon = np.meshgrid(np.linspace(south, north, GRID), np.linspace(west, east, GRID), indexing="ij")
    grid = {"box": [south, west, north, east], "xy": _tenths(chart.xy(lat.ravel(), lon.ravel()))}
    return {
        **line_on(track.lat_deg, lon_deg, chart),
        "whole": WHOLE,
        "length_nm": round(track.length_nm, 1),
        "grid": grid,
    }


def line_on(lat_deg: Floats, lon_deg: Floats, chart: Chart) -> dict[str, list[int]]:
    """A track on the chart.

    nodes: x and y by turns of points an even distance apart along the track, tenths of a point. lat, lon: of the same,
    thousandths of a degree, east running on over 180.
    """
    lat, lon = (np.round(1000.0 * degrees).astype(int).tolist() for degrees in (lat_deg, lon_deg))
    return {"nodes": _tenths(chart.xy(lat_deg, lon_deg)), "lat": lat, "lon": lon}


def _round(degrees: Floats) -> tuple[float, float]:
    room = max(ROUND_SHARE * float(np.ptp(degrees)), 2.0)
    return float(degrees.min()) - room, float(degrees.max()) + room


def _tenths(points: Floats) -> list[int]:
    found: list[int] = np.round(10.0 * points).astype(int).ravel().tolist()
    return found


def other_departures(outcome: Outcome, starts: Sequence[Start], days: int) -> list[dict[str, Any]]:
    """Departures about the planned one, in the order of the calendar, each with its crossings where she would be
    sailed from it; those of the planned one stand elsewhere. With a departure rule, by which every crossing waits for
    its own wind, only the times are told.
    """
    asked = [start for start in starts if not start.refused]
    luck = Luck(outcome.crossings.seed, min(OTHERS_DRAWN, outcome.crossings.members))
    waits = outcome.facts.voyage.departure_rule.given
    sailed = [] if waits else sail_lanes([lane_of(outcome.ground, start.depart_utc, luck) for start in asked])
    fleets = [fleet(crossings, days, OTHERS_DRAWN, OTHERS_POSITIONS) for crossings in sailed] or [{}] * len(asked)
    return [_leaving(outcome, start, boats) for start, boats in zip(asked, fleets, strict=True)]


def _leaving(outcome: Outcome, start: Start, boats: dict[str, Any]) -> dict[str, Any]:
    times = start.times
    planned = start.depart_utc == outcome.crossings.depart
    words = f"{times.typical_days} typical, slow end {times.slow_end_days}" if np.isfinite(times.slow_end_h) else ""
    leaves, words = moment_words(start.depart_utc), words or TOO_FEW
    return {
        "name": leaves.split(",")[0],
        "planned": planned,
        "words": words,
        "after": f"after leaving {leaves}",
        "said": f"Leaving {leaves}: {words}. {', '.join(start.unkind)}",
        **({} if planned else {"fleet": boats}),
    }


def other_tracks(outcome: Outcome, chosen: Sequence[Offered], chart: Chart, days: int) -> list[dict[str, Any]]:
    """The tracks to choose between, as the departures are told; ``track`` is what the script draws of one that is not
    as drawn.
    """
    return [_on_track(outcome, one, chart, days) for one in chosen]


def _on_track(outcome: Outcome, one: Offered, chart: Chart, days: int) -> dict[str, Any]:
    times = one.outcome.times
    ends = f"{times.typical_days} days typically, slow end {times.slow_end_days}"
    words = ends if np.isfinite(times.slow_end_h) else TOO_FEW
    told = {
        "name": f"Track {one.number}",
        "planned": TrackKind.AS_DRAWN in one.kinds,
        "words": f"{one.distance_nm} miles, {words}",
        "why": one.why,
        "after": f"on track {one.number}",
        "said": f"Track {one.number}, {one.distance_nm} miles: {words}. {one.why}",
    }
    return told if told["planned"] else {**told, **_other_way(outcome.ground.track, one.outcome.crossings, chart, days)}


def _other_way(first: Track, crossings: Crossings, chart: Chart, days: int) -> dict[str, Any]:
    """Its crossings and its line, on the turn of the world on which the planned track is."""
    track = crossings.track
    lon_deg = np.unwrap(track.lon_deg, period=360.0)
    lon_deg += 360.0 * round((float(first.lon_deg[0]) - float(lon_deg[0])) / 360.0)
    at = np.linspace(0.0, track.nodes - 1.0, min(track.nodes, OTHER_NODES))
    lat, lon = (np.interp(at, np.arange(track.nodes), degrees) for degrees in (track.lat_deg, lon_deg))
    return {
        "fleet": fleet(crossings, days, OTHERS_DRAWN, OTHERS_POSITIONS),
        "track": {
            **line_on(lat, lon, chart),
            "length_nm": round(track.length_nm, 1),
            "distance": f"{track.length_nm:,.0f}",
        },
    }


def _places(drawn: Crossings, days: int) -> NDArray[np.uint16]:
    """[days + 1, crossings]: a boat still at sea is never rounded into harbour."""
    hours = np.minimum(24 * np.arange(days + 1), drawn.hours - 1)
    share = np.clip(drawn.distance_nm[:, hours].T / drawn.track.length_nm, 0.0, 1.0)
    whole = np.minimum(np.round(WHOLE * share), WHOLE - 1)
    return np.where(drawn.arrival_h <= 24.0 * np.arange(days + 1)[:, None], WHOLE, whole).astype("<u2")


def _spread(crossings: Crossings, days: int) -> list[list[float]]:
    length_nm = crossings.track.length_nm
    runs = [(day.least_run_nm, day.typical_run_nm, day.most_run_nm) for day in day_by_day(crossings)[:days]]
    runs += [(length_nm,) * 3] * (days - len(runs))
    return [[0.0, 0.0, 0.0], *([round(run / length_nm, 5) for run in day] for day in runs)]
