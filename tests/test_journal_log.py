"""The commands of the log: what is questioned, what is kept, what is answered. Entries are invented."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from passage.errors import InputFaults
from passage.inputs.folder import read_folder
from passage.journal import log
from passage.journal.doubts import Doubtful
from passage.journal.entries import setting_of, standing
from passage.journal.show import shown
from passage.journal.storage import LogRefused, check, read_journal
from passage.shipped import shipped

DEPART = datetime(2027, 2, 10, 8, tzinfo=UTC)
FACTS = read_folder(shipped("routes") / "cape-town-st-helena")
NOON = {
    "position": "32 30S 16 50E",
    "course": "315",
    "log": "110",
    "wind": "SE 15",
    "water": ["keel tank=83", "bow tank=60"],
    "fuel": "80",
    "engine": "100",
    "barometer": "1016",
}


def at(days: float, yes: bool = False) -> log.Moment:
    return log.Moment(DEPART + timedelta(days=days), yes)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    log.start(tmp_path, FACTS, at(0))
    log.noon(tmp_path, NOON, at(1))
    return tmp_path


def doubted(folder: Path, days: float = 2.0, time: str = "", **changes: Any) -> str:
    """What the log asks of a noon of day 2, and that nothing was kept."""
    before = len(read_journal(folder).entries)
    with pytest.raises(Doubtful) as told:
        log.noon(folder, {"position": "31S 15E", **changes}, at(days), time)
    assert before == len(read_journal(folder).entries)
    assert "Nothing was kept. If it is so, say it again with --yes." in str(told.value)
    return str(told.value)


def test_a_departure_brings_boat_and_crew_into_the_log(tmp_path: Path) -> None:
    said = log.start(tmp_path, FACTS, at(0), given={"engine": "99"}).said
    assert (
        "Log of Demonstration nine-metre begun: 2027-02-10 08:00 UTC, 33°52.5'S 018°23.5'E, for off James Bay."
        == said[0]
    )
    entries = read_journal(tmp_path).entries
    setting = setting_of(entries)
    assert {"keel tank": 90.0, "bow tank": 60.0, "jerry cans": 40.0} == setting.tanks_l
    assert ("skipper", "mate") == setting.people
    assert 85.0 == setting.fuel_l
    assert 99.0 == entries[0].body["engine_h"]


def test_a_departure_is_questioned_as_a_noon_is(tmp_path: Path) -> None:
    with pytest.raises(Doubtful, match="keel tank holds 90 L and not 110"):
        log.start(tmp_path, FACTS, at(0), given={"water": ["keel tank=110"]})
    assert [] == list(tmp_path.iterdir())


def test_a_slip_of_the_pen_that_leads_back_over_the_land_is_questioned(folder: Path) -> None:
    """25 E for 15 E: 340 miles in two days, which she might sail."""
    asked = doubted(folder, days=3.0, position="31 40S 22 10E")
    assert "miles farther from off James Bay than" in asked
    log.noon(folder, {"position": "31 40S 15 10E"}, at(3.0))


def test_a_noon_after_the_landfall_is_questioned(folder: Path) -> None:
    log.landfall(folder, {"position": "31 40S 15 10E"}, at(3.0))
    assert "Entry 3 is the landfall" in doubted(folder, days=4.0, position="31 30S 15 10E")
    log.note(folder, "ashore", at(4.0))


def test_a_second_departure_is_asked_about(folder: Path) -> None:
    with pytest.raises(Doubtful, match="A log of 2 entries stands here"):
        log.start(folder, FACTS, at(3))
    log.start(folder, FACTS, at(3, yes=True), time="2027-02-13 08:00", position="33S 17E")
    (begun,) = standing(read_journal(folder).entries)
    assert -33.0 == begun.body["lat_deg"]


def test_no_log_no_noon(tmp_path: Path) -> None:
    with pytest.raises(LogRefused, match="begin one with: passage log start"):
        log.noon(tmp_path, NOON, at(1))


def test_a_noon_answers_with_the_day_s_run_and_the_stream(folder: Path) -> None:
    said = log.noon(folder, {"position": "31S 15E", "course": "314", "log": "115"}, at(2)).said
    assert "Entry 3 kept: noon, 2027-02-12 08:00 UTC." == said[0]
    assert "130 miles made good on 314 in 24.0 hours, 5.4 knots" in said[1]
    assert "drift 0.6 knots" in said[2]


def test_a_noon_without_a_position_is_reckoned_and_says_so(folder: Path) -> None:
    said = log.noon(folder, {"course": "314", "speed": "5"}, at(2)).said
    assert "by dead reckoning, 24 hours since a fix: 120 miles made good on 314" in said[1]
    assert "nothing to reckon one by" in log.noon(folder, {"remarks": "gale"}, at(3)).said[1]


@pytest.mark.parametrize(
    ("changes", "asked"),
    [
        ({"position": "27S 13E"}, "That is 385 miles in 24 hours"),
        ({"log": "412", "course": "314"}, "412 miles by log in 24 hours; sure?"),
        ({"log": "20", "course": "134"}, "make a set of"),
        ({"log": "130", "speed": "3"}, "The speed makes 72 miles, the log says 130; sure?"),
        ({"water": ["keel tank=95"]}, "keel tank holds 90 L and not 95; sure?"),
        ({"water": ["keel tank=88"]}, "keel tank has risen from 83 L to 88; rain or the watermaker?"),
        ({"fuel": "99"}, "The fuel tanks hold 85 L and not 99"),
        ({"fuel": "84"}, "Fuel has risen from 80 L to 84"),
        ({"engine": "90"}, "meter has gone -10.0 hours on in 24"),
        ({"engine": "150"}, "meter has gone 50.0 hours on in 24"),
        ({"wind": "E 80"}, "80 knots of wind is a hurricane"),
        ({"barometer": "975"}, "The barometer has gone -41 hPa since entry 2"),
    ],
)
def test_what_is_hard_to_believe_is_questioned(folder: Path, changes: dict[str, Any], asked: str) -> None:
    assert asked in doubted(folder, **changes)
    kept = log.noon(folder, {"position": "31S 15E", **changes}, at(2, yes=True))
    assert 3 == kept.entry.number


def test_all_doubts_are_asked_together(folder: Path) -> None:
    text = doubted(folder, position="27S 13E", water=["keel tank=88"], fuel="99")
    assert 4 == len(text.splitlines())


def test_an_ordinary_day_is_not_questioned(folder: Path) -> None:
    """150 miles in a day, a filled log, a tank that rose by a sounding's error."""
    given = {**NOON, "position": "30 45S 14 45E", "log": "148", "water": ["keel tank=84"], "engine": "102"}
    assert 3 == log.noon(folder, given, at(2)).entry.number


def test_a_time_ahead_or_behind_is_questioned(folder: Path) -> None:
    assert "is 24 hours ahead of the computer's clock" in doubted(folder, 2, "2027-02-13 08:00")
    assert "is 12 hours before entry 2" in doubted(folder, 2, "2027-02-10 20:00")


def test_a_clock_set_back_a_year_is_told_and_costs_nothing(folder: Path) -> None:
    back = at(2 - 365)
    with pytest.raises(Doubtful, match=r"before entry 2.*\n.*days before it last wrote here"):
        log.noon(folder, {"position": "31S 15E"}, back)
    with pytest.raises(InputFaults, match="write the time in UTC"):
        log.noon(folder, {"position": "31S 15E"}, back, "12:00")
    kept = log.noon(folder, {"position": "31S 15E"}, back, "2027-02-12 08:00")
    assert "Give day and hour with --time, and set the clock." in " ".join(kept.said)
    assert DEPART + timedelta(days=2) == kept.entry.time
    assert [1, 2, 3] == [entry.number for entry in standing(read_journal(folder).entries)]


def test_an_hour_alone_is_worth_nothing_by_a_wrong_clock(folder: Path) -> None:
    with pytest.raises(InputFaults) as told:
        log.noon(folder, NOON, at(-300), "12:00")
    assert str(told.value).endswith('the computer\'s clock is wrong: write the time in UTC, such as "2027-02-12 12:00"')


def test_a_note_and_a_thing_used(folder: Path) -> None:
    log.note(folder, "ship passed astern, 2 miles", at(1.2), position="32 20S 16 40E")
    log.used(folder, "opened bow tank", at(1.5))
    note, used = read_journal(folder).entries[-2:]
    assert ("note", "used") == (note.kind, used.kind)
    assert "lat_deg" in note.body
    assert "opened bow tank" == used.body["remarks"]
    with pytest.raises(InputFaults, match="nothing said"):
        log.note(folder, "  ", at(1.6))


def test_a_correction_stands_beside_and_is_itself_questioned(folder: Path) -> None:
    with pytest.raises(Doubtful, match=r"That is 4.. miles"):
        log.correct(folder, 2, {"position": "28S 13E"}, at(1.1))
    said = log.correct(folder, 2, {"position": "32 40S 16 40E"}, at(1.1), time="2027-02-11 07:30").said
    assert "Entry 3 stands beside entry 2 and corrects it." == said[0]
    entries = read_journal(folder).entries
    assert -32.5 == entries[1].body["lat_deg"]
    assert -32.0 - 40 / 60 == standing(entries)[1].body["lat_deg"]


def test_an_entry_is_struck_out_but_not_the_departure(folder: Path) -> None:
    assert "strikes it out" in log.correct(folder, 2, {}, at(1.1), strike=True).said[0]
    assert 1 == len(standing(read_journal(folder).entries))
    for number, found in ((1, "the departure"), (3, "entry 3 is a correction itself"), (99, "no entry 99")):
        with pytest.raises(InputFaults, match=found):
            log.correct(folder, number, {}, at(1.1), strike=True)
    with pytest.raises(InputFaults, match="nothing said"):
        log.correct(folder, 2, {}, at(1.1))


def test_a_corrected_entry_can_be_corrected_again(folder: Path) -> None:
    log.correct(folder, 2, {"wind": "S 20"}, at(1.1))
    log.correct(folder, 2, {"wind": "S 22"}, at(1.2))
    assert 22.0 == standing(read_journal(folder).entries)[1].body["wind_kn"]


def test_a_correction_is_put_right_at_the_entry_it_corrects(folder: Path) -> None:
    log.correct(folder, 2, {"wind": "SE 11"}, at(1.5))
    with pytest.raises(InputFaults, match="entry 3 is a correction itself; correct entry 2 once more"):
        log.correct(folder, 3, {"wind": "SE 12"}, at(1.6))


def test_a_remark_of_two_lines_is_shown_on_one(folder: Path) -> None:
    log.note(folder, "ice\nahead", at(1.5))
    assert shown(read_journal(folder).entries)[-1].endswith("ice ahead")


def test_a_noon_kept_imports_nothing_heavy(folder: Path) -> None:
    heavy = ("numpy", "pandas", "pint", "pydantic", "xarray", "tree_sitter", "geographiclib")
    program = (
        "import sys; from pathlib import Path; from passage.journal import log; "
        f"log.noon(Path({str(folder)!r}), {NOON | {'position': '31S 15E'}}, log.moment(yes=True), '2027-02-12 08:00'); "
        f"print([name for name in {heavy} if name in sys.modules])"
    )
    found = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, cwd=Path(__file__).parents[1]
    )
    assert "[]" == found.stdout.strip()


def test_the_moment_of_a_command_is_the_computer_s_clock() -> None:
    now = log.moment(yes=True)
    assert now.yes
    assert timedelta(seconds=5) > abs(datetime.now(UTC) - now.clock)
    assert now == replace(now)


def test_the_log_is_shown_with_corrections_under_what_they_correct(folder: Path) -> None:
    log.correct(folder, 2, {"position": "32 40S 16 40E", "sleep": ["mate=5"]}, at(1.1))
    log.note(folder, "whale", at(1.2))
    start, noon, correction, note = shown(read_journal(folder).entries)
    assert "   1 2027-02-10 08:00 start     33°52.5'S 018°23.5'E" == start
    assert noon.startswith(
        "   2 2027-02-11 08:00 noon      32°30.0'S 016°50.0'E; wind 135 15 kn; course 315°; log 110 nm;"
    )
    assert "barometer 1016 hPa; water bow tank 60 L, keel tank 83 L; fuel 80 L; engine 100 h" in noon
    assert "     corrected by 3: 32°40.0'S 016°40.0'E; sleep mate 5 h" == correction
    assert note.endswith("note      whale")


def test_a_check_says_what_it_found(folder: Path) -> None:
    assert ("journal.db holds 2 entries, journal.txt 2.", "All is well.") == check(folder).sentences
    (folder / "journal.txt").unlink()
    assert "Entry 1-2 only in journal.db: the next entry will copy it." in check(folder).sentences


# ---------------------------------------------------------------- times and clocks that no log can have


@pytest.mark.parametrize("time", ["0227-06-06 12:00", "1999-12-31 12:00", "2100-01-01 12:00", "9999-12-31 12:00"])
def test_a_year_that_no_log_can_have_is_refused_whoever_insists(folder: Path, time: str) -> None:
    with pytest.raises(InputFaults, match="a log tells of 2000 to 2099"):
        log.noon(folder, NOON, at(2, yes=True), time)
    with pytest.raises(InputFaults, match="a log tells of 2000 to 2099"):
        log.correct(folder, 2, {}, at(2, yes=True), time=time)
    assert 2 == len(read_journal(folder).entries)


@pytest.mark.parametrize("time", ["0001-01-01 00:00+10:00", "9999-12-31 23:00-10:00"])
def test_a_time_beyond_the_calendar_in_its_zone_is_a_sentence(folder: Path, time: str) -> None:
    with pytest.raises(InputFaults, match="write the time in UTC"):
        log.noon(folder, NOON, at(2, yes=True), time)


def test_a_clock_in_no_year_of_a_log_needs_the_time_typed(folder: Path) -> None:
    long_ago = log.Moment(datetime(1970, 1, 1, tzinfo=UTC), yes=True)
    with pytest.raises(InputFaults, match="the computer's clock, 1970-01-01T00:00:00Z; a log tells of"):
        log.note(folder, "battery of the clock is flat", long_ago)
    assert 3 == log.note(folder, "battery of the clock is flat", long_ago, "2027-02-12 08:00").entry.number


def test_a_clock_that_jumps_ahead_is_questioned_and_does_not_block_the_next_noon(folder: Path) -> None:
    ahead = at(11 * 365)
    with pytest.raises(Doubtful, match="days after it last wrote here"):
        log.noon(folder, {"position": "31S 15E"}, ahead)
    with pytest.raises(InputFaults, match="the computer's clock is wrong"):
        log.noon(folder, {"position": "31S 15E"}, ahead, "12:00")
    assert "4014 days after it last wrote here" in " ".join(
        log.noon(folder, {"position": "31S 15E"}, ahead, "2027-02-12 08:00").said
    )
    assert "wrote here" not in " ".join(log.noon(folder, {"position": "29S 13E"}, at(3)).said)


def test_a_jump_that_was_believed_can_be_struck_out_and_is_forgotten(folder: Path) -> None:
    kept = log.noon(folder, {"position": "31S 15E"}, at(11 * 365, yes=True))
    with pytest.raises(Doubtful, match="before it last wrote here"):
        log.noon(folder, {"position": "31S 15E"}, at(2))
    log.correct(folder, kept.entry.number, {}, at(2), strike=True)
    assert "wrote here" not in " ".join(log.noon(folder, {"position": "31S 15E"}, at(2)).said)
