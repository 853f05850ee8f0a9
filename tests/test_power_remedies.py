"""Remedies are the same crossings run again with one thing changed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from passage.consequences.power.balance import plant_of, run_plant
from passage.consequences.power.panels import faces, harvest_w
from passage.consequences.power.remedies import MORE_W, remedies_for
from passage.inputs.electrics import Panel, Prices
from tests.power_cases import electrics, sailed_scene


def remedies(**changes: object):
    plant = plant_of(sailed_scene(), electrics(**changes), "low", 25.0)
    return {remedy.remedy: remedy for remedy in remedies_for([plant])}


def test_every_load_that_can_go_is_tried_and_no_needed_one() -> None:
    assert {
        "do without: pilot",
        "do without: refrigerator",
        "cut to 50 %: refrigerator",
        "add 50 W of panels",
        "run the engine 1 h more every morning",
    } == set(remedies())


def test_without_an_engine_none_is_run() -> None:
    assert "run the engine 1 h more every morning" not in remedies(alternator=None, charging=None)


def test_the_most_helpful_stands_first() -> None:
    changed = [round(remedy.changed_days, 6) for remedy in remedies(charging=None).values()]
    assert changed == sorted(changed)
    assert changed[0] < 0.0


def test_using_less_never_makes_it_worse_and_a_half_cut_helps_less_than_a_whole() -> None:
    found = remedies(charging=None)
    whole, half = found["do without: refrigerator"], found["cut to 50 %: refrigerator"]
    assert whole.changed_days <= half.changed_days <= 0.0


def test_a_remedy_is_the_boat_rerun_as_it_would_then_be() -> None:
    boat = electrics(charging=None)
    without = boat.model_copy(update={"loads": boat.loads[:-1]})
    bank, run = run_plant(plant_of(sailed_scene(), without, "low"))
    at_sea = sailed_scene().at_sea > 0.0
    below = ((run.soc[1:] < bank.floor) & at_sea).any(axis=0).mean()
    assert 100.0 * below == pytest.approx(remedies(charging=None)["do without: refrigerator"].below_in_100)


def test_more_panels_on_a_boat_without_any_lie_flat_on_deck() -> None:
    plant = plant_of(sailed_scene(), electrics(panels=(), charging=None), "low")
    solar = plant.electrics.solar
    sun = harvest_w(plant.scene, "low", faces([Panel(name="deck", power_w=MORE_W)], solar), solar.heel_deg)
    bank, run = run_plant(replace(plant, sun_w=sun))
    below = ((run.soc[1:] < bank.floor) & (plant.scene.at_sea > 0.0)).any(axis=0).mean()
    assert np.isclose(100.0 * below, remedies(panels=(), charging=None)["add 50 W of panels"].below_in_100)


def test_a_remedy_is_told_with_its_price_where_that_is_known() -> None:
    found = remedies(charging=None, prices=Prices(panel_watt=2.5, fuel_litre=2.0))
    assert MORE_W * 2.5 == found["add 50 W of panels"].price
    engine = found["run the engine 1 h more every morning"]
    assert 2.0 * max(engine.changed_charging_l, 0.0) == pytest.approx(engine.price)
    assert 0.0 == found["do without: pilot"].price
    assert np.isnan(remedies()["add 50 W of panels"].price)
