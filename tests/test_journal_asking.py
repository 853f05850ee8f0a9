"""The log asks: what stands beside each question, what Enter keeps, what is asked again, what an interruption costs.

All voyages here are invented.
"""

from __future__ import annotations

import random
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import pytest

from passage.disk import DISK, Disk
from passage.journal.asking import DRAFT, ask
from passage.journal.log import Moment
from passage.journal.storage import add, read_journal
from tests.test_journal_power_cuts import FOLDER, CutDisk, PowerGone

if TYPE_CHECKING:
    from pathlib import Path

    from passage.journal.asking import Prompt
    from passage.journal.log import Logged

SAILED = datetime(2027, 2, 10, 8, tzinfo=UTC)
SETTING: dict[str, Any] = {
    "ship": "Mine",
    "destination": "there",
    "hull_speed_kn": 6.5,
    "tanks_l": {"keel": 90.0, "bow": 60.0},
    "capacity_fuel_l": 85.0,
    "people": ["skipper", "mate"],
    "plan": {"water_l_per_day": 6.0},
    "deck_parts": ["pins", "chafe", "wind vane"],
    "upkeep": [["chafe gear", 24.0, 0.0], ["oil", 0.0, 20.0]],
    "lat_deg": -33.9,
    "lon_deg": 18.4,
    "water_l": {"keel": 90.0},
    "engine_h": 100.0,
    "sails": "main, genoa",
}
NOON = ("", "", "32 40S 16 50E", "110", "SE 14", "1019 hPa", "", "84", "", "", "", "", "ok", "ok", "")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    add(tmp_path, "start", SAILED, SETTING, written=SAILED)
    return tmp_path


def at(day: int, disk: Disk = DISK) -> Moment:
    return Moment(datetime(2027, 2, day, 14, tzinfo=UTC), disk=disk)


def talk(folder: Path, moment: Moment, *typed: str) -> tuple[list[Prompt], Logged | None]:
    """The prompts, each before what is typed to it, and what was kept; None where the typing ends first."""
    asking = ask(folder, moment)
    prompts = [next(asking)]
    try:
        for text in typed:
            prompts.append(asking.send(text))
    except StopIteration as done:
        return prompts, done.value
    return prompts, None


def asked_for(prompts: list[Prompt], label: str) -> Prompt:
    return next(prompt for prompt in prompts if prompt.label == label)


def body_of(folder: Path) -> dict[str, Any]:
    return dict(read_journal(folder).entries[-1].body)


def test_a_noon_is_asked_field_by_field_and_kept_as_the_one_line_form_keeps_it(folder: Path) -> None:
    _, kept = talk(folder, at(11), *NOON)
    assert kept is not None
    assert "Entry 2 kept: noon, 2027-02-11 11:00 UTC." == kept.said[0]
    body = body_of(folder)
    assert 110.0 == body["log_nm"]
    assert {"keel": 84.0} == body["water_l"]
    assert {"pins": "ok", "chafe": "ok", "wind vane": "ok"} == body["deck"]
    assert {"chafe gear": "ok"} == body["done"]
    assert not (folder / DRAFT).exists()


def test_enter_keeps_as_before_what_stays_and_leaves_out_what_was_not_sounded(folder: Path) -> None:
    talk(folder, at(11), *NOON)
    prompts, kept = talk(folder, at(12), "", "", "31 30S 15 20E", *[""] * 12)
    assert kept is not None
    body = body_of(folder)
    assert [135.0, 14.0, 1019.0, 100.0] == [
        body[name] for name in ("wind_from_deg", "wind_kn", "pressure_hpa", "engine_h")
    ]
    assert "main, genoa" == body["sails"]
    assert not {"water_l", "fuel_l", "log_nm", "deck"} & body.keys()
    assert "as before" == asked_for(prompts, "Wind").enter
    assert "not sounded" == asked_for(prompts, "Water, keel").enter


def test_the_last_value_and_the_reckoned_one_stand_beside(folder: Path) -> None:
    talk(folder, at(11), *NOON)
    prompts, _ = talk(folder, at(12), "", "", *[""] * 6)
    position = asked_for(prompts, "Position").beside
    assert position.startswith("last 32°40.0'S 016°50.0'E; reckoned 31°3")
    # 74' of latitude and 94' of longitude at 33.3 S: 108 miles in 27 hours, and so 96 in 24 (D, by plane sailing)
    assert "last 110 nm; reckoned 96 nm" == asked_for(prompts, "Miles since then").beside
    assert "last 84 L; reckoned 78 L" == asked_for(prompts, "Water, keel").beside  # at the plan's six litres a day
    assert "last 135 14 kn" == asked_for(prompts, "Wind").beside


def test_a_wrong_field_is_asked_again_and_the_rest_is_kept(folder: Path) -> None:
    typed = ("", "", "32 40S 61 50E", "", "32 40S 16 50E", "miles", "110", *NOON[4:12], "mast=loose", "vane=frayed")
    prompts, kept = talk(folder, at(11), *typed, "", "")
    assert kept is not None
    said = [sentence for prompt in prompts for sentence in prompt.said]
    assert any("miles in 27 hours" in sentence for sentence in said)
    assert any('"miles"; write a number' in sentence for sentence in said)
    assert any("no such part; there are pins, chafe, wind vane" in sentence for sentence in said)
    body = body_of(folder)
    assert [16, 110.0] == [int(body["lon_deg"]), body["log_nm"]]
    assert {"wind vane": "frayed"} == body["deck"]


def test_a_question_mark_explains_and_the_name_of_a_field_asks_it_again(folder: Path) -> None:
    prompts, kept = talk(folder, at(11), "", "", "?", *NOON[2:-1], "log", "101", "sleep mate", "5", "")
    assert kept is not None
    assert any("position by any sailor's form" in sentence.lower() for prompt in prompts for sentence in prompt.said)
    assert 101.0 == body_of(folder)["log_nm"]
    assert {"mate": 5.0} == body_of(folder)["sleep_h"]


def test_the_course_is_asked_for_only_where_there_is_no_position(folder: Path) -> None:
    with_position, _ = talk(folder, at(11), *NOON[:3])
    without, _ = talk(folder, at(11), "no", "", "", "")
    assert "Miles since then" == with_position[-1].label
    assert "Course, true" == without[-1].label


def test_an_interruption_writes_nothing_and_offers_the_answers_again(folder: Path) -> None:
    talk(folder, at(11), *NOON[:5])
    assert 1 == len(read_journal(folder).entries)
    prompts, kept = talk(folder, at(11), "", *NOON[5:])
    assert "noon of 2027-02-11 11:00, broken off: position 32 40S 16 50E; log 110; wind SE 14" == prompts[0].beside
    assert kept is not None
    assert 110.0 == body_of(folder)["log_nm"]
    assert 2 == len(read_journal(folder).entries)


@pytest.mark.parametrize(
    "spoilt", ["", "{", "[]", '{"kind": 4}', '{"kind": "noon", "time": "x", "answers": {"log": 3}}']
)
def test_a_draft_that_cannot_be_read_is_left_alone(folder: Path, spoilt: str) -> None:
    (folder / DRAFT).write_text(spoilt)
    prompts, _ = talk(folder, at(11))
    assert "Entry" == prompts[0].label


def test_the_same_noon_twice_is_asked_about(folder: Path) -> None:
    talk(folder, at(11), *NOON)
    prompts, _ = talk(folder, at(11), "noon", "12:00", "")
    assert "Is it so?" == prompts[2].label
    assert "Entry 2 is the noon of 2027-02-11 11:00 already" in prompts[2].said[0]
    assert "Time, UTC" == prompts[3].label


def test_a_correction_changes_one_field_of_an_entry(folder: Path) -> None:
    talk(folder, at(11), *NOON)
    prompts, kept = talk(folder, at(11), "corr", "", "baro", "1016", "")
    assert kept is not None
    assert "was 1019 hPa" == asked_for(prompts, "barometer").beside
    entry = read_journal(folder).entries[-1]
    assert (2, {"pressure_hpa": 1016.0}) == (entry.corrects, entry.body)


@pytest.mark.parametrize(
    ("typed", "kind", "body"),
    [
        (("sails", "", "main 1 reef", "", ""), "sails", {"sails": "main 1 reef"}),
        (("wat", "", "mate"), "watch", {"on_watch": "mate"}),
        (("sigh", "", "ship 2 miles to port", ""), "sighting", {"seen": "ship 2 miles to port"}),
        (("wea", "", "SE F6", "3 m", "1008", "7", "squalls"), "weather", {"sea_m": 3.0, "pressure_hpa": 1008.0}),
    ],
)
def test_entries_between_noons_ask_for_what_belongs_to_them(
    folder: Path, typed: tuple[str, ...], kind: str, body: dict[str, Any]
) -> None:
    _, kept = talk(folder, at(11), *typed, *[""] * 6)
    assert kept is not None
    assert kind == kept.entry.kind
    assert body.items() <= dict(kept.entry.body).items()


def test_a_noon_takes_fewer_than_forty_key_strokes() -> None:
    assert sum(len(text) + 1 for text in (*NOON[:5], "1019", *NOON[6:])) < 50
    daily = ("", "", "31 30S 15 20E", "98", "", "1017", "", "78", "", "", "", "", "ok", "")
    assert sum(len(text) + 1 for text in daily) < 40


def test_power_cuts_lose_nothing_that_was_acknowledged_and_leave_no_half_entry() -> None:
    """At every write of a noon, two fates each: the entry is there whole or not at all, and the next asking begins."""
    whole = _ops()
    for cut_at in range(1, whole + 1):
        for seed in (1, 2):
            disk, kept = _until(cut_at)
            left = disk.after_the_cut(random.Random(seed))
            entries = read_journal(FOLDER, left).entries
            bodies = [entry.body for entry in entries if entry.kind == "noon"]
            assert len(bodies) >= kept
            assert all(110.0 == body["log_nm"] and "pins" in body["deck"] for body in bodies)
            assert talk(FOLDER, at(12, left))[0][0].label in ("Entry", "Go on with it?")


def _ops() -> int:
    disk, kept = _until(0)
    assert 1 == kept
    return disk.operations


def _until(cut_at: int) -> tuple[CutDisk, int]:
    """The log begun while there is power; then a noon asked for, and how many noons were acknowledged."""
    disk = CutDisk()
    add(FOLDER, "start", SAILED, SETTING, written=SAILED, disk=disk)
    disk.operations, disk.cut_at = 0, cut_at
    try:
        _, kept = talk(FOLDER, at(11, disk), *NOON)
    except PowerGone:
        return disk, 0
    return disk, int(kept is not None)
