"""Choosing packs: the optimum proved by enumeration and by the dual; every bound held; the bound that forbids named."""

from __future__ import annotations

import tracemalloc
from itertools import pairwise, product

import numpy as np
import pytest
from scipy.optimize import linprog

from passage.consequences.stores import packs
from passage.consequences.stores.packs import GAP, CannotProvision, bounds_for, choose_packs
from passage.consequences.stores.shopping import provision
from passage.inputs.provisions import Diet, Dinner
from tests.stores_cases import food, larder, no_dinners

EASY = Diet(
    most_of_one_share=1.0,
    staples_share=0.0,
    fats_share=1.0,
    snacks_share=1.0,
    produce_kg=0.0,
    no_cook_reserve_share=0.0,
)
SMALL = (
    food("biscuit", pack_kg=0.7, protein_share=0.05),
    food("nuts", pack_kg=0.3, energy_kcal_per_kg=6000.0, protein_share=0.2, most_kg_per_day=0.1, packaging="tin"),
    food("stew", pack_kg=0.4, energy_kcal_per_kg=1000.0, protein_share=0.08, packaging="tin"),
)


def diet(**changes: object) -> Diet:
    return EASY.model_copy(update=changes)


def feasible(case: tuple[int, ...], days: int) -> bool:
    """Whether so many packs feed two people: everything keeps and only nuts are bounded, so whole days are alike."""
    biscuit, nuts, stew = (count * each.eaten_kg for count, each in zip(case, SMALL, strict=True))
    nuts = min(nuts, 0.2 * days)
    energy = 4000.0 * biscuit + 6000.0 * nuts + 1000.0 * stew
    protein = 0.05 * biscuit + 0.2 * nuts + 0.08 * stew
    return energy >= 5000.0 * days - 1e-6 and protein >= 0.1 * days - 1e-9


def test_the_least_mass_is_that_of_every_choice_tried() -> None:
    """Enumeration of all packs up to ten of each. D."""
    here = larder(SMALL, days=3)
    chosen = choose_packs(bounds_for(here, no_dinners(here), EASY))
    masses = [
        sum(count * each.gross_kg for count, each in zip(case, SMALL, strict=True))
        for case in product(range(11), repeat=3)
        if feasible(case, 3)
    ]
    assert min(masses) == pytest.approx(chosen.objective)
    assert chosen.least <= chosen.objective * (1 + 1e-9)


def test_a_long_pantry_for_a_long_passage_finds_room() -> None:
    """60 foods over 120 days: a square of all the variables would take 429 MB, the rows of the programme take 28."""
    foods = [food(f"biscuit {number}", pack_kg=0.5 + 0.01 * number, protein_share=0.05) for number in range(60)]
    here = larder(foods, days=120)
    tracemalloc.start()
    chosen = choose_packs(bounds_for(here, no_dinners(here), EASY))
    peak_bytes = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert chosen.eaten_kg.sum() >= 120 * 5000.0 / 4000.0 - 1e-6
    assert peak_bytes < 215e6, "half of the square"


def test_the_relaxed_least_is_proved_by_its_dual() -> None:
    """A week's programme of aggregates, solved by itself: primal, dual and the bound of the whole-pack answer. D."""
    days = 7
    here = larder(SMALL, days=days)
    chosen = choose_packs(bounds_for(here, no_dinners(here), EASY))
    cost = np.array([each.gross_kg / each.eaten_kg for each in SMALL])
    rows = np.array([[4000.0, 6000.0, 1000.0], [0.05, 0.2, 0.08], [0.0, -1.0, 0.0]])
    least = np.array([5000.0 * days, 0.1 * days, -0.2 * days])
    primal = linprog(cost, A_ub=-rows, b_ub=-least, method="highs")
    dual = linprog(-least, A_ub=rows.T, b_ub=cost, method="highs")
    assert -dual.fun == pytest.approx(primal.fun), "strong duality"
    assert primal.fun <= chosen.objective * (1 + 1e-9)
    assert chosen.objective <= primal.fun + max(each.gross_kg for each in SMALL) * 3, (
        "whole packs cost a few packs at most"
    )
    assert primal.fun - 1e-6 <= chosen.least <= chosen.objective * (1 + 1e-9)
    assert chosen.gap_share <= GAP + 1e-9


def test_every_day_has_its_energy_and_protein_and_nothing_is_eaten_twice() -> None:
    here = larder(SMALL, days=6)
    chosen = choose_packs(bounds_for(here, no_dinners(here), EASY))
    assert (chosen.eaten_kg.T @ here.energy >= here.need_kcal - 1e-4).all()
    assert (chosen.eaten_kg.T @ here.protein >= here.protein_kg - 1e-7).all()
    bought = chosen.bought * np.array([each.eaten_kg for each in SMALL])
    assert (chosen.eaten_kg.sum(axis=1) + chosen.reserve_kg <= bought + 1e-6).all()
    assert (chosen.eaten_kg <= here.most_kg[:, None] + 1e-9).all()


def test_what_is_aboard_is_not_bought_again() -> None:
    full = larder([food("biscuit", aboard_packs=40.0)], days=5)
    assert 0 == choose_packs(bounds_for(full, no_dinners(full), EASY)).bought.sum()


def test_fresh_food_is_eaten_first_and_never_when_spoiled() -> None:
    bread = food("bread", energy_kcal_per_kg=2500.0, most_kg_per_day=0.4, aboard_packs=4.0)
    here = larder((bread, food("biscuit", pack_kg=0.25)), days=6, keeps=[3, 700])
    chosen = choose_packs(bounds_for(here, no_dinners(here), EASY))
    assert 0.0 == chosen.eaten_kg[0, 3:].sum()
    assert [0.8, 0.8, 0.4] == pytest.approx(chosen.eaten_kg[0, :3].tolist()), "two kilos, 0.8 a day at most"


def test_what_may_not_be_landed_is_eaten_before_the_typical_landfall_and_no_reserve() -> None:
    foods = (food("honey cake", ashore=False, pack_kg=0.1), food("biscuit", pack_kg=0.6))
    here = larder(foods, days=6, landfall_day=4, reserve_days=2, reserve_kcal=10_000.0)
    chosen = choose_packs(bounds_for(here, no_dinners(here), EASY))
    assert 0.0 == chosen.eaten_kg[0, 4:].sum() == chosen.reserve_kg[0]
    assert 10_000.0 <= chosen.reserve_kg @ here.energy + 1e-4


def test_a_liked_food_is_aboard_at_any_price() -> None:
    foods = (food("biscuit"), food("lead cake", energy_kcal_per_kg=100.0, protein_share=0.0, pack_kg=2.0))
    here = larder(foods, days=3)
    assert 0 == choose_packs(bounds_for(here, no_dinners(here), EASY)).bought[1]
    assert 1 == choose_packs(bounds_for(here, no_dinners(here), diet(likes=("lead cake",)))).bought[1]


def test_the_least_cost_buys_what_is_cheap_and_nothing_unpriced() -> None:
    foods = (food("dear", price=9.0), food("cheap", price=1.0, energy_kcal_per_kg=3900.0), food("unpriced"))
    here = larder(foods, days=3)
    chosen = choose_packs(bounds_for(here, no_dinners(here), diet(minimise="cost")))
    assert [0, 8, 0] == chosen.bought.tolist()  # D: 15 000 kcal at 1950 a pack
    assert 8.0 == chosen.objective


def test_a_dinner_is_cooked_from_what_is_bought() -> None:
    foods = (food("biscuit"), food("beans", energy_kcal_per_kg=1000.0, pack_kg=0.4, cook=True))
    here = larder(foods, days=6)
    bought = provision(here, [Dinner(name="beans", uses={"beans": 0.4}, most=2, days_apart=3)], EASY)
    assert ("beans", None, None, "beans", None, None) == bought.dinners.served
    assert {"biscuit", "beans"} == {row.item for row in bought.shopping}
    assert 2 == next(row.packs for row in bought.shopping if row.item == "beans")


@pytest.mark.parametrize(
    ("words", "changes", "limits", "case"),
    [
        ("protein every day", {"protein_share": 0.0}, {}, {}),
        ("the least produce", {}, {"produce_kg": 0.2}, {}),
        ("the most of each food", {"most_kg_per_day": 0.5}, {}, {}),
        ("the most of the energy that one food", {}, {"most_of_one_share": 0.5}, {}),
        ("the shares of the energy", {"group": "snack"}, {"snacks_share": 0.2}, {}),
        ("how long food keeps", {}, {}, {"keeps": [3]}),
        ("what may not be landed", {"ashore": False}, {}, {"landfall_day": 4}),
        ("reserve days", {"cook": True}, {}, {"reserve_days": 2, "reserve_kcal": 1e4}),
    ],
)
def test_the_bound_that_forbids_is_named(
    words: str, changes: dict[str, object], limits: dict[str, object], case: dict[str, object]
) -> None:
    here = larder([food("biscuit", **changes)], days=5, **case)
    with pytest.raises(CannotProvision, match=words):
        choose_packs(bounds_for(here, no_dinners(here), diet(**limits)))


def test_several_bounds_at_once_are_told_as_such() -> None:
    here = larder([food("biscuit", protein_share=0.0, most_kg_per_day=0.5)], days=5)
    with pytest.raises(CannotProvision, match="whichever single bound"):
        choose_packs(bounds_for(here, no_dinners(here), EASY))


def test_more_people_or_more_days_never_weigh_less() -> None:
    """The dual bound of the larger need is compared with the answer to the smaller: no solver's gap can hide a fall."""
    sizes = []
    for days, need in ((3, 5000.0), (4, 5000.0), (4, 7500.0), (6, 7500.0)):
        here = larder(SMALL, days=days, need_kcal=np.full(days, need), persons=3 if need > 5000 else 2)
        sizes.append(choose_packs(bounds_for(here, no_dinners(here), EASY)))
    for less, more in pairwise(sizes):
        assert less.least <= more.objective + 1e-9
        assert less.objective <= more.objective * (1 + GAP)


def test_packs_that_cannot_be_eaten_by_a_hair_are_eaten_as_they_were_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whole packs are rounded by the solver's own error, which may leave it no second solution."""
    here = larder([food("biscuit"), food("nuts", energy_kcal_per_kg=6000.0, most_kg_per_day=0.2)], days=5)
    solve = packs._solve
    usual = choose_packs(bounds_for(here, no_dinners(here), EASY))
    nothing = packs._Solved(None, 0.0, 0.0)
    monkeypatch.setattr(packs, "_solve", lambda given, *, whole: solve(given, whole=whole) if whole else nothing)
    found = choose_packs(bounds_for(here, no_dinners(here), EASY))
    assert list(usual.bought) == list(found.bought)
    eaten_kcal = here.energy @ found.eaten_kg
    assert (eaten_kcal >= here.need_kcal - 1e-3).all()


def test_by_cost_what_has_no_price_is_as_dear_as_the_dearest_and_still_to_be_had() -> None:
    """One price is enough: the unpriced food is bought only where the priced one may not fill the plate alone."""
    foods = (food("priced", price=2.0), food("unpriced"))
    here = larder(foods)
    alone = choose_packs(bounds_for(here, no_dinners(here), diet(minimise="cost")))
    assert 0 == alone.bought[1]
    half = choose_packs(bounds_for(here, no_dinners(here), diet(minimise="cost", most_of_one_share=0.6)))
    assert half.bought[1] > 0
