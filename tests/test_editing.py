"""A TOML file with something in it changed: all else stays, byte for byte."""

from __future__ import annotations

import tomllib
from difflib import ndiff
from typing import TYPE_CHECKING

import pytest

from passage.inputs.editing import TAKEN_AWAY, NotATable, blocks, with_entry, with_keys, without_entry
from passage.shipped import shipped

if TYPE_CHECKING:
    from pathlib import Path

TEXT = """# Ours.
[voyage]
name = "Away"  # for good

# The first.
[[waypoint]]
name = "one"

# The second, with a remark.
[[waypoint]]
name = "two"
sailing = "rhumb line"

[reserve]
typical_factor = 1.5
"""


def changed(before: str, after: str) -> list[str]:
    return [line.rstrip() for line in ndiff(before.splitlines(), after.splitlines()) if line[0] in "+-"]


def test_a_key_changed_leaves_its_remark_and_all_else() -> None:
    after = with_keys(TEXT, {("voyage", "name"): "Home"})
    assert ['- name = "Away"  # for good', '+ name = "Home"  # for good'] == changed(TEXT, after)


def test_a_new_key_stands_in_its_table_above_the_next_ones_remarks() -> None:
    after = with_keys(TEXT, {("waypoint", 0, "set"): "225 deg"})
    assert ['+ set = "225 deg"'] == changed(TEXT, after)
    assert "225 deg" == tomllib.loads(after)["waypoint"][0]["set"]


def test_a_key_of_a_table_that_is_not_there_begins_it() -> None:
    assert {"gust_factor": 1.4} == tomllib.loads(with_keys(TEXT, {("helm", "gust_factor"): 1.4}))["helm"]


def test_a_key_taken_away_is_gone_and_one_that_was_not_there_changes_nothing() -> None:
    assert ['- sailing = "rhumb line"'] == changed(TEXT, with_keys(TEXT, {("waypoint", 1, "sailing"): TAKEN_AWAY}))
    assert TEXT == with_keys(TEXT, {("helm", "gust_factor"): TAKEN_AWAY})


def test_tables_within_a_value_stand_in_one_line() -> None:
    after = with_keys(TEXT, {("reserve", "uses"): {"white rice": "1 kg"}, ("reserve", "curve"): [{"a": 1}]})
    assert ['+ uses = {"white rice" = "1 kg"}', "+ curve = [{a = 1}]"] == changed(TEXT, after)


@pytest.mark.parametrize(("at", "names"), [(0, "new one two"), (1, "one new two"), (2, "one two new")])
def test_an_entry_is_put_where_it_is_wanted(at: int, names: str) -> None:
    after = with_entry(TEXT, "waypoint", at, {"name": "new"})
    assert names.split() == [entry["name"] for entry in tomllib.loads(after)["waypoint"]]
    assert not [line for line in changed(TEXT, after) if line.startswith("-")]


def test_the_first_entry_of_a_list_ends_the_file() -> None:
    assert TEXT + '\n[[box]]\nname = "x"\n' == with_entry(TEXT, "box", 0, {"name": "x"})
    assert '[[box]]\nname = "x"\n' == with_entry("", "box", 0, {"name": "x"})


def test_an_entry_taken_out_takes_its_remark_along_and_no_other() -> None:
    after = without_entry(TEXT, "waypoint", 1)
    gone = ["# The second, with a remark.", "[[waypoint]]", 'name = "two"', 'sailing = "rhumb line"', ""]
    assert [f"- {line}".rstrip() for line in gone] == changed(TEXT, after)
    assert TEXT == with_entry(without_entry(TEXT, "waypoint", 0), "waypoint", 0, {"name": "one"}).replace(
        "\n\n[[waypoint]]", "\n\n# The first.\n[[waypoint]]", 1
    )


def test_a_list_in_one_line_is_left_to_the_person() -> None:
    with pytest.raises(NotATable):
        with_entry('tank = [{ name = "a" }]\n', "tank", 1, {"name": "b"})
    with pytest.raises(NotATable):
        without_entry(TEXT, "waypoint", 7)


def test_line_ends_of_another_system_stay() -> None:
    text = TEXT.replace("\n", "\r\n")
    for after in (with_keys(text, {("voyage", "name"): "x"}), with_entry(text, "waypoint", 1, {"name": "x"})):
        assert after.count("\n") == after.count("\r\n")


def files() -> list[Path]:
    return sorted([*shipped("boats").glob("*/*.toml"), *shipped("routes").glob("*/*.toml")])


@pytest.mark.parametrize("path", files(), ids=lambda path: f"{path.parent.name}/{path.name}")
def test_the_parts_of_every_shipped_file_are_the_file(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert text == "".join(part for _, part in blocks(text))
