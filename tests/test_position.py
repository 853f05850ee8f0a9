"""Positions read as sailors write them, and printed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from passage.inputs.position import parse_latitude, parse_position
from passage.positions import format_latitude, format_position
from passage.units import Misread

OFF_CAPE_TOWN = (-(33 + 54.2 / 60), 18 + 25.5 / 60)


@pytest.mark.parametrize(
    "text",
    [
        "33 54.2S 18 25.5E",
        "33 54.2 S 018 25.5 E",
        "33°54.2'S 018°25.5'E",
        "33° 54.2′ S, 18° 25.5′ E",
        "33-54.2S, 018-25.5E",
        "33 54 12S 18 25 30E",
        "33°54'12\"S 018°25'30\"E",
        "S33 54.2 E18 25.5",
        "33 54.2s 18 25.5e",
        "33 54.2S18 25.5E",
        "33 54.2S / 18 25.5E",
        "33.9033333333S 18.425E",
        "-33.9033333333 18.425",
        "-33.9033333333, 18.425",
        "  -33.9033333333,+18.425 ",
    ],
)
def test_one_place_written_many_ways(text: str) -> None:
    """D: degrees plus minutes over sixty; ten decimals of a degree are good to 1e-9."""
    assert pytest.approx(parse_position(text), abs=1e-9) == OFF_CAPE_TOWN


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("91N 4E", "between 90S and 90N"),
        ("90 00.1N 4E", "between 90S and 90N"),
        ("4N 181W", "between 180W and 180E"),
        ("-91 4", "between 90S and 90N"),
        ("33 60S 18 25E", "less than 60"),
        ("33 59 60S 18 25E", "less than 60"),
        ("18 25E 33 54S", "N or S, first"),
        ("18 25E 17 54W", "N or S, first"),
        ("33 54S 17 54N", "E or W"),
        ("33 54.2 18 25.5", "which hemisphere"),
        ("33 54.2S 18 25.5", "a letter"),
        ("33 54,2S 18 25,5E", "decimal point"),
        ("-33,9 18,4", "decimal point"),
        ("-33 54S 18 25E", "not both"),
        ("33.5 20S 18E", "only the last"),
        ("33 20.5 10S 18E", "only the last"),
        ("1 2 3 4S 18E", "write latitude then longitude"),
        ("S 18E", "write latitude then longitude"),
        ("33S", "a letter"),
        ("here", "write latitude then longitude"),
        ("", "write latitude then longitude"),
        ("nan nan", "write latitude then longitude"),
        ("N33S 18E", "write latitude then longitude"),
    ],
)
def test_what_is_no_position_is_refused_with_a_reason(text: str, wanted: str) -> None:
    with pytest.raises(Misread) as refused:
        parse_position(text)
    assert wanted in refused.value.wanted


def test_the_poles_and_the_date_line_are_places() -> None:
    assert (90.0, 0.0) == parse_position("90N 0E")
    assert (-90.0, -180.0) == parse_position("90S 180E")
    assert (0.0, -180.0) == parse_position("0N 180W")


@pytest.mark.parametrize(("text", "expected"), [("40S", -40.0), ("40 30N", 40.5), ("N40 30", 40.5)])
def test_a_latitude_alone(text: str, expected: float) -> None:
    assert expected == parse_latitude(text)


@pytest.mark.parametrize("text", ["40", "40E", "S", "40N 30S", "91S", "forty"])
def test_what_is_no_latitude_is_refused(text: str) -> None:
    with pytest.raises(Misread):
        parse_latitude(text)


@pytest.mark.parametrize(
    ("place", "expected"),
    [
        (OFF_CAPE_TOWN, "33°54.2'S 018°25.5'E"),
        ((5.0, -5.5), "05°00.0'N 005°30.0'W"),
        ((33.99999, -17.99999), "34°00.0'N 018°00.0'W"),  # the rounding carries into the degrees
        ((-0.0001, -0.0001), "00°00.0'N 000°00.0'E"),  # nothing is neither south nor west
        ((90.0, -180.0), "90°00.0'N 180°00.0'W"),
        ((-10.165, 175.2), "10°09.9'S 175°12.0'E"),
    ],
)
def test_positions_in_print(place: tuple[float, float], expected: str) -> None:
    assert expected == format_position(*place)


def test_a_latitude_in_print() -> None:
    assert "40°30.0'S" == format_latitude(-40.5)


@given(st.floats(-90, 90), st.floats(-180, 180, exclude_max=True))
def test_what_is_printed_reads_back_to_a_twentieth_of_a_minute(latitude_deg: float, longitude_deg: float) -> None:
    read = parse_position(format_position(latitude_deg, longitude_deg))
    turned = (read.longitude_deg - longitude_deg + 180) % 360 - 180
    assert abs(read.latitude_deg - latitude_deg) <= 0.05 / 60 + 1e-9
    assert abs(turned) <= 0.05 / 60 + 1e-9


@given(st.text(max_size=30) | st.text(alphabet="0123456789 .,-°'NSEW", max_size=30))
def test_any_text_is_a_place_on_the_globe_or_refused(text: str) -> None:
    try:
        read = parse_position(text)
    except Misread:
        return
    assert -90 <= read.latitude_deg <= 90
    assert -180 <= read.longitude_deg < 180
