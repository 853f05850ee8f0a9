"""Sun and moon against printed almanacs; the quick solar altitude against the ephemeris."""

from __future__ import annotations

import csv
import math
import os
import subprocess
import sys
import warnings
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from timeit import repeat
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.errors import OutOfRange
from passage.sailings.sky import (
    SUNRISE_DEG,
    AlmanacDay,
    almanac,
    days_since_j2000,
    sun_altitude_deg,
    sun_declination_deg,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

PUBLISHED = Path(__file__).parent / "published"
ROWS = {
    row["id"]: row for row in csv.DictReader((PUBLISHED / "03_sun_moon.csv").read_text(encoding="utf-8").splitlines())
}
OHIO = (40.8939, -83.8917)
DEFIANCE = (41.281944, -84.362778)
# The places of the table's forward rows; degrees and minutes from NGA Pub. 151 [S] where they are ports.
PLACES = {
    "Las ": (28.141667, -15.416667),
    "mid-": (20.0, -40.0),
    "Brid": (13.083333, -59.616667),
    "Cape": (-33.9, 18.433333),
    "Hono": (21.308333, -157.870833),
    "Suva": (-18.133333, 178.416667),
}
FORWARD = [name for name in ROWS if name.startswith("DM-")]


def one_day(day: date, place: tuple[float, float]) -> AlmanacDay:
    (found,) = almanac([day], [place[0]], [place[1]])
    return found


def utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def seconds_apart(expected: str, found: datetime | None) -> float:
    assert found is not None
    return abs((utc(expected) - found).total_seconds())


def test_sunrise_and_sunset_to_the_second() -> None:
    # Skyfield documentation, almanac.rst [S]; one second of rounding on either side.
    twelfth, thirteenth = one_day(date(2018, 9, 12), OHIO), one_day(date(2018, 9, 13), OHIO)
    assert seconds_apart("2018-09-12T11:13:12", twelfth.sunrise) <= 1
    assert seconds_apart("2018-09-12T23:49:38", twelfth.sunset) <= 1
    assert seconds_apart("2018-09-13T11:14:12", thirteenth.sunrise) <= 1
    assert seconds_apart("2018-09-13T23:47:56", thirteenth.sunset) <= 1


def test_twilights_of_the_naval_observatory() -> None:
    # Defiance, Ohio, 2019-11-08: US Naval Observatory, quoted in Skyfield's tests [S], whole minutes: half of one.
    day = one_day(date(2019, 11, 8), DEFIANCE)
    printed = {
        "nautical_dawn": "11:15",
        "civil_dawn": "11:48",
        "sunrise": "12:17",
        "sunset": "22:25",
        "civil_dusk": "22:54",
        "nautical_dusk": "23:27",
    }
    for event, minute in printed.items():
        assert seconds_apart(f"2019-11-08T{minute}:00", getattr(day, event)) <= 31, event


def test_moonrise_and_moonset_to_the_second() -> None:
    # Skyfield documentation, almanac.rst [S].
    day = one_day(date(2023, 12, 27), OHIO)
    assert seconds_apart("2023-12-27T22:40:11", day.moonrise) <= 1
    assert seconds_apart("2023-12-27T13:54:47", day.moonset) <= 1


@pytest.mark.parametrize("name", FORWARD)
def test_rise_set_and_twilight_at_ports_to_come(name: str) -> None:
    # Computed with Skyfield on DE421 [T], by local days, cut off to the second; positions kept to 1e-6 degree.
    place, event = PLACES[name[3:7]], name.split("-")[-2]
    expected = ROWS[name]["skyfield_utc"]
    found = one_day((utc(expected) + timedelta(hours=place[1] / 15)).date(), place)
    setting = {"sun": found.sunset, "civil": found.civil_dusk, "nautical": found.nautical_dusk}
    assert seconds_apart(expected, setting[event]) <= 2


def test_polar_night_is_told_by_flags() -> None:
    # Skyfield documentation [S]: 67.4 N, sunrise does not happen from 20 to 23 December 2022.
    days = [date(2022, 12, 18) + timedelta(n) for n in range(8)]
    found = almanac(days, [67.4066] * 8, [20.0997] * 8)
    assert [True, True, False, False, False, False, True, True] == [day.sunrise is not None for day in found]
    assert ["no", "no", "down", "down", "down", "down", "no", "no"] == [day.sun_all_day for day in found]
    # The last sunrise grazes the horizon for a quarter of an hour, and still agrees within the tolerance of the others.
    assert seconds_apart(ROWS["PN-1"]["published_utc"], found[1].sunrise) <= 1
    assert all(day.civil_dawn is not None for day in found)


def test_midnight_sun_is_told_by_flags() -> None:
    # Skyfield documentation [S]: 71.3 N on 21 June 2023, no sunset, lowest 4.7265 degrees at 10:28:55 UTC. The local
    # day holds the next night's lowest too, which is less than 0.002 degree lower so soon after the solstice.
    day = one_day(date(2023, 6, 21), (71.2906, -156.7886))
    assert "up" == day.sun_all_day
    assert (None, None, None, None) == (day.sunrise, day.sunset, day.civil_dusk, day.nautical_dawn)
    assert pytest.approx(4.7265, abs=0.002) == day.lowest_sun_deg
    quick = sun_altitude_deg(np.datetime64("2023-06-21T10:28:55"), 71.2906, -156.7886)
    assert pytest.approx(4.7265, abs=0.013) == quick


def test_bright_nights_have_no_nautical_twilight() -> None:
    # The sun stays above -12 degrees where latitude > 78 - declination: at midsummer above 54.6 N [D].
    assert one_day(date(2026, 6, 21), (54.0, -10.0)).nautical_dusk is not None
    bright = one_day(date(2026, 6, 21), (55.0, -10.0))
    assert bright.nautical_dusk is None
    assert -12 < bright.lowest_sun_deg < -6
    assert bright.civil_dusk is not None


def test_illuminated_fraction_of_the_naval_observatory() -> None:
    # US Naval Observatory, quoted in Skyfield's tests [S]: 2018-09-09 to 18 at 05 h UTC, which is midnight at 75 W.
    printed = [0.0, 0.0, 0.03, 0.08, 0.15, 0.24, 0.33, 0.43, 0.52, 0.62]
    days = [date(2018, 9, 8) + timedelta(n) for n in range(10)]
    found = almanac(days, [0.0] * 10, [-75.0] * 10)
    assert pytest.approx(printed, abs=0.0051) == [day.moon_illuminated for day in found]


@pytest.mark.parametrize(
    ("instant", "phase"),
    # Skyfield documentation and the Naval Observatory [S]; then Skyfield on DE421 [T].
    [
        ("2018-09-03T02:37:24", "last quarter"),
        ("2018-09-09T18:01:28", "new moon"),
        ("2018-09-16T23:15:00", "first quarter"),
        ("2018-09-25T02:52:00", "full moon"),
        *((ROWS[name]["skyfield_utc"], ROWS[name]["event"].lower()) for name in ROWS if name.startswith("MP-26/27")),
    ],
)
def test_a_phase_belongs_to_the_day_of_its_instant(instant: str, phase: str) -> None:
    day = utc(instant).date()
    before, on, after = almanac([day - timedelta(1), day, day + timedelta(1)], [0.0] * 3, [0.0] * 3)
    assert phase == on.moon_phase
    assert phase not in (before.moon_phase, after.moon_phase)


def test_the_names_run_in_order_round_the_month() -> None:
    days = [date(2026, 11, 8) + timedelta(n) for n in range(32)]
    names = [day.moon_phase for day in almanac(days, [0.0] * 32, [0.0] * 32)]
    runs = [name for before, name in pairwise(names) if name != before]
    assert [
        "new moon",
        "waxing crescent",
        "first quarter",
        "waxing gibbous",
        "full moon",
        "waning gibbous",
        "last quarter",
        "waning crescent",
        "new moon",
    ] == runs


def test_some_days_have_no_moonrise_and_none_has_two() -> None:
    # The moon rises about 50 minutes later each day, so one day in each lunation goes without [P].
    days = [date(2026, 11, 1) + timedelta(n) for n in range(59)]
    found = almanac(days, [20.0] * 59, [-40.0] * 59)
    assert 2 == sum(day.moonrise is None for day in found)
    rises = [day.moonrise for day in found if day.moonrise is not None]
    gaps_h = [(later - earlier).total_seconds() / 3600 for earlier, later in pairwise(rises)]
    assert 24.2 < min(gaps_h)
    assert max(gaps_h) < 25.7


def test_events_stand_in_order_within_the_day() -> None:
    for day in almanac([date(2026, 3, 1) + timedelta(n) for n in range(30)], range(-45, 45, 3), range(-180, 180, 12)):
        light = (day.nautical_dawn, day.civil_dawn, day.sunrise, day.sunset, day.civil_dusk, day.nautical_dusk)
        times = [moment for moment in light if moment is not None]
        assert len(times) == 6
        assert sorted(times) == times
        assert day.begins <= times[0]
        assert times[-1] < day.begins + timedelta(days=1)


def test_a_turn_of_longitude_changes_nothing() -> None:
    there, turned = one_day(date(2026, 11, 20), (20.0, -40.0)), one_day(date(2026, 11, 20), (20.0, 320.0))
    assert there == turned


def test_moonrise_agrees_with_skyfield_s_own_search() -> None:
    # Skyfield's find_risings and find_settings [T] at invented positions across an ocean and over 180 degrees.
    from importlib.resources import files

    from skyfield import almanac as searcher
    from skyfield.api import load, load_file, wgs84

    days = [date(2027, 5, 1) + timedelta(n) for n in range(0, 28, 4)]
    lats, lons = np.linspace(-30, 20, len(days)), np.linspace(160, 215, len(days))
    found = almanac(days, lats, lons)
    scale = load.timescale()
    with closing(load_file(str(files("skyfield_data") / "data" / "de421.bsp"))) as kernel:
        for day in found:
            observer = kernel["earth"] + wgs84.latlon(day.lat_deg, day.lon_deg)
            span = scale.from_datetimes([day.begins, day.begins + timedelta(days=1)])
            for search, ours in ((searcher.find_risings, day.moonrise), (searcher.find_settings, day.moonset)):
                moments, happens = search(observer, kernel["moon"], span[0], span[1])
                if ours is None:
                    assert not happens.any()
                    continue
                assert abs((moments[0].utc_datetime() - ours).total_seconds()) <= 1


@pytest.mark.parametrize(
    ("lat", "lon", "year"), [(95.0, 0.0, 2026), (0.0, np.nan, 2026), (0.0, 0.0, 2053), (0.0, 0.0, 1899)]
)
def test_places_and_years_out_of_reach_are_refused(lat: float, lon: float, year: int) -> None:
    with pytest.raises(OutOfRange):
        almanac([date(year, 1, 1)], [lat], [lon])


def test_no_days_make_an_empty_almanac() -> None:
    assert () == almanac([], [], [])


def test_forty_days_at_sea_take_under_a_second() -> None:
    days = [date(2026, 11, 20) + timedelta(n) for n in range(40)]
    seconds = min(repeat(lambda: almanac(days, np.linspace(28, 13, 40), np.linspace(-15, -60, 40)), number=1, repeat=3))
    assert seconds < 1.0


def test_the_almanac_neither_warns_nor_writes_nor_asks_the_network(tmp_path: Path) -> None:
    """In a fresh process, in an empty folder, with every socket refused and every warning an error."""
    code = (
        "import socket\n"
        "def refuse(*_, **__): raise RuntimeError('network asked for')\n"
        "socket.socket.connect = socket.create_connection = socket.getaddrinfo = refuse\n"
        "from datetime import date\n"
        "from passage.sailings.sky import almanac\n"
        "print(almanac([date(2028, 1, 1)], [0.0], [0.0])[0].sunrise)\n"
    )
    root = str(Path(__file__).parents[1])
    done = subprocess.run(
        [sys.executable, "-W", "error", "-B", "-c", code],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": root},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert ("", 0) == (done.stderr, done.returncode)
    assert done.stdout.startswith("2028-01-01 05:5") or done.stdout.startswith("2028-01-01 06:0")
    assert [] == list(tmp_path.iterdir())


@pytest.fixture(scope="module")
def sun_of_ephemeris() -> Iterator[tuple[np.ndarray, dict[tuple[float, float], np.ndarray], np.ndarray]]:
    """Times over 2025-2035, the sun's altitude at places by Skyfield on DE421 [T], and her declination."""
    from importlib.resources import files

    from skyfield.api import load, load_file, wgs84

    minutes = np.random.default_rng(21).integers(0, 11 * 365 * 24 * 60, 800)
    times = load.timescale().utc(2025, 1, 1, 0, minutes)
    places = [(0.0, 0.0), (28.0, -15.0), (-45.0, 170.0), (60.0, -179.9), (75.0, 20.0), (-90.0, 0.0)]
    with warnings.catch_warnings(), closing(load_file(str(files("skyfield_data") / "data" / "de421.bsp"))) as kernel:
        earth, sun = kernel["earth"], kernel["sun"]
        altitudes = {
            place: (earth + wgs84.latlon(*place)).at(times).observe(sun).apparent().altaz()[0].degrees
            for place in places
        }
        declination = earth.at(times).observe(sun).apparent().radec("date")[1].degrees
    yield np.datetime64("2025-01-01T00:00", "s") + minutes * np.timedelta64(60, "s"), altitudes, declination


def test_the_quick_altitude_keeps_its_stated_error(
    sun_of_ephemeris: tuple[np.ndarray, dict[tuple[float, float], np.ndarray], np.ndarray],
) -> None:
    times, altitudes, declination = sun_of_ephemeris
    for place, altitude in altitudes.items():
        assert np.abs(sun_altitude_deg(times, *place) - altitude).max() < 0.013
    # The Astronomical Almanac states 0.01 degree for the position of the sun.
    assert np.abs(sun_declination_deg(times) - declination).max() < 0.01


def test_the_quick_altitude_gives_sunrise_to_the_minute() -> None:
    """At the almanac's moment of sunrise and sunset the quick altitude is within a minute of the horizon, below 60
    degrees.
    """
    days = [date(2025, 1, 1) + timedelta(n * 37) for n in range(100)]
    lats, lons = np.tile(np.linspace(-58, 58, 20), 5), np.linspace(-180, 179, 100)
    for day in almanac(days, lats, lons):
        for event, sign in ((day.sunrise, 1), (day.sunset, -1)):
            assert event is not None
            moment = np.datetime64(event.replace(tzinfo=None), "s")
            minute = np.timedelta64(60 * sign, "s")
            before, after = sun_altitude_deg(np.array([moment - minute, moment + minute]), day.lat_deg, day.lon_deg)
            assert before < SUNRISE_DEG < after


def test_the_quick_altitude_of_the_spa_report() -> None:
    # NREL/TP-560-34302 example [M, reproduced]: zenith 50.11162, with parallax 0.0018 and with refraction at 820 mbar
    # and 11 C, which by Saemundsson's formula [M] is 0.016 degree.
    true = 90 - 50.11162 - 0.016 + 0.0018
    refraction_deg = 1.02 / 60 / math.tan(math.radians(true + 10.3 / (true + 5.11))) * 820 / 1010 * 283 / (273 + 11)
    assert pytest.approx(0.016, abs=5e-4) == refraction_deg
    found = sun_altitude_deg(np.datetime64("2003-10-17T19:30:30"), 39.742476, -105.1786)
    assert pytest.approx(true, abs=0.013) == found


def test_altitudes_broadcast_over_time_and_place() -> None:
    times = np.datetime64("2026-06-01T00:00") + np.arange(48)[:, np.newaxis] * np.timedelta64(1, "h")
    lats, lons = np.linspace(-40, 40, 7), np.linspace(-180, 180, 7)
    table = sun_altitude_deg(times, lats, lons)
    assert (48, 7) == table.shape
    assert pytest.approx(float(sun_altitude_deg(times[5, 0], lats[3], lons[3]))) == table[5, 3]
    assert pytest.approx(table[:, 0], abs=1e-9) == sun_altitude_deg(times[:, 0], lats[0], lons[0] + 360.0)


def test_solstices_and_equinoxes() -> None:
    # Skyfield documentation [S]: declination stands at its extremes and at 0; 0.01 degree of the formula.
    assert pytest.approx(0.0, abs=0.01) == sun_declination_deg(np.datetime64("2018-03-20T16:15:27"))
    assert pytest.approx(23.435, abs=0.01) == sun_declination_deg(np.datetime64("2018-06-21T10:07:18"))
    assert pytest.approx(0.0, abs=0.01) == sun_declination_deg(np.datetime64("2018-09-23T01:54:06"))
    assert pytest.approx(-23.435, abs=0.01) == sun_declination_deg(np.datetime64("2018-12-21T22:22:44"))


def test_the_epoch() -> None:
    assert 0.0 == days_since_j2000(np.datetime64("2000-01-01T12:00"))
    assert pytest.approx(9496.5) == days_since_j2000(np.datetime64("2026-01-01T00:00"))
