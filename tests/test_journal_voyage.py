"""Three weeks of an invented passage, noon by noon: departure, calms, a gale, a leaking tank, an entry mistaken and
corrected, landfall. At each noon the log must tell a story that a sailor would call sensible.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest

from passage.crossings.wind import Luck
from passage.ground import lay_ground
from passage.inputs.folder import read_folder
from passage.journal import log
from passage.journal.doubts import Doubtful
from passage.journal.now import now, planned
from passage.journal.storage import check, read_journal
from passage.plan.sheets.now import refuges_of, table, text
from passage.positions import format_position
from passage.road import walk
from passage.sailings.track import at_distance
from passage.shipped import shipped
from tests.voyage_cases import whole

if TYPE_CHECKING:
    from pathlib import Path

    from passage.crossings.ground import Ground
    from passage.inputs.folder import Facts
    from passage.journal.now import Now

DEPART = datetime(2027, 2, 10, 8, tzinfo=UTC)
MEMBERS = 120

# Day: miles since the noon before, wind, barometer, what else. All invented.
DAYS: dict[int, tuple[float, str, float, dict[str, Any]]] = {
    1: (96, "SE 10", 1018, {}),
    2: (98, "SE 11", 1018, {}),
    3: (90, "SSE 10", 1019, {}),
    4: (38, "W 4", 1020, {"engine": "103"}),
    5: (26, "calm", 1020, {"engine": "111", "fuel": "72"}),
    6: (45, "S 6", 1020, {}),
    7: (96, "SE 10", 1019, {}),
    8: (100, "SE 12", 1017, {}),
    9: (40, "SSE 40", 1008, {"hove-to": "14", "sleep": ["skipper=3", "mate=4"], "deck": ["chafe=preventer worn"]}),
    10: (88, "SE 14", 1014, {}),
    11: (98, "SE 11", 1017, {}),
    12: (100, "SE 12", 1018, {}),
    13: (96, "SE 10", 1018, {}),
    14: (98, "SE 11", 1018, {}),
    15: (97, "ESE 10", 1018, {}),
    16: (96, "ESE 10", 1017, {}),
    17: (95, "SE 10", 1017, {}),
    18: (97, "SE 11", 1017, {}),
    19: (92, "SE 9", 1016, {}),
    20: (88, "SE 9", 1016, {}),
}
LEAK_DAY, LEAK_L = 12, 38.0
MISTAKEN_DAY = 15
DRUNK_L = 6.6


@dataclass(frozen=True)
class Voyage:
    """The folder as it was at each noon, and what the log said then."""

    folder: Path
    facts: Facts
    ground: Ground
    noons: dict[int, Now]
    said: dict[int, tuple[str, ...]]
    wrong: Now
    doubt: str


def water_on(day: int) -> dict[str, float]:
    """Keel tank first, then the bow tank, which leaks, then the cans."""
    from_keel = min(DRUNK_L * day, 80.0)
    in_bow = 60.0 - (LEAK_L if day >= LEAK_DAY else 0.0)
    from_bow = min(DRUNK_L * day - from_keel, in_bow)
    from_cans = DRUNK_L * day - from_keel - from_bow
    return {"keel tank": 90.0 - from_keel, "bow tank": in_bow - from_bow, "jerry cans": 40.0 - from_cans}


def given(ground: Ground, day: int) -> dict[str, Any]:
    run_nm, wind, hpa, others = DAYS[day]
    distance = sum(DAYS[each][0] for each in range(1, day + 1))
    lat, lon, course = (float(value) for value in at_distance(ground.track, distance))
    water = [f"{tank}={litres:.0f}" for tank, litres in water_on(day).items()]
    return {
        "position": format_position(lat, lon),
        "course": f"{course:.0f}",
        "log": f"{run_nm + 2:.0f}",
        "wind": wind,
        "barometer": f"{hpa}",
        "water": water,
        "bilge": "10",
        "sleep": ["skipper=6.5", "mate=6"],
        **others,
    }


def asked(folder: Path, facts: Facts) -> Now:
    return now(facts, read_journal(folder).entries, members=MEMBERS)


@pytest.fixture(scope="module")
def voyage(tmp_path_factory: pytest.TempPathFactory) -> Voyage:
    folder = tmp_path_factory.mktemp("voyage")
    whole(shipped("routes") / "cape-town-st-helena", folder)
    facts = replace(read_folder(folder), electrics=None)
    ground = lay_ground(facts)
    plan = planned(walk(facts, ground, Luck(1, MEMBERS), DEPART))
    fields = {"engine": "100", "fuel": "85"}
    begun = log.start(folder, facts, log.Moment(DEPART), plan=plan, given=fields)
    noons, said, doubt, wrong = {}, {0: begun.said}, "", None
    for day in DAYS:
        at = log.Moment(DEPART + timedelta(days=day, hours=4))
        typed = given(ground, day)
        if day == MISTAKEN_DAY:
            doubt, wrong = mistaken(folder, facts, typed, at)
            said[day] = log.correct(folder, read_journal(folder).entries[-1].number, typed, at).said
        else:
            said[day] = log.noon(folder, typed, at).said
        noons[day] = asked(folder, facts)
    at = log.Moment(DEPART + timedelta(days=21, hours=1))
    end = facts.voyage.waypoints[-1].position
    said[21] = log.landfall(folder, {"position": format_position(*end), "wind": "SE 12"}, at).said
    noons[21] = asked(folder, facts)
    assert wrong is not None
    return Voyage(folder, facts, ground, noons, said, wrong, doubt)


def mistaken(folder: Path, facts: Facts, typed: dict[str, Any], at: log.Moment) -> tuple[str, Now]:
    """Six degrees of latitude mistyped; the log asks, and is told that it is so."""
    slip = {**typed, "position": typed["position"].replace("21°", "27°", 1)}
    assert slip != typed
    with pytest.raises(Doubtful) as doubt:
        log.noon(folder, slip, at)
    log.noon(folder, slip, replace(at, yes=True))
    return str(doubt.value), asked(folder, facts)


def card(report: Now) -> str:
    return text(table(report, refuges_of(report)))


def looks(report: Now) -> str:
    return "\n".join(report.flags)


def test_every_noon_tells_where_when_and_what_lasts(voyage: Voyage) -> None:
    to_go = voyage.ground.track.length_nm
    for day in DAYS:
        report = voyage.noons[day]
        assert report.forward is not None, report.barred
        assert report.forward.typical and report.forward.slow_end
        assert report.here.time < report.forward.typical <= report.forward.slow_end
        assert report.to_go_nm < to_go
        assert sum(DAYS[each][0] for each in range(1, day + 1)) == pytest.approx(report.made_good_nm, abs=6.0)
        to_go = report.to_go_nm
        screen = card(report)
        for label in ("Position", "To go", "Made good", "Plan", "Landfall", "Water", "Fuel", "Learned", "Overruled by"):
            assert label in screen
        assert max(map(len, screen.splitlines())) <= 80
        assert len(screen.splitlines()) <= 40


def test_a_quiet_first_day_calls_for_nothing(voyage: Voyage) -> None:
    assert () == voyage.noons[1].flags
    assert "with the plan, since she sailed: 96 miles made good" in " ".join(card(voyage.noons[1]).split())
    assert "miles made good on 3" in voyage.said[1][1]


def test_calms_put_the_landfall_off_and_the_engine_s_hours_come_off_the_allowance(voyage: Voyage) -> None:
    before, after = voyage.noons[3].forward, voyage.noons[6].forward
    assert before and before.typical and after and after.typical
    assert timedelta(hours=18) < after.typical - before.typical < timedelta(days=4)
    fuel = {store.name: store for store in after.stores}["fuel"]
    assert 72.0 - 5.0 - 20.0 == pytest.approx(fuel.aboard, abs=1.0)  # in the tanks, less unusable and landfall reserve
    assert (35.0 - 13.0) / 1.5 == pytest.approx(after.motor_h, rel=0.25)  # the allowance less what was burnt


def test_a_day_s_run_in_a_calm_teaches_little_about_her_speed(voyage: Voyage) -> None:
    before, after = voyage.noons[3].taught, voyage.noons[6].taught
    assert before and after
    assert before.performance.after.sd == pytest.approx(after.performance.after.sd, rel=0.15)


def test_the_gale_is_seen_and_does_not_count_as_bad_sailing(voyage: Voyage) -> None:
    report = voyage.noons[9]
    for sentence in ("barometer has fallen 9 hPa", "skipper slept 3 hours", "mate slept 4", "chafe: preventer worn"):
        assert sentence in looks(report)
    before, after = voyage.noons[8].taught, report.taught
    assert before and after
    assert before.performance == after.performance


def test_the_leaking_tank_is_named_and_water_becomes_the_thing_to_save(voyage: Voyage) -> None:
    before, after = voyage.noons[LEAK_DAY - 1], voyage.noons[LEAK_DAY]
    assert "leak" not in looks(before)
    assert re.search("bow tank has fallen by 3[89] litres since the sounding before", looks(after))
    assert before.forward and after.forward and before.taught and after.taught
    assert before.forward.stores[0].short < after.forward.stores[0].short
    assert after.forward.ration is not None
    assert 1.5 < after.forward.ration.person_l < DRUNK_L / 2
    learned = after.taught.water
    assert learned.before.mean == pytest.approx(learned.after.mean, abs=0.15)  # nobody drank the leak
    assert before.taught.water.after.mean == pytest.approx(learned.after.mean, abs=learned.after.sd)


def test_a_mistaken_position_is_questioned_and_its_correction_puts_all_right(voyage: Voyage) -> None:
    assert "miles in 24 hours" in voyage.doubt
    assert "--yes" in voyage.doubt
    right = voyage.noons[MISTAKEN_DAY]
    assert abs(voyage.wrong.to_go_nm - right.to_go_nm) > 200.0
    assert "corrects it" in voyage.said[MISTAKEN_DAY][0]
    assert voyage.wrong.taught and right.taught
    spread = right.taught.performance.after.sd
    assert right.taught.performance.after.mean == pytest.approx(voyage.wrong.taught.performance.after.mean, abs=spread)
    kinds = [entry.kind for entry in read_journal(voyage.folder).entries]
    assert 1 == kinds.count("correction")
    assert 20 == kinds.count("noon")


def test_the_slow_end_closes_in_as_the_miles_run_out(voyage: Voyage) -> None:
    def spread(day: int) -> timedelta:
        forward = voyage.noons[day].forward
        assert forward and forward.typical and forward.slow_end
        return forward.slow_end - forward.typical

    assert spread(1) > spread(16) > spread(20)
    last = voyage.noons[20].forward
    assert last and last.typical
    assert last.typical == pytest.approx(DEPART + timedelta(days=21), abs=timedelta(days=1.5))


def test_three_weeks_narrow_what_is_believed_of_the_boat(voyage: Voyage) -> None:
    taught = voyage.noons[20].taught
    assert taught
    learned = taught.performance
    assert learned.after.sd < 0.6 * learned.before.sd
    assert learned.days >= 12


def test_landfall_ends_the_reckoning(voyage: Voyage) -> None:
    report = voyage.noons[21]
    assert report.forward is None
    assert "" == report.barred
    assert 0.0 == report.to_go_nm
    assert "at off James Bay, 21.0 days out" in card(report)


def test_the_log_is_whole_at_the_end(voyage: Voyage) -> None:
    assert check(voyage.folder).whole
    assert 1 + 20 + 1 + 1 == len(read_journal(voyage.folder).entries)
