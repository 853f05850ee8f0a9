"""Changes as the desk makes them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.desk.changing import changed
from passage.desk.draft import Draft
from tests.desk_cases import voyage_in

if TYPE_CHECKING:
    from pathlib import Path


def test_a_figure_that_is_typed_is_not_one_told_from_her_length_any_more(tmp_path: Path) -> None:
    draft = Draft.of(voyage_in(tmp_path))
    draft.set("boat.toml", ("boat", "not_measured"), ["beam", "displacement"])
    assert changed(draft, tmp_path, "boat.toml", ("boat", "beam"), "3.1 m")
    assert ("displacement",) == draft.facts().boat.hull.not_measured
    draft.undo()
    assert ("beam", "displacement") == draft.facts().boat.hull.not_measured
    changed(draft, tmp_path, "boat.toml", ("boat", "name"), "Other")
    assert ("beam", "displacement") == draft.facts().boat.hull.not_measured
