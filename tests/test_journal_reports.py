"""Reports, and the log as CSV, GPX and iCalendar, read back by libraries of their own. Entries are invented."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime, timedelta
from typing import Any

import gpxpy
import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from passage.consequences.lists.floatplan import Overdue, overdue
from passage.inputs.gear import FloatPlan
from passage.journal.entries import Setting
from passage.journal.export import Date, coming_dates, to_csv, to_gpx, to_ics
from passage.journal.reckoning import Point, Run, points
from passage.journal.record import Entry
from passage.journal.reports import (
    LINES,
    REPORT_TYPES,
    SATELLITE_LETTERS,
    Ashore,
    date_time_group,
    if_missed,
    latest_noon,
    missed_text,
    position_group,
    satellite_text,
    ship_report,
)

NOON = datetime(2027, 2, 12, 12, 5, tzinfo=UTC)
SETTING = Setting("Müller & Søn", "off James Bay", 6.6, {"keel, big": 90.0}, 85.0, ("skipper", "mate"), {})
HERE = Point(NOON, -28.2345, -5.2, True, 0.0, 7)
MADE = Run(24.0, 115.2, 314.6)
ASHORE = Ashore(
    eta=datetime(2027, 3, 1, 10, tzinfo=UTC),
    departed_from="Cape Town",
    route="Great circle",
    weather="SE 5, sea 2 m",
    persons=2,
    remarks="All well",
)


def entry(number: int, day: float, kind: str = "noon", **body: Any) -> Entry:
    when = NOON + timedelta(days=day)
    return Entry(number, kind, when, when, body)


def test_a_position_report_by_the_lines_of_a_851() -> None:
    """IMO Resolution A.851(20), general form, from memory (M): DDHHMM with Z, latitude in four figures and longitude in
    five, three-figure course, speed in knots and tenths in three figures.
    """
    expected = (
        "PR",
        "A/M?LLER & S?N",
        "B/121205Z",
        "C/2814S 00512W",
        "E/315",
        "F/048",
        "I/OFF JAMES BAY/011000Z",
        "N/131205Z",
        "S/SE 5, SEA 2 M",
        "X/ALL WELL",
    )
    assert expected == tuple(ship_report("PR", SETTING, HERE, MADE, ASHORE).splitlines())


@pytest.mark.parametrize("kind", list(REPORT_TYPES))
def test_lines_stand_in_their_published_order(kind: Any) -> None:
    first, *lines = ship_report(kind, SETTING, HERE, MADE, ASHORE).splitlines()
    assert kind == first
    letters = [line[0] for line in lines]
    assert sorted(letters, key=LINES.index) == letters
    assert ["A", "B", "C"] == letters[:3]


def test_a_final_report_asks_nobody_to_wait_for_another() -> None:
    text = ship_report("FR", SETTING, HERE, MADE, ASHORE)
    assert not any(line.startswith(("N/", "E/", "F/")) for line in text.splitlines())


def test_a_reckoned_position_says_so() -> None:
    reckoned = Point(NOON, -28.0, -5.0, False, 24.0, 7)
    assert "X/POSITION RECKONED" in ship_report("PR", SETTING, reckoned, None, Ashore())
    assert " DR " in satellite_text(SETTING, reckoned, None, None, Ashore())


@pytest.mark.parametrize(
    ("lat", "lon", "expected"),
    [
        (-28.2345, -5.2, "2814S 00512W"),
        (0.0, 0.0, "0000N 00000E"),
        (-0.001, 179.9999, "0000N 18000E"),
        (59.9999, -0.5, "6000N 00030W"),
    ],
)
def test_position_groups_round_to_the_minute_and_carry(lat: float, lon: float, expected: str) -> None:
    assert expected == position_group(lat, lon)


def test_a_date_time_group_is_in_utc() -> None:
    assert "121205Z" == date_time_group(NOON.astimezone(datetime.now().astimezone().tzinfo))


def test_a_satellite_message_says_what_matters_in_160_plain_letters() -> None:
    noon = entry(7, 0, wind_from_deg=135.0, wind_kn=18.0, water_l={"keel, big": 62.0}, remarks="all well aboard")
    text = satellite_text(SETTING, HERE, noon, MADE, Ashore(eta=ASHORE.eta))
    assert "28 14.1S 005 12.0W 315 4.8kn eta 03-01 next 13 12:05Z wind 135/18 water 62L all well aboard" in text
    assert text.isascii()
    assert len(text) <= SATELLITE_LETTERS


@given(st.text(max_size=300), st.text(max_size=300), st.text(max_size=80))
def test_a_satellite_message_never_outgrows_its_letters(remarks: str, defects: str, ship: str) -> None:
    setting = Setting(ship, "x", 6.0, {}, 0.0, (), {})
    text = satellite_text(setting, HERE, entry(7, 0, remarks=remarks), MADE, Ashore(defects=defects))
    assert len(text) <= SATELLITE_LETTERS
    assert text.isascii()
    assert text.isprintable()
    assert "28 14.1S 005 12.0W" in text


def late(slow_end: datetime | None) -> Overdue:
    return overdue(FloatPlan(worry_after_h=72.0, alarm_after_h=168.0), NOON, slow_end)


def test_a_missed_report_leads_step_by_step_to_the_rescue_authority() -> None:
    slow_end = NOON + timedelta(days=17)
    steps = if_missed(NOON, 24.0, late(slow_end))
    assert NOON + timedelta(hours=24) == steps[0].from_time
    assert sorted(step.from_time for step in steps) == [step.from_time for step in steps]
    assert slow_end + timedelta(days=7) == steps[-1].from_time
    assert "rescue authority" in steps[-1].what
    text = missed_text(NOON, 24.0, late(slow_end))
    assert "ring the rescue authority at once" in text.splitlines()[0]


def test_she_is_overdue_when_the_float_plan_says_so_and_no_sooner() -> None:
    """D: worry 3 days and alarm 7 days after the slow end, the first before a report every ten days is due."""
    slow_end = NOON + timedelta(hours=20)
    steps = if_missed(NOON, 240.0, late(slow_end))
    assert (slow_end + timedelta(days=3), True) == (steps[0].from_time, "overdue" in steps[0].what)
    assert slow_end + timedelta(days=7) == steps[1].from_time
    assert "rescue authority" in steps[1].what
    assert {"due", "missed"}.isdisjoint(steps[0].what.split())
    assert not any("overdue" in step.what for step in if_missed(NOON, 240.0, late(None)))


def test_csv_has_a_column_for_each_field_and_tank() -> None:
    entries = [
        entry(1, 0, "start", lat_deg=-33.0, lon_deg=18.0),
        entry(2, 1, water_l={"keel, big": 62.0}, deck={"pins": "ok"}, remarks='wind "backed",\nsea down', wind_kn=12.0),
        entry(3, 2, remarks="=1+1"),
    ]
    rows = list(csv.DictReader(io.StringIO(to_csv(entries))))
    assert ["1", "2", "3"] == [row["number"] for row in rows]
    assert ("-33.0", "") == (rows[0]["lat_deg"], rows[0]["wind_kn"])
    assert ("62.0", "ok", "12.0") == (rows[1]["water_l keel, big"], rows[1]["deck pins"], rows[1]["wind_kn"])
    assert 'wind "backed",\nsea down' == rows[1]["remarks"]
    assert "'=1+1" == rows[2]["remarks"]


def test_gpx_is_read_back_by_gpxpy_with_the_date_line_cut() -> None:
    entries = [
        entry(1, 0, "start", lat_deg=-20.0, lon_deg=179.5),
        entry(2, 1, lat_deg=-20.5, lon_deg=-179.9),
        entry(3, 2, course_deg=90.0, log_nm=60.0),
        entry(4, 3, lat_deg=-21.0, lon_deg=179.999999),
    ]
    gpx = gpxpy.parse(to_gpx(points(entries), SETTING))
    (track,) = gpx.tracks
    assert "Müller & Søn to off James Bay" == track.name
    assert [1, 2, 1] == [len(segment.points) for segment in track.segments]
    first, second, third = track.segments[0].points[0], *track.segments[1].points
    assert (-20.0, 179.5, NOON) == (first.latitude, first.longitude, first.time)
    assert second.comment is None
    assert "dead reckoning" == third.comment
    assert -180.0 == track.segments[2].points[0].longitude  # GPX 1.1: longitude is less than 180


def test_the_calendar_is_read_back_by_icalendar() -> None:
    typical, slow_end = NOON + timedelta(days=15, seconds=30), NOON + timedelta(days=19)
    text = to_ics(
        coming_dates("Ship; one", NOON + timedelta(days=1), "a, b\nc\\d", typical, slow_end, late(None)), NOON
    )
    calendar = icalendar.Calendar.from_ical(text)
    assert "2.0" == calendar["VERSION"]
    report, landfall = calendar.walk("VEVENT")
    assert "Report from Ship; one due" == str(report["SUMMARY"])
    assert "a, b\nc\\d" == str(report["DESCRIPTION"])
    assert NOON + timedelta(days=1) == report.decoded("DTSTART")
    assert (typical, slow_end) == (landfall.decoded("DTSTART"), landfall.decoded("DTEND"))
    assert str(report["UID"]) != str(landfall["UID"])


def test_a_date_that_moves_keeps_its_identity() -> None:
    """RFC 5545 section 3.8.4.7 (S): a calendar knows an event again by its UID."""
    typical, slow_end = NOON + timedelta(days=15), NOON + timedelta(days=19)
    a_day = timedelta(days=1)
    first, later = (
        [str(event["UID"]) for event in icalendar.Calendar.from_ical(to_ics(dates, NOON)).walk("VEVENT")]
        for dates in (
            coming_dates("Ship", NOON, "", typical, slow_end, late(slow_end)),
            coming_dates("Ship", NOON + a_day, "", typical + a_day, slow_end + a_day, late(slow_end + a_day)),
        )
    )
    assert first == later
    assert 4 == len(set(first))


def test_the_calendar_of_the_log_calls_her_overdue_when_the_float_plan_does() -> None:
    typical, slow_end = NOON + timedelta(days=15), NOON + timedelta(days=19)
    _, landfall, worry, alarm = coming_dates("Ship", NOON, "", typical, slow_end, late(slow_end))
    assert slow_end == landfall.begins + landfall.lasts
    assert (slow_end + timedelta(days=3), slow_end + timedelta(days=7)) == (worry.begins, alarm.begins)
    assert f"overdue from {slow_end + timedelta(days=3):%d %b %H%M} UTC" in landfall.text


@given(st.text(alphabet=st.characters(exclude_categories=["Cs", "Cc"]), max_size=200))
def test_no_calendar_line_is_longer_than_75_octets(title: str) -> None:
    """RFC 5545 section 3.1 (S): lines folded at 75 octets, ended by CRLF."""
    text = to_ics([Date(NOON, timedelta(hours=1), title, title, "it")], NOON)
    assert text.endswith("\r\n")
    assert max(len(line.encode()) for line in text.split("\r\n")) <= 75
    (event,) = icalendar.Calendar.from_ical(text).walk("VEVENT")
    assert title == str(event["SUMMARY"])


def test_without_an_arrival_only_the_report_is_a_date() -> None:
    assert 1 == len(coming_dates("Ship", NOON, "", None, None, late(None)))


def test_the_latest_noon_is_no_note() -> None:
    found = latest_noon([entry(1, 0, "start"), entry(2, 1), entry(3, 2, "note")])
    assert found and 2 == found.number
    assert latest_noon([entry(1, 0, "start")]) is None
