"""Water through a hole, and what keeps up with it."""

from __future__ import annotations

import pytest

from passage.inputs.troubles import Leak, Pumps
from passage.troubles.flooding import flooding

PUMPS = Pumps(electric_l_h=2000.0, electric_power_w=40.0, by_hand_l_h=1500.0, by_hand_hours_h=4.0)


def test_a_25_mm_hole_half_a_metre_down() -> None:
    # D, by hand: area 4.909e-4 m2, sqrt(2 x 9.81 x 0.5) = 3.132 m/s, c = 0.6: 0.922 L/s = 3321 L/h.
    inflow_l_h = {hole.bore_mm: hole.inflow_l_h for hole in flooding(Leak(depth_m=0.5), PUMPS, 2, electric=True).holes}
    assert 3321.0 == pytest.approx(inflow_l_h[25], rel=1e-3)


def test_half_of_the_electric_pump_and_four_hours_a_day_of_each_hand_are_counted() -> None:
    found = flooding(Leak(rate_l_h=100.0), PUMPS, 2, electric=True)
    assert (1000.0, 500.0) == (found.electric_l_h, pytest.approx(found.by_hand_l_h))
    assert found.held
    assert 0.0 == found.by_hand_min


def test_the_leak_is_held_to_the_litre_and_no_further() -> None:
    assert flooding(Leak(rate_l_h=1500.0), PUMPS, 2, electric=True).held
    assert not flooding(Leak(rate_l_h=1501.0), PUMPS, 2, electric=True).held


def test_without_current_hands_do_it_all() -> None:
    found = flooding(Leak(rate_l_h=500.0), PUMPS, 2, electric=False)
    assert found.held
    assert 20.0 == pytest.approx(found.by_hand_min)  # D: 500 of 1500 L/h is a third of the hour


def test_many_hands_pump_no_more_than_all_day() -> None:
    assert 1500.0 == flooding(Leak(), PUMPS, 8, electric=False).by_hand_l_h


def test_holes_say_what_holds_them() -> None:
    held = {hole.bore_mm: hole.held_by for hole in flooding(Leak(depth_m=0.5), PUMPS, 2, electric=True).holes}
    nothing = "nothing aboard"
    assert {6: "the electric pump", 13: "the electric pump", 19: nothing, 25: nothing, 38: nothing} == held


def test_the_pump_runs_for_its_share_of_the_time_and_never_for_more_than_all_of_it() -> None:
    assert 0.15 == pytest.approx(PUMPS.duty(150.0))
    assert 1.0 == PUMPS.duty(5000.0)
    assert 0.0 == Pumps().duty(100.0)
