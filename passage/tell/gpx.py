"""GPX 1.1: the one place where it is written; WGS 84."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple
from xml.sax.saxutils import escape

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

WEST_OF_DATELINE_DEG = 179.999995  # GPX takes longitudes up to, but not, 180
_CANNOT = {code: " " for code in range(32) if code not in (9, 10, 13)}


class GpxPlace(NamedTuple):
    """A point in degrees. time: ISO 8601 in UTC; empty texts are left out."""

    lat_deg: float
    lon_deg: float
    name: str = ""
    time: str = ""
    comment: str = ""


def document(*parts: str) -> str:
    head = '<?xml version="1.0" encoding="UTF-8"?>'
    space = '<gpx version="1.1" creator="passage" xmlns="http://www.topografix.com/GPX/1/1">'
    return "\n".join([head, space, *parts, "</gpx>", ""])


def metadata(name: str, remark: str) -> str:
    return f"  <metadata>{_element('name', name)}{_element('desc', remark)}</metadata>"


def waypoints(places: Iterable[GpxPlace]) -> str:
    return "\n".join(f"  {_point('wpt', place)}" for place in places)


def route(name: str, places: Iterable[GpxPlace]) -> str:
    points = (f"    {_point('rtept', place)}" for place in places)
    return "\n".join(["  <rte>", f"    {_element('name', name)}", *points, "  </rte>"])


def track(name: str, places: Iterable[GpxPlace]) -> str:
    """Cut in two where it crosses the meridian of 180 degrees."""
    lines = [f"  <trk>{_element('name', name)}"]
    for segment in _segments(places):
        lines += ["    <trkseg>", *(f"      {_point('trkpt', place)}" for place in segment), "    </trkseg>"]
    return "\n".join([*lines, "  </trk>"])


def _segments(places: Iterable[GpxPlace]) -> list[list[GpxPlace]]:
    segments: list[list[GpxPlace]] = []
    for place in places:
        if not segments or abs(place.lon_deg - segments[-1][-1].lon_deg) > 180.0:
            segments.append([])
        segments[-1].append(place)
    return segments


def _point(tag: str, place: GpxPlace) -> str:
    lon_deg = -180.0 if place.lon_deg >= WEST_OF_DATELINE_DEG else place.lon_deg
    inside = "".join(_inside(place))
    return f'<{tag} lat="{place.lat_deg:.5f}" lon="{lon_deg:.5f}">{inside}</{tag}>'


def _inside(place: GpxPlace) -> Iterator[str]:
    """In the order that the schema of GPX asks for."""
    for tag, text in (("time", place.time), ("name", place.name), ("cmt", place.comment)):
        if text:
            yield _element(tag, text)


def _element(tag: str, text: str) -> str:
    return f"<{tag}>{escape(text.translate(_CANNOT))}</{tag}>"
