"""Every key of every file stands on the desk once, under a group."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from passage.desk.draft import Draft
from passage.desk.forms import GROUPS, field_at, group_of, key_at, new_entry, sections, tables_in
from passage.errors import Fault
from passage.inputs.keys import tables_of
from passage.inputs.schemas import MODELS
from tests.desk_cases import voyage_in

if TYPE_CHECKING:
    from pathlib import Path


def test_every_table_of_every_file_is_in_one_group() -> None:
    shown = [(table.file, table.name) for group in GROUPS for table in tables_in(group)]
    assert sorted((file, table.name) for file in MODELS for table in tables_of(file)) == sorted(shown)


def test_a_fault_leads_to_the_group_of_its_key() -> None:
    assert "water and food" == group_of("boat.toml", ("water_tank", 0, "capacity"))
    assert "boat" == group_of("boat.toml", ("helm", "gust_limit"))
    assert "troubles" == group_of("troubles.toml", ("refuge", 0))


def test_a_fault_stands_beside_its_field(tmp_path: Path) -> None:
    draft = Draft.of(voyage_in(tmp_path))
    fault = Fault("../../boats/nine-metre/boat.toml", 3, "water_tank[2].capacity", "found", "wanted")
    tanks = next(each for each in sections(draft, "water and food", [fault]) if each.table.name == "water_tank")
    told = [(field.key.label, entry.number) for entry in tanks.entries for field in entry.fields if field.fault]
    assert [("Capacity", 1)] == told
    assert "found; wanted" == field_at(draft, "boat.toml", ("water_tank", 1, "capacity"), [fault]).fault


@pytest.mark.parametrize("path", [("nothing",), ("helm",), ("helm", "x"), (), ("water_tank", "capacity"), (0, 1)])
def test_what_is_no_key_is_none(path: tuple[str | int, ...]) -> None:
    with pytest.raises(KeyError):
        key_at("boat.toml", path)


def test_what_an_entry_begins_with_can_be_read_where_it_can_be_guessed(tmp_path: Path) -> None:
    draft = Draft.of(voyage_in(tmp_path))
    tank = next(table for table in tables_in("water and food") if table.name == "water_tank")
    begun = new_entry(tank, draft)
    draft.add("boat.toml", ("water_tank", 3), begun)
    assert 4 == len(draft.facts().boat.water_tanks)


def test_a_comment_at_a_key_stands_beside_its_field(tmp_path: Path) -> None:
    draft = Draft.of(voyage_in(tmp_path))
    path = next(path for path in draft.texts if path.name == "crew.toml")
    draft.texts[path] = '[[person]]\n# Nobody told:\n# a guess.\nage = 50  # "ask" #2\n'
    assert {("person", 0, "age"): 'Nobody told: a guess. "ask" #2'} == draft.remarks("crew.toml")
    told = next(field for field in sections(draft, "crew", [])[0].entries[0].fields if field.key.path[-1] == "age")
    assert 'Nobody told: a guess. "ask" #2' == told.remark


def test_a_comment_of_a_table_and_a_hash_in_a_text_are_none_of_a_key(tmp_path: Path) -> None:
    draft = Draft.of(voyage_in(tmp_path))
    path = next(path for path in draft.texts if path.name == "crew.toml")
    draft.texts[path] = '# of the table\n[[person]]\n\nrole = "x # y"\n'
    assert {} == draft.remarks("crew.toml")
