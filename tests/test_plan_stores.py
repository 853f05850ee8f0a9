"""What a person is told of the stores: tables against the crossings, page one, the hand table, words."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.consequences.stores.audit import Audit
from passage.consequences.stores.loading import Verdict
from passage.consequences.stores.together import Piece, Remedy, share
from passage.crossings.ensemble import passage_time_h
from passage.inputs.boat import Tank
from passage.inputs.provisions import DailyThing, Diet, Watermaker
from passage.plan.document import plan_tables
from passage.plan.editions import only
from passage.plan.sheet import Room
from passage.plan.sheets import food, front, stores, water
from passage.plan.sheets.shortages import not_counted_words, remedy_words
from passage.tell.records import as_json
from passage.tell.terminal import blocks_text
from tests.plan_cases import ROUTES, endless_for_most, sailed

if TYPE_CHECKING:
    from passage.road import Outcome

KETTLES = DailyThing(name="kettles", unit="kettles", per_day=1, aboard=2)


def provided(outcome: Outcome, **changes: object) -> Outcome:
    """The same crossings with other stores."""
    provisions = outcome.facts.provisions.model_copy(update=changes)
    return replace(outcome, facts=replace(outcome.facts, provisions=provisions))


def shaded(outcome: Outcome) -> Outcome:
    """The same crossings with an awning, under which water lasts."""
    crew = outcome.facts.crew
    under = crew.model_copy(update={"water": crew.water.model_copy(update={"awning": True})})
    return replace(outcome, facts=replace(outcome.facts, crew=under))


def words_of(outcome: Outcome) -> str:
    return "\n\n".join(sheet.SHEET.text(sheet.table(outcome)) for sheet in (stores, water, food))


@pytest.mark.parametrize("route", ROUTES)
def test_tables_are_json_rounded_and_every_key_has_a_meaning(route: str) -> None:
    outcome = sailed(route)
    for sheet in (stores, food):
        table = as_json(sheet.table(outcome))
        assert table == json.loads(json.dumps(table, allow_nan=False))


@pytest.mark.parametrize("route", ROUTES)
def test_amounts_are_rounded_to_the_safe_side_in_units_a_person_can_measure(route: str) -> None:
    outcome = sailed(route)
    per_own = {"food": 1.0 / outcome.stores.food.daily, "gas": 1000.0}  # of a kilocalorie, of a kilogram
    for store, row in zip(outcome.stores.all, stores.table(outcome).to_json()["stores"], strict=True):
        per = per_own.get(store.name, 1.0)
        assert row["to_load"] >= store.load_amount * per - 1e-5 > row["to_load"] - 1.001
        assert row["aboard"] <= store.loaded * per + 1e-5
        assert row["lacking"] == max(row["to_load"] - row["aboard"], 0)
        rules = [rule["load"] for rule in row["rules"]]
        assert row["to_load"] <= max(rules) + row["reserve"] <= row["to_load"] + 1
        assert row["shortage"]["short"]["in_100"] <= row["shortage"]["short"]["at_most_in_100"]
    assert {"food": "days", "gas": "g", "water": "litres"}.items() <= {
        store.name: store.unit for store in stores.table(outcome).stores
    }.items()


def test_a_tank_filled_to_58_per_cent_holds_the_same_on_page_one_and_on_the_stores_sheet() -> None:
    """D: 58 per cent of 200 litres is 116, which no float says quite."""
    outcome = sailed(ROUTES[0])
    tanks = (Tank(name="keel tank", capacity_l=200.0, filled_share=0.58),)
    boat = outcome.facts.boat.model_copy(update={"water_tanks": tanks})
    less = replace(outcome, facts=replace(outcome.facts, boat=boat))
    page, told = as_json(front.table(less)), stores.table(less).to_json()
    assert 116 == page["water"]["tanks_give_l"] == told["stores"][0]["aboard"] == told["stores"][0]["aboard_now"]
    assert 116 == water.table(less).to_json()["answer"]["tanks_give_l"]
    assert page["water"]["lacking_l"] == told["stores"][0]["lacking"]


def test_food_is_told_in_days_of_full_meals() -> None:
    """D: kilocalories aboard over kilocalories a day."""
    outcome = sailed(ROUTES[0])
    row = stores.table(outcome).stores[1]
    assert math.floor(outcome.stores.food.loaded / outcome.stores.food.daily) == row.aboard.number


# ---------------------------------------------------------------- what runs out first


def test_page_one_names_what_runs_out_first_if_it_is_not_water() -> None:
    outcome = provided(shaded(sailed(ROUTES[0])), daily=(KETTLES,))
    page = front.table(outcome)
    said = front.said(page)
    assert page.water.lasts
    assert said.first_out.startswith("Kettles is the first to run out: in 200 of the 200 crossings")
    assert "on day 3" in said.first_out
    assert "kettles" in said.lacking
    assert "week's kettles" in said.remedy
    assert "Kettles is the first" in " ".join(blocks_text(front.summary(page)).split())
    assert "Not always." == stores.verdict_words(stores.table(outcome).answer)


def test_page_one_leaves_the_first_to_the_answer_on_water_when_it_is_water() -> None:
    outcome = sailed(ROUTES[0])
    tanks = tuple(tank.model_copy(update={"capacity_l": 20.0}) for tank in outcome.facts.boat.water_tanks)
    boat = outcome.facts.boat.model_copy(update={"water_tanks": tanks})
    page = front.table(replace(outcome, facts=replace(outcome.facts, boat=boat)))
    assert "" == front.said(page).first_out
    assert page.water.short.count > 0
    assert "can of water" in front.said(page).remedy


def test_when_all_lasts_page_one_says_so_in_one_sentence() -> None:
    said = front.said(front.table(sailed(ROUTES[0])))
    assert "Yes, once the shopping list is bought." == said.others
    assert "These last: food, fuel, gas and blood pressure tablets." == said.lasting
    assert "" == said.first_out == said.lacking == said.remedy


def test_a_store_that_the_rules_have_enough_of_is_not_too_little_though_a_crossing_runs_out() -> None:
    outcome = sailed(ROUTES[0])
    aboard = tuple(replace(store, short=0.005) if store.name == "gas" else store for store in outcome.stores.all)
    answer = replace(outcome.stores, all=aboard).answer
    assert ("gas",) == answer.nearly
    assert "gas" not in answer.lacking + answer.lasting
    assert Verdict.NEARLY_ALWAYS is answer.others_verdict
    emptied = tuple(replace(store, loaded=0.0) if store.name == "gas" else store for store in aboard)
    answer = replace(outcome.stores, all=emptied).answer
    assert (("gas",), Verdict.NOT_ALWAYS) == (answer.lacking, answer.others_verdict)


def test_what_no_file_speaks_of_is_not_counted_and_said() -> None:
    outcome = provided(shaded(sailed(ROUTES[0])), gas_bottles=())
    table = stores.table(outcome)
    gas = next(row for row in table.to_json()["stores"] if row["name"] == "gas")
    assert not gas["said"]
    assert gas["aboard"] is None is gas["lacking"] is gas["shortage"]
    assert gas["to_load"] > 0
    assert "gas" in not_counted_words(table.answer)
    assert "Yes, once the shopping list is bought, of what is counted." == stores.verdict_words(table.answer)
    assert "No file says how much gas" in stores.gas_words(table.gas_use)
    drawn = stores.drawings(outcome, plan_tables(outcome, only("stores")), Room(500.0, 700.0))
    assert "store3" not in drawn
    assert "store4" in drawn


def test_a_thing_of_which_none_is_aboard_runs_out_at_once() -> None:
    outcome = provided(sailed(ROUTES[0]), daily=(KETTLES.model_copy(update={"aboard": 0.0}),))
    row = stores.table(outcome).stores[-1]
    assert row.said
    assert row.shortage is not None
    assert (200, 1) == (row.shortage.short.count, row.shortage.typical_day)


# ---------------------------------------------------------------- the hand table


@pytest.mark.parametrize("route", ROUTES)
def test_the_hand_table_begins_with_what_page_one_says_to_load_and_falls(route: str) -> None:
    outcome = sailed(route)
    table, page = stores.table(outcome).to_json(), as_json(front.table(outcome))
    rows = table["hand_table"]["rows"]
    assert [row["to_load"] for row in table["stores"]] == [amount["least"] for amount in rows[0]["amounts"]]
    assert page["water"]["load_l"] == rows[0]["amounts"][0]["least"]
    assert page["time"]["slow_end_days"] == rows[0]["slow_end_days"]
    for earlier, later in pairwise(rows):
        for name in ("least", "survival"):
            both = zip(earlier["amounts"], later["amounts"], strict=True)
            assert all(more[name] >= less[name] for more, less in both)


def test_the_hand_table_counts_each_crossing_s_own_water() -> None:
    """Against a plain loop over crossings, hour by hour."""
    outcome = sailed(ROUTES[1])
    crossings, needed = outcome.crossings, outcome.stores.water.store.drawing.needed(slice(None))
    row = stores.table(outcome).hand_table.rows[4]
    mark_nm = crossings.track.length_nm - row.to_go_nm
    left = []
    for member in range(crossings.members):
        hour = next(h for h in range(crossings.hours) if crossings.distance_nm[member, h] >= mark_nm - 0.01)
        left.append(float(needed[member, -1]) - (float(needed[member, hour - 1]) if hour else 0.0))
    expected = max(passage_time_h(np.array(left), 0.95), 1.5 * passage_time_h(np.array(left), 0.5))
    assert math.ceil(expected) == pytest.approx(row.amounts[0].least.number, abs=1.0)


def test_the_ration_is_the_survival_ration_and_the_example_divides_right() -> None:
    """D: 2 L each for two; 1.27 times the basal rate of all; 15 g each for two."""
    outcome = sailed(ROUTES[0])
    told = stores.table(outcome).rations.to_json()
    basal = sum(person.basal_kcal for person in outcome.stores.people)
    assert 4.0 == told["water_survival_l_per_day"]
    assert round(1.27 * basal) == told["food_survival_kcal_per_day"]
    assert 30 == told["gas_survival_g_per_day"]
    assert told["example_aboard_l"] / told["example_days"] == pytest.approx(told["example_l_per_day"], abs=0.1)
    assert told["water_survival_l_per_day"] <= told["example_l_per_day"] <= told["water_l_per_day"]


# ---------------------------------------------------------------- food, weights, engine


def test_the_list_adds_up_and_stands_by_aisle() -> None:
    told = food.table(sailed(ROUTES[0])).to_json()["provision"]
    rows = told["shopping"]
    assert sum(row["gross_kg"] for row in rows) == pytest.approx(told["bought_kg"], abs=0.05 * len(rows) + 0.05)
    aisles = [row["aisle"] for row in rows]
    assert len(set(aisles)) == 1 + sum(before != after for before, after in pairwise(aisles))
    assert all(row["packs"] >= 1 for row in rows)
    refused = {"tinned salmon", "tinned ham", "peanuts", "peanut butter"}
    assert not refused & {row["item"] for row in rows}


def test_the_days_tell_need_what_is_aboard_dinner_and_what_to_eat_first() -> None:
    outcome = sailed(ROUTES[0])
    told = food.table(outcome)
    assert told.audit is not None
    assert math.ceil(outcome.times.slow_end_h / 24.0) == len(told.by_day) == len(told.audit.days)
    enough = [day.audit.enough for day in told.by_day]
    assert told.audit.lasts_days == enough.index(False)
    assert all(row.good_until_day >= day.audit.day for day in told.by_day for row in day.eat_first)
    assert any(day.eat_first for day in told.by_day)


def test_a_diet_that_nothing_satisfies_is_told_with_its_bound_on_paper_and_terminal() -> None:
    outcome = provided(
        sailed(ROUTES[0]), diet=Diet(allergens=("gluten",), most_of_one_share=0.05, staples_share=1.0), dinners=()
    )
    told = food.table(outcome)
    assert told.provision is None
    assert "no packs will do" in told.cannot
    assert "no packs will do" in " ".join(words_of(outcome).split())


def test_weights_add_up_and_a_payload_passed_is_warned_of() -> None:
    outcome = sailed(ROUTES[0])
    told = stores.table(outcome).stowed
    assert sum(row.mass_kg.number for row in told.rows) == pytest.approx(told.total_kg.number, abs=len(told.rows))
    assert "more than" not in stores.payload_words(told)
    hull = outcome.facts.boat.hull.model_copy(update={"payload_kg": 300.0})
    boat = outcome.facts.boat.model_copy(update={"hull": hull})
    heavy = replace(outcome, facts=replace(outcome.facts, boat=boat))
    assert "more than the stated payload of 300 kg" in stores.payload_words(stores.table(heavy).stowed)
    assert "more than the stated payload" in " ".join(words_of(heavy).split())


def test_the_motoring_table_is_on_what_lies_above_the_landfall_reserve() -> None:
    outcome = sailed(ROUTES[0])
    told = stores.table(outcome)
    assert outcome.facts.boat.usable_fuel_l - outcome.facts.boat.fuel.landfall_reserve_l == told.motoring_l
    ranges = [row.range_nm.number for row in told.motoring]
    assert ranges == sorted(ranges, reverse=True)
    assert all(row.range_in_a_sea_nm.number < row.range_nm.number for row in told.motoring)


def test_a_boat_without_an_engine_has_no_fuel_to_tell_of() -> None:
    outcome = sailed(ROUTES[0])
    changes = {
        "engine": None,
        "fuel_tanks": (),
        "fuel": outcome.facts.boat.fuel.model_copy(update={"calms_allowance_l": 0.0}),
    }
    boat = outcome.facts.boat.model_copy(update=changes)
    sails = replace(outcome, facts=replace(outcome.facts, boat=boat))
    assert "fuel" not in {row.name for row in stores.table(sails).stores}
    assert () == stores.table(sails).motoring


def test_the_watermaker_and_its_failure_are_told() -> None:
    maker = Watermaker(output_l_h=6.0, run_h=1.0, energy_per_litre_wh=18.0)
    words = water.making_words(water.table(provided(sailed(ROUTES[0]), watermaker=maker)))
    assert "6.0 litres a day for 108 Wh" in words
    assert "fail on the first day" in words
    assert "" == water.making_words(water.table(sailed(ROUTES[0])))


# ---------------------------------------------------------------- in the terminal


@pytest.mark.parametrize("route", ROUTES)
def test_the_terminal_answers_the_questions_in_eighty_columns(route: str) -> None:
    outcome = sailed(route)
    text, table = words_of(outcome), stores.table(outcome)
    assert all(len(line) <= 80 for line in text.splitlines())
    words = " ".join(text.split())
    answer = stores.verdict_words(table.answer), stores.short_words(table.answer)
    for part in (*answer, "Schofield", "To buy", f"{table.stowed.total_kg:u}"):
        assert part in words
    for row in table.hand_table.rows:
        assert str(row.amounts[0].least) in text


def test_a_passage_that_most_never_finish_is_told() -> None:
    outcome = endless_for_most(sailed(ROUTES[1]))
    text = words_of(outcome)
    assert "never arrive" in text
    assert not set(text.split()) & {"inf", "nan", "None"}
    json.dumps(as_json(stores.table(outcome)), allow_nan=False)


def test_a_passage_that_nobody_finishes_is_told() -> None:
    outcome = sailed(ROUTES[1])
    crossings = replace(outcome.crossings, arrival_h=np.full(outcome.crossings.members, np.inf))
    nobody = replace(outcome, crossings=crossings)
    assert "No crossing arrives" in " ".join(words_of(nobody).split())
    json.dumps(as_json(food.table(nobody)), allow_nan=False)


def test_food_aboard_now_is_told_apart_from_what_the_list_is_to_buy() -> None:
    """D: kilocalories of the audit, and of the audit and the list, over kilocalories a day."""
    outcome = sailed(ROUTES[0])
    told = outcome.stores
    food = stores.table(outcome).stores[1]
    assert told.audit is not None
    assert math.floor(told.audit.edible_kcal / told.food.daily) == food.aboard_now.number < food.aboard.number
    text = words_of(outcome)
    line = next(line for line in text.splitlines() if line.startswith("food "))
    assert [str(food.to_load), "days", str(food.aboard_now), str(food.aboard)] == line.split()[1:5]
    assert all(len(line) <= 80 for line in text.splitlines())


@pytest.mark.parametrize(("count", "words"), [(0, "no crossing of"), (1, "1 crossing of"), (2, "2 crossings of")])
def test_what_a_remedy_leaves_is_counted_as_one_speaks(count: int, words: str) -> None:
    can = Piece("water", "20 L can of water", 20.0, 21.0)
    assert f"leaves {words} 200 short" in remedy_words(Remedy(((1, can),), 21.0, share(count, 200)))


@pytest.mark.parametrize(
    ("energy_days", "protein_days", "words"),
    [
        (0, 1, "energy needed for no whole day, the protein for the first day;"),
        (9, 0, "for the first 9 days, the protein for no"),
    ],
)
def test_food_aboard_that_falls_short_says_of_which_days(energy_days: int, protein_days: int, words: str) -> None:
    short = Audit((), energy_days, protein_days, enough=False, no_cook_left_kcal=0.0, edible_kcal=1.0)
    assert words in food.aboard_words(short)


def test_days_without_a_dinner_are_told_in_runs() -> None:
    assert "" == food.runs_words(())
    assert "4, 6 to 9, 12, 13" == food.runs_words((4, 6, 7, 8, 9, 12, 13))
