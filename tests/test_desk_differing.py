"""What saving would change, in the words of the forms."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.desk.differing import differences
from passage.desk.draft import Draft
from tests.desk_cases import voyage_in

if TYPE_CHECKING:
    from pathlib import Path


def test_a_key_is_told_with_what_it_is_and_what_it_will_be(tmp_path: Path) -> None:
    draft = Draft.of(voyage_in(tmp_path))
    assert [] == differences(draft)
    tank = draft.document("boat.toml").values["water_tank"][1]
    draft.set("boat.toml", ("water_tank", 1, "capacity"), "77 L")
    assert [(tank["name"], "Capacity", tank["capacity"], "77 L")] == differences(draft)


def test_an_entry_taken_out_is_told_by_its_own_keys_and_the_others_are_not(tmp_path: Path) -> None:
    draft = Draft.of(voyage_in(tmp_path))
    tank = draft.document("boat.toml").values["water_tank"][0]
    draft.remove("boat.toml", ("water_tank", 0))
    told = differences(draft)
    assert {tank["name"]} == {each.where for each in told}
    assert {""} == {each.will_be for each in told}


def test_what_is_undone_differs_in_nothing(tmp_path: Path) -> None:
    draft = Draft.of(voyage_in(tmp_path))
    draft.set("boat.toml", ("water_tank", 1, "capacity"), "77 L")
    draft.undo()
    assert [] == differences(draft)
