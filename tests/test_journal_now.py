"""Now: the road walked from here. The three-week voyage has its own file; here are the edges."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache, partial
from typing import TYPE_CHECKING, Any

import pytest

from passage.crossings.wind import Luck
from passage.errors import InputFaults
from passage.ground import lay_ground
from passage.inputs.folder import read_folder
from passage.inputs.voyage import Forecasting, Waypoint
from passage.journal.beside import Beside, beside_plan
from passage.journal.flags import flags
from passage.journal.now import now, planned
from passage.journal.reckoning import points
from passage.journal.record import Entry
from passage.plan.sheets.now import asked, refuges_of, table, text
from passage.positions import Position
from passage.road import walk
from passage.shipped import shipped
from tests.grib_cases import write

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from passage.inputs.folder import Facts
    from passage.journal.here import Supposed
    from passage.journal.now import Now

START = datetime(2027, 2, 10, 8, tzinfo=UTC)
FACTS = replace(read_folder(shipped("routes") / "cape-town-st-helena"), electrics=None)
MEMBERS = 60


def entry(number: int, day: float, kind: str = "noon", **body: Any) -> Entry:
    when = START + timedelta(days=day)
    return Entry(number, kind, when, when, body)


def card(report: Now) -> str:
    return text(table(report, refuges_of(report)))


def question(what: str) -> Callable[[Facts], Supposed]:
    return partial(asked, what)


@cache
def plan() -> dict[str, Any]:
    return planned(walk(FACTS, lay_ground(FACTS), Luck(1, MEMBERS), START))


def departure(**body: Any) -> Entry:
    tanks = {tank.name: tank.capacity_l for tank in FACTS.boat.water_tanks}
    place = {"lat_deg": -33.875, "lon_deg": 18.391667}
    return entry(1, 0, "start", ship="Invented", destination="off James Bay", tanks_l=tanks, **place, **body)


def test_at_the_departure_now_is_the_plan() -> None:
    """The same luck from the same place on the same day, a waypoint's exactness apart, is the same landfall."""
    report = now(FACTS, [departure()], members=MEMBERS)
    assert report.forward and report.forward.typical and report.forward.slow_end
    for name, moment in (("typical_h", report.forward.typical), ("slow_end_h", report.forward.slow_end)):
        assert plan()[name] == pytest.approx((moment - START).total_seconds() / 3600.0, abs=1.0)
    assert report.taught and report.taught.performance.before == report.taught.performance.after


def test_asked_later_the_position_is_carried_on() -> None:
    log = [departure(), entry(2, 1, lat_deg=-32.5, lon_deg=16.9)]
    report = now(FACTS, log, time=START + timedelta(days=1.5), members=MEMBERS)
    assert not report.here.fix
    assert 12.0 == report.here.since_fix_h
    assert "reckoned, 12 h since a fix" in card(report)


def test_a_question_is_answered_beside_what_is() -> None:
    log = [departure(), entry(2, 1, lat_deg=-32.5, lon_deg=16.9, fuel_l=85.0, water_l={"keel tank": 90.0})]
    report = now(FACTS, log, what_if=question("lost keel tank"), members=MEMBERS)
    assert report.forward and report.supposed
    said, forward = report.supposed
    assert "Water lost: keel tank" == said
    assert forward.typical == report.forward.typical
    assert forward.stores[0].aboard == pytest.approx(report.forward.stores[0].aboard - 85.0)
    assert forward.ration is not None
    assert "What if" in card(report)
    with pytest.raises(InputFaults):
        now(FACTS, log, what_if=question("lost nothing"), members=MEMBERS)


def test_a_slower_boat_comes_later_and_an_engine_makes_up_for_calms() -> None:
    log = [departure(), entry(2, 1, lat_deg=-32.5, lon_deg=16.9)]

    def typical(what_if: str) -> datetime:
        supposed = now(FACTS, log, what_if=question(what_if), members=MEMBERS).supposed
        assert supposed and supposed[1].typical
        return supposed[1].typical

    assert typical("speed 70 %") > typical("speed 100 %") + timedelta(days=3)
    assert typical("motor 0 h") > typical("motor 40 h")


def test_land_on_the_straight_way_is_a_sentence_and_the_rest_is_still_said() -> None:
    """From the wrong side of the Cape a straight course leads over Africa."""
    places = (
        Waypoint(name="off Durban", position=Position(-30.0, 31.6)),
        Waypoint(name="off Cape Town", position=Position(-33.8, 18.2)),
    )
    facts = replace(FACTS, voyage=FACTS.voyage.model_copy(update={"waypoints": places}))
    report = now(facts, [departure(), entry(2, 1, lat_deg=-30.5, lon_deg=31.0, pressure_hpa=1010.0)], members=MEMBERS)
    assert report.forward is None
    assert "way to off Cape Town runs over" in report.flags[0]
    assert "No crossings can be sailed from here" in " ".join(card(report).split())
    assert "Position" in card(report)


def test_an_island_on_the_straight_way_is_told_and_does_not_blind() -> None:
    """From south of St Helena the anchorage lies behind the island."""
    report = now(FACTS, [departure(), entry(2, 20, lat_deg=-16 - 4 / 60, lon_deg=-5 - 44 / 60)], members=MEMBERS)
    assert "way to off James Bay runs over" in report.flags[0]
    assert report.forward and report.forward.typical
    assert "LOOK" in card(report) and "Landfall" in card(report)


def test_a_log_with_a_departure_only_has_no_day_s_run() -> None:
    report = now(FACTS, [departure()], members=MEMBERS)
    assert report.yesterday is None
    assert "Made good" not in card(report)


PLAN = {"by_day": [[80, 100, 120], [160, 200, 240], [240, 300, 360]]}


@pytest.mark.parametrize(
    ("hours", "miles", "stands", "many"),
    [
        (48.0, 200.0, "with the plan", "200 planned; 8 crossings in 10 of the plan had made 160 to 240"),
        (36.0, 110.0, "behind the plan", "150 planned; 9 crossings in 10 of the plan had made more than 120"),
        (72.0, 370.0, "ahead of the plan", "300 planned; 9 crossings in 10 of the plan had made fewer than 360"),
    ],
)
def test_the_plan_s_miles_are_judged(hours: float, miles: float, stands: str, many: str) -> None:
    expected = f"{stands}, since she sailed: {miles:.0f} miles made good, {many}"
    assert expected == beside_plan(PLAN, hours, miles, None)
    assert expected.replace("she sailed", "Fri 12 Feb") == beside_plan(PLAN, hours, miles, START + timedelta(days=2))


def test_the_first_day_is_not_judged() -> None:
    assert "" == beside_plan(PLAN, 12.0, 50.0, None)


def test_without_a_plan_nothing_is_compared() -> None:
    assert "" == beside_plan({}, 100.0, 100.0, None)


def test_since_when_she_is_behind_is_told() -> None:
    """A fair first day, then days lain to: behind since the noon after the first; ship's time leads, UTC beside."""
    fair, slow = {"lat_deg": -32.5, "lon_deg": 16.9}, {"lat_deg": -32.45, "lon_deg": 16.85}
    log = [departure(plan=plan()), entry(2, 1.2, **fair), entry(3, 2.2, **slow), entry(4, 3.2, **slow)]
    report = now(FACTS, log, members=MEMBERS)
    assert Beside.BEHIND == report.beside
    assert START + timedelta(days=2.2) == report.beside_since
    said = " ".join(card(report).split())
    assert "Plan behind the plan, since Fri 12 Feb:" in said
    assert "Sat 13 Feb 1348 (1248 UTC)" in said
    assert re.search(r"sunset 18\d\d \(17\d\d\), .*, ship's time \(UTC\); moon", said)


def test_motoring_says_what_fuel_it_leaves() -> None:
    log = [departure(), entry(2, 1, lat_deg=-32.5, lon_deg=16.9, fuel_l=85.0)]
    report = now(FACTS, log, what_if=question("motor 20 h"), members=MEMBERS)
    assert report.forward and report.if_so
    burnt_l = 20 * FACTS.boat.engine.consumption_l_h if FACTS.boat.engine else 0.0
    left_l = FACTS.boat.usable_fuel_l - burnt_l
    said = " ".join(card(report).split())
    assert f"all of them take {burnt_l:.0f} L of fuel and leave {left_l:.0f}" in said
    assert "left at the typical landfall" in said


def test_the_plan_s_numbers_are_what_json_can_keep() -> None:
    import json

    kept = json.loads(json.dumps(plan(), allow_nan=False))
    assert plan() == kept
    assert all(least <= typical <= most for least, typical, most in kept["by_day"])


def test_a_log_holds_a_card_of_one_screen() -> None:
    log = [
        departure(plan=plan()),
        *(entry(day + 1, day, lat_deg=-33.9 + day, lon_deg=18.0 - day) for day in range(1, 9)),
    ]
    screen = card(now(FACTS, log, members=MEMBERS)).splitlines()
    assert len(screen) <= 30
    assert max(map(len, screen)) <= 80


def test_whose_bulletins_to_hear_is_told_by_where_she_is() -> None:
    """R2: WMO-No. 558, area VII is South Africa's, south of 6 S from 20 W to Africa."""
    report = now(FACTS, [departure(), entry(2, 4, lat_deg=-29.0, lon_deg=12.0)], members=MEMBERS)
    assert "Official forecasts (area VII, by South Africa), charts" in " ".join(card(report).split())


def test_a_note_after_the_landfall_does_not_sail_her_on() -> None:
    log = [departure(), entry(2, 18, lat_deg=-17.0, lon_deg=-4.0)]
    log += [entry(3, 19, "landfall", lat_deg=-15.892, lon_deg=-5.725), entry(4, 20, "note", remarks="relearned")]
    report = now(FACTS, log, time=START + timedelta(days=21), members=MEMBERS)
    assert (-15.892, -5.725) == (report.here.lat_deg, report.here.lon_deg)
    assert report.forward is None


def test_asked_for_a_time_that_reckoning_does_not_reach_it_says_so() -> None:
    log = [departure(), entry(2, 1, lat_deg=-32.5, lon_deg=16.9)]
    late = now(FACTS, log, time=START + timedelta(days=5), members=MEMBERS)
    assert any("hours before the time asked for" in flag for flag in late.flags)
    assert "hours before the time asked for" in " ".join(card(late).split())
    alone = now(FACTS, [departure()], time=START + timedelta(days=6), members=MEMBERS)
    assert "144 hours before the time asked for" in " ".join(alone.flags)
    soon = now(FACTS, log, time=START + timedelta(days=1.5), members=MEMBERS)
    assert "before the time asked for" not in " ".join(soon.flags)


def test_a_forecast_that_serves_from_here_blows_in_the_crossings_and_one_that_does_not_is_named(tmp_path: Path) -> None:
    """The invented forecast is a calm of ten days: with it she is in at least a day later."""
    path = write(tmp_path / "calm.grib", lambda step_h, member: (0.3, 0.2), issued=(20270214, 0), wide=True)
    voyage = FACTS.voyage.model_copy(update={"forecast": Forecasting(file=path)})
    log = [departure(), entry(2, 4, lat_deg=-29.0, lon_deg=12.0, wind_kn=14.0, wind_from_deg=135.0)]
    with_it, without = (now(each, log, members=MEMBERS) for each in (replace(FACTS, voyage=voyage), FACTS))
    assert with_it.forward is not None and with_it.forward.typical is not None
    assert without.forward is not None and without.forward.typical is not None
    assert with_it.forward.typical - without.forward.typical > timedelta(days=1)
    assert "calm.grib" in card(with_it)
    assert "no forecast" not in card(with_it)
    assert table(with_it, ()).forecast_counts
    assert not table(without, ()).forecast_counts
    late = now(replace(FACTS, voyage=voyage), [*log, entry(3, 16, lat_deg=-20.0, lon_deg=0.0)], members=MEMBERS)
    assert late.forward is not None
    assert "The forecast is left out: calm.grib: it ended at 2027-02-24" in " ".join(late.flags)
    assert "Past winds, no forecast." in " ".join(card(late).split())


def test_a_falling_barometer_is_told_between_noons_too() -> None:
    log = [
        departure(),
        entry(2, 1, lat_deg=-32.5, lon_deg=16.9, pressure_hpa=1018.0),
        entry(3, 1.25, "weather", pressure_hpa=1009.0),
    ]
    assert "The barometer has fallen 9 hPa in 6 hours: get the official forecast." in flags_of(log)
    log[2] = entry(3, 1.25, "weather", pressure_hpa=1011.0)
    assert not any("barometer" in flag for flag in flags_of(log))


def flags_of(log: list[Entry]) -> tuple[str, ...]:
    return flags(log, FACTS.boat, points(log)[-1], None)
