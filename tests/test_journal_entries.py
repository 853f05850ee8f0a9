"""What an entry may say, every fault at once, corrections beside what they correct. Entries are invented."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from passage.errors import InputFaults
from passage.journal.entries import FIELDS, OPTIONS, Setting, read_fields, read_moment, setting_of, standing
from passage.journal.record import Entry, entry_of, line_of
from passage.journal.show import words
from passage.tell.customary import UNITS, Units, told_in

START = datetime(2027, 2, 10, 8, tzinfo=UTC)
SETTING = Setting(
    ship="Invented",
    destination="off the island",
    hull_speed_kn=6.6,
    tanks_l={"keel tank": 90.0, "bow tank": 60.0},
    fuel_l=85.0,
    people=("skipper", "mate"),
    plan={},
)


def entry(number: int, day: float, kind: str = "noon", corrects: int | None = None, **body: Any) -> Entry:
    when = START + timedelta(days=day)
    return Entry(number, kind, when, when, body, corrects)


def test_a_whole_noon_is_read_in_the_units_it_is_kept_in() -> None:
    body = read_fields(
        {
            "position": "33 54.0S 18 25.5E",
            "course": "315",
            "speed": "5.2",
            "log": "126 nm",
            "wind": "SE 18 kn",
            "sea": "2.5 m",
            "barometer": "1016.5",
            "cloud": "3",
            "water": ["keel tank=62", "Bow tank = 12 US gal"],
            "fuel": "70 L",
            "battery": "78 %",
            "engine": "1204.5",
            "hove-to": "30 min",
            "sleep": ["skipper=6", "mate=5.5 h"],
            "bilge": "12",
            "deck": ["pins=ok", "chafe=preventer worn"],
            "remarks": "whales, two",
        },
        SETTING,
    )
    assert -33.9 == pytest.approx(body.pop("lat_deg"))
    assert 18.425 == pytest.approx(body.pop("lon_deg"))
    assert 45.42 == pytest.approx(body["water_l"].pop("bow tank"), abs=0.01)  # a US gallon is 3.785411784 L exactly
    assert {
        "course_deg": 315.0,
        "speed_kn": 5.2,
        "log_nm": 126.0,
        "wind_from_deg": 135.0,
        "wind_kn": 18.0,
        "sea_m": 2.5,
        "pressure_hpa": 1016.5,
        "cloud_oktas": 3.0,
        "water_l": {"keel tank": 62.0},
        "fuel_l": 70.0,
        "battery_share": 0.78,
        "engine_h": 1204.5,
        "hove_to_h": 0.5,
        "sleep_h": {"skipper": 6.0, "mate": 5.5},
        "bilge_strokes": 12,
        "deck": {"pins": "ok", "chafe": "preventer worn"},
        "remarks": "whales, two",
    } == body


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("SE 18", {"wind_from_deg": 135.0, "wind_kn": 18.0}),
        ("135° 18 kts", {"wind_from_deg": 135.0, "wind_kn": 18.0}),
        ("nnw, f7", {"wind_from_deg": 337.5, "wind_kn": 30.5}),
        ("360 5", {"wind_from_deg": 0.0, "wind_kn": 5.0}),
        ("calm", {"wind_kn": 0.0}),
    ],
)
def test_wind_as_it_is_spoken(text: str, expected: dict[str, float]) -> None:
    assert expected == read_fields({"wind": text}, SETTING)


@pytest.mark.parametrize(("force", "low", "high"), [(3, 7, 10), (5, 17, 21), (7, 28, 33), (8, 34, 40), (11, 56, 63)])
def test_a_force_lies_in_its_beaufort_class(force: int, low: float, high: float) -> None:
    """WMO code table 1100, knots (S)."""
    assert low <= read_fields({"wind": f"N F{force}"}, SETTING)["wind_kn"] <= high


@pytest.mark.parametrize(("text", "expected"), [("12.6 V", {"battery_v": 12.6}), ("64", {"battery_share": 0.64})])
def test_a_battery_is_in_volts_or_per_cent(text: str, expected: dict[str, float]) -> None:
    assert expected == read_fields({"battery": text}, SETTING)


def test_every_fault_is_told_at_once_with_what_would_be_right() -> None:
    with pytest.raises(InputFaults) as told:
        read_fields(
            {
                "position": "95S 3E",
                "course": "400",
                "wind": "SSSE 12",
                "water": ["kel tank=50", "sump=3", "bow tank=x"],
                "sleep": ["7"],
                "battery": "130 %",
                "bilge": "2.5",
                "moon": "full",
                "barometer": "30.1",
            },
            SETTING,
        )
    text = str(told.value)
    for said in (
        'position: "95S 3E"; a latitude lies between',
        'course: "400"; give 0 to 360',
        'wind: "SSSE 12"; write where it blows from',
        'water: "sump"; no such tank; there are keel tank, bow tank',
        'water: "x"; write a number',
        'sleep: "7"; say which person: skipper=...',
        'battery: "130 %"; give 0 to 100 %',
        'bilge: "2.5"; write a whole number',
        "moon: no such field",
        'barometer: "30.1"; give 870 to 1085',
    ):
        assert said in text
    assert "kel tank" not in text  # a slip of one letter is understood


def test_empty_options_say_nothing() -> None:
    assert {} == read_fields({"position": "", "water": [], "remarks": ""}, SETTING)


@given(st.dictionaries(st.sampled_from(sorted(OPTIONS)), st.text(max_size=30)))
def test_whatever_is_typed_is_read_or_told(typed: dict[str, str]) -> None:
    try:
        body = read_fields(typed, SETTING)
    except InputFaults:
        return
    kept = Entry(1, "noon", START, START, body)
    assert kept == entry_of(line_of(kept))


def test_every_field_has_an_option_of_its_own_and_a_meaning() -> None:
    assert len(FIELDS) == len(OPTIONS) == len({field.name for field in FIELDS})
    assert all(field.meaning for field in FIELDS)


CLOCK = datetime(2027, 2, 12, 12, 5, tzinfo=UTC)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("12:00", datetime(2027, 2, 12, 12, tzinfo=UTC)),
        ("1300", datetime(2027, 2, 11, 13, tzinfo=UTC)),
        ("2027-02-12 11:30", datetime(2027, 2, 12, 11, 30, tzinfo=UTC)),
        ("2027-02-12 11:30 UTC", datetime(2027, 2, 12, 11, 30, tzinfo=UTC)),
        ("2027-02-12T11:30-01:00", datetime(2027, 2, 12, 12, 30, tzinfo=UTC)),
    ],
)
def test_times(text: str, expected: datetime) -> None:
    assert expected == read_moment(text, CLOCK)


@pytest.mark.parametrize(
    ("text", "clock"), [("noon", CLOCK), ("25:00", CLOCK), ("2027-02-30 10:00", CLOCK), ("12:00", None)]
)
def test_what_is_no_time_is_told(text: str, clock: datetime | None) -> None:
    """An hour alone is no time where the computer's clock is wrong."""
    with pytest.raises(InputFaults, match="write the time in UTC"):
        read_moment(text, clock)


def test_a_correction_replaces_field_by_field_and_tank_by_tank() -> None:
    entries = [
        entry(1, 0, "start", lat_deg=-33.0, lon_deg=18.0),
        entry(2, 1, lat_deg=-32.0, lon_deg=17.0, water_l={"keel tank": 8.0, "bow tank": 60.0}, remarks="hot"),
        entry(3, 1.1, "correction", 2, water_l={"keel tank": 80.0}, time="2027-02-11T07:00:00Z"),
        entry(4, 1.2, "correction", 2, remarks="cool"),
    ]
    start, noon = standing(entries)
    assert 1 == start.number
    assert {"keel tank": 80.0, "bow tank": 60.0} == noon.body["water_l"]
    assert ("cool", -32.0) == (noon.body["remarks"], noon.body["lat_deg"])
    assert datetime(2027, 2, 11, 7, tzinfo=UTC) == noon.time
    assert {"keel tank": 8.0, "bow tank": 60.0} == entries[1].body["water_l"]


def test_a_struck_entry_is_left_out_and_order_follows_the_times() -> None:
    entries = [
        entry(1, 0, "start"),
        entry(2, 3),
        entry(3, 2),
        entry(4, 2.5),
        entry(5, 4, "correction", 4, struck=True),
    ]
    assert [1, 3, 2] == [each.number for each in standing(entries)]


def test_a_new_departure_ends_the_shakedown_before_it() -> None:
    entries = [entry(1, 0, "start", ship="A"), entry(2, 1), entry(3, 9, "start", ship="B"), entry(4, 10)]
    assert [3, 4] == [each.number for each in standing(entries)]
    assert "B" == setting_of(entries).ship


def test_a_log_without_a_departure_says_how_to_begin() -> None:
    with pytest.raises(InputFaults, match="begin it with: passage log start"):
        setting_of([])


def test_a_bare_number_is_in_the_units_that_are_printed() -> None:
    """An American crew's sounding of 12 is 12 gallons; the gallon is exact, 231 cubic inches."""
    with told_in(Units.US):
        body = read_fields({"water": ["keel tank=12"], "sea": "10", "fuel": "40 L"}, SETTING)
    assert 12 * 3.785411784 == pytest.approx(body["water_l"]["keel tank"])
    assert (pytest.approx(3.048), 40.0) == (body["sea_m"], body["fuel_l"])
    assert 12.0 == read_fields({"water": ["keel tank=12"]}, SETTING)["water_l"]["keel tank"]


def test_a_log_is_read_and_shown_in_the_units_of_its_boat() -> None:
    with told_in(Units.METRIC):
        setting = setting_of([entry(1, 0.0, "start", ship="x", units="us")])
        assert ("us", Units.US) == (setting.units, UNITS.get())
        assert "sea 10 ft; water keel tank 12 gal" == words({"water_l": {"keel tank": 45.42494}, "sea_m": 3.048})
    assert Units.METRIC is UNITS.get()
