"""The table of a fleet: its axes, its blocks, who is refused, and the key that a block is sailed from."""

from __future__ import annotations

import pickle
from dataclasses import replace
from itertools import product
from typing import TYPE_CHECKING

import pytest

from passage.errors import InputFaults
from passage.fleets.table import Climate, table_of
from passage.inputs.changes import changed
from passage.inputs.folder import Facts
from tests.fleet_cases import BOATS, FILE, fleet, lay

if TYPE_CHECKING:
    from pathlib import Path

HEAD = BOATS.partition("Curlew")[0]


def test_a_boat_at_fault_is_in_the_table_with_the_reason_and_the_others_are_called_by_name() -> None:
    found = fleet()
    assert ("Curlew", "Bittern", "Dunlin", "ten-metre") == found.boats
    assert "boats.csv line 4: length_m" in str(found.facts[1, 0])
    sound = [facts for facts in found.facts.values() if isinstance(facts, Facts)]
    assert ["Curlew", "Dunlin", "ten-metre"] == [facts.boat.hull.name for facts in sound]
    assert 8 == found.cells


def test_every_cell_is_in_one_block_and_no_block_is_larger_than_one_that_is_written() -> None:
    many = replace(
        fleet(),
        departures=fleet().departures * 13,
        climates=tuple(Climate(str(year), None, year) for year in range(1980, 2003)),
    )
    blocks = list(many.blocks())
    cells = [(block.boat, block.track, *cell) for block in blocks for cell in block.cells]
    assert sorted(cells) == list(product(range(4), range(1), range(26), range(23)))
    assert len({block.number for block in blocks}) == len(blocks) == 4 * 3 * 3
    assert all(len(block.cells) <= 120 for block in blocks)


def test_a_key_hangs_on_facts_days_climate_and_luck_and_on_nothing_else(tmp_path: Path) -> None:
    found, again = fleet(), table_of(lay(tmp_path))
    block = next(iter(found.blocks()))
    assert found.key(block) == again.key(block)
    facts = found.a_voyage
    others = [
        replace(found, seed=2),
        replace(found, crossings=21),
        replace(found, departures=found.departures[::-1]),
        replace(found, climates=(Climate("1985", None, 1985),)),
        replace(found, facts={**found.facts, (0, 0): changed(facts, water_l=41.0)}),
        replace(found, facts={**found.facts, (0, 0): "at fault"}),
    ]
    assert len(others) + 1 == len({each.key(block) for each in [found, *others]})


def test_facts_go_to_a_worker_and_come_back_the_same() -> None:
    facts = fleet().a_voyage
    assert repr(facts.boat) == repr(pickle.loads(pickle.dumps(facts)).boat)


def test_real_years_stand_beside_the_averages(tmp_path: Path) -> None:
    found = table_of(lay(tmp_path, f'{FILE}\n[climates]\nyears = "1985 to 1986"\n'))
    assert ("averages", "1985", "1986") == tuple(each.label for each in found.climates)


@pytest.mark.parametrize(
    ("file", "boats", "expected"),
    [
        (FILE.replace('folders = ["ten-metre"]\n', ""), f"{HEAD}X,3,,,2,9,,,,\n", "no boat can be sailed"),
        (FILE.replace('"ten-metre"', '"ten-metre", "track/../ten-metre/../ten-metre"'), BOATS, "one name"),
        (f'{FILE}\n[climates]\nyears = "1900 to 1910"\naverages = false\n', BOATS, "no such years"),
    ],
)  # fmt: skip
def test_what_makes_no_table_is_refused(file: str, boats: str, expected: str, tmp_path: Path) -> None:
    with pytest.raises(InputFaults) as refusal:
        table_of(lay(tmp_path, file, boats))
    assert expected in str(refusal.value)


def test_a_folder_without_a_boat_or_a_voyage_is_told_by_name(tmp_path: Path) -> None:
    file = FILE.replace('"ten-metre"]', '"ten-metre", "nobody"]').replace('["track"]', '["track", "nowhere"]')
    found = table_of(lay(tmp_path, file))
    assert "nobody: no boat.toml" in str(found.facts[4, 0])
    assert "nowhere: no voyage.toml" in str(found.facts[0, 1])
