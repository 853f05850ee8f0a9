"""The hand table in steady invented crossings, where every figure has a closed form (D)."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from passage.consequences.stores.drawdown import Use, draw_down
from passage.consequences.stores.handtable import MOST_ROWS, hand_table, ration
from tests.stores_cases import RULES, steady_crossings

SPEEDS = np.linspace(4.0, 7.0, 400)
CROSSINGS = steady_crossings(list(SPEEDS), miles=800.0)
LENGTH_NM = CROSSINGS.track.length_nm
WATER = draw_down("water", "L", 99.0, Use(0.25, 4.0 * CROSSINGS.arrival_h / 24.0), CROSSINGS, RULES, kept_back=7.0)
PILLS = draw_down("pills", "pills", 9.0, Use(1 / 24, CROSSINGS.arrival_h / 24.0), CROSSINGS, RULES)
TABLE = hand_table(CROSSINGS, [WATER, PILLS], RULES)
SLOW_KN = float(np.sort(SPEEDS)[::-1][int(0.95 * 400) - 1])  # the 380th of 400, the quickest first


def test_the_first_row_is_what_to_load() -> None:
    first = TABLE.rows[0]
    assert LENGTH_NM == first.to_go_nm
    assert (WATER.load_amount, PILLS.load_amount) == pytest.approx(tuple(amount.least for amount in first.amounts))
    assert 0.0 == first.out_days
    assert LENGTH_NM / SLOW_KN / 24.0 == pytest.approx(first.slow_end_days)


def test_a_row_holds_the_use_for_the_miles_left_and_what_is_kept_back() -> None:
    """A boat at a steady speed is at a mark at a whole hour, at most one late; 0.25 L an hour, 4 L a day to survive."""
    row = next(row for row in TABLE.rows if row.to_go_nm == 400.0)
    hours, typical_h = 400.0 / SLOW_KN, 400.0 / float(np.median(SPEEDS))
    assert hours / 24.0 == pytest.approx(row.slow_end_days, abs=1 / 24)
    assert max(0.25 * hours, 1.5 * 0.25 * typical_h) + 7.0 == pytest.approx(row.amounts[0].least, abs=1.5 * 0.25)
    assert 4.0 * hours / 24.0 + 7.0 == pytest.approx(row.amounts[0].survival, abs=4.0 / 24.0)
    assert 400.0 / float(np.median(SPEEDS)) / 24.0 == pytest.approx(row.out_days, abs=1 / 24)


def test_what_cannot_be_saved_is_asked_for_in_the_slowest_crossing() -> None:
    """D: the pills' survival use is full use, so the slowest of all crossings decides where it takes longest."""
    slow, typical_h = LENGTH_NM / 4.0, LENGTH_NM / float(np.median(SPEEDS))
    assert max(slow, 1.5 * typical_h) / 24.0 == pytest.approx(TABLE.rows[0].amounts[1].least, rel=1e-3)


def test_fewer_miles_to_go_never_need_more() -> None:
    for more, less in pairwise(TABLE.rows):
        assert more.to_go_nm > less.to_go_nm > 0
        assert more.slow_end_days >= less.slow_end_days
        assert more.out_days <= less.out_days
        both = list(zip(more.amounts, less.amounts, strict=True))
        assert all(high.least >= low.least for high, low in both)
        assert all(high.survival >= low.survival for high, low in both)


@pytest.mark.parametrize("miles", [90.0, 300.0, 400.0, 801.0, 1500.0, 3300.0, 4200.0])
def test_the_rows_fit_a_page_and_fall_in_round_steps(miles: float) -> None:
    table = hand_table(steady_crossings([5.0, 6.0], miles=miles), [], RULES)
    marks = [row.to_go_nm for row in table.rows]
    assert 3 <= len(marks) <= MOST_ROWS + 1
    (step,) = {round(high - low, 6) for high, low in pairwise(marks[1:])}
    assert f"{step:e}".replace("0", "").partition("e")[0] in ("1.", "2.", "2.5", "5."), "round in any power of ten"


def test_where_most_never_arrive_nothing_is_promised() -> None:
    """Crossings at 1 kn do not arrive in the hours given; the slow end and the load are then infinite."""
    crossings = steady_crossings([6.0] * 4 + [1.0] * 6, miles=600.0, hours=150)
    store = draw_down("water", "L", 99.0, Use(0.25, 4.0 * crossings.arrival_h / 24.0), crossings, RULES)
    for row in hand_table(crossings, [store], RULES).rows:
        assert np.isinf([row.slow_end_days, row.amounts[0].least, row.amounts[0].survival]).all()


def test_the_ration_is_what_is_left_over_the_days() -> None:
    assert 4.0 == ration(50.0, 10.0, kept_back=10.0)
    assert 0.0 == ration(5.0, 10.0, kept_back=10.0)
