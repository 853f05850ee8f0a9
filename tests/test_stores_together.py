"""All stores together: intervals against published ones, remedies against trying everything."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passage.consequences.stores.drawdown import Store, Use, draw_down
from passage.consequences.stores.together import Piece, Remedy, lightest_remedy, share, together
from passage.plan.sheets.shortages import remedy_words
from tests.stores_cases import RULES, steady_crossings

CAN = Piece("water", "can", 10.0, 10.0)
BAG = Piece("food", "bag", 10.0, 3.0)


@pytest.mark.parametrize(
    ("count", "members", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_intervals_are_newcombes(count: int, members: int, low: float, high: float) -> None:
    """Newcombe 1998, Statistics in Medicine 17:857, Table I, method 3 (M); half the last printed digit."""
    told = share(count, members)
    assert (pytest.approx(low, abs=5e-5), pytest.approx(high, abs=5e-5)) == (told.low, told.high)


def test_all_of_all_reaches_one_and_none_of_none_is_refused() -> None:
    assert 1.0 == share(7, 7).high
    with pytest.raises(ValueError, match="not a share"):
        share(0, 0)


def stores(speeds: list[float], water: float, food: float, bag: Piece | None = BAG) -> list[Store]:
    """Water 1 and food 2 units an hour; cans of the one and bags of the other may be added."""
    crossings = steady_crossings(speeds, miles=100.0)
    nothing = np.zeros(crossings.members)
    return [
        draw_down("water", "L", water, Use(1.0, nothing), crossings, RULES, piece=CAN),
        draw_down("food", "kg", food, Use(2.0, nothing), crossings, RULES, piece=bag),
    ]


def test_the_first_to_go_and_when() -> None:
    """D: at 5 kn 20 h and a little: food of 30 goes after 15 h, water of 18 after 18."""
    told = together(stores([5.0, 50.0], 18.0, 30.0), 0.5)
    assert ("food", "") == told.first_out
    assert [15.0, np.inf] == told.first_out_h.tolist()
    assert {"water": 0.5, "food": 0.5} == {row.name: row.short.value for row in told.shortages}
    assert {"water": 0, "food": 1} == {row.name: row.first.count for row in told.shortages}
    assert 1 == told.any_short.count


@settings(max_examples=40)
@given(
    st.lists(st.floats(1.0, 9.0), min_size=3, max_size=10),
    st.floats(0, 60),
    st.floats(0, 120),
    st.sampled_from([0.0, 0.2, 0.4]),
)
def test_the_remedy_is_the_lightest_of_all(speeds: list[float], water: float, food: float, target: float) -> None:
    """Every number of cans and bags up to 25 of each is tried. D."""
    both = stores(speeds, water, food)
    found = lightest_remedy(both, target)
    masses = [
        cans * CAN.mass_kg + bags * BAG.mass_kg
        for cans, bags in product(range(26), repeat=2)
        if _short(both, cans, bags) <= target
    ]
    assert found is not None
    assert min(masses) == pytest.approx(found.mass_kg)
    assert found.after.value <= target


def _short(both: list[Store], cans: int, bags: int) -> float:
    extra = (cans * CAN.amount, bags * BAG.amount)
    out = [store.used > store.loaded + more + 1e-6 for store, more in zip(both, extra, strict=True)]
    return float(np.any(out, axis=0).mean())


def test_nothing_is_added_where_nothing_is_short() -> None:
    remedy = lightest_remedy(stores([5.0], 500.0, 500.0), 0.01)
    assert remedy is not None
    assert ((), 0.0) == (remedy.pieces, remedy.mass_kg)


def test_boats_that_never_arrive_have_no_remedy() -> None:
    crossings = steady_crossings([5.0, 0.1], miles=100.0, hours=60)
    water = draw_down("water", "L", 5.0, Use(1.0, np.zeros(2)), crossings, RULES, piece=CAN)
    assert lightest_remedy([water], 0.1) is None
    assert lightest_remedy([water], 0.5) is not None
    assert 1 == together([water], 0.1).never


def test_a_store_without_a_piece_cannot_be_mended() -> None:
    assert lightest_remedy(stores([5.0], 500.0, 1.0, bag=None), 0.1) is None


def test_a_remedy_costs_what_its_pieces_cost_and_nothing_is_said_where_one_has_no_price() -> None:
    dear = Piece("water", "can", 10.0, 10.0, 15.0)
    assert 45.0 == Remedy(((3, dear),), 30.0, share(0, 10)).price
    assert np.isnan(Remedy(((3, dear), (1, BAG)), 33.0, share(0, 10)).price)
    assert "for 45" in remedy_words(Remedy(((3, dear),), 30.0, share(0, 10)))
