"""The waypoints and the track as a GPX 1.1 route, with points close enough to steer a great circle by."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.sax.saxutils import escape

from passage.sailings.track import at_distance, leg_summaries

if TYPE_CHECKING:
    from passage.road import Outcome

STEP_NM = 100.0
WEST_OF_DATELINE_DEG = 179.999995  # GPX takes longitudes up to, but not, 180
_CANNOT = {code: " " for code in range(32) if code not in (9, 10, 13)}


def export(outcome: Outcome) -> bytes:
    """Waypoints by name, and a route of them with a point every hundred miles between; WGS84, no times."""
    voyage, track = outcome.facts.voyage, outcome.ground.track
    ends_nm = _ends_nm(outcome)
    runs = sorted({*ends_nm, *(STEP_NM * number for number in range(1, int(track.length_nm / STEP_NM) + 1))})
    names = dict(zip(ends_nm, (waypoint.name for waypoint in voyage.waypoints), strict=True))
    places = {run: tuple(waypoint.position) for run, waypoint in zip(ends_nm, voyage.waypoints, strict=True)}
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<gpx version="1.1" creator="passage" xmlns="http://www.topografix.com/GPX/1/1">',
        f"  <metadata><name>{_text(voyage.departure.name)}</name><desc>Not for navigation.</desc></metadata>",
    ]
    lines += [f"  {_point('wpt', *waypoint.position, waypoint.name)}" for waypoint in voyage.waypoints]
    lines += ["  <rte>", f"    <name>{_text(voyage.departure.name)}</name>"]
    for run in runs:
        lat, lon = places.get(run) or (float(part) for part in at_distance(track, run)[:2])
        lines.append(f"    {_point('rtept', lat, lon, names.get(run, f'{run:.0f} nm'))}")
    return "\n".join([*lines, "  </rte>", "</gpx>", ""]).encode()


def _ends_nm(outcome: Outcome) -> list[float]:
    """Distance run at every waypoint, the departure first."""
    summaries = leg_summaries(outcome.ground.legs)
    return [0.0, *(summary.starts_at_nm + summary.distance_nm for summary in summaries)]


def _point(tag: str, lat_deg: float, lon_deg: float, name: str) -> str:
    lon_deg = -180.0 if lon_deg >= WEST_OF_DATELINE_DEG else lon_deg
    return f'<{tag} lat="{lat_deg:.5f}" lon="{lon_deg:.5f}"><name>{_text(name)}</name></{tag}>'


def _text(text: str) -> str:
    return escape(text.translate(_CANNOT))
