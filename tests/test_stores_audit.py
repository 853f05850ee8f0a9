"""The audit, the dinners and the larder on invented food; expected values are sums done by hand (D)."""

from __future__ import annotations

import numpy as np
import pytest

from passage.consequences.stores.audit import audit
from passage.consequences.stores.daily import food_to_landfall
from passage.consequences.stores.dinners import plan_dinners
from passage.consequences.stores.larder import lay_in
from passage.errors import OutOfRange
from passage.inputs.pantry import Pantry
from passage.inputs.provisions import Diet, Dinner
from tests.stores_cases import RULES, food, laden, larder, steady_crossings, two


def test_ten_packs_of_two_thousand_last_four_days_of_five_thousand() -> None:
    told = audit(larder([food("biscuit", aboard_packs=10.0)], days=5))
    assert (4, False) == (told.lasts_days, told.enough)
    assert [5000.0] * 4 + [0.0] == pytest.approx([day.found_kcal for day in told.days])
    assert 20_000.0 == pytest.approx(told.edible_kcal)


def test_what_spoils_is_eaten_first_and_the_rest_of_it_lost() -> None:
    """Four kilos of bread that keeps two days, a kilo a day: two are eaten and two lost."""
    foods = (
        food("biscuit", aboard_packs=20.0),
        food("bread", energy_kcal_per_kg=2500.0, aboard_packs=8.0, most_kg_per_day=0.5),
    )
    told = audit(larder(foods, days=4, keeps=[700, 2]))
    assert [0.0, 0.0, 2.0, 0.0] == pytest.approx([day.spoiled_kg for day in told.days])
    assert told.enough
    assert 2 * 2500.0 + 40_000.0 == pytest.approx(told.edible_kcal)


def test_a_daily_most_leaves_a_day_short_though_food_is_left() -> None:
    told = audit(larder([food("biscuit", aboard_packs=90.0, most_kg_per_day=0.5)], days=3))
    assert 0 == told.lasts_days
    assert 4000.0 == pytest.approx(told.days[0].found_kcal)


def test_no_cook_food_left_is_counted_for_the_reserve() -> None:
    foods = (food("biscuit", aboard_packs=6.0), food("rice", aboard_packs=10.0, cook=True))
    told = audit(larder(foods, days=2, keeps=[700, 5], reserve_days=1))
    assert 12_000.0 == pytest.approx(told.no_cook_left_kcal), "rice goes first, and then needs no more"


def test_protein_is_told_apart_from_energy() -> None:
    told = audit(larder([food("sugar", aboard_packs=90.0, protein_share=0.0)], days=3))
    assert (3, 0) == (told.lasts_days, told.protein_lasts_days)


def test_dinners_keep_their_limits_and_use_the_fresh_first() -> None:
    foods = (food("cabbage"), food("rice"))
    here = larder(foods, days=6, keeps=[3, 700])
    dinners = [
        Dinner(name="rice", uses={"rice": 0.3}, most=2, days_apart=2),
        Dinner(name="cabbage", uses={"cabbage": 0.5}, most=5, days_apart=2),
    ]
    planned = plan_dinners(here, dinners)
    assert ("cabbage", "rice", "cabbage", "rice", None, None) == planned.served
    assert (5, 6) == planned.without
    assert [0.5, 0.0, 0.5, 0.0, 0.0, 0.0] == planned.uses_kg[0].tolist()


def test_what_may_not_be_landed_is_no_dinner_after_the_typical_landfall() -> None:
    here = larder([food("bacon", ashore=False)], days=4, landfall_day=2)
    planned = plan_dinners(here, [Dinner(name="bacon", uses={"bacon": 0.2}, days_apart=1)])
    assert ("bacon", "bacon", None, None) == planned.served


def test_the_days_of_the_larder_add_up_to_the_slow_end_and_the_reserve_covers_the_rule() -> None:
    crossings = steady_crossings([6.0] * 10 + [4.0] * 10)
    eaten = food_to_landfall(laden(crossings))
    here = lay_in(crossings, two(), Diet(no_cook_reserve_share=0.0), Pantry((food("biscuit"),)), eaten, RULES)
    assert 7 == here.days  # D: 600 nm and a little at 4 kn
    assert eaten.load.to_slow_end == pytest.approx(here.need_kcal.sum())
    assert here.need_kcal.sum() + here.reserve_kcal >= eaten.load.amount - 1e-6
    more = lay_in(crossings, two(), Diet(no_cook_reserve_share=1.0), Pantry((food("biscuit"),)), eaten, RULES)
    assert 7 == more.reserve_days


def test_refused_food_is_not_in_the_larder() -> None:
    crossings = steady_crossings([6.0])
    eaten = food_to_landfall(laden(crossings))
    pantry = Pantry((food("nuts", allergens=frozenset({"nuts"})), food("liver"), food("biscuit")))
    here = lay_in(crossings, two(), Diet(allergens=("nuts",), dislikes=("liver",)), pantry, eaten, RULES)
    assert ["biscuit"] == [each.item for each in here.foods]


def test_where_no_boat_arrives_no_larder_is_laid() -> None:
    crossings = steady_crossings([0.1], hours=24)
    eaten = food_to_landfall(laden(crossings))
    with pytest.raises(OutOfRange, match="no crossing arrives"):
        lay_in(crossings, two(), Diet(), Pantry((food("biscuit"),)), eaten, RULES)


def test_a_slow_end_not_reached_is_told_and_the_slowest_arrival_taken() -> None:
    crossings = steady_crossings([6.0, 5.1, 0.1], hours=125)
    eaten = food_to_landfall(laden(crossings))
    here = lay_in(crossings, two(), Diet(), Pantry((food("biscuit"),)), eaten, RULES)
    assert (False, 5) == (here.slow_end_known, here.days)
    assert np.isfinite(here.need_kcal).all()
