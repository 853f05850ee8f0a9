"""Boats by the line: each made as a first voyage makes one, a bad line told by name, the others kept."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from passage.errors import InputFaults
from passage.fleets.boats import read_boats
from tests.fleet_cases import BOATS

if TYPE_CHECKING:
    from pathlib import Path


def read(folder: Path, text: str) -> dict[str, str]:
    path = folder / "boats.csv"
    path.write_text(text, encoding="utf-8")
    return {each.name: each.refused for each in read_boats(path)}


def test_what_stands_in_a_line_stands_in_her_files(tmp_path: Path) -> None:
    path = tmp_path / "boats.csv"
    path.write_text(BOATS, encoding="utf-8")
    curlew, _, dunlin = read_boats(path)
    for said in ('"10.2 m"', '"6800 kg"', '"48.0 m2"', '"20 L"', '"120 L"', 'performance_mean = "88 %"'):
        assert said in curlew.files["boat.toml"]
    assert 'capacity = "220 Ah"' in curlew.files["electrics.toml"]
    assert "electrics.toml" not in dunlin.files
    assert "[engine]" not in dunlin.files["boat.toml"]


def test_a_crew_may_be_told_person_by_person(tmp_path: Path) -> None:
    path = tmp_path / "boats.csv"
    path.write_text('name,length_m,crew,water_l\nA,10,"F 52 61 kg, M 55 82 kg",200\n', encoding="utf-8")
    assert 'mass = "61 kg"' in read_boats(path)[0].files["crew.toml"]


@pytest.mark.parametrize(
    ("line", "called", "expected"),
    [
        ("Ruff,3,,,2,100,,,,", "Ruff", 'line 6: length_m: "3 m"; give 5 m to 24 m'),
        ("Ruff,10,,,0,100,,,,", "Ruff", "line 6: crew"),
        ("Ruff,10,,,2,1,,,,", "Ruff", "line 6: water_l"),
        ("Ruff,10,,,2,100,,900000,200,", "Ruff", "line 6: bank_ah"),
        ("Ruff,10,,,2,100", "Ruff", "6 cells"),
        ("Curlew,10,,,2,100,,,,", "line 6", "give each boat a name of her own"),
        (",10,,,2,100,,,,", "line 6", "no name"),
    ],
)
def test_a_bad_line_is_told_by_name_and_the_others_stand(line: str, called: str, expected: str, tmp_path: Path) -> None:
    found = read(tmp_path, f"{BOATS}{line}\n")
    assert expected in found[called]
    assert "" == found["Curlew"] == found["Dunlin"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [("", "missing column"), ("name,length_m,crew\n", "water_l"), ("name,length_m,crew,water_l\n", "no boats"),
     ("name,length_m,crew,water_l,colour\nA,10,2,200,red\n", "colour: no such column")],
)  # fmt: skip
def test_what_is_no_table_is_refused(text: str, expected: str, tmp_path: Path) -> None:
    with pytest.raises(InputFaults) as refusal:
        read(tmp_path, text)
    assert expected in str(refusal.value)
