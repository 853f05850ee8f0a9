"""The track file: what it may say, and the sentence for everything it may not."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from passage.errors import InputFaults
from passage.inputs.home import Home
from passage.inputs.search import TRACK_FILE, Box, TrackLimits

if TYPE_CHECKING:
    from pathlib import Path

GOOD = """\
[limits]
clear_by_day = "6 nm"
clear_by_night = "15 nm"
north_limit = "45N"
south_limit = "40 30S"

[prices]
rough = 0.5
hard_on_the_wind = 0.25
calm = 1
cyclone_season = 3.0

[[box]]
name = "stay north of 40S until 10E"
north = "40S"
west = "60W"
east = "10E"

[[box]]
name = "not before December"
south = "10N"
north = "20N"
west = "170W"
east = "170 30E"
from = "1 January"
until = "30 Nov"
"""


def read(folder: Path, text: str) -> TrackLimits:
    (folder / "track.toml").write_text(text, encoding="utf-8")
    return Home(folder).document(TRACK_FILE).read(TrackLimits)


def faults(folder: Path, text: str) -> list[tuple[int, str, str]]:
    with pytest.raises(InputFaults) as caught:
        read(folder, text)
    return [(fault.line, fault.key, fault.found) for fault in caught.value.faults]


def test_a_good_file_reads(tmp_path: Path) -> None:
    facts = read(tmp_path, GOOD)
    assert (facts.limits.clear_by_day_nm, facts.limits.clear_by_night_nm) == (6.0, 15.0)
    assert (facts.limits.north_limit_deg, facts.limits.south_limit_deg) == (45.0, -40.5)
    assert (facts.prices.rough, facts.prices.calm, facts.prices.cyclone_season) == (0.5, 1.0, 3.0)
    first, second = facts.boxes
    assert (first.south_deg, first.north_deg, first.bounds_deg, first.always) == (-90.0, -40.0, (-60.0, 70.0), True)
    assert ((1, 1), (11, 30), False) == (second.first_day, second.last_day, second.always)


def test_without_a_file_the_defaults_hold(tmp_path: Path) -> None:
    facts = Home(tmp_path).document(TRACK_FILE).read(TrackLimits)
    assert (5.0, 20.0) == (facts.limits.clear_by_day_nm, facts.limits.clear_by_night_nm)
    assert (0.0, 0.0, 0.0) == (facts.prices.rough, facts.prices.hard_on_the_wind, facts.prices.calm)
    assert () == facts.boxes


@pytest.mark.parametrize(
    ("west", "east", "expected"),
    [
        ("170E", "170W", (170.0, 20.0)),
        ("170W", "170E", (170.0, 20.0)),
        ("180E", "170W", (-180.0, 10.0)),
        ("180W", "170E", (170.0, 10.0)),
        ("10W", "10E", (-10.0, 20.0)),
        ("10E", "10W", (-10.0, 20.0)),
    ],
)
def test_a_box_is_the_shorter_way_whichever_meridian_is_written_first(
    tmp_path: Path, west: str, east: str, expected: tuple[float, float]
) -> None:
    facts = read(tmp_path, f'[[box]]\nname = "one"\nwest = "{west}"\neast = "{east}"\n')
    assert expected == facts.boxes[0].bounds_deg


def test_a_box_without_meridians_goes_all_the_way_round() -> None:
    assert (-180.0, 360.0) == Box(name="south", north_deg=-50.0).bounds_deg


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ('clear_by_night = "15 nm"', 'clear_by_night = "5 nm"', (3, "limits.clear_by_night", "5 nm")),
        ('clear_by_day = "6 nm"', "clear_by_day = 6", (2, "limits.clear_by_day", "6")),
        ('clear_by_day = "6 nm"', 'clear_by_day = "-1 nm"', (2, "limits.clear_by_day", '"-1 nm"')),
        ('north_limit = "45N"', 'north_limit = "45S"', (4, "limits.north_limit", "45°00.0'S")),
        ('north_limit = "45N"', 'north_limit = "95N"', (4, "limits.north_limit", '"95N"')),
        ('north_limit = "45N"', "north_limit = true", (4, "limits.north_limit", "true")),
        ("rough = 0.5", "rough = -0.5", (8, "prices.rough", "-0.5")),
        ("rough = 0.5", 'rough = "0.5 h"', (8, "prices.rough", '"0.5 h"')),
        ("calm = 1", "clam = 1", (10, "prices.clam", "unknown key")),
        ('west = "60W"\n', "", (13, "box[1]", "one meridian of two")),
        ('west = "60W"', 'west = "60"', (16, "box[1].west", '"60"')),
        ('west = "60W"', 'west = "60N"', (16, "box[1].west", '"60N"')),
        ('west = "60W"', 'west = "10E"', (17, "box[1].east", "the same meridian as west")),
        ('west = "60W"', 'west = "170W"', (17, "box[1].east", "half-way round from west")),
        ('south = "10N"', 'south = "20N"', (22, "box[2].north", "20°00.0'N")),
        ('from = "1 January"', 'from = "31 February"', (25, "box[2].from", '"31 February"')),
        ('from = "1 January"', 'from = "2027-01-01"', (25, "box[2].from", '"2027-01-01"')),
        ('from = "1 January"', 'from = "1 Ju"', (25, "box[2].from", '"1 Ju"')),
        ('name = "not before December"', "", (19, "box[2].name", "missing")),
        (
            'name = "not before December"',
            'name = "stay north of 40S until 10E"',
            (20, "box[2].name", '"stay north of 40S until 10E"'),
        ),
    ],
)
def test_a_fault_names_line_and_key(tmp_path: Path, old: str, new: str, expected: tuple[int, str, str]) -> None:
    assert old in GOOD
    assert [expected] == faults(tmp_path, GOOD.replace(old, new, 1))


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    text = GOOD.replace("rough = 0.5", "rough = -0.5").replace('"30 Nov"', '"31 Nov"').replace('"15 nm"', '"1 nm"')
    assert [3, 8, 26] == [line for line, _, _ in faults(tmp_path, text)]


def test_a_folder_of_that_name_is_a_fault_and_not_passed_over(tmp_path: Path) -> None:
    (tmp_path / "track.toml").mkdir()
    with pytest.raises(InputFaults, match=r"track\.toml"):
        Home(tmp_path).document(TRACK_FILE).read(TrackLimits)
