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
from passage.consequences.stores.drawdown import Piece
from passage.consequences.stores.together import Remedy, share
from passage.crossings.ensemble import passage_time_h
from passage.inputs.provisions import DailyThing, Diet, Watermaker
from passage.plan.document import plan_tables
from passage.plan.printed import rounded, shown
from passage.plan.sheet import Room
from passage.plan.sheets import food, front, stores, water
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
    return stores.text({sheet.SHEET.name: sheet.table(outcome) for sheet in (water, stores, food)})


@pytest.mark.parametrize("route", ROUTES)
def test_tables_are_json_rounded_and_every_key_has_a_meaning(route: str) -> None:
    outcome = sailed(route)
    for sheet in (stores, food):
        table = sheet.table(outcome)
        assert table == json.loads(json.dumps(table, allow_nan=False)) == rounded(table)


@pytest.mark.parametrize("route", ROUTES)
def test_amounts_are_rounded_to_the_safe_side_in_units_a_person_can_measure(route: str) -> None:
    outcome = sailed(route)
    for store, row in zip(outcome.stores.all, stores.table(outcome)["stores"], strict=True):
        per_own = stores.measure(store).per_own
        assert row["load"] >= store.load_amount * per_own - 1e-5 > row["load"] - 1.001
        assert row["aboard"] <= store.loaded * per_own + 1e-5
        assert row["lacking"] == max(row["load"] - row["aboard"], 0)
        rules = (row["to_slow_end"], row["typical_and_half"], row["survival_in_all"])
        assert row["load"] <= max(rules) + row["kept_back"] <= row["load"] + 1
        assert row["short_in_100"] <= row["short_at_most_in_100"]
    assert {"food": "days", "gas": "g", "water": "litres"}.items() <= {
        row["store"]: row["unit"] for row in stores.table(outcome)["stores"]
    }.items()


def test_food_is_told_in_days_of_full_meals() -> None:
    """D: kilocalories aboard over kilocalories a day."""
    outcome = sailed(ROUTES[0])
    row = stores.table(outcome)["stores"][1]
    assert math.floor(outcome.stores.food.loaded / outcome.stores.food.daily) == row["aboard"]


# ---------------------------------------------------------------- what runs out first


def test_page_one_names_what_runs_out_first_if_it_is_not_water() -> None:
    outcome = provided(shaded(sailed(ROUTES[0])), daily=(KETTLES,))
    page = front.table(outcome)
    assert page["water"]["lasts"]
    assert page["others"]["first_out_words"].startswith("Kettles is the first to run out: in 200 of the 200 crossings")
    assert "on day 3" in page["others"]["first_out_words"]
    assert "kettles" in page["others"]["lacking_words"]
    assert "week's kettles" in page["others"]["remedy_words"]
    assert "Kettles is the first" in " ".join(front.text(page).split())
    assert "Not always." == stores.table(outcome)["verdict"]


def test_page_one_leaves_the_first_to_the_answer_on_water_when_it_is_water() -> None:
    outcome = sailed(ROUTES[0])
    tanks = tuple(tank.model_copy(update={"capacity_l": 20.0}) for tank in outcome.facts.boat.water_tanks)
    boat = outcome.facts.boat.model_copy(update={"water_tanks": tanks})
    page = front.table(replace(outcome, facts=replace(outcome.facts, boat=boat)))
    assert "" == page["others"]["first_out_words"]
    assert page["water"]["short_crossings"] > 0
    assert "can of water" in page["others"]["remedy_words"]


def test_when_all_lasts_page_one_says_so_in_one_sentence() -> None:
    answer = front.table(sailed(ROUTES[0]))["others"]
    assert "Yes, once the shopping list is bought." == answer["last_words"]
    assert "These last: food, fuel, gas and blood pressure tablets." == answer["lasting_words"]
    assert "" == answer["first_out_words"] == answer["lacking_words"] == answer["remedy_words"]


def test_what_no_file_speaks_of_is_not_counted_and_said() -> None:
    outcome = provided(shaded(sailed(ROUTES[0])), gas_bottles=())
    table = stores.table(outcome)
    gas = next(row for row in table["stores"] if row["store"] == "gas")
    assert not gas["counted"]
    assert gas["aboard"] is None is gas["lacking"]
    assert gas["load"] > 0
    assert "gas" in table["not_counted_words"]
    assert "Yes, once the shopping list is bought, of what is counted." == table["verdict"]
    assert "No file says how much gas" in table["gas_words"]
    assert "store3" not in stores.drawings(outcome, plan_tables(outcome), Room(500.0, 700.0))
    assert "store4" in stores.drawings(outcome, plan_tables(outcome), Room(500.0, 700.0))


def test_a_thing_of_which_none_is_aboard_runs_out_at_once() -> None:
    outcome = provided(sailed(ROUTES[0]), daily=(KETTLES.model_copy(update={"aboard": 0.0}),))
    row = stores.table(outcome)["stores"][-1]
    assert row["counted"]
    assert (200, 1) == (row["short_crossings"], row["typical_day"])


# ---------------------------------------------------------------- the hand table


@pytest.mark.parametrize("route", ROUTES)
def test_the_hand_table_begins_with_what_page_one_says_to_load_and_falls(route: str) -> None:
    outcome = sailed(route)
    table = stores.table(outcome)
    rows = table["hand_table"]["rows"]
    assert [row["load"] for row in table["stores"]] == rows[0]["least_aboard"]
    assert front.table(outcome)["water"]["load_l"] == rows[0]["least_aboard"][0]
    assert front.table(outcome)["time"]["slow_end_days"] == rows[0]["slow_end_days"]
    for earlier, later in pairwise(rows):
        for name in ("least_aboard", "survival_aboard"):
            assert all(more >= less for more, less in zip(earlier[name], later[name], strict=True))


def test_the_hand_table_counts_each_crossing_s_own_water() -> None:
    """Against a plain loop over crossings, hour by hour."""
    outcome = sailed(ROUTES[1])
    crossings, needed = outcome.crossings, outcome.stores.water.store.needed
    row = stores.table(outcome)["hand_table"]["rows"][4]
    mark_nm = crossings.track.length_nm - outcome.stores.hand_table.rows[4].miles_to_go
    left = []
    for member in range(crossings.members):
        hour = next(h for h in range(crossings.hours) if crossings.distance_nm[member, h] >= mark_nm - 0.01)
        left.append(float(needed[member, -1]) - (float(needed[member, hour - 1]) if hour else 0.0))
    expected = max(passage_time_h(np.array(left), 0.95), 1.5 * passage_time_h(np.array(left), 0.5))
    assert math.ceil(expected) == pytest.approx(row["least_aboard"][0], abs=1.0)


def test_the_ration_is_the_survival_ration_and_the_example_divides_right() -> None:
    """D: 2 L each for two; 1.27 times the basal rate of all; 15 g each for two."""
    outcome = sailed(ROUTES[0])
    told = stores.table(outcome)["ration"]
    basal = sum(person.basal_kcal for person in outcome.stores.people)
    assert 4.0 == told["water_survival_l_per_day"]
    assert round(1.27 * basal) == told["food_survival_kcal_per_day"]
    assert 30 == told["gas_survival_g_per_day"]
    assert told["example_aboard_l"] / told["example_days"] == pytest.approx(told["example_l_per_day"], abs=0.1)
    assert told["water_survival_l_per_day"] <= told["example_l_per_day"] <= told["water_l_per_day"]


# ---------------------------------------------------------------- food, weights, engine


def test_the_list_adds_up_and_stands_by_aisle() -> None:
    told = food.table(sailed(ROUTES[0]))
    rows = told["shopping"]
    assert sum(row["gross_kg"] for row in rows) == pytest.approx(told["shopping_gross_kg"], abs=0.05 * len(rows) + 0.05)
    aisles = [row["aisle"] for row in rows]
    assert len(set(aisles)) == 1 + sum(before != after for before, after in pairwise(aisles))
    assert all(row["packs"] >= 1 for row in rows)
    refused = {"tinned salmon", "tinned ham", "peanuts", "peanut butter"}
    assert not refused & {row["item"] for row in rows}


def test_the_days_tell_need_what_is_aboard_dinner_and_what_to_eat_first() -> None:
    outcome = sailed(ROUTES[0])
    told = food.table(outcome)
    assert math.ceil(outcome.times.slow_end_h / 24.0) == len(told["by_day"]) == told["slow_end_day"]
    enough = [day["enough"] for day in told["by_day"]]
    assert told["aboard_lasts_day"] == enough.index(False)
    assert all(row["good_until_day"] >= day["day"] for day in told["by_day"] for row in day["eat_first"])
    assert any(day["eat_first"] for day in told["by_day"])


def test_a_diet_that_nothing_satisfies_is_told_with_its_bound_on_paper_and_terminal() -> None:
    outcome = provided(
        sailed(ROUTES[0]), diet=Diet(allergens=("gluten",), most_of_one_share=0.05, staples_share=1.0), dinners=()
    )
    told = food.table(outcome)
    assert [] == told["shopping"]
    assert "no packs will do" in told["cannot_words"]
    assert "no packs will do" in " ".join(words_of(outcome).split())


def test_weights_add_up_and_a_payload_passed_is_warned_of() -> None:
    outcome = sailed(ROUTES[0])
    told = stores.table(outcome)["weights"]
    assert sum(row["mass_kg"] for row in told["rows"]) == pytest.approx(told["total_kg"], abs=len(told["rows"]))
    assert "" == told["warning"]
    hull = outcome.facts.boat.hull.model_copy(update={"payload_kg": 300.0})
    boat = outcome.facts.boat.model_copy(update={"hull": hull})
    heavy = replace(outcome, facts=replace(outcome.facts, boat=boat))
    assert "more than the stated payload of 300 kg" in stores.table(heavy)["weights"]["warning"]
    assert "more than the stated payload" in " ".join(words_of(heavy).split())


def test_the_motoring_table_is_on_what_lies_above_the_landfall_reserve() -> None:
    outcome = sailed(ROUTES[0])
    told = stores.table(outcome)
    assert outcome.facts.boat.usable_fuel_l - outcome.facts.boat.fuel.landfall_reserve_l == told["motoring_l"]
    ranges = [row["range_nm"] for row in told["motoring"]]
    assert ranges == sorted(ranges, reverse=True)
    assert all(row["range_in_a_sea_nm"] < row["range_nm"] for row in told["motoring"])


def test_a_boat_without_an_engine_has_no_fuel_to_tell_of() -> None:
    outcome = sailed(ROUTES[0])
    changes = {
        "engine": None,
        "fuel_tanks": (),
        "fuel": outcome.facts.boat.fuel.model_copy(update={"calms_allowance_l": 0.0}),
    }
    boat = outcome.facts.boat.model_copy(update=changes)
    sails = replace(outcome, facts=replace(outcome.facts, boat=boat))
    assert "fuel" not in {row["store"] for row in stores.table(sails)["stores"]}
    assert [] == stores.table(sails)["motoring"]


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
    text, table = words_of(outcome), shown(stores.table(outcome))
    assert all(len(line) <= 80 for line in text.splitlines())
    words = " ".join(text.split())
    for part in (table["verdict"], table["short_words"], "Schofield", "To buy", table["weights"]["total_kg"]):
        assert part in words
    for row in table["hand_table"]["rows"]:
        assert row["least_aboard"][0] in text


def test_a_passage_that_most_never_finish_is_told() -> None:
    outcome = endless_for_most(sailed(ROUTES[1]))
    text = words_of(outcome)
    assert "never arrive" in text
    assert not set(text.split()) & {"inf", "nan", "None"}
    json.dumps(stores.table(outcome), allow_nan=False)


def test_a_passage_that_nobody_finishes_is_told() -> None:
    outcome = sailed(ROUTES[1])
    crossings = replace(outcome.crossings, arrival_h=np.full(outcome.crossings.members, np.inf))
    nobody = replace(outcome, crossings=crossings)
    assert "No crossing arrives" in " ".join(words_of(nobody).split())
    json.dumps(food.table(nobody), allow_nan=False)


def test_food_aboard_now_is_told_apart_from_what_the_list_is_to_buy() -> None:
    """D: kilocalories of the audit, and of the audit and the list, over kilocalories a day."""
    outcome = sailed(ROUTES[0])
    told = outcome.stores
    food = stores.table(outcome)["stores"][1]
    assert told.audit is not None
    assert math.floor(told.audit.edible_kcal / told.food.daily) == food["aboard_now"] < food["aboard"]
    text = words_of(outcome)
    line = next(line for line in text.splitlines() if line.startswith("food "))
    assert [str(food[key]) for key in ("load", "aboard_now", "aboard")] == line.split()[1:4]
    assert all(len(line) <= 80 for line in text.splitlines())


@pytest.mark.parametrize(("count", "words"), [(0, "no crossing of"), (1, "1 crossing of"), (2, "2 crossings of")])
def test_what_a_remedy_leaves_is_counted_as_one_speaks(count: int, words: str) -> None:
    can = Piece("water", "20 L can of water", 20.0, 21.0)
    assert f"leaves {words} 200 short" in stores._remedy_words(Remedy(((1, can),), 21.0, share(count, 200)))


@pytest.mark.parametrize(
    ("energy_days", "protein_days", "words"),
    [(0, 1, "energy needed for no whole day, the protein through day 1;"), (9, 0, "through day 9, the protein for no")],
)
def test_food_aboard_that_falls_short_says_of_which_days(energy_days: int, protein_days: int, words: str) -> None:
    short = Audit((), energy_days, protein_days, enough=False, no_cook_left_kcal=0.0, edible_kcal=1.0)
    assert words in food._aboard_words(short)


def test_days_without_a_dinner_are_told_in_runs() -> None:
    from passage.plan.sheets.food import _runs

    assert "" == _runs(())
    assert "4, 6 to 9, 12, 13" == _runs((4, 6, 7, 8, 9, 12, 13))
