"""The same content gives the same key, another one another, wherever it lies."""

from __future__ import annotations

import shutil
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from passage.content import content_key, tool_key
from passage.inputs.changes import changed
from passage.inputs.folder import read_folder
from passage.shipped import shipped
from tests.voyage_cases import whole

DEMO = shipped("routes") / "cape-town-st-helena"
DAY = date(2026, 11, 25)


def test_facts_read_twice_from_two_places_have_one_key(tmp_path: Path) -> None:
    first = whole(DEMO, tmp_path / "one")
    second = Path(shutil.copytree(first, tmp_path / "two"))
    with (second / "voyage.toml").open("a", encoding="utf-8") as file:
        file.write("# a remark changes nothing\n")
    keys = [content_key(*_said(folder)) for folder in (first, second)]
    assert keys[0] == keys[1]


def _said(folder: Path) -> list[object]:
    facts = read_folder(folder, DAY)
    return [facts.voyage, facts.boat, facts.crew, facts.polar, facts.provisions, facts.pantry, facts.electrics]


def test_any_fact_changed_by_a_hair_is_another_key() -> None:
    facts = read_folder(DEMO, DAY)
    table = facts.polar
    assert table is not None
    faster = table.boat_speed_kn.copy()
    faster[0, 0] = np.nextafter(faster[0, 0], 99.0)
    others = [
        facts.boat,
        changed(facts, performance_mean_share=0.9000001).boat,
        changed(facts, water_l=171.0).boat,
        replace(table, boat_speed_kn=faster),
        table,
    ]
    assert len(others) == len({content_key(each) for each in others})


def test_a_file_counts_by_what_stands_in_it_and_not_by_its_name(tmp_path: Path) -> None:
    one, two = tmp_path / "one.nc", tmp_path / "two.nc"
    one.write_bytes(b"wind")
    two.write_bytes(b"wind")
    assert content_key(one) == content_key(two)
    two.write_bytes(b"winds")
    assert content_key(one) != content_key(two)


@pytest.mark.parametrize(
    "pair",
    [(("ab", "c"), ("a", "bc")), ((1,), (1.0,)), ((True,), (1,)), (("1",), (1,)), ((None,), ("None",)), (((),), ([],))],
)
def test_no_two_values_are_told_alike(pair: tuple[tuple[object, ...], tuple[object, ...]]) -> None:
    one, two = pair
    assert content_key(*one) != content_key(*two)


def test_what_has_no_content_is_refused() -> None:
    with pytest.raises(TypeError, match="no content"):
        content_key(object())


def test_the_tool_has_a_key_of_its_own() -> None:
    assert 16 == len(tool_key()) == len(content_key(1))
