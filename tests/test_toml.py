"""TOML into facts: lines of keys, and pydantic's errors in a person's words."""

from __future__ import annotations

import tomllib
from time import process_time
from typing import TYPE_CHECKING, Annotated

import pytest
from pydantic import Field, ValidationError

from passage.errors import InputFaults
from passage.inputs.toml import (
    Measured,
    Misfit,
    Name,
    Section,
    key_lines,
    key_of,
    read_document,
    read_fact,
    written_key,
)

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


class Cask(Section):
    """A section for these tests."""

    name: Name
    capacity_l: Annotated[float, Measured("volume", 1, 500)]
    age_years: int = Field(1, ge=0, le=20)


class Hold(Section):
    """A whole file for these tests."""

    casks: tuple[Cask, ...] = Field(alias="cask", strict=False, min_length=1)
    depth_m: Annotated[float, Measured("length", 0.5)] | None = None

    def misfits(self) -> Iterator[Misfit]:
        for index, cask in enumerate(self.casks):
            if cask.capacity_l > 400:
                yield Misfit(("cask", index, "capacity"), "too much", "less")


def told(text: str, tmp_path: Path) -> list[str]:
    path = tmp_path / "hold.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputFaults) as faults:
        read_fact(path, Hold)
    return str(faults.value).splitlines()


def test_a_sound_file_becomes_a_frozen_fact_with_units_in_its_names(tmp_path: Path) -> None:
    path = tmp_path / "hold.toml"
    path.write_text('depth = "3 ft"\n[[cask]]\nname = " rum "\ncapacity = "10 US gal"\nage = 3\n', encoding="utf-8")
    hold = read_fact(path, Hold)
    assert 3 * 0.3048 == pytest.approx(hold.depth_m)
    assert ("rum", 3) == (hold.casks[0].name, hold.casks[0].age_years)
    assert 37.85411784 == pytest.approx(hold.casks[0].capacity_l)
    with pytest.raises(ValidationError):
        hold.casks[0].age_years = 4  # type: ignore[misc]


def test_facts_are_made_from_code_by_their_own_names() -> None:
    assert 30.0 == Cask(name="rum", capacity_l=30).capacity_l
    with pytest.raises(ValidationError, match="give between 1 L and 500 L"):
        Cask(name="rum", capacity_l=501)


@pytest.mark.parametrize("head", ["\ufeff", "\ufeff# comment\r\n", ""])
def test_a_byte_order_mark_and_other_line_ends_are_read(head: str, tmp_path: Path) -> None:
    path = tmp_path / "hold.toml"
    path.write_bytes((head + '[[cask]]\r\nname = "rum"\r\ncapacity = "1 L"\r\n').encode())
    assert "rum" == read_fact(path, Hold).casks[0].name


def test_every_fault_is_told_at_once_in_the_order_of_the_file(tmp_path: Path) -> None:
    text = '[[cask]]\nname = 3\ncapacity = "9 qt"\n[[cask]]\ncapcity = "1 L"\nage = 21\n[crate]\n'
    assert [
        "hold.toml line 2: cask[1].name: 3; write text in double quotes",
        'hold.toml line 3: cask[1].capacity: "9 qt"; write gallons, of which a quart is a quarter and a pint an eighth:'
        " 'gal', or 'imp gal'",
        "hold.toml line 4: cask[2].name: missing; add a line such as name = ...",
        "hold.toml line 5: cask[2].capcity: unknown key; did you mean 'capacity'?",
        "hold.toml line 6: cask[2].age: 21; give 20 or less",
        "hold.toml line 7: crate: unknown key; the keys here are cask, depth",
    ] == told(text, tmp_path)


def test_a_missing_key_names_the_line_of_its_table(tmp_path: Path) -> None:
    text = '# a comment\n\n[[cask]]\nname = "rum"\n'
    (line,) = told(text, tmp_path)
    assert 'hold.toml line 3: cask[1].capacity: missing; add a line such as capacity = "120 L"' == line


def test_a_list_with_a_bad_entry_is_not_also_called_short(tmp_path: Path) -> None:
    assert ["hold.toml line 1: cask[1]: 3; write it as a table of its own, with its name in brackets: [cask]"] == told(
        "cask = [3]", tmp_path
    )


def test_misfits_name_the_key_they_mean(tmp_path: Path) -> None:
    text = '[[cask]]\nname = "a"\ncapacity = "1 L"\n[[cask]]\nname = "b"\ncapacity = "450 L"\n'
    assert ["hold.toml line 6: cask[2].capacity: too much; less"] == told(text, tmp_path)


def test_an_open_ended_limit_says_or_more(tmp_path: Path) -> None:
    text = 'depth = "1 in"\n[[cask]]\nname = "a"\ncapacity = "1 L"\n'
    assert ['hold.toml line 1: depth: "1 in"; give 0.5 m or more'] == told(text, tmp_path)


def test_lines_of_keys_in_every_way_of_writing_them() -> None:
    text = """\
a.b = 1
"q k" = [1, { x = 1, y.z = 2 }, # a comment
  3]
[boat] # hers
name = "x"

[[tank]]
n = 1
[tank.pump.'in']
m = 2
[[tank]]
n = 2
[[tank.valve]]
v = 1
[[tank.valve]]
v = 2
"""
    lines = key_lines(text)
    assert {
        ("a",): 1,
        ("a", "b"): 1,
        ("q k",): 2,
        ("q k", 0): 2,
        ("q k", 1): 2,
        ("q k", 1, "x"): 2,
        ("q k", 1, "y"): 2,
        ("q k", 1, "y", "z"): 2,
        ("q k", 2): 3,
        ("boat",): 4,
        ("boat", "name"): 5,
        ("tank",): 7,
        ("tank", 0): 7,
        ("tank", 0, "n"): 8,
        ("tank", 0, "pump"): 9,
        ("tank", 0, "pump", "in"): 9,
        ("tank", 0, "pump", "in", "m"): 10,
        ("tank", 1): 11,
        ("tank", 1, "n"): 12,
        ("tank", 1, "valve"): 13,
        ("tank", 1, "valve", 0): 13,
        ("tank", 1, "valve", 0, "v"): 14,
        ("tank", 1, "valve", 1): 15,
        ("tank", 1, "valve", 1, "v"): 16,
    } == lines
    assert {"n": 2, "valve": [{"v": 1}, {"v": 2}]} == tomllib.loads(text)["tank"][1]


@pytest.mark.parametrize(
    ("text", "line"),
    [("a = 1\nb = \n", 2), ("a = 1\na = 2\n", 2), ('a = "x\n', 1), ("a = 1\n[b\n", 2), ("a = 1\nb = [\n\n", 2)],
)
def test_a_slip_in_the_writing_is_told_at_its_line(text: str, line: int, tmp_path: Path) -> None:
    path = tmp_path / "hold.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputFaults) as faults:
        read_document(path)
    assert ("hold.toml", line) == (faults.value.faults[0].file, faults.value.faults[0].line)
    assert faults.value.faults[0].wanted


def test_a_folder_in_place_of_a_file_and_impossible_names_are_sentences(tmp_path: Path) -> None:
    (tmp_path / "hold.toml").mkdir()
    for name, found in (("hold.toml", "not a file"), ("none.toml", "missing file"), ("x" * 300, "cannot be read")):
        with pytest.raises(InputFaults, match=found):
            read_document(tmp_path / name)


def test_keys_lose_the_suffix_of_the_unit_and_nothing_else() -> None:
    assert ["gust_limit", "capacity", "consumption", "age", "estimate", "role", "drink_and_cook"] == [
        key_of(name)
        for name in (
            "gust_limit_kn",
            "capacity_l",
            "consumption_l_h",
            "age_years",
            "estimate",
            "role",
            "drink_and_cook_l_per_day",
        )
    ]


def test_keys_are_written_as_a_person_counts() -> None:
    assert "water_tank[2].capacity" == written_key(("water_tank", 1, "capacity"))
    assert "" == written_key(())


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (".".join(["a"] * 30_000) + " = 1", 2),
        ("x = {" + ". ".join(['"a b"'] * 30_000) + " = 1}", 2),
        (".".join(["a"] * 20) + " = 1", 2),
        ("[" + ".".join(["a"] * 20) + "]", 2),
        ("\n".join(f"x{each} = {'[' * 200}{']' * 200}" for each in range(3000)), 2),
    ],
    ids=["endless", "endless and quoted", "deep", "deep table", "boxes"],
)
def test_keys_of_parts_without_end_cost_nothing(text: str, line: int, tmp_path: Path) -> None:
    (tmp_path / "boat.toml").write_text(f"# hostile\n{text}\n", encoding="utf-8")
    begun = process_time()
    with pytest.raises(InputFaults, match=f"boat.toml line {line}: not TOML") as told:
        read_document(tmp_path / "boat.toml")
    assert process_time() - begun < 3.0
    assert 1 == len(told.value.faults)
