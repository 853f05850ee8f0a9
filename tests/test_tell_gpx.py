"""GPX as another library reads it (T: gpxpy)."""

from __future__ import annotations

import gpxpy

from passage.tell.gpx import GpxPlace, document, route, track


def test_a_track_is_cut_at_the_meridian_of_180_degrees() -> None:
    read = gpxpy.parse(
        document(track("west & east", [GpxPlace(1.0, 179.0), GpxPlace(1.0, -179.0), GpxPlace(1.0, -178.0)]))
    )
    assert "west & east" == read.tracks[0].name
    assert [1, 2] == [len(segment.points) for segment in read.tracks[0].segments]


def test_longitude_180_is_written_west_of_it() -> None:
    """GPX 1.1 (S): longitudes from -180 up to, but not, 180."""
    read = gpxpy.parse(document(route("r", [GpxPlace(0.0, 180.0, "the line", "2027-02-10T12:00:00Z", "said")])))
    (point,) = read.routes[0].points
    assert (-180.0, "the line", "said") == (point.longitude, point.name, point.comment)
    assert point.time is not None and 12 == point.time.hour
