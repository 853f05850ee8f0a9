"""Readiness, sails, anchoring, cards, services and the float plan as a person meets them: terminal, JSON and paper."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner, Result

from passage.cli import main
from passage.consequences.readiness.ready import Verdict
from passage.consequences.readiness.seacocks import SeacockRow
from passage.inputs.failure import Failure
from passage.inputs.gear import Gear, GearItem, Identity, Job, Seacock
from passage.plan.document import plan_pdf
from passage.plan.editions import WHOLE, only
from passage.plan.hull import plan_view
from passage.plan.sheets import anchor, emergency, ready, sails, services, shore
from passage.plan.sheets.cautions import DEFERS
from tests.plan_cases import ENDLESS, MADE, ROUTES, endless_for_most, sailed, with_facts, words_on
from tests.voyage_cases import whole

if TYPE_CHECKING:
    from passage.plan.sheet import Sheet
    from passage.road import Outcome

DEMO = Path(__file__).parents[1] / "routes" / ROUTES[0]
FEW = ("--crossings", "40", "--today", MADE.isoformat())


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def answer(*arguments: object) -> dict[str, Any]:
    result = run(*arguments, "--json")
    assert 0 == result.exit_code, result.stderr
    table: dict[str, Any] = json.loads(result.stdout)
    return table


def with_gear(outcome: Outcome, gear: Gear) -> Outcome:
    return with_facts(outcome, replace(outcome.facts, gear=gear))


def printed(sheet: Sheet, outcome: Outcome) -> str:
    """In the terminal."""
    return sheet.text(sheet.table(outcome))


def words_of(outcome: Outcome, names: str = "") -> str:
    """On the paper, of the whole plan or of what is asked for by name."""
    text = " ".join(words_on(plan_pdf(outcome, "a4", only(names) if names else WHOLE)))
    return " ".join(re.sub("[\u200b\u2068\u2069]", "", text).split())


# --- readiness --------------------------------------------------------------------------------------------------------


def test_the_slow_end_and_the_stay_decide_to_the_day() -> None:
    """Good to one day before the slow end is reported, good to one day after is not; the stay moves both."""
    outcome = sailed(ROUTES[0])
    slow_end = outcome.readiness.dates.slow_end

    def due(expires: date, stay_h: float = 0.0) -> list[str]:
        gear = Gear(stay_h=stay_h, items=(GearItem(name="flare pack", kind="flares", expires=expires),))
        return [row.name for row in ready.table(with_gear(outcome, gear)).due]

    assert ["flare pack"] == due(slow_end - timedelta(days=1))
    assert [] == due(slow_end + timedelta(days=1))
    assert ["flare pack"] == due(slow_end + timedelta(days=1), stay_h=48.0)
    assert [] == due(slow_end + timedelta(days=3), stay_h=48.0)


def test_today_is_told_and_changes_what_is_overdue() -> None:
    early = answer("ready", DEMO, "--crossings", 40, "--today", "2026-07-01")["ready"]
    late = answer("ready", DEMO, *FEW)["ready"]
    assert ("2026-07-01", "2026-11-25") == (early["dates"]["today"], late["dates"]["today"])
    status = {row["name"]: row["status"] for row in early["due"]}
    assert "due before" == status["standing rigging"]  # ten years old on 1 August
    assert "overdue" == {row["name"]: row["status"] for row in late["due"]}["standing rigging"]


def test_the_same_day_and_seed_say_the_same() -> None:
    assert run("ready", DEMO, *FEW).stdout == run("ready", DEMO, *FEW).stdout


def test_gear_serviced_after_the_day_asked_about_is_a_fault() -> None:
    result = run("ready", DEMO, "--crossings", 40, "--today", "2025-12-01")
    assert 2 == result.exit_code
    assert "it lies after today, 2025-12-01" in result.stderr
    assert "" == result.stdout


@pytest.mark.parametrize("command", ["ready", "anchor"])
def test_a_folder_without_the_file_is_told_so(command: str) -> None:
    result = run(command, DEMO.parent / ROUTES[2])
    assert 2 == result.exit_code
    assert "toml: no such file" in result.stderr
    assert "Traceback" not in result.output


def test_an_empty_register_is_never_called_ready() -> None:
    table = ready.table(with_gear(sailed(ROUTES[0]), Gear(jobs=(Job(name="varnish"),))))
    assert Verdict.NOTHING_LISTED is table.verdict
    assert {"seacock", "rudder", "liferaft", "standing rigging"} <= set(table.not_listed)


def test_the_work_is_grouped_and_its_numbers_keep_the_order() -> None:
    work = ready.table(sailed(ROUTES[0])).work
    steps = [step for group in work.groups for step in group.steps]
    assert sorted(step.number for step in steps) == list(range(1, len(steps) + 1))
    for step in steps:
        assert all(first < step.number for first in step.after)
    hauled = {step.name for group in work.groups if group.hauled for step in group.steps}
    assert {
        "draw and tap the seacocks",
        "new galley drain seacock",
        "rudder bearings looked at",
        "antifouling",
    } == hauled


def test_every_print_fits_the_terminal_and_says_whom_it_defers_to() -> None:
    outcome = sailed(ROUTES[0])
    assert outcome.anchor is not None
    prints = [
        printed(ready.SHEET, outcome),
        anchor.SHEET.text(outcome.anchor),
    ]
    for text in prints:
        assert all(len(line) <= 80 for line in text.splitlines())
        assert DEFERS in " ".join(text.split())
        assert "_" not in text  # a key where a word belongs


@pytest.mark.parametrize("name", [ENDLESS[:80], "船 #pagebreak() *x*"])
def test_any_name_is_printed_and_wrapped(name: str) -> None:
    seacock = Seacock(name=name, along_m=3.0, athwart_m=0.0, below_waterline_m=0.2, bore_mm=38.0)
    gear = Gear(
        items=(GearItem(name=f"{name[:70]} 2", kind=name, unproven=name),),
        seacocks=(seacock,),
        jobs=(Job(name=name, place=name),),
        identity=Identity(features=name * 2, epirb_id=name),
    )
    outcome = with_gear(sailed(ROUTES[1]), gear)
    assert all(len(line) <= 80 for line in printed(ready.SHEET, outcome).splitlines())
    squeezed = words_of(outcome).replace(" ", "")
    assert name.replace("船", "[U+8239]").replace(" ", "") in squeezed


def hole(number: int, along_m: float, athwart_m: float) -> SeacockRow:
    return SeacockRow(number, "", "", along_m, athwart_m, 38.0, 20.0, "open", 1.0, True, ())


# --- seacocks from above ----------------------------------------------------------------------------------------------


def holes_in(drawing: str) -> list[tuple[float, float]]:
    """Middles of the dots, not of the rings round the numbers."""
    circles = [part for part in ElementTree.fromstring(drawing).iter() if part.tag.endswith("circle")]
    return [(float(part.attrib["cx"]), float(part.attrib["cy"])) for part in circles if float(part.attrib["r"]) < 5]


def test_holes_stand_where_they_are_bow_left_and_starboard_up() -> None:
    holes = [
        hole(1, along_m=1.0, athwart_m=0.4),
        hole(2, along_m=8.0, athwart_m=-0.4),
    ]
    (fore_x, fore_y), (aft_x, aft_y) = holes_in(plan_view(10.0, 3.0, holes, 468.0))
    assert (aft_x - fore_x) / 7.0 == pytest.approx(40.0, abs=0.01)  # 468 less 34 at either end for ten metres
    assert (aft_y - fore_y) / 0.8 == pytest.approx(40.0, abs=0.05)  # drawn to a hundredth of a point


def test_numbers_never_lie_on_one_another() -> None:
    holes = [hole(n, along_m=3.0 + 0.01 * n, athwart_m=0.3) for n in range(1, 9)]
    rings = [
        float(part.attrib["cx"])
        for part in ElementTree.fromstring(plan_view(9.1, 2.75, holes, 500.0)).iter()
        if part.tag.endswith("circle") and float(part.attrib["r"]) > 5
    ]
    assert 8 == len(rings)
    assert all(after - before >= 17.0 for before, after in pairwise(rings))


# --- sails and anchoring ----------------------------------------------------------------------------------------------


def test_each_wind_and_angle_has_one_row_of_sails() -> None:
    rows = sails.table(sailed(ROUTES[0])).plans
    for wind_kn in (5.0, 16.0, 20.0, 25.0, 30.0, 40.0, 55.0):
        for angle in (45, 90, 180):
            found = [
                row
                for row in rows
                if row.wind_from_kn <= wind_kn < row.wind_to_kn and row.angle_from_deg <= angle <= row.angle_to_deg
            ]
            assert 1 == len(found)
    assert ["storm jib"] == [sail.name for sail in next(row for row in rows if row.wind_from_kn == 32.0).sails]
    assert () == rows[-1].sails


def test_a_file_that_lists_no_sails_does_not_say_that_none_is_aboard() -> None:
    outcome = sailed(ROUTES[2])  # no gear file
    words = printed(sails.SHEET, outcome)
    assert "No sails are listed" in words
    assert "bare poles" not in words


def test_the_rule_for_storm_sails_is_named() -> None:
    assert "World Sailing Offshore Special Regulations (M)" in " ".join(printed(sails.SHEET, sailed(ROUTES[0])).split())


def test_a_missing_storm_sail_is_told_with_its_largest_size() -> None:
    # World Sailing Offshore Special Regulations (M): storm jib 5 % of the foretriangle height squared, trysail 17.5 %
    # of hoist times foot
    storm = {row.use: row for row in sails.table(sailed(ROUTES[0])).storm}
    assert ("", None) == (storm["trysail"].name, storm["trysail"].to_json()["area_m2"])
    assert 0.175 * 9.2 * 3.6 == pytest.approx(storm["trysail"].largest_m2, abs=0.05)
    assert 0.05 * 10.4**2 == pytest.approx(storm["storm jib"].largest_m2, abs=0.05)


def test_the_anchor_command_gives_published_scope_and_load() -> None:
    table = answer("anchor", DEMO)
    thirty = next(row for row in table["loads"] if row["wind_kn"] == 30)
    assert 900 * 0.45359237 == pytest.approx(thirty["by_table_kgf"], abs=1.0)  # ABYC H-40 Table I, 35 ft, R2
    five = next(row for row in table["scopes"] if row["scope_ratio"] == 5)
    assert 5.0 * (16.0 + 1.0 + 1.2) == pytest.approx(five["veer_m"])
    assert 11.5 == five["straight_angle_deg"]  # asin(1/5), D
    assert ["bower", "kedge"] == [row["name"] for row in table["anchors"]]
    assert not table["anchors"][1]["scope_enough"]


def test_the_table_of_loads_is_named_and_a_guess_called_one() -> None:
    words = " ".join(run("anchor", DEMO, "--full").stdout.split())
    assert "ABYC H-40, Table I (R2), row of 35 ft" in words
    assert "guessed as a third of the table" in words


@pytest.mark.parametrize("command", ["check", "anchor"])
def test_a_boat_beyond_the_published_loads_is_told_so_before_the_plan_is_made(command: str, tmp_path: Path) -> None:
    folder = whole(DEMO, tmp_path / "voyage")
    text = (folder / "boat.toml").read_text(encoding="utf-8")
    (folder / "boat.toml").write_text(
        text.replace('length_overall = "9.1 m"', 'length_overall = "19 m"'), encoding="utf-8"
    )
    result = run(command, folder)
    assert 2 == result.exit_code
    assert "beyond the published anchoring loads" in result.stderr


def test_a_line_too_short_for_the_place_is_told_with_its_anchor(tmp_path: Path) -> None:
    folder = whole(DEMO, tmp_path / "voyage")
    text = (folder / "anchorage.toml").read_text(encoding="utf-8")
    (folder / "anchorage.toml").write_text(text.replace('"16 m"', '"96 m"'), encoding="utf-8")
    result = run("anchor", folder)
    assert 2 == result.exit_code
    assert "anchor[2]" in result.stderr
    assert "does not reach" in result.stderr


# --- cards, services, float plan --------------------------------------------------------------------------------------


def test_every_card_line_bears_its_standing_and_every_card_its_sources() -> None:
    table = emergency.table(sailed(ROUTES[1]))
    for card in table.night_cards + table.packing_cards:
        assert card.line_sources
        assert all(line.standing in {"R", "R2", "M", "P", "D"} for line in card.lines)
    assert "abandon ship" == table.night_cards[0].title


def test_the_paper_holds_every_line_of_the_cards_and_the_call() -> None:
    outcome = sailed(ROUTES[0])
    words, table = words_of(outcome, "emergency,ready"), emergency.table(outcome)
    for card in table.night_cards + table.packing_cards:
        for line in card.lines:
            assert line.text in words
    squeezed = words.replace(" ", "")
    assert all(line.text.replace(" ", "") in squeezed for line in table.distress_call)
    assert all(hole.name in words for hole in table.hull_holes)
    assert "not training" in words


def test_the_services_cover_the_whole_track_without_a_gap() -> None:
    for route in ROUTES:
        outcome = sailed(route)
        rows = services.table(outcome).to_json()["areas"]
        assert 0 == rows[0]["from_nm"]
        assert round(outcome.ground.track.length_nm) == rows[-1]["to_nm"]
        assert all(before["to_nm"] == after["from_nm"] for before, after in pairwise(rows))


def test_the_float_plan_follows_the_slow_end_and_is_silent_where_there_is_none() -> None:
    outcome = sailed(ROUTES[0])
    table = shore.table(outcome).printed()["float_plan"]
    fields = {row["field"]: row["value"] for group in table["groups"] for row in group["fields"]}
    assert "Wed 10 Feb 2027, 0800 UTC" == fields["departs"]
    slow_end = outcome.crossings.depart + timedelta(hours=outcome.times.slow_end_h)
    assert (slow_end + timedelta(days=3)).strftime("%H%M") in table["worry_utc"]  # worry_after = "3 days"
    assert f"{(slow_end + timedelta(days=3)).day} Mar" in table["worry_utc"]
    endless = shore.table(endless_for_most(outcome)).float_plan
    assert (None, None) == (endless.worry_utc, endless.alarm_utc)
    assert "agree a day" in words_of(endless_for_most(outcome), "shore")


def test_a_cost_without_a_currency_and_a_remark_are_told_as_they_are() -> None:
    gear = Gear(
        items=(GearItem(name="shrouds", kind="standing rigging", fitted=date(2000, 1, 1)),),
        jobs=(Job(name="renew them", place="mast", cost=40.0),),
    )
    words = " ".join(printed(ready.SHEET, with_gear(sailed(ROUTES[0]), gear)).split())
    assert "Cost 40 as far as prices are given: jobs and haul-out 40" in words
    assert "material not given" in words


def test_where_nothing_keeps_her_here_the_date_is_not_said_to_be_decided_by_nothing() -> None:
    bare = with_gear(sailed(ROUTES[0]), Gear())
    words = " ".join(printed(ready.SHEET, bare).split())
    assert "nothing on the lists keeps her here longer" in words
    assert "decided by" not in words


def test_page_one_tells_the_verdict_and_the_worst_of_each_grave_class() -> None:
    outcome = sailed(ROUTES[0])
    told = ready.table(outcome)
    for row in told.classes:
        words = f"what {row.failure}: {row.worst.words}".lower()
        assert (row.failure is not Failure.ANNOYS and row.count > 0) == (words in ready.class_words(told).lower())
    assert "Nothing is listed." == ready.table(sailed(ROUTES[1])).verdict.words
