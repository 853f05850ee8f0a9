"""The watches of a passage, part by part."""

from __future__ import annotations

import numpy as np
import pytest

from passage.consequences.watches.choose import SAME_SLEEPINESS
from passage.consequences.watches.handover import CALL, CARD
from passage.consequences.watches.lookout import CAUTION
from passage.consequences.watches.overboard import CLIP_ON, RECOVERY
from passage.consequences.watches.phases import ONE_FIT, WatchPlan, plan_watches
from passage.consequences.watches.rotas import WATCH
from passage.consequences.watches.timetable import duty_of
from passage.inputs.watch import Alone, FirstDays, FixedHour, LookOut, OwnWatch, Rough, Settled, Watch

NIGHTS = np.tile([1.0] * 6 + [0.0] * 12 + [1.0] * 6, (20, 1))  # invented: dark from 18:00 to 06:00
QUICK = {
    "settled": Settled(shortest_h=4.0, longest_h=6.0),
    "first_days": FirstDays(shortest_h=3.0, longest_h=3.5),
    "rough": Rough(shortest_h=2.5, longest_h=3.0),
}
OWN = tuple(OwnWatch(who=("skipper", "mate")[k % 2], from_h=4.0 * k, to_h=4.0 * k + 4) for k in range(6))
TWO = Watch(keepers=("skipper", "mate"), own=OWN, fixed=(FixedHour(what="meal", at_h=18.0),), **QUICK)


@pytest.fixture(scope="module")
def pair() -> WatchPlan:
    return plan_watches(TWO, NIGHTS, 6.0)


def test_each_part_keeps_to_its_own_bounds_and_sleep(pair: WatchPlan) -> None:
    for name in ("settled", "first_days", "rough"):
        phase, days = getattr(pair, name), getattr(TWO, name)
        on = duty_of(phase.choice.rota, phase.conditions)[0] == WATCH
        edges = np.flatnonzero(on != np.roll(on, 1))
        lengths = np.diff([*edges, edges[0] + len(on)]) / 2
        assert days.shortest_h <= lengths.min() <= lengths.max() <= days.longest_h
        assert {days.sleep_h} == {keeper.sleep_h for keeper in phase.keepers}


def test_shorter_sleep_makes_rough_days_sleepier(pair: WatchPlan) -> None:
    assert pair.rough is not None
    assert pair.rough.choice is not None
    assert pair.settled.choice is not None
    assert pair.settled.choice.scores.mean_kss.max() < pair.rough.choice.scores.mean_kss.min()


def test_the_first_days_carry_the_allowance(pair: WatchPlan) -> None:
    assert pair.first_days is not None
    assert ((0.5, 0.75), (0.5, 0.75), (0.9, 0.9)) == pair.first_days.capacity


def test_the_own_rota_is_set_beside_the_best(pair: WatchPlan) -> None:
    assert pair.settled.comparison is not None
    assert SAME_SLEEPINESS == pair.settled.comparison.verdict
    assert pair.rough is not None
    assert pair.rough.comparison is None


def test_landfall_night_is_sleepier_than_any_settled_night(pair: WatchPlan) -> None:
    landfall, settled = pair.landfall, pair.settled.choice
    assert landfall is not None
    assert settled is not None
    assert min(one.worst_kss for one in landfall.people) > settled.scores.worst_kss.max()
    assert all(0.0 <= one.worst_h <= 6.0 or one.worst_h >= 18.0 for one in landfall.people)
    assert 24 == landfall.dark.sum()
    for one, kss in zip(landfall.people, landfall.kss, strict=True):
        assert one.worst_kss == kss[int(2.0 * ((one.worst_h - 12.0) % 24.0))], "half hours from noon to noon"


def test_no_landfall_night_where_it_is_never_dark() -> None:
    assert plan_watches(TWO.model_copy(update={"own": ()}), NIGHTS * 0.0, 6.0).landfall is None


def test_one_unfit_says_that_rule_5_cannot_be_kept_and_what_stays_possible(pair: WatchPlan) -> None:
    assert pair.one_unfit is not None
    assert ONE_FIT == pair.one_unfit.notes[: len(ONE_FIT)]
    assert "Rule 5" in pair.one_unfit.notes[0]
    assert pair.one_unfit.choice is None
    assert pair.one_unfit.cycles


def test_every_plan_carries_the_cautions(pair: WatchPlan) -> None:
    assert CAUTION in pair.cautions
    assert any("does not bind" in said or "do not bind" in said for said in pair.cautions)


def test_one_person_has_cycles_alone_and_is_told_the_ship_is_quicker() -> None:
    plan = plan_watches(Watch(keepers=("skipper",), alone=Alone(longest_interval_h=1.0)), NIGHTS, 6.0)
    assert (None, None, None, None) == (plan.first_days, plan.rough, plan.landfall, plan.one_unfit)
    assert plan.settled.cycles
    assert {4.6} == {keeper.sleep_h for keeper in plan.settled.keepers}
    assert "time for a ship to come up unseen" in plan.settled.notes[1]


def test_where_ships_are_slow_and_seen_far_off_no_such_note_is_made() -> None:
    look = LookOut(ship_speed_kn=1.0)
    plan = plan_watches(Watch(keepers=("skipper",), lookout=look), NIGHTS, 0.5)
    assert 1 == len(plan.settled.notes)


@pytest.mark.parametrize("people", [3, 4])
def test_three_and_four_have_one_on_standby(people: int) -> None:
    roles = ("skipper", "mate", "third", "fourth")[:people]
    plan = plan_watches(Watch(keepers=roles, **QUICK), NIGHTS, 6.0)
    assert plan.settled.choice is not None
    duty = duty_of(plan.settled.choice.rota, plan.settled.conditions)
    assert ((duty == 3).sum(axis=0) == 1).all()
    assert ((duty == 1).sum(axis=0) == 1).all()
    assert plan.one_unfit is not None
    assert plan.one_unfit.choice is not None
    assert people - 1 == plan.one_unfit.choice.rota.people


def test_the_cards_say_something_under_every_heading() -> None:
    lines = [*(line.say for line in (*CARD, CALL)), *CLIP_ON, *RECOVERY]
    assert len(lines) == len(set(lines))
    assert all(line.endswith((".", "?", '"')) for line in lines)
    assert len({line.heading for line in CARD}) == len(CARD)
