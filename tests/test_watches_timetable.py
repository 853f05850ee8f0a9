"""A rota as people read it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from passage.consequences.watches.alertness import kss, rhythm
from passage.consequences.watches.rotas import UP, WATCH, Fixed, rota_of
from passage.consequences.watches.score import Conditions, Keeper
from passage.consequences.watches.timetable import KeptDay, own_spells, timetable, weeks

FOUR = rota_of(tuple((k % 2, 4.0 * k, 4.0 * k + 4) for k in range(6)), 2)
ALTERNATING = rota_of(((0, 0.0, 12.0), (1, 12.0, 24.0), (1, 24.0, 36.0), (0, 36.0, 48.0)), 2, days=2)
CONDITIONS = Conditions(dark=np.zeros(48), fixed=(Fixed("meal", 18.0, 1.0),))
NAMES = ("skipper", "mate")
PAIR = (Keeper("skipper"), Keeper("mate"))
KEPT = KeptDay(FOUR, PAIR, CONDITIONS)


def test_the_watches_of_a_day_follow_each_other_whoever_else_is_up() -> None:
    spells = timetable(FOUR, NAMES, CONDITIONS)
    assert [0, 4, 8, 12, 16, 20] == [spell.from_h for spell in spells]
    assert [4, 8, 12, 16, 20, 24] == [spell.to_h for spell in spells]
    assert [("skipper",), ("mate",)] * 3 == [spell.on_watch for spell in spells]


def test_a_watch_over_midnight_is_one_line_of_the_day_it_begins() -> None:
    late = rota_of((*((k % 2, 4.0 * k + 2, 4.0 * k + 6) for k in range(5)), (1, 22.0, 2.0)), 2)
    assert [(1, 2, 6), (1, 6, 10), (1, 10, 14), (1, 14, 18), (1, 18, 22), (1, 22, 2)] == [
        (spell.day, spell.from_h, spell.to_h) for spell in timetable(late, NAMES, CONDITIONS)
    ]
    by_days = timetable(ALTERNATING, NAMES, CONDITIONS)
    assert [(1, 12, 12, ("mate",)), (2, 12, 12, ("skipper",))] == [
        (s.day, s.from_h, s.to_h, s.on_watch) for s in by_days
    ]


def test_the_leader_of_two_on_watch_is_named_first_and_standby_apart() -> None:
    rota = rota_of(tuple((k % 3, 4.0 * k, 4.0 * k + 4) for k in range(6)), 3)
    conditions = replace(CONDITIONS, fixed=(), asked=np.full(48, 1, dtype=np.intp), standby=1)
    spells = timetable(rota, ("a", "b", "c"), conditions)
    assert [(("a",), ("b",)), (("b",), ("c",)), (("c",), ("a",))] == [(s.on_watch, s.standby) for s in spells[:3]]
    pairs = timetable(rota, ("a", "b", "c"), replace(conditions, asked=np.full(48, 2, dtype=np.intp), standby=0))
    assert [("a", "b"), ("b", "c"), ("c", "a")] == [spell.on_watch for spell in pairs[:3]]


def test_a_persons_own_week_covers_every_hour_of_seven_days() -> None:
    skipper, mate = weeks([KEPT] * 7)
    spells = own_spells(skipper)
    assert 7 * 24.0 == sum((spell.to_h - spell.from_h) % 24.0 for spell in spells)
    assert set(range(1, 8)) == {spell.day for spell in spells}
    first = [(spell.from_h, spell.to_h, spell.duty) for spell in spells if spell.day == 1]
    assert [
        (0, 4, "watch"),
        (4, 8, "off"),
        (8, 12, "watch"),
        (12, 16, "off"),
        (16, 20, "watch"),
        (20, 24, "off"),
    ] == first
    assert (18.0, 19.0, "up") in [(s.from_h, s.to_h, s.duty) for s in own_spells(mate)]


def test_each_day_is_kept_as_its_own_rota_says() -> None:
    """Two days of one rota, then days of one that takes turns, which goes on counting from the first day at sea; no
    night is cut in two.
    """
    skipper, _ = weeks([KEPT, KEPT, *[KeptDay(ALTERNATING, PAIR, CONDITIONS)] * 2])
    on = (skipper.duty == WATCH).reshape(4, 48)
    assert (on[0] == on[1]).all()
    assert (on[2] == np.where(np.arange(48) < 24, on[1], False)).all()
    assert (on[3] == (np.arange(48) >= 24)).all()
    assert 2 == (skipper.duty.reshape(4, 48)[0] == UP).sum() + (on[0][36:38]).sum()


def test_the_week_begins_rested_and_settles_into_the_rota() -> None:
    """Begun an hour after falling asleep from 16 hours awake and 8 asleep: S 8.8919 on falling asleep (people.md 4.5,
    D), and an hour at 0.8008485 below the brake level; the rhythm is that of midnight. Half the last digit.
    """
    pressure = 8.8919 + 0.8008485
    week = weeks([KEPT] * 14)[0]
    assert float(kss(pressure + rhythm(0.0))) == pytest.approx(week.kss[0], abs=0.46 * 0.00005)
    np.testing.assert_allclose(week.kss[-48:], week.kss[-96:-48], atol=0.005)
    assert 14 * 6.5 == pytest.approx(week.asleep_h.sum())


def test_before_she_sails_nobody_has_a_duty_and_the_day_ashore_counts_as_awake() -> None:
    """Up at seven from 8 hours asleep: S 13.8198 (people.md 4.5, D), and two hours awake. Half the last digit."""
    week = weeks([KEPT] * 2, begins_h=9.0)[0]
    assert np.isnan(week.kss[:18]).all()
    assert not week.duty[:18].any()
    assert WATCH == week.duty[18]
    pressure = 2.4 + (13.8198 - 2.4) * np.exp(-0.0353 * 2.0)
    assert float(kss(pressure + rhythm(9.0))) == pytest.approx(week.kss[18], abs=0.46 * 0.00005)
