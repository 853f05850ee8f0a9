"""Lost overboard: how far astern before the other wakes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from passage.consequences.watches.overboard import unnoticed, worst
from passage.consequences.watches.rotas import Fixed, rota_of
from passage.consequences.watches.score import Conditions

CONDITIONS = Conditions(dark=np.zeros(48))
FOUR = rota_of(tuple((k % 2, 4.0 * k, 4.0 * k + 4) for k in range(6)), 2)


def test_the_whole_watch_less_the_call() -> None:
    """Four hours less the quarter of an hour of the call, at six knots: 22.5 miles."""
    spells = unnoticed(FOUR, CONDITIONS, 6.0)
    assert 6 == len(spells)
    assert {(3.75, 22.5)} == {(spell.until_called_h, spell.astern_nm) for spell in spells}


def test_a_meal_together_shortens_the_spell() -> None:
    with_meal = replace(CONDITIONS, fixed=(Fixed("meal", 18.0, 1.0),))
    begins = {spell.begins_h: spell.until_called_h for spell in unnoticed(FOUR, with_meal, 6.0)}
    assert (1.75, 0.75) == (begins[16.0], begins[19.0])


def test_two_on_watch_are_never_alone() -> None:
    assert () == unnoticed(FOUR, replace(CONDITIONS, asked=np.full(48, 2, dtype=np.intp)), 6.0)
    assert worst(FOUR, replace(CONDITIONS, asked=np.full(48, 2, dtype=np.intp)), 6.0) is None


def test_short_watches_leave_fewer_miles() -> None:
    two = rota_of(tuple((k % 2, 2.0 * k, 2.0 * k + 2) for k in range(12)), 2)
    near, far = worst(two, CONDITIONS, 6.0), worst(FOUR, CONDITIONS, 6.0)
    assert near is not None
    assert far is not None
    assert (10.5, 22.5) == pytest.approx((near.astern_nm, far.astern_nm))
