"""What a voyage file says, and the skipper's control figure."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest

from passage.errors import InputFaults
from passage.inputs.toml import read_fact
from passage.inputs.voyage import Reserve, Voyage, Waypoint, control_sentence, waypoints_toml

if TYPE_CHECKING:
    from pathlib import Path

LEG = """
[[waypoint]]
name = "a"
position = "33 50.0S 17 00.0E"
[[waypoint]]
name = "b"
position = "30 00.0S 10 00.0E"
"""


def voyage(tmp_path: Path, depart: str = '"2027-02-10 08:00"', rest: str = "", legs: str = LEG) -> Voyage:
    path = tmp_path / "voyage.toml"
    path.write_text(f'[voyage]\nname = "v"\ndepart = {depart}\n{rest}\n{legs}', encoding="utf-8")
    return read_fact(path, Voyage)


@pytest.mark.parametrize(
    "depart",
    [
        '"2027-02-10 08:00"',
        '"2027-02-10T08:00Z"',
        '"2027-02-10 08:00 UTC"',
        "2027-02-10T08:00:00",
        "2027-02-10 08:00:00Z",
        "2027-02-10T10:00:00+02:00",
    ],
)
def test_the_departure_is_an_instant_in_utc(depart: str, tmp_path: Path) -> None:
    read = voyage(tmp_path, depart).departure.depart
    assert datetime(2027, 2, 10, 8, tzinfo=UTC) == read
    assert read.utcoffset() == datetime(2027, 1, 1, tzinfo=UTC).utcoffset()


def test_the_defaults_are_one_in_twenty_and_half_as_much_again(tmp_path: Path) -> None:
    assert Reserve(slow_end_share=0.05, typical_factor=1.5) == voyage(tmp_path).reserve


@pytest.mark.parametrize(("odds", "share"), [("1 crossing in 20", 0.05), ("1 in 10", 0.1), ("1 in 100", 0.01)])
def test_the_slow_end_is_said_in_crossings(odds: str, share: float, tmp_path: Path) -> None:
    assert share == voyage(tmp_path, legs=f'{LEG}[reserve]\nslow_end = "{odds}"').reserve.slow_end_share


def test_waypoints_keep_their_order_and_their_sailing(tmp_path: Path) -> None:
    legs = LEG + '[[waypoint]]\nname = "c"\nposition = "31S 5E"\nsailing = "composite"\nlimit = "31 30S"\n'
    read = voyage(tmp_path, legs=legs).waypoints
    assert ["a", "b", "c"] == [waypoint.name for waypoint in read]
    assert ["great circle", "great circle", "composite"] == [waypoint.sailing for waypoint in read]
    assert [None, None, -31.5] == [waypoint.limit_latitude_deg for waypoint in read]
    assert (-30.0, 10.0) == read[1].position


def test_an_end_on_the_limit_keeps_it(tmp_path: Path) -> None:
    legs = LEG + '[[waypoint]]\nname = "c"\nposition = "31S 5E"\nsailing = "composite"\nlimit = "31S"\n'
    assert -31.0 == voyage(tmp_path, legs=legs).waypoints[2].limit_latitude_deg


def test_a_northern_limit_bounds_the_north(tmp_path: Path) -> None:
    legs = LEG.replace("33 50.0S", "43 50.0N").replace("30 00.0S", "44 00.0N")
    limited = legs + 'sailing = "composite"\nlimit = "{}"\n'
    assert 45.0 == voyage(tmp_path, legs=limited.format("45N")).waypoints[1].limit_latitude_deg
    with pytest.raises(InputFaults, match=r"neither end may lie beyond it; the furthest is at 44°00\.0'N"):
        voyage(tmp_path, legs=limited.format("43N"))


def test_one_place_written_on_both_sides_of_the_date_line_is_one_place(tmp_path: Path) -> None:
    legs = LEG.replace("33 50.0S 17 00.0E", "20S 179 59.98E").replace("30 00.0S 10 00.0E", "20S 179 59.98W")
    with pytest.raises(InputFaults, match="leave one of the two out"):
        voyage(tmp_path, legs=legs)


def test_a_round_trip_may_come_back_to_its_harbour(tmp_path: Path) -> None:
    legs = LEG + '[[waypoint]]\nname = "home"\nposition = "33 50.0S 17 00.0E"\n'
    assert 3 == len(voyage(tmp_path, legs=legs).waypoints)


def test_own_winds_are_looked_for_beside_the_voyage_file(tmp_path: Path) -> None:
    assert tmp_path / "mine.nc" == voyage(tmp_path, rest='climate = "mine.nc"').departure.climate


def test_waypoints_are_made_from_code_too() -> None:
    assert -40.0 == Waypoint(name="c", position="10S 5E", sailing="composite", limit="40S").limit_latitude_deg


@pytest.mark.parametrize(
    ("laid_nm", "words"),
    [(1020.0, "they agree within 2 %"), (1021.0, "2 % longer"), (900.0, "10 % shorter"), (979.0, "2 % shorter")],
)
def test_the_skippers_own_figure_is_held_against_the_track(laid_nm: float, words: str) -> None:
    sentence = control_sentence(1000.0, laid_nm)
    assert words in sentence
    assert f"{laid_nm:,.0f} nm" in sentence
    assert ("Check waypoints" in sentence) == ("agree" not in sentence)


def test_without_a_figure_nothing_is_said() -> None:
    assert "" == control_sentence(None, 1000.0)


@pytest.mark.parametrize("depart", ["0001-01-01T00:00:00+10:00", "9999-12-31T23:00:00-10:00"])
def test_a_departure_beyond_the_calendar_in_its_zone_is_told(depart: str, tmp_path: Path) -> None:
    with pytest.raises(InputFaults, match="there is no such day or hour in UTC's calendar"):
        voyage(tmp_path, depart)


def test_a_waypoint_may_say_how_long_she_stops_there(tmp_path: Path) -> None:
    legs = LEG + 'stop = "5 days"\n[[waypoint]]\nname = "c"\nposition = "25S 5E"\n'
    read = voyage(tmp_path, legs=legs)
    assert [0.0, 120.0, 0.0] == [place.stop_h for place in read.waypoints]
    assert 'stop = "120 h"' in waypoints_toml(read)


@pytest.mark.parametrize(
    ("legs", "sentence"),
    [
        (
            f'{LEG}stop = "5 days"',
            r"waypoint\[2\].stop: a stop at an end .* the stay after landfall is 'stay' of gear.toml",
        ),
        (
            LEG.replace('"a"', '"a"\nstop = "5 days"'),
            r"waypoint\[1\].stop: a stop at an end .* depart says when she leaves",
        ),
        (LEG.replace('"a"', '"a"\nstop = "90 days"'), "give between 0 h and 1440 h"),
        (LEG.replace('"a"', '"a"\nstop = 5'), "write a number with its unit in double quotes"),
    ],
)
def test_a_stop_at_an_end_or_without_a_unit_is_refused(legs: str, sentence: str, tmp_path: Path) -> None:
    with pytest.raises(InputFaults, match=sentence):
        voyage(tmp_path, legs=legs)
