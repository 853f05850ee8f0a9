"""The waypoints and the track as a GPX 1.1 route, with points close enough to steer a great circle by."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.sailings.track import at_distance, leg_summaries
from passage.tell.gpx import GpxPlace, document, metadata, route, waypoints

if TYPE_CHECKING:
    from passage.road import Outcome

STEP_NM = 100.0


def export(outcome: Outcome) -> bytes:
    """Waypoints by name, and a route of them with a point every hundred miles between; WGS84, no times."""
    voyage, track = outcome.facts.voyage, outcome.ground.track
    ends_nm = _ends_nm(outcome)
    named = [GpxPlace(*waypoint.position, waypoint.name) for waypoint in voyage.waypoints]
    by_run = dict(zip(ends_nm, named, strict=True))
    for number in range(1, int(track.length_nm / STEP_NM) + 1):
        run = STEP_NM * number
        lat_deg, lon_deg, *_ = (float(part) for part in at_distance(track, run))
        by_run.setdefault(run, GpxPlace(lat_deg, lon_deg, f"{run:.0f} nm"))
    name = voyage.departure.name
    points = [place for _, place in sorted(by_run.items())]
    return document(metadata(name, "Not for navigation."), waypoints(named), route(name, points)).encode()


def _ends_nm(outcome: Outcome) -> list[float]:
    """Distance run at every waypoint, the departure first."""
    summaries = leg_summaries(outcome.ground.legs)
    return [0.0, *(summary.starts_at_nm + summary.distance_nm for summary in summaries)]
