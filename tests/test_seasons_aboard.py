"""What is carried from one passage to the next, and what a port gives."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import numpy as np
import pytest

from passage.crossings.ensemble import worse_end
from passage.inputs.season import Port
from passage.seasons.aboard import KEEPS_DAYS, Aboard, brought, with_aboard
from tests.season_cases import sailed

FIRST = date(2028, 5, 31)
ARRIVES = datetime(2028, 5, 30, 12, tzinfo=UTC)
NOTHING = Port(name="Nowhere", stay_h=72.0, restock=())


def test_what_no_port_stocks_is_carried_over_as_the_worst_of_twenty_leaves_it() -> None:
    outcome = sailed().passed[1].outcome
    taken = brought(Aboard(), outcome, NOTHING, 72.0, ARRIVES)
    for store in outcome.stores.all:
        if store.said and store.name != "food":
            assert max(worse_end(store.left, outcome.slow_share), 0.0) == taken.stores[store.name]
    assert taken.stores["water"] < outcome.facts.boat.usable_water_l
    again = with_aboard(outcome.facts, taken)
    assert pytest.approx(taken.stores["water"]) == again.boat.usable_water_l
    assert pytest.approx(taken.stores["fuel"]) == again.boat.usable_fuel_l
    assert pytest.approx(taken.stores["gas"]) == again.provisions.gas_kg


def test_what_a_port_stocks_is_as_her_files_have_it() -> None:
    outcome = sailed().passed[1].outcome
    full = brought(Aboard(), outcome, Port(name="Full", stay_h=72.0), 72.0, ARRIVES)
    assert ({}, None) == (full.stores, full.charge_share)
    assert outcome.facts.boat.usable_water_l == with_aboard(outcome.facts, full).boat.usable_water_l


def test_the_battery_charges_at_anchor_where_there_is_no_shore_power() -> None:
    outcome = sailed().passed[1].outcome
    at_once = brought(Aboard(), outcome, NOTHING, 0.0, ARRIVES).charge_share
    after_days = brought(Aboard(), outcome, NOTHING, 72.0, ARRIVES).charge_share
    assert at_once is not None
    assert float(np.median(outcome.power.low.ended)) == at_once  # type: ignore[union-attr]
    assert after_days is not None
    assert 0.0 < after_days <= 1.0
    electrics = with_aboard(outcome.facts, Aboard(charge_share=0.4)).electrics
    assert electrics is not None
    assert 0.4 == electrics.departure.start_share


def test_food_is_bought_where_it_was_last_to_be_had_and_must_keep_until_then() -> None:
    outcome = sailed().passed[1].outcome
    taken = brought(Aboard(food_from="Las Palmas"), outcome, NOTHING, 72.0, ARRIVES)
    assert "Las Palmas" == taken.food_from
    assert taken.food_age_h > outcome.times.typical_h
    pantry = with_aboard(outcome.facts, taken).pantry
    kept = {food.item for food in pantry.foods}
    fresh = {food.item for food in outcome.facts.pantry.foods if food.keeps.days <= taken.food_age_h / 24.0}
    assert fresh
    assert not kept & fresh
    assert all(packs == int(packs) for packs in (taken.foods or {}).values())
    long = {food.item for food in outcome.facts.pantry.foods if food.keeps.days >= KEEPS_DAYS}
    assert set(taken.foods or {}) <= long


def test_mended_gear_is_as_new_and_the_rest_has_run_on() -> None:
    facts = sailed().season.facts[0]
    worn = with_aboard(facts, Aboard(engine_h=30.0, mended={"liferaft": FIRST}))
    was, now = ({item.name: item for item in each.gear.items} for each in (facts, worn))
    assert (FIRST, None) == (now["liferaft"].serviced, now["liferaft"].expires)
    oil = "engine oil and filter"
    assert (was[oil].running_h or 0.0) + 30.0 == now[oil].running_h
    assert was["EPIRB"] == now["EPIRB"]


def test_gear_falls_due_at_the_first_passage_that_meets_it_and_not_again() -> None:
    due = [{each.name for each in one.due} for one in sailed().passed]
    assert "flare pack" in due[2]
    assert not any("liferaft" in names for names in due)  # serviced in Las Palmas, before its label runs out
    assert len(set().union(*due)) == sum(map(len, due))


def test_the_facts_of_a_first_passage_are_as_read() -> None:
    facts = sailed().season.facts[0]
    gear = facts.gear.model_copy(update={"stay_h": 0.0})
    assert replace(facts, gear=gear) == with_aboard(facts, Aboard())
