"""Dead reckoning, runs, set and drift. Published figures name source and standing; other positions are invented."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from passage.inputs.position import parse_position
from passage.journal.reckoning import Point, after_running, carried_to, points, run, runs, stream
from passage.journal.record import Entry

START = datetime(2027, 2, 10, 12, tzinfo=UTC)


def entry(number: int, hours: float, kind: str = "noon", position: str = "", **body: Any) -> Entry:
    when = START + timedelta(hours=hours)
    place = dict(zip(("lat_deg", "lon_deg"), parse_position(position), strict=True)) if position else {}
    return Entry(number, kind, when, when, {**place, **body})


def point(position: str, hours: float = 0.0) -> Point:
    return Point(START + timedelta(hours=hours), *parse_position(position), True, 0.0, 1)


def test_dead_reckoning_by_course_and_miles() -> None:
    """Mid-latitude problem remembered from Bowditch (M): 15-17.0N 151-37.0E, 070 for 1253 miles, to 22-25.6N 172-21.2E.

    Worked on a sphere of one mile to the minute; the ellipsoid differs by up to 0.3 % of the miles, 4 in 1253.
    """
    found = points([entry(1, 0, "start", "15 17.0N 151 37.0E"), entry(2, 240, course_deg=70.0, log_nm=1253.0)])
    assert 22.0 + 25.6 / 60 == pytest.approx(found[1].lat_deg, abs=4 / 60)
    assert 172.0 + 21.2 / 60 == pytest.approx(found[1].lon_deg, abs=5 / 60)
    assert (False, 240.0) == (found[1].fix, found[1].since_fix_h)


def test_the_day_s_run_by_course_and_distance() -> None:
    """Mid-latitude problem remembered from Bowditch (M): 240.4 degrees, 1007.1 miles; sphere against ellipsoid as
    above.
    """
    made = run(point("8 48.9S 89 53.3W"), point("17 06.9S 104 51.6W", 240.0))
    assert 1007.1 == pytest.approx(made.distance_nm, rel=0.005)
    assert 240.4 == pytest.approx(made.course_deg, abs=0.3)
    assert 1007.1 / 240.0 == pytest.approx(made.speed_kn, rel=0.005)


@pytest.mark.parametrize(
    ("heading", "speed_kn", "track", "made_good_kn", "set_deg", "drift_kn"),
    [
        (276.53, 14.777, 265.0, 15.0, 185.0, 3.0),
        (80.0, 10.0, 88.95, 11.136, 140.0, 2.0),
        (83.39, 12.0, 95.0, 12.402, 170.0, 2.5),
        (231.83, 5.0, 242.0, 4.452, 0.0, 1.0),
    ],
)
def test_set_and_drift_close_the_current_triangle(
    heading: float, speed_kn: float, track: float, made_good_kn: float, set_deg: float, drift_kn: float
) -> None:
    """Current-sailing examples of Bowditch and a lecture (S, M), recomputed to more places; one hour near the
    equator, where the earth is flat to a thousandth.
    """
    from passage.sailings import rhumb

    fix = rhumb.direct(0.0, 0.0, track, made_good_kn)
    end = Point(START + timedelta(hours=1), fix.lat_deg, fix.lon_deg, True, 0.0, 2)
    found = stream(point("0N 0E"), end, heading, speed_kn)
    assert found is not None
    assert 0.0 == pytest.approx((found.set_deg - set_deg + 180.0) % 360.0 - 180.0, abs=0.5)
    assert drift_kn == pytest.approx(found.drift_kn, abs=0.02)


@given(
    st.floats(-65.0, 65.0),
    st.floats(-180.0, 180.0, exclude_max=True),
    st.floats(0.0, 360.0, exclude_max=True),
    st.floats(1.0, 300.0),
)
def test_the_day_s_work_agrees_with_the_exact_rhumb_line(lat: float, lon: float, course: float, miles: float) -> None:
    """T, the exact rhumb line of the sailings: within a thousandth of the run up to 300 miles and 65 degrees of
    latitude.

    Mid-latitude sailing errs in longitude by a part of (difference of latitude)^2 / 12, 5 degrees: 0.0006 (D).
    """
    from passage.sailings import geodesic, rhumb

    reckoned, exact = after_running(lat, lon, course, miles), rhumb.direct(lat, lon, course, miles)
    off_nm = geodesic.inverse(*reckoned, exact.lat_deg, exact.lon_deg).distance_nm
    assert off_nm <= 0.001 * miles
    there = Point(START + timedelta(hours=24), *reckoned, True, 0.0, 2)
    back = run(Point(START, lat, lon, True, 0.0, 1), there)
    assert miles == pytest.approx(back.distance_nm, rel=1e-6)
    assert 0.0 == pytest.approx((back.course_deg - course + 180.0) % 360.0 - 180.0, abs=1e-4)


def test_a_course_to_the_pole_ends_there() -> None:
    assert 90.0 == after_running(89.9, 10.0, 0.0, 60.0)[0]


def test_no_stream_without_two_fixes_nor_within_a_tenth_of_a_knot() -> None:
    start, end = point("0N 0E"), point("2N 0E", 24.0)
    reckoned = Point(end.time, end.lat_deg, end.lon_deg, False, 24.0, 2)
    assert stream(start, reckoned, 0.0, 60.0) is None
    assert stream(start, end, 0.0, 119.5) is None


def test_a_reckoned_point_grows_older_until_the_next_fix() -> None:
    found = points(
        [
            entry(1, 0, "start", "20S 10W"),
            entry(2, 24, course_deg=0.0, speed_kn=5.0),
            entry(3, 30, "note", remarks="whale"),
            entry(4, 48, course_deg=0.0, log_nm=110.0),
            entry(5, 72, position="14S 10W"),
        ]
    )
    assert [0.0, 24.0, 48.0, 0.0] == [each.since_fix_h for each in found]
    assert 120.0 == pytest.approx(runs(found)[0].distance_nm, abs=1e-6)
    assert 110.0 == pytest.approx(runs(found)[1].distance_nm, abs=1e-6)


def test_a_noon_that_says_neither_where_nor_how_far_gives_no_point() -> None:
    assert 1 == len(
        points([entry(1, 0, "start", "20S 10W"), entry(2, 24, remarks="gale"), entry(3, 30, course_deg=5.0)])
    )


def test_a_point_is_carried_on_by_the_last_run_for_two_days_at_most() -> None:
    found = points([entry(1, 0, "start", "20S 10W"), entry(2, 24, position="18S 10W")])
    speed_kn = runs(found)[0].speed_kn
    later = carried_to(found, START + timedelta(hours=30))
    assert (False, 6.0) == (later.fix, later.since_fix_h)
    assert 6.0 * speed_kn == pytest.approx(run(found[1], later).distance_nm, rel=1e-9)
    much_later = carried_to(found, START + timedelta(hours=500))
    assert 48.0 * speed_kn == pytest.approx(run(found[1], much_later).distance_nm, rel=1e-9)
    assert found[1] == carried_to(found, START)


def test_a_run_over_the_date_line_goes_the_short_way() -> None:
    made = run(point("20S 179 30E"), point("20S 179 30W", 12.0))
    assert 90.0 == pytest.approx(made.course_deg)
    assert 56.5 == pytest.approx(made.distance_nm, abs=0.2)  # 60 cos 20 = 56.4 on the sphere (D)
