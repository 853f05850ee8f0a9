"""The battery on paper and in the terminal: rounded to the safe side, every key explained, one boat at anchor too."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from click.testing import CliRunner

from passage.cli import main
from passage.consequences.power.balance import account_of, plant_of
from passage.consequences.power.power import ChargingRuns
from passage.consequences.power.scene import scene_under_way
from passage.crossings.wind import Luck
from passage.errors import InputFaults, OutOfRange
from passage.follows import electrics_of
from passage.inputs.climate import along, read_climate
from passage.inputs.electrics import Alternator, Battery, Charging
from passage.inputs.provisions import Watermaker
from passage.plan.sheet import Room
from passage.plan.sheets import power
from passage.shipped import shipped
from passage.tell.terminal import blocks_text
from tests.plan_cases import ROUTES, endless_for_most, sailed
from tests.voyage_cases import whole

if TYPE_CHECKING:
    from pathlib import Path

    from passage.consequences.power.power import Power
    from passage.consequences.power.scene import Berth
    from passage.inputs.electrics import Electrics
    from passage.road import Outcome
    from passage.tell.records import Record

DEMO = shipped("routes") / "cape-town-st-helena"
FALMOUTH_BAY = (50.1, -5.0)
JUNE = datetime(2027, 6, 10, 12, tzinfo=UTC)


def with_electrics(outcome: Outcome, electrics: Electrics | None) -> Outcome:
    return replace(outcome, facts=replace(outcome.facts, electrics=electrics))


def boat_of(route: str, **changes: object) -> Outcome:
    """The demonstration boat of a route with other electrics."""
    electrics = sailed(route).facts.electrics
    assert electrics is not None
    return with_electrics(sailed(route), electrics.model_copy(update=changes))


def small_bank(route: str) -> Outcome:
    """A third of the bank and no engine: the nights go wrong."""
    return boat_of(
        route, battery=Battery(chemistry="lead", capacity_ah=70.0, voltage_v=12.0), alternator=None, charging=None
    )


def at_anchor(**changes: Any) -> Power:
    asked = {"position": FALMOUTH_BAY, "luck": Luck(1, 40), "start": JUNE, "days": 5} | changes
    return power.anchor_table(sailed(ROUTES[0]).facts, **asked)


def berth_of(told: Power) -> Berth:
    assert told.at_anchor is not None
    return told.at_anchor.berth


def run(*arguments: object) -> Any:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def on_screen(told: Record) -> str:
    return blocks_text(power.SHEET.blocks(told))


def answer_of(outcome: Outcome) -> str:
    return power.verdict_words(power.table(outcome).answer)


@pytest.mark.parametrize("route", ROUTES)
def test_what_is_told_is_json(route: str) -> None:
    for told in (power.table(sailed(route)), at_anchor()):
        table = told.to_json()
        assert table == json.loads(json.dumps(table, allow_nan=False))
    assert power.table(sailed(route)).at_anchor is None


@pytest.mark.parametrize("outcome", [sailed(ROUTES[0]), small_bank(ROUTES[0])], ids=["as she is", "a small bank"])
def test_shares_are_those_of_the_crossings_and_rounded_to_the_safe_side(outcome: Outcome) -> None:
    table, reckoned = power.table(outcome).to_json(), outcome.power
    assert reckoned is not None
    scene, electrics = scene_under_way(outcome.crossings, outcome.ground.climate), electrics_of(outcome.facts)
    assert electrics is not None
    soc = account_of(plant_of(scene, electrics, "low", reckoned.fuel_l)).run.soc  # of all at once
    below = soc[1:] < reckoned.floor
    at_sea = np.arange(len(below))[:, None] < outcome.crossings.arrival_h
    count = int((below & at_sea).any(axis=0).sum())
    assert -(-100 * count // outcome.crossings.members) == table["answer"]["below_in_100"]
    for night, row in zip(reckoned.low.nights, table["low"]["nights"], strict=True):
        assert row["below_in_100"] >= night.below_in_100 - 1e-6
        assert row["lowest_in_100"] <= night.lowest_in_100 < row["lowest_in_100"] + 1
        if row["back_in_100"] is not None:
            assert row["back_in_100"] <= night.back_in_100 + 1e-6
    lowest = 100 * min(row.low for row in reckoned.low.fan if row.at_sea >= 0.2)
    assert table["low"]["worst"]["lowest_in_100"] <= lowest


def test_the_printed_day_balances_to_the_rounding_of_its_rows() -> None:
    rows = power.table(sailed(ROUTES[0])).to_json()["low"]["energy"]
    sign = {"source": 1, "load": -1, "other": -1}
    left = sum(sign[row["kind"]] * row["wh_per_day"] for row in rows if "not taken" not in row["what"])
    spilled = sum(row["wh_per_day"] for row in rows if "not taken" in row["what"])
    assert abs(left + spilled) <= 0.5 * len(rows)  # each row is half a watt-hour out at most


def test_the_verdict_grows_worse_as_the_boat_does() -> None:
    late = boat_of(ROUTES[0], charging=Charging(start_below_share=0.4, run_h=2.0))  # its floor is 50 per cent
    engine = boat_of(
        ROUTES[0],
        alternator=Alternator(current_a=40.0, voltage_v=13.8, consumption_l_h=1.0),
        charging=Charging(start_below_share=0.6, run_h=2.0),
    )
    assert "Yes, with the engine." == answer_of(engine)
    assert "Not always." == answer_of(late)
    assert "No: with little sun it runs empty in 100 of 100." == answer_of(small_bank(ROUTES[0]))
    huge = boat_of(ROUTES[0], battery=Battery(chemistry="lead", capacity_ah=3000.0, voltage_v=12.0), charging=None)
    assert "Yes." == answer_of(huge)


def test_only_what_helps_is_offered_and_the_best_stands_first() -> None:
    for outcome in (sailed(ROUTES[1]), small_bank(ROUTES[0])):
        remedies = power.table(outcome).remedies
        assert remedies
        assert all(row.changed_days < 0 or row.changed_charging_l <= 0 for row in remedies)
        changed = [round(row.changed_days, 6) for row in remedies]
        assert changed == sorted(changed)
    huge = boat_of(ROUTES[0], battery=Battery(chemistry="lead", capacity_ah=3000.0, voltage_v=12.0), charging=None)
    assert () == power.table(huge).remedies


@pytest.mark.parametrize("route", ROUTES)
def test_the_terminal_tells_the_table_in_eighty_columns(route: str) -> None:
    for told in (power.table(sailed(route)), at_anchor()):
        text = on_screen(told)
        words = " ".join(text.split())
        assert all(len(line) <= 80 for line in text.splitlines())
        assert f"{power.verdict_words(told.answer)} {power.battery_words(told.answer)}" in words
        for said in told.notes:
            assert said in words
        assert (power.charging_words(told.charging) in words) == (told.at_anchor is None)
        for name in (*(row.what for row in told.low.energy if row.kind == "load"), *(r.remedy for r in told.remedies)):
            assert name in text


def test_the_drawing_reaches_as_far_as_boats_are_at_sea() -> None:
    outcome = sailed(ROUTES[2])
    drawn = power.drawings(outcome, {}, Room(500.0, 700.0))
    assert ["power"] == list(drawn)
    assert drawn["power"].count("stroke-dasharray") >= 5  # the floor, the high case and three days marked


def test_crossings_that_never_arrive_are_told_without_a_hitch() -> None:
    json.dumps(power.table(endless_for_most(sailed(ROUTES[1]))).to_json(), allow_nan=False)


# ---------------------------------------------------------------- the watermaker of the stores file


def with_watermaker(outcome: Outcome) -> Outcome:
    """Ten litres a day of 5 Wh each."""
    maker = Watermaker(output_l_h=5.0, run_h=2.0, energy_per_litre_wh=5.0)
    provisions = outcome.facts.provisions.model_copy(update={"watermaker": maker})
    return replace(outcome, facts=replace(outcome.facts, provisions=provisions))


def test_a_watermaker_of_the_stores_file_draws_on_the_battery() -> None:
    outcome = with_watermaker(sailed(ROUTES[0]))
    table = power.table(outcome)
    assert ["50"] == [str(row.wh_per_day) for row in table.low.energy if row.what == "watermaker"]
    assert outcome.stores.watermaker_wh_per_day == pytest.approx(50.0)
    assert any("given with its litres" in words for words in table.notes)


def test_a_watermaker_in_both_files_is_counted_once() -> None:
    outcome = with_watermaker(sailed("opua-tonga"))
    electrics = electrics_of(outcome.facts)
    assert electrics is not None
    assert 1 == sum(load.name == "watermaker" for load in electrics.loads)
    assert ["110"] == [
        str(row.wh_per_day) for row in power.table(outcome).low.energy if row.what == "watermaker"
    ]  # 6 litres at 6 litres an hour and 110 W, as its electrics file has it


# ---------------------------------------------------------------- at anchor


def test_she_lies_to_the_mean_wind_unless_told_otherwise() -> None:
    lying = berth_of(at_anchor())
    place = along(read_climate(), *FALMOUTH_BAY)
    assert lying.steady_wind_kn == pytest.approx(float(place.speed_kn[5, 0]), abs=1.0)  # June, by the middle of it
    told = berth_of(at_anchor(heading_deg=300.0, wind_kn=0.0))
    assert (300.0, 0.0) == (told.bow_true_course_deg, told.steady_wind_kn)
    assert "50°06.0'N 005°00.0'W" == told.position


def test_loads_under_way_rest_at_anchor() -> None:
    drawn = {row.what: str(row.wh_per_day) for row in at_anchor().low.energy}
    assert ("0", "0") == (drawn["AIS transponder"], drawn["instruments"])
    assert drawn["refrigerator"] == "378"  # 45 W for 35 per cent of 24 h


def test_summer_gives_more_than_winter() -> None:
    june, december = (at_anchor(start=datetime(2027, month, 10, 12, tzinfo=UTC)) for month in (6, 12))
    sun = [next(row.wh_per_day for row in told.low.energy if row.what == "sun") for told in (june, december)]
    assert sun[0] > 3 * sun[1]  # 16 hours of high sun against 8 of low


def test_without_a_word_it_begins_on_the_day_the_facts_were_read() -> None:
    lying = at_anchor(start=None).at_anchor
    assert lying is not None
    begins = lying.begins_utc
    assert (sailed(ROUTES[0]).facts.today, 12) == (begins.date(), begins.hour)


# ---------------------------------------------------------------- the command


def test_the_command_tells_and_prints_json() -> None:
    told = run("power", DEMO, "--crossings", 20)
    assert 0 == told.exit_code, told.stderr
    assert "Does it hold?" in told.stdout
    assert "verdict" in json.loads(run("power", DEMO, "--crossings", 20, "--json").stdout)["power"]["answer"]


def test_the_command_at_anchor() -> None:
    told = run("power", DEMO, "--at-anchor", "50 06N 5 00W", "--days", 3, "--depart", "2027-06-10", "--crossings", 20)
    assert 0 == told.exit_code, told.stderr
    assert "Thu 10 Jun 2027, 1200 UTC, 3 days" in told.stdout


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--at-anchor", "91 00N 5 00W"], "between 90S and 90N"),
        (["--at-anchor", "nowhere"], "latitude then longitude"),
        (["--at-anchor", "50 06N 5 00W", "--days", "0"], "1<=x<=60"),
        (["--at-anchor", "50 06N 5 00W", "--heading", "361"], "0<=x<=360"),
        (["--at-anchor", "50 06N 5 00W", "--wind", "nan"], "no number"),
        (["--days", "3"], "--at-anchor only"),
        (["--at-anchor", "47 00N 102 00E"], "climatology.nc"),
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence(arguments: list[str], says: str) -> None:
    told = run("power", DEMO, *arguments)
    assert 2 == told.exit_code
    assert says in told.stderr
    assert "Traceback" not in told.output


def test_a_folder_without_electrics_is_told_what_to_write(tmp_path: Path) -> None:
    folder = whole(DEMO, tmp_path / "voyage")
    (folder / "electrics.toml").unlink()
    (folder / "troubles.toml").unlink(missing_ok=True)  # which speaks of a load of that file
    for more in ([], ["--at-anchor", "50 06N 5 00W"]):
        told = run("power", folder, "--crossings", 20, *more)
        assert 2 == told.exit_code
        assert "electrics.toml: no such file; the battery is reckoned from it" in told.stderr
    without = with_electrics(sailed(ROUTES[0]), None)
    assert not power.wanted(without)
    with pytest.raises(InputFaults):
        power.table(without)


def test_a_climate_without_cloud_is_refused_with_the_way_out() -> None:
    outcome = sailed(ROUTES[2])
    climate = replace(outcome.ground.climate, cloud=outcome.ground.climate.cloud * math.nan)
    with pytest.raises(OutOfRange, match=r"no cloud here.*take electrics\.toml out"):
        power.table(replace(outcome, ground=replace(outcome.ground, climate=climate)))


def test_an_engine_that_never_runs_for_the_battery_is_not_given_nought_hours() -> None:
    none = ChargingRuns(0.0, 0.02, 0.0, 0.0, 0.0, 20.0, 0.0)
    assert "never runs for the battery" in power.charging_words(none)
    seldom = power.charging_words(replace(none, most_charging_h=3.0, most_charging_l=4.1))
    assert "In half of the crossings the engine never runs" in seldom
    assert "3.0 h and 4.1 litres" in seldom
    assert all("0.0 h" not in words for words in (seldom, power.charging_words(none)))
