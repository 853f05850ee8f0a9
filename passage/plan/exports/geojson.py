"""Track, waypoints and the run of the crossings by day as GeoJSON (RFC 7946), lines cut in two at 180 degrees."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.sailings.track import at_distance, through_waypoints

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.road import Outcome

Pair = list[float]


def export(outcome: Outcome) -> bytes:
    """A FeatureCollection: the track, the waypoints, and for each day the stretch that holds 8 crossings in 10,
    a point once they are all in.
    """
    track, voyage = outcome.ground.track, outcome.facts.voyage
    _, lat_deg, lon_deg = through_waypoints(track)
    features = [_line(lat_deg, lon_deg, {"name": voyage.departure.name, "length_nm": round(track.length_nm, 1)})]
    features += [_point(*place.position, {"name": place.name}) for place in voyage.waypoints]
    for day in outcome.by_day:
        run = np.linspace(day.least_run_nm, day.most_run_nm, 20)
        lat, lon, _ = at_distance(track, run)
        told = {"day": day.day, "least_run_nm": round(day.least_run_nm, 1), "most_run_nm": round(day.most_run_nm, 1)}
        features.append(_line(lat, lon, told))
    return json.dumps({"type": "FeatureCollection", "features": features}, ensure_ascii=False).encode()


def _feature(geometry: dict[str, Any], properties: dict[str, Any]) -> dict[str, Any]:
    return {"type": "Feature", "geometry": geometry, "properties": properties}


def _point(lat_deg: float, lon_deg: float, properties: dict[str, Any]) -> dict[str, Any]:
    return _feature({"type": "Point", "coordinates": _pair(lon_deg, lat_deg)}, properties)


def _line(lat_deg: NDArray[np.float64], lon_deg: NDArray[np.float64], properties: dict[str, Any]) -> dict[str, Any]:
    parts = cut_at_180(lat_deg, lon_deg)
    if all(pair == parts[0][0] for part in parts for pair in part):
        return _feature({"type": "Point", "coordinates": parts[0][0]}, properties)  # a line of no length is none
    if len(parts) == 1:
        return _feature({"type": "LineString", "coordinates": parts[0]}, properties)
    return _feature({"type": "MultiLineString", "coordinates": parts}, properties)


def cut_at_180(lat_deg: NDArray[np.float64], lon_deg: NDArray[np.float64]) -> list[list[Pair]]:
    """Lines of [longitude, latitude], ended and begun again on the meridian of 180 degrees where it is crossed."""
    parts: list[list[Pair]] = [[_pair(lon_deg[0], lat_deg[0])]]
    for lat, lon, before_lat, before_lon in zip(lat_deg[1:], lon_deg[1:], lat_deg, lon_deg, strict=False):
        if abs(lon - before_lon) > 180.0:
            side = 180.0 if before_lon > 0.0 else -180.0
            share = (side - before_lon) / (lon + 2.0 * side - before_lon)
            middle = before_lat + share * (lat - before_lat)
            parts[-1].append(_pair(side, middle))
            parts.append([_pair(-side, middle)])
        parts[-1].append(_pair(lon, lat))
    return parts


def _pair(lon_deg: float, lat_deg: float) -> Pair:
    return [round(float(lon_deg), 5), round(float(lat_deg), 5)]
