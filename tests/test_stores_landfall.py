"""Every store to landfall in the same invented crossings."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from passage.consequences.stores.drawdown import Laden
from passage.consequences.stores.landfall import Stores, stores_to_landfall
from passage.inputs.crew import Crew, Person, WaterUse
from passage.inputs.folder import read_folder
from passage.inputs.pantry import Pantry, read_pantry
from passage.inputs.provisions import DailyThing, Diet, GasBottle, Watermaker, read_provisions
from tests.stores_cases import MATE, RULES, SKIPPER, boat, food, laden, steady_crossings, two

SPEEDS = list(np.linspace(1.9, 2.8, 40))  # 9 to 13 days for 600 miles
NO_FILE = Path("no such pantry.csv")
GAS = (GasBottle(name="bottle", content_kg=3.0),)
PILLS = DailyThing(name="pills", unit="pills", per_day=1, aboard=12, unit_mass_kg=0.001)


def reckon(crew: Crew | None = None, *, slower: float = 1.0, shopping: bool = False, **facts: object) -> Stores:
    crossings = steady_crossings([speed / slower for speed in SPEEDS], miles=600.0)
    plain = {"gas_bottles": GAS, "daily": (PILLS,)}
    aboard = replace(laden(crossings, crew, **(plain | facts)), charging_h_per_day=0.5)
    return stores_to_landfall(aboard, read_pantry(NO_FILE), shopping=shopping)


def test_loaded_is_used_and_left_in_every_crossing() -> None:
    """To rounding: a millionth of what is loaded."""
    for store in reckon(shopping=True, watermaker=Watermaker(output_l_h=1.0, run_h=2.0)).all:
        balance = store.used + store.left - store.supplied
        assert np.full(balance.shape, store.loaded) == pytest.approx(balance, rel=1e-6), store.name


def test_more_crew_never_needs_less() -> None:
    three = Crew(
        people=(SKIPPER, MATE, Person(role="hand", mass_kg=50.0, age_years=60, sex="F")), water=WaterUse(heat=False)
    )
    for less, more in zip(reckon().all, reckon(three).all, strict=True):
        assert less.load_amount <= more.load_amount, less.name
        assert (less.used <= more.used).all(), less.name


def test_a_slower_boat_never_needs_less() -> None:
    for less, more in zip(reckon().all, reckon(slower=1.2).all, strict=True):
        assert less.load_amount <= more.load_amount, less.name
        assert (less.used <= more.used).all(), less.name


@cache
def shopped() -> Stores:
    return reckon(shopping=True)


def test_a_slower_boat_never_buys_less() -> None:
    quick, slow = shopped(), reckon(slower=1.2, shopping=True)
    assert quick.provision is not None
    assert slow.provision is not None
    assert quick.provision.bought_kg <= slow.provision.bought_kg
    assert quick.provision.bought_kcal <= slow.provision.bought_kcal


def test_the_provision_feeds_every_crossing_to_the_slow_end() -> None:
    told = shopped()
    assert told.provision is not None
    assert told.food.loaded >= told.food.load.amount
    assert told.food.short <= 0.05
    assert told.provision.reserve_days >= 2
    assert "" == told.no_provision


def test_stores_of_which_nothing_is_said_are_not_counted() -> None:
    assert ("food", "gas") == reckon(gas_bottles=()).together.not_counted


def test_the_pills_run_out_first_and_a_week_more_mends_it() -> None:
    """D: twelve days of pills; 600 miles take 13.2 days at 1.9 kn and 8.9 at 2.8."""
    told = reckon().together
    assert "pills" == told.shortages[0].name
    assert np.mean(np.array(told.first_out) == "pills") == told.shortages[0].first.value > 0
    assert told.remedy is not None
    assert ["pills"] == [piece.store for _, piece in told.remedy.pieces]
    assert 0 == told.remedy.after.count


def test_bounds_that_cannot_be_met_are_told_and_the_rest_still_stands() -> None:
    crossings = steady_crossings(SPEEDS)
    pantry = Pantry((food("biscuit", aboard_packs=2.0),))
    told = stores_to_landfall(laden(crossings), pantry)
    assert told.provision is None
    assert "no packs will do" in told.no_provision
    assert told.audit is not None
    assert 0 == told.audit.lasts_days
    assert 4000.0 == pytest.approx(told.food.loaded)


def test_a_boat_that_never_arrives_is_told_and_not_a_traceback() -> None:
    crossings = steady_crossings([0.1, 0.1], hours=48)
    told = stores_to_landfall(laden(crossings, daily=(PILLS,)), read_pantry(NO_FILE))
    assert (None, None, 2) == (told.larder, told.provision, told.together.never)
    assert np.inf == told.water.store.load.amount


def test_allergens_keep_food_out_of_the_list_and_out_of_the_count() -> None:
    told = reckon(shopping=True, diet=Diet(allergens=("nuts", "fish", "milk"), dislikes=("dates",)))
    assert told.provision is not None
    pantry = read_pantry(NO_FILE).named
    bought = [pantry[row.item] for row in told.provision.shopping]
    assert not any(each.allergens & {"nuts", "fish", "milk"} for each in bought)
    assert "dates" not in {each.item for each in bought}


def test_the_watermaker_hands_its_energy_over() -> None:
    told = reckon(watermaker=Watermaker(output_l_h=4.0, run_h=1.5, energy_per_litre_wh=25.0))
    assert 150.0 == pytest.approx(told.watermaker_wh_per_day)


def test_stowage_weighs_all_that_is_carried() -> None:
    """D: crew 142, tanks 150, sealed 18, fuel 60 x 0.84, gas 3 x 2.1 kg, twelve pills."""
    assert 142 + 150 + 18 + 50.4 + 6.3 + 0.012 == pytest.approx(reckon().stowed.total_kg)


def test_the_demonstration_stores_read_and_plan() -> None:
    provisions, pantry = read_provisions(read_folder(Path(__file__).parents[1] / "routes" / "cape-town-st-helena").home)
    crossings = steady_crossings(list(np.linspace(3.5, 5.0, 40)), miles=1690.0)
    told = stores_to_landfall(Laden(crossings, two(), boat((120.0, 90.0)), provisions, RULES), pantry)
    assert told.provision is not None
    assert told.audit is not None
    assert 0 < told.audit.lasts_days < told.larder.days  # type: ignore[union-attr]
    assert "dark chocolate" in {row.item for row in told.provision.shopping}
    assert not any("peanuts" in pantry.named[row.item].allergens for row in told.provision.shopping)
