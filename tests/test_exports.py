"""Each export comes back through a general library: gpxpy, json, icalendar, csv, xarray."""

from __future__ import annotations

import csv
import io
import itertools
import json
import re
import zipfile
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import gpxpy
import numpy as np
import pytest
import shapely.geometry
import xarray as xr
from click.testing import CliRunner
from icalendar import Calendar

from passage.cli import main
from passage.crossings.ensemble import ARRIVED, HOVE_TO, MOTORING, SAILING
from passage.plan.document import plan_tables
from passage.plan.exports import csv as csv_export
from passage.plan.exports import geojson, gpx, ics, netcdf
from passage.plan.page.days import days_told
from passage.sailings.track import leg_summaries
from tests.plan_cases import ARABIC, MARKUP, POLYNESIAN, ROUTES, renamed, sailed

GPX = "{http://www.topografix.com/GPX/1/1}"
GPX_POINT = ("ele", "time", "magvar", "geoidheight", "name")  # the schema's order, as far as we use it


@pytest.mark.parametrize("route", ROUTES)
def test_a_gpx_route_brings_back_waypoints_and_length(route: str) -> None:
    outcome = sailed(route)
    read = gpxpy.parse(gpx.export(outcome).decode())
    assert [w.name for w in outcome.facts.voyage.waypoints] == [w.name for w in read.waypoints]
    for ours, theirs in zip(outcome.facts.voyage.waypoints, read.waypoints, strict=True):
        assert tuple(ours.position) == pytest.approx((theirs.latitude, theirs.longitude), abs=1e-5)
    # A great circle cut into hundred-mile pieces on gpxpy's sphere: the ellipsoid differs by up to half a per cent.
    assert outcome.ground.track.length_nm == pytest.approx(read.routes[0].length() / 1852.0, rel=5e-3)


@pytest.mark.parametrize("route", ROUTES)
def test_gpx_keeps_to_the_schemas_order_and_bounds(route: str) -> None:
    """GPX 1.1 schema (S): metadata, wpt, rte in that order; latitude -90 to 90, longitude -180 up to but not 180."""
    root = ElementTree.fromstring(gpx.export(sailed(route)))
    assert ("1.1", "passage") == (root.get("version"), root.get("creator"))
    order = [child.tag.removeprefix(GPX) for child in root]
    assert order == sorted(order, key=["metadata", "wpt", "rte", "trk", "extensions"].index)
    for point in root.iter():
        if point.get("lat") is not None:
            assert -90.0 <= float(point.get("lat", "nan")) <= 90.0
            assert -180.0 <= float(point.get("lon", "nan")) < 180.0
            assert all(child.tag.removeprefix(GPX) in GPX_POINT for child in point)


@pytest.mark.parametrize("name", [MARKUP, POLYNESIAN, ARABIC, "bell \x07 tab \t end"])
def test_names_of_every_kind_survive(name: str) -> None:
    outcome = renamed(sailed(ROUTES[1]), name, name, name)
    assert name.replace("\x07", " ") == gpxpy.parse(gpx.export(outcome).decode()).name
    read = json.loads(geojson.export(outcome))
    assert name == read["features"][0]["properties"]["name"]
    assert len(Calendar.from_ical(ics.export(outcome)).events) > 2


def test_geojson_is_cut_at_180_degrees_and_nowhere_else() -> None:
    """RFC 7946, 3.1.9 (S): a line over the antimeridian is cut in two, one part ending at 180, the next at -180."""
    read = json.loads(geojson.export(sailed("opua-tonga")))
    track = read["features"][0]["geometry"]
    assert "MultiLineString" == track["type"]
    first, second = track["coordinates"]
    assert (180.0, -180.0) == (first[-1][0], second[0][0])
    assert first[-1][1] == second[0][1]
    for part in track["coordinates"]:
        assert np.abs(np.diff([lon for lon, _ in part])).max() < 1.0
    assert "LineString" == json.loads(geojson.export(sailed(ROUTES[0])))["features"][0]["geometry"]["type"]


@pytest.mark.parametrize("route", ROUTES)
def test_every_geometry_is_valid(route: str) -> None:
    """By shapely, for which a line of no length is none; positions in the RFC's order and bounds."""
    features = json.loads(geojson.export(sailed(route)))["features"]
    for feature in features:
        drawn = shapely.geometry.shape(feature["geometry"])
        assert drawn.is_valid, feature["properties"]
        west, south, east, north = drawn.bounds
        assert -180.0 <= west <= east <= 180.0
        assert -90.0 <= south <= north <= 90.0
    assert "Point" == features[-1]["geometry"]["type"]  # by the last day 8 in 10 are in harbour


def test_the_line_of_the_rfc_is_cut_as_it_says() -> None:
    """RFC 7946's example (S): 170E to 170W at 45N."""
    parts = geojson.cut_at_180(np.array([45.0, 45.0]), np.array([170.0, -170.0]))
    assert [[[170.0, 45.0], [180.0, 45.0]], [[-180.0, 45.0], [-170.0, 45.0]]] == parts
    back = geojson.cut_at_180(np.array([45.0, 45.0]), np.array([-170.0, 170.0]))
    assert [[[-170.0, 45.0], [-180.0, 45.0]], [[180.0, 45.0], [170.0, 45.0]]] == back


def test_the_calendar_tells_departure_landfall_and_sun() -> None:
    outcome = sailed(ROUTES[0])
    raw = ics.export(outcome)
    assert raw == ics.export(outcome)
    events = Calendar.from_ical(raw).events
    titles = [str(event["SUMMARY"]) for event in events]
    sail, landfall = events[titles.index("Cape Town to St Helena: sail")], events[1]
    assert outcome.crossings.depart == sail["DTSTART"].dt
    hours = (landfall["DTEND"].dt - outcome.crossings.depart).total_seconds() / 3600.0
    assert outcome.times.slow_end_h == pytest.approx(hours, abs=0.01)
    assert "sunrise, day 1" in titles


def test_sunrises_in_the_calendar_are_a_day_apart() -> None:
    for route in ROUTES:
        events = Calendar.from_ical(ics.export(sailed(route))).events
        rises = [event["DTSTART"].dt for event in events if str(event["SUMMARY"]).startswith("sunrise")]
        apart = np.diff([rise.timestamp() for rise in rises]) / 3600.0
        assert len(rises) > 5
        assert ((apart > 23.5) & (apart < 24.5)).all()


def named(events: list[Any], start: str) -> list[Any]:
    return [event for event in events if str(event["SUMMARY"]).startswith(start)]


@pytest.mark.parametrize("route", ROUTES)
def test_the_watches_of_the_calendar_follow_one_another_and_are_those_of_the_page(route: str) -> None:
    outcome = sailed(route)
    watches = named(Calendar.from_ical(ics.export(outcome)).events, "Watch: ")
    ends = [event["DTEND"].dt for event in watches]
    assert [event["DTSTART"].dt for event in watches][1:] == ends[:-1]
    assert outcome.noons[-1].moment + timedelta(days=1) == ends[-1]
    assert all("COLREG Rule 5" in event["DESCRIPTION"] for event in watches)
    told = days_told(outcome)
    for noon in outcome.noons[1:]:
        for watch in told[noon.day]["watches"]:
            hours = (int(watch["from_ship"][:2]) + int(watch["from_ship"][2:]) / 60.0 - 12.0) % 24.0
            middle = noon.moment + timedelta(hours=hours, minutes=10)
            (on,) = (event for event in watches if event["DTSTART"].dt <= middle < event["DTEND"].dt)
            assert f"Watch: {watch['on_watch']}" == str(on["SUMMARY"])


def test_a_watch_over_a_change_of_the_clock_says_both_zones() -> None:
    """Lagos to Horta: a zone westward, so that the noon at which the clock is put back comes an hour late."""
    outcome = sailed("lagos-azores")
    before, after = next(
        (first, second) for first, second in itertools.pairwise(outcome.noons) if first.zone_h != second.zone_h
    )
    assert timedelta(hours=25) == after.moment - before.moment
    watches = named(Calendar.from_ical(ics.export(outcome)).events, "Watch: ")
    (over,) = (event for event in watches if event["DTSTART"].dt < after.moment < event["DTEND"].dt)
    assert re.search(r"from \d{4} \(UTC−1\) to \d{4} \(UTC−2\)", over["DESCRIPTION"])


def test_the_calendar_tells_the_reports_of_the_float_plan_and_when_to_worry() -> None:
    """The demonstration agrees on a report every 24 h, worry 3 days and alarm 7 days after the slow end."""
    outcome = sailed(ROUTES[0])
    events = Calendar.from_ical(ics.export(outcome)).events
    reports = [event["DTSTART"].dt for event in named(events, "Cape Town to St Helena: report")]
    every = timedelta(days=1)
    assert [outcome.crossings.depart + every * number for number in range(1, len(reports) + 1)] == reports
    slow_end = outcome.crossings.depart + timedelta(hours=outcome.times.slow_end_h)
    assert timedelta(0) <= slow_end - reports[-1] < every
    for title, after in (("ask after her", timedelta(days=3)), ("call the rescue service", timedelta(days=7))):
        (event,) = named(events, f"Cape Town to St Helena: {title}")
        assert abs(slow_end + after - event["DTSTART"].dt) < timedelta(minutes=1)
    (landfall,) = named(events, "Cape Town to St Helena: landfall")
    assert f"overdue from {slow_end + timedelta(days=3):%d %b %H%M} UTC" in landfall["DESCRIPTION"]
    assert [] == named(Calendar.from_ical(ics.export(sailed(ROUTES[1]))).events, "Lagos to Horta: report")


def test_each_date_has_an_identity_that_a_later_departure_does_not_change() -> None:
    """RFC 5545, 3.8.4.7 (S): a calendar knows an event again by its UID."""
    outcome = sailed(ROUTES[0])
    later = replace(outcome, crossings=replace(outcome.crossings, depart=outcome.crossings.depart + timedelta(hours=6)))
    first, moved = (
        {str(event["SUMMARY"]): str(event["UID"]) for event in events if "Watch" not in str(event["SUMMARY"])}
        for events in (Calendar.from_ical(ics.export(one)).events for one in (outcome, later))
    )
    assert first == moved
    every = [str(event["UID"]) for event in Calendar.from_ical(ics.export(outcome)).events]
    assert len(set(every)) == len(every)


def test_every_table_is_in_the_csv_archive() -> None:
    outcome = sailed(ROUTES[0])
    with zipfile.ZipFile(io.BytesIO(csv_export.export(outcome))) as archive:
        files = {name: list(csv.DictReader(archive.read(name).decode().splitlines())) for name in archive.namelist()}
    days = plan_tables(outcome)["times"].to_json()["by_day"]
    assert [str(day["typical_run_nm"]) for day in days] == [row["typical_run_nm"] for row in files["times-by_day.csv"]]
    for name in plan_tables(outcome):
        assert any(file.startswith(name) for file in files) or plan_tables(outcome)[name] == {}
    assert csv_export.export(outcome) == csv_export.export(outcome)


def test_no_cell_holds_a_table_and_a_table_within_a_row_is_a_file_that_says_whose() -> None:
    outcome = sailed(ROUTES[0])
    with zipfile.ZipFile(io.BytesIO(csv_export.export(outcome))) as archive:
        files = {name: list(csv.DictReader(io.StringIO(archive.read(name).decode()))) for name in archive.namelist()}
    cells = [(name, cell) for name, rows in files.items() for row in rows for cell in row.values()]
    assert [] == [(name, cell) for name, cell in cells if re.search(r"\{'|\[\[|None", cell)]
    stores = plan_tables(outcome)["stores"].to_json()["stores"]
    told = files["stores-stores-left_by_day.csv"]
    assert sum(len(store["left_by_day"]) for store in stores) == len(told)
    for row in told:
        store = stores[int(row["row"]) - 1]
        (day,) = (day for day in store["left_by_day"] if str(day["day"]) == row["day"])
        assert (store["name"], str(day["typical_left"])) == (row["name"], row["typical_left"])


def test_a_formula_stays_text() -> None:
    outcome = renamed(sailed(ROUTES[1]), "=1+1", "@x", "-y")
    with zipfile.ZipFile(io.BytesIO(csv_export.export(outcome))) as archive:
        text = "".join(archive.read(name).decode() for name in archive.namelist())
    assert "'=1+1" in text


def test_netcdf_brings_back_the_crossings_and_says_what_they_are(tmp_path: Path) -> None:
    outcome = sailed(ROUTES[1])
    path = tmp_path / "crossings.nc"
    path.write_bytes(netcdf.export(outcome))
    with xr.open_dataset(path, decode_timedelta=False) as read:
        assert np.array_equal(outcome.crossings.distance_nm, read["distance_nm"].to_numpy())
        assert outcome.crossings.arrival_h == pytest.approx(read["arrival_h"].to_numpy())
        assert ("nmi", "kt") == (read["distance_nm"].attrs["units"], read["speed_kn"].attrs["units"])
        assert "eastward_wind" == read["wind_east_kn"].attrs["standard_name"]
        assert read.attrs["Conventions"].startswith("CF-")
        assert ["time", "realization"] == [read[name].attrs["standard_name"] for name in ("hour", "member")]
        hours = (read["hour"].to_numpy() - np.datetime64(outcome.crossings.depart.replace(tzinfo=None))).astype(float)
        assert np.arange(outcome.crossings.hours) == pytest.approx(hours / 3.6e12)
        assert {"lat_deg", "lon_deg"} <= set(read["distance_nm"].coords)
        assert outcome.crossings.distance_nm.shape == read["lat_deg"].shape
        flags = dict(zip(read["state"].attrs["flag_meanings"].split(), read["state"].attrs["flag_values"], strict=True))
        assert {
            "sailing": SAILING,
            "motoring": MOTORING,
            "hove_to": HOVE_TO,
            "arrived": ARRIVED,
        }.items() <= flags.items()


@pytest.mark.parametrize("format", ["gpx", "geojson", "ics", "csv", "netcdf"])
def test_the_command_writes_each(format: str, tmp_path: Path) -> None:
    path = tmp_path / "out"
    arguments = ["export", str(Path("routes") / ROUTES[1]), format, "--crossings", "20", "--out", str(path)]
    result = CliRunner().invoke(main, arguments)
    assert 0 == result.exit_code, result.output
    assert path.stat().st_size > 200


def test_the_route_has_a_point_at_every_waypoint_and_every_hundred_miles() -> None:
    outcome = sailed(ROUTES[0])
    names = [point.name for point in gpxpy.parse(gpx.export(outcome).decode()).routes[0].points]
    assert [w.name for w in outcome.facts.voyage.waypoints] == [name for name in names if not name.endswith(" nm")]
    legs = leg_summaries(outcome.ground.legs)
    assert len(names) == len(legs) + 1 + int(sum(leg.distance_nm for leg in legs) / 100.0)
