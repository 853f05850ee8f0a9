"""A rota as people read it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from passage.consequences.watches.rotas import Fixed, rota_of
from passage.consequences.watches.score import Conditions, Keeper
from passage.consequences.watches.timetable import own_week, timetable, weeks

FOUR = rota_of(tuple((k % 2, 4.0 * k, 4.0 * k + 4) for k in range(6)), 2)
CONDITIONS = Conditions(dark=np.zeros(48), fixed=(Fixed("meal", 18.0, 1.0),))
NAMES = ("skipper", "mate")


def test_the_spells_of_a_day_follow_each_other_and_name_who_is_up() -> None:
    spells = timetable(FOUR, NAMES, CONDITIONS)
    assert [0, 4, 8, 12, 16, 18, 19, 20] == [spell.from_h for spell in spells]
    assert [4, 8, 12, 16, 18, 19, 20, 24] == [spell.to_h for spell in spells]
    assert ("skipper",) == spells[0].on_watch
    assert (("skipper",), ("mate",)) == (spells[5].on_watch, spells[5].up)


def test_the_leader_of_two_on_watch_is_named_first_and_standby_apart() -> None:
    rota = rota_of(tuple((k % 3, 4.0 * k, 4.0 * k + 4) for k in range(6)), 3)
    conditions = replace(CONDITIONS, fixed=(), asked=np.full(48, 1, dtype=np.intp), standby=1)
    spells = timetable(rota, ("a", "b", "c"), conditions)
    assert [(("a",), ("b",)), (("b",), ("c",)), (("c",), ("a",))] == [(s.on_watch, s.standby) for s in spells[:3]]
    pairs = timetable(rota, ("a", "b", "c"), replace(conditions, asked=np.full(48, 2, dtype=np.intp), standby=0))
    assert [("a", "b"), ("b", "c"), ("c", "a")] == [spell.on_watch for spell in pairs[:3]]


def test_a_persons_own_week_covers_every_hour_of_seven_days() -> None:
    spells = own_week(FOUR, 0, CONDITIONS)
    assert 7 * 24.0 == sum(spell.to_h - spell.from_h for spell in spells)
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


def test_the_other_is_up_for_the_meal() -> None:
    assert (18.0, 19.0, "up") in [(s.from_h, s.to_h, s.duty) for s in own_week(FOUR, 1, CONDITIONS)]


def test_the_week_repeats_its_days_and_swaps_them_with_the_rota() -> None:
    keepers = (Keeper("skipper"), Keeper("mate"))
    one, other = weeks(FOUR, keepers, CONDITIONS)
    assert (337, 337, 336) == (len(one.hour), len(one.kss), len(one.on_watch))
    np.testing.assert_array_equal(one.kss[:48], one.kss[48:96])
    alternating = rota_of(((0, 0.0, 12.0), (1, 12.0, 24.0), (1, 24.0, 36.0), (0, 36.0, 48.0)), 2, days=2)
    one, other = weeks(alternating, keepers, replace(CONDITIONS, fixed=()))
    np.testing.assert_allclose(one.kss[:48], other.kss[48:96], atol=1e-4)
    assert (one.on_watch != other.on_watch).all()
