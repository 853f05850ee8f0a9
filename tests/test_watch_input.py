"""The watch file: no file is a good file, and every fault names its line and key."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passage.consequences.watches.phases import may_stand_of
from passage.consequences.watches.rotas import Bounds, allowed, enumerate_rotas
from passage.errors import Fault, InputFaults
from passage.inputs.half_hours import changes_of, half_hours_of, half_hours_stood, spans, stands_some_rota
from passage.inputs.home import Home
from passage.inputs.template import TEMPLATES
from passage.inputs.watch import WATCH_FILE, Watch, WatchKeeper, read_watch

if TYPE_CHECKING:
    from pathlib import Path

ROLES = ("skipper", "mate")


def read(folder: Path, text: str, roles: tuple[str, ...] = ROLES) -> Watch:
    (folder / "watch.toml").write_text(text, encoding="utf-8")
    return read_watch(Home(folder).document("watch.toml"), roles)


def faults(folder: Path, text: str, roles: tuple[str, ...] = ROLES) -> list[Fault]:
    with pytest.raises(InputFaults) as told:
        read(folder, text, roles)
    assert {"watch.toml"} == {fault.file for fault in told.value.faults}
    return told.value.faults


def test_no_file_means_the_whole_crew_and_every_default(tmp_path: Path) -> None:
    watch = read_watch(Home(tmp_path).document("watch.toml"), ROLES)
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
        longest = "4 h"
        [first_days]
        days = 2
        longest = "4 h"
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
    ('[settled]\nshortest = "9 h"\nlongest = "11 h"', 3, "settled.longest", "no number of them makes 24 h"),
    ('[rough]\nshortest = "2.8 h"\nlongest = "2.9 h"', 3, "rough.longest", "no number of them makes 24 h"),
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


def test_hours_that_no_rota_keeps_to_are_told_with_the_days_they_are_of(tmp_path: Path) -> None:
    """The skipper would have 10:00 to 20:00 alone: ten hours, and six are the most."""
    found = faults(tmp_path, '[[person]]\nrole = "mate"\nstands = ["20:00-10:00"]')
    assert {(3, "person[1].stands")} == {(fault.line, fault.key) for fault in found}
    assert ["first_days", "rough", "settled"] == sorted(fault.wanted.split()[1] for fault in found)
    assert "watches of 3 h to 6 h" in " ".join(fault.wanted for fault in found)


windows = st.lists(st.tuples(st.integers(0, 47), st.integers(6, 47)), max_size=2)


@settings(max_examples=40)
@given(
    st.integers(2, 4),
    st.integers(1, 2),
    st.sampled_from([(3.5, 4.5), (4.0, 6.0), (5.0, 6.0)]),
    st.lists(windows, min_size=4, max_size=4),
)
def test_hours_are_refused_just_where_every_rota_there_is_calls_somebody_outside_them(
    people: int, on_watch: int, bounds: tuple[float, float], stood: list[list[tuple[int, int]]]
) -> None:
    """Beside the rotas made one and all at half-hour grain."""
    on_watch = min(on_watch, people - 1)
    keepers = ("a", "b", "c", "d")[:people]
    persons = tuple(
        WatchKeeper(role=role, stands=tuple((at / 2, (at + long) % 48 / 2) for at, long in hours))
        for role, hours in zip(keepers, stood, strict=False)
    )
    watch = Watch(keepers=keepers, on_watch=on_watch, people=persons)
    may_stand, asked = may_stand_of(watch), np.full(48, on_watch)
    made = enumerate_rotas(Bounds(people, *bounds, on_watch), grain=1)
    kept = any(len(allowed(rotas, may_stand, asked)) for rotas in made)
    assert kept == stands_some_rota(watch, *changes_of(*bounds, on_watch))


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


FIVE = ("a", "b", "c", "d", "e")


@pytest.mark.parametrize("file", [True, False])
def test_a_crew_of_five_has_no_watch_keepers_until_they_are_named(tmp_path: Path, file: bool) -> None:
    if file:
        (tmp_path / "watch.toml").write_text("# nothing\n", encoding="utf-8")
    assert () == read_watch(Home(tmp_path).document("watch.toml"), FIVE).keepers
    assert ("a", "b") == read(tmp_path, 'keepers = ["a", "b"]', FIVE).keepers


def test_a_watch_file_of_a_crew_of_five_must_name_them(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, "on_watch = 2", FIVE)
    assert ("watch.toml", "keepers", "5 people") == (fault.file, fault.key, fault.found)


def test_five_people_named_are_told_at_their_line(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, '\nkeepers = ["a", "b", "c", "d", "e"]', FIVE)
    assert (2, "keepers") == (fault.line, fault.key)


def test_two_faults_are_told_at_once(tmp_path: Path) -> None:
    found = faults(tmp_path, '[settled]\nsleep = "30 h"\n[lookout]\nais = "radar"')
    assert ["settled.sleep", "lookout.ais"] == [fault.key for fault in found]


def test_one_person_may_sail_with_no_file(tmp_path: Path) -> None:
    assert ("skipper",) == read_watch(Home(tmp_path).document("watch.toml"), ("skipper",)).keepers


def test_half_hours_run_over_midnight_and_once_round() -> None:
    assert [47, 0, 1] == half_hours_of(23.5, 1.0)
    assert 48 == len(half_hours_of(8.0, 8.0))
    assert "00:00 to 01:00 and 23:30 to 24:00" == spans([0, 1, 47])


def test_everything_that_the_template_shows_may_be_added(tmp_path: Path) -> None:
    text = (TEMPLATES / WATCH_FILE).read_text(encoding="utf-8")
    watch = read(tmp_path, re.sub(r"^#   ((?:\[|[a-z_]+ = ).*)$", r"\1", text, flags=re.MULTILINE))
    assert (1, 1, 1, 2) == (watch.standby, len(watch.people), len(watch.fixed), len(watch.own))
    assert watch.cooking is not None


def test_the_template_left_as_it_is_suits_a_crew_of_five(tmp_path: Path) -> None:
    assert () == read(tmp_path, (TEMPLATES / WATCH_FILE).read_text(encoding="utf-8"), FIVE).keepers
