"""What people are told of a fleet: hand-worked arrivals, counts held against scipy, who runs short first."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from scipy.stats import binom

from passage.fleets.dataset import open_store
from passage.fleets.run import Lost
from passage.fleets.schema import VARIABLES, sizes
from passage.fleets.store import Store
from passage.fleets.told import _at_most, fleet_told
from passage.plan.sheets.fleet import FleetTold, fleet_card, fleet_short, page, picture
from passage.tell.terminal import blocks_text
from tests.fleet_cases import fleet

if TYPE_CHECKING:
    from passage.fleets.dataset import FleetDataset

# Days out to landfall of 20 crossings, invented: of the first boat in all 3 days, of the third 4 in most and 6 in two,
# of the fourth 5, and one crossing of hers that never arrives. The second is refused.
HOURS = {0: [60.0] * 20, 2: [80.0] * 18 + [130.0] * 2, 3: [100.0] * 19 + [np.inf]}


def cell(boat: int) -> dict[str, Any]:
    lengths = sizes(fleet())
    made: dict[str, Any] = {each.name: np.zeros([lengths[name] for name in each.beside]) for each in VARIABLES}
    made["arrival_h"] = np.array(HOURS[boat])
    made["never"] = np.array(np.isinf(HOURS[boat]).sum(), float)
    made["short_share"] = np.array([0.35 if boat == 2 else 0.0, np.nan, 0.0, 0.0625 * boat])
    made["lacking"] = np.array([12.3, np.nan, 0.0, 0.0])
    made["battery_low_share"] = np.array(np.nan if boat == 3 else 0.4)
    made["slow_end_h"], made["worry_h"] = np.array(max(HOURS[boat])), np.array(max(HOURS[boat]) + 48.0)
    return made


@pytest.fixture(scope="module")
def dataset(tmp_path_factory: pytest.TempPathFactory) -> FleetDataset:
    table, folder = fleet(), tmp_path_factory.mktemp("told") / "s.zarr"
    store = Store(folder, table)
    with store.opened():
        for block in table.blocks():
            refused = table.facts[block.boat, 0]
            store.write(block, "k" * 16, [refused if isinstance(refused, str) else cell(block.boat)] * 2)
    return open_store(folder)


@pytest.fixture(scope="module")
def told(dataset: FleetDataset) -> FleetTold:
    return fleet_told(dataset, "s.zarr", [])


def test_arrivals_by_day_are_those_worked_by_hand(told: FleetTold) -> None:
    """Leaving on 1 June at 0900: 60 h is 3 June, 80 h 4 June, 100 h 5 June, 130 h 6 June."""
    first = told.landfalls[0]
    assert (2, 3) == (len(told.landfalls), first.boats)
    assert [date(2027, 6, day) for day in (3, 4, 5, 6)] == [row.day_utc for row in first.days]
    assert [1.0, 0.9, pytest.approx(0.95, abs=0.05), 0.1] == [float(row.expected_boats) for row in first.days]
    assert [1, 1, 1, 1] == [int(row.most_boats) for row in first.days]
    assert [2, 2, 1, 0] == [int(row.out_boats) for row in first.days]
    assert [1, 2, 3, 3] == [int(row.berths) for row in first.days]
    assert date(2027, 6, 3) == first.first_utc
    assert date(2027, 6, 4) == first.half_utc
    assert date(2027, 6, 6) == first.last_utc  # the one that never arrives is the one in twenty


def test_the_most_on_a_day_with_each_her_own_luck_is_the_binomial_s() -> None:
    """Twelve boats of which each comes in with the same chance, no two of them in the same crossing: scipy (T)."""
    hits = np.zeros((12, 240, 1), dtype=bool)
    for boat in range(12):
        hits[boat, 20 * boat : 20 * boat + 20, 0] = True
    assert [int(binom.ppf(0.95, 12, 20 / 240))] == _at_most(hits).tolist()


def test_the_most_on_a_day_is_all_of_them_where_luck_is_shared_and_seldom_enough_otherwise() -> None:
    hits = np.zeros((12, 100, 1), dtype=bool)
    hits[:, :6] = True
    assert [12] == _at_most(hits).tolist()
    hits[:, 4:] = False  # four times in a hundred, and each for herself hardly two of twelve
    assert [int(binom.ppf(0.95, 12, 0.04))] == _at_most(hits).tolist()


def test_who_runs_short_most_often_stands_first_with_what_and_by_how_much(told: FleetTold) -> None:
    first, second, third = told.by_boat
    assert ("Dunlin", 35.0, "water", "13 litres") == (first.boat, first.short_in_100, first.store, first.lacking)
    assert ("ten-metre", 18.75, "gas", "") == (second.boat, second.short_in_100, second.store, second.lacking)
    assert ("Curlew", 0.0, "") == (third.boat, third.short_in_100, third.store)
    assert date(2027, 6, 5) == third.worry_utc  # 1 June 0900 and 108 hours
    assert second.worry_utc is None  # her slow end is not reached
    assert ("food",) == told.not_counted


def test_what_is_not_sailed_is_told_with_the_reason(dataset: FleetDataset) -> None:
    told = fleet_told(dataset, "s.zarr", [Lost("Curlew", "track", "2027-07-01, averages", "its worker was ended")])
    refused, lost = told.unsailed
    assert ("Bittern", 2) == (refused.boat, refused.cells)
    assert "line 4: length_m" in refused.why
    assert "2027-07-01, averages: its worker was ended; start the same again" in lost.why


def test_the_short_answer_fits_a_terminal_and_the_whole_names_every_boat(
    told: FleetTold, dataset: FleetDataset
) -> None:
    one = fleet_told(dataset.isel(departure=[0]), "s.zarr", [])
    for each in (told, one):
        lines = blocks_text(fleet_short(each), tight=True).splitlines()
        assert len(lines) <= 23
        assert max(map(len, lines)) <= 80
    assert "19 times in 20" in blocks_text(fleet_short(one))
    whole = blocks_text(fleet_card(told))
    assert all(name in whole for name in ("Curlew", "Bittern", "Dunlin", "ten-metre", "Not a forecast"))


def test_the_page_is_one_file_that_asks_for_nothing_and_names_are_text(told: FleetTold) -> None:
    made = page(replace(told, fleet="<script>alert(1)</script>"))
    assert "<script>" not in made
    assert "default-src 'none'" in made
    assert 2 == made.count("<svg")
    assert made == page(replace(told, fleet="<script>alert(1)</script>"))
    assert 8 == picture(told).count(' fill="#dcdcdc"')  # a bar for each day of both landfalls


def test_the_frame_has_a_row_for_every_cell(dataset: FleetDataset) -> None:
    frame = dataset.to_frame()
    assert 8 == len(frame)
    assert 0.35 == frame.loc[frame.boat == "Dunlin", "short_share.water"].iloc[0]
    assert "h" == frame.attrs["units"]["slow_end_h"]
    assert frame.loc[frame.boat == "Bittern", "slow_end_h"].isna().all()
    assert 2 == len(dataset.sel(boat="Curlew").expand_dims("boat").isel(boat=[0]).to_frame())
