"""The watch file: no file is a good file, and every fault names its line and key."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from passage.errors import Fault, InputFaults
from passage.inputs.watch import Watch, half_hours_of, half_hours_stood, read_watch, spans

if TYPE_CHECKING:
    from pathlib import Path

ROLES = ("skipper", "mate")


def read(folder: Path, text: str, roles: tuple[str, ...] = ROLES) -> Watch:
    (folder / "watch.toml").write_text(text, encoding="utf-8")
    return read_watch(folder, roles)


def faults(folder: Path, text: str, roles: tuple[str, ...] = ROLES) -> list[Fault]:
    with pytest.raises(InputFaults) as told:
        read(folder, text, roles)
    assert {"watch.toml"} == {fault.file for fault in told.value.faults}
    return told.value.faults


def test_no_file_means_the_whole_crew_and_every_default(tmp_path: Path) -> None:
    watch = read_watch(tmp_path, ROLES)
    assert ROLES == watch.keepers
    assert (3.0, 6.0, 6.5) == (watch.settled.shortest_h, watch.settled.longest_h, watch.settled.sleep_h)
    assert read(tmp_path, "").model_dump() == watch.model_dump()


def test_a_full_file_reads(tmp_path: Path) -> None:
    watch = read(
        tmp_path,
        """
        keepers = ["mate", "skipper"]
        [settled]
        shortest = "2 h"
        longest = "4 h"
        sleep = "7 h"
        [rough]
        sleep = "270 min"
        [first_days]
        days = 2
        [alone]
        longest_interval = "60 min"
        [rest]
        settle = "20 min"
        [lookout]
        eye_height = "2 m"
        ais = "transceiver"
        ais_range = "12 nm"
        react = "5 min"
        [cooking]
        who = "mate"
        [[person]]
        role = "mate"
        bad_at_dawn = true
        sleep = "90 %"
        stands = ["20:00-08:00", "12:00-16:00"]
        [[fixed]]
        what = "radio"
        at = "08:15"
        lasts = "15 min"
        who = ["skipper"]
        [[own]]
        who = "mate"
        from = "20:00"
        to = "08:00"
        [[own]]
        who = "skipper"
        from = "08:00"
        to = "20:00"
        """,
    )
    assert ("mate", "skipper") == watch.keepers
    assert (4.5, 2, 1.0) == (watch.rough.sleep_h, watch.first_days.days, watch.alone.longest_interval_h)
    assert (8.25, 0.25, ("skipper",)) == (watch.fixed[0].at_h, watch.fixed[0].lasts_h, watch.fixed[0].who)
    assert 0.9 == watch.people[0].sleep_share
    assert {*range(24, 32), *range(40, 48), *range(16)} == half_hours_stood(watch, "mate")


FAULTY = [
    ('[settled]\nsleep = "25 h"', 2, "settled.sleep", "between 1 h and 14 h"),
    ('[[fixed]]\nwhat = "meal"\nat = "25:00"', 3, "fixed[1].at", "00:00 to 24:00"),
    ('[[fixed]]\nwhat = "meal"\nat = "18:75"', 3, "fixed[1].at", "00:00 to 24:00"),
    ('[[fixed]]\nwhat = "meal"\nat = 18', 3, "fixed[1].at", '"18:30"'),
    ('[settled]\nshortest = "4 h"\nlongest = "3 h"', 3, "settled.longest", "must be shortest"),
    ('keepers = ["skipper", "cat"]', 1, "keepers[2]", "skipper, mate"),
    ('keepers = ["mate", "mate"]', 1, "keepers[2]", "each named once"),
    ("on_watch = 2", 1, "on_watch", "somebody must be off"),
    ("standby = 2", 1, "standby", "give fewer"),
    ('[cooking]\nwho = "cat"', 2, "cooking.who", "the watch-keepers are"),
    ('[[fixed]]\nwhat = "radio"\nat = "08:00"\nwho = ["cat"]', 4, "fixed[1].who[1]", "the watch-keepers are"),
    ('[[person]]\nrole = "cat"', 2, "person[1].role", "the watch-keepers are"),
    ('[[person]]\nrole = "mate"\nstands = ["20:10-08:00"]', 3, "person[1].stands[1]", "whole and half hours"),
    ('[[person]]\nrole = "mate"\nstands = ["from eight"]', 3, "person[1].stands[1]", "from and to"),
    ('[[own]]\nwho = "mate"\nfrom = "20:00"\nto = "08:15"', 4, "own[1].to", "whole and half hours"),
    ("settle = 1", 1, "settle", "[rest]"),
]


@pytest.mark.parametrize(("text", "line", "key", "wanted"), FAULTY)
def test_a_fault_names_its_line_its_key_and_what_would_be_right(
    tmp_path: Path, text: str, line: int, key: str, wanted: str
) -> None:
    (fault,) = faults(tmp_path, text)
    assert (line, key) == (fault.line, fault.key)
    assert wanted in f"{fault.found} {fault.wanted}"


def test_hours_that_nobody_may_stand_are_named(tmp_path: Path) -> None:
    text = """
[[person]]
role = "skipper"
stands = ["20:00-02:00"]
[[person]]
role = "mate"
stands = ["05:00-19:30"]
"""
    (fault,) = faults(tmp_path, text)
    assert (4, "person[1].stands") == (fault.line, fault.key)
    assert "02:00 to 05:00 and 19:30 to 20:00" in fault.found


OWN = '[[own]]\nwho = "skipper"\nfrom = "20:00"\nto = "{}"\n[[own]]\nwho = "mate"\nfrom = "08:00"\nto = "20:00"'


def test_an_own_rota_that_leaves_an_hour_uncovered_is_told_which(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, OWN.format("06:30"))
    assert (1, "own") == (fault.line, fault.key)
    assert "nobody keeps 06:30 to 08:00" in fault.found


def test_an_own_rota_that_gives_an_hour_to_two_is_told_which(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, OWN.format("09:00"))
    assert "08:00 to 09:00 is kept twice" in fault.found


def test_an_own_rota_of_two_days_is_checked_day_by_day(tmp_path: Path) -> None:
    watch = '[[own]]\nwho = "{}"\nfrom = "{}"\nto = "{}"\nday = {}\n'
    sound = [("skipper", "20:00", "08:00", 1), ("mate", "08:00", "20:00", 1), ("mate", "20:00", "08:00", 2)]
    rota = "".join(watch.format(*entry) for entry in sound)
    (fault,) = faults(tmp_path, rota)
    assert "nobody keeps 08:00 to 20:00 of day 2" in fault.found
    assert 4 == len(read(tmp_path, rota + watch.format("skipper", "08:00", "20:00", 2)).own)


@pytest.mark.parametrize("file", [True, False])
def test_five_people_are_too_many(tmp_path: Path, file: bool) -> None:
    roles = ("a", "b", "c", "d", "e")
    if file:
        (tmp_path / "watch.toml").write_text("# nothing\n", encoding="utf-8")
    with pytest.raises(InputFaults) as told:
        read_watch(tmp_path, roles)
    (fault,) = told.value.faults
    assert ("watch.toml", "keepers", "5 people") == (fault.file, fault.key, fault.found)
    assert ("a", "b") == read(tmp_path, 'keepers = ["a", "b"]', roles).keepers


def test_five_people_named_are_told_at_their_line(tmp_path: Path) -> None:
    roles = ("a", "b", "c", "d", "e")
    (fault,) = faults(tmp_path, '\nkeepers = ["a", "b", "c", "d", "e"]', roles)
    assert (2, "keepers") == (fault.line, fault.key)


def test_two_faults_are_told_at_once(tmp_path: Path) -> None:
    found = faults(tmp_path, '[settled]\nsleep = "30 h"\n[lookout]\nais = "radar"')
    assert ["settled.sleep", "lookout.ais"] == [fault.key for fault in found]


def test_one_person_may_sail_with_no_file(tmp_path: Path) -> None:
    assert ("skipper",) == read_watch(tmp_path, ("skipper",)).keepers


def test_half_hours_run_over_midnight_and_once_round() -> None:
    assert [47, 0, 1] == half_hours_of(23.5, 1.0)
    assert 48 == len(half_hours_of(8.0, 8.0))
    assert "00:00 to 01:00 and 23:30 to 24:00" == spans([0, 1, 47])
