"""The hand table in steady invented crossings, where every cell has a closed form (D)."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from passage.consequences.stores.drawdown import Use, draw_down
from passage.consequences.stores.handtable import hand_table, ration
from tests.stores_cases import RULES, steady_crossings

CROSSINGS = steady_crossings(list(np.linspace(4.0, 7.0, 400)), miles=800.0)
STORE = draw_down("water", "L", 99.0, Use(0.25, np.zeros(400)), CROSSINGS, RULES, kept_back=7.0)
TABLE = hand_table(CROSSINGS, [STORE], 0.95)


def test_a_cell_full_of_boats_holds_what_they_still_use() -> None:
    """Day 3 and 400 miles to go: she made 400 in 72 h, so the rest takes about 72 h; the bin adds half a step."""
    row = TABLE.cells[TABLE.days_out.index(3)]
    cell = row[TABLE.miles_to_go.index(400.0)]
    assert cell is not None
    assert not cell.by_pace
    pace = 400.0 / 72.0
    assert 0.25 * 400.0 / pace <= cell.amounts[0] - 7.0 <= 0.25 * 450.0 / (350.0 / 72.0)
    assert cell.amounts[0] - 7.0 == pytest.approx(0.25 * 24.0 * cell.days_to_go, rel=0.02)


def test_slower_than_all_is_reckoned_at_her_own_pace() -> None:
    """Day 6 and 500 to go: 300 miles in 144 h, slower than any crossing; 240 h more at that pace."""
    cell = TABLE.cells[TABLE.days_out.index(6)][TABLE.miles_to_go.index(500.0)]
    assert cell is not None
    assert cell.by_pace
    made = CROSSINGS.track.length_nm - 500.0
    assert 0.25 * 500.0 / (made / 144.0) + 7.0 == pytest.approx(cell.amounts[0])


def test_more_miles_to_go_never_need_less() -> None:
    for row in TABLE.cells:
        amounts = [cell.amounts[0] for cell in row if cell]
        assert amounts == sorted(amounts)


def test_a_boat_later_than_all_never_needs_less_than_one_less_late() -> None:
    for column in range(len(TABLE.miles_to_go)):
        cells = [row[column] for row in TABLE.cells]
        for earlier, later in pairwise(cells):
            if earlier and later and later.by_pace:
                assert earlier.amounts[0] <= later.amounts[0]


def test_a_pace_below_a_knot_gives_no_figure() -> None:
    """D: on the last day, with most of the miles still to go, the miles made over the hours gone."""
    far = hand_table(steady_crossings([5.0] * 30, miles=801.0), [], 0.95)
    late = far.days_out[-1]
    made_kn = [(801.0 - to_go) / (24.0 * late) for to_go in far.miles_to_go]
    assert any(pace < 1.0 for pace in made_kn)
    assert [pace < 1.0 for pace in made_kn] == [cell is None for cell in far.cells[-1]]


def test_every_row_has_every_column() -> None:
    assert {len(TABLE.miles_to_go)} == {len(row) for row in TABLE.cells}
    assert len(TABLE.days_out) == len(TABLE.cells)


def test_the_ration_is_what_is_left_over_the_days() -> None:
    assert 4.0 == ration(50.0, 10.0, kept_back=10.0)
    assert 0.0 == ration(5.0, 10.0, kept_back=10.0)
