"""Crossings in which things break: who is not struck sails as ever; tracks, winds and strikes are invented."""

from __future__ import annotations

import numpy as np

from passage.crossings.ensemble import ARRIVED, BY_HOUR, SHARED, Crossings, days_of, some_of
from passage.crossings.helm import Refit
from passage.crossings.lanes import lane_of
from passage.crossings.simulate import sail, sail_lanes
from passage.crossings.wind import Luck
from passage.troubles.damage import slowed_vessel, without_engine
from passage.troubles.hurt import Moving, sail_hurt
from passage.troubles.strikes import NEVER_H, Strikes
from tests.crossing_cases import DEPART, laid, north_track, steady, vessel

MEMBERS = 60
TRACK = north_track(400.0)
GROUND = laid(TRACK, steady(TRACK, 3.0, 9.0, 6.0), vessel(motoring=True, motor_hours=30.0))
LUCK = Luck(3, MEMBERS)
WHOLE = sail(GROUND, DEPART, LUCK)
SLOW, SLOWER = slowed_vessel(GROUND.vessel, 0.7), slowed_vessel(GROUND.vessel, 0.5)


def strikes(*rows: tuple[int, int, int]) -> Strikes:
    return Strikes(*np.array(rows, dtype=np.int64).reshape(-1, 3).T)


def hurt(*pairs: tuple[Moving, Strikes]) -> Crossings:
    (found,) = sail_hurt(GROUND, WHOLE, LUCK, [moving for moving, _ in pairs], [[struck for _, struck in pairs]])
    return found


def alone(*refits: Refit) -> Crossings:
    return sail_lanes([lane_of(GROUND, DEPART, LUCK)._replace(refits=refits)])[0]


def test_without_strikes_the_crossings_are_the_very_same() -> None:
    assert WHOLE is hurt((Moving(SLOW, 0), strikes()))
    after = int(np.ceil(WHOLE.arrival_h[4])) + 1
    assert WHOLE is hurt((Moving(SLOW, 0), strikes((4, after, NEVER_H))))


def test_who_is_not_struck_sails_bit_for_bit_as_ever_and_who_is_sails_as_if_all_were() -> None:
    found, all_struck = hurt((Moving(SLOW, 0), strikes((7, 20, NEVER_H)))), alone(Refit(20, SLOW))
    others = np.flatnonzero(np.arange(MEMBERS) != 7)
    kept, were = some_of(found, others), some_of(WHOLE, others)
    for name in (*BY_HOUR, *SHARED[:2]):
        of_one, of_other = getattr(were, name), getattr(kept, name)
        by_hour = of_other[:, : WHOLE.hours] if name in BY_HOUR else of_other[: WHOLE.hours]
        assert np.array_equal(of_one, by_hour), name
    assert np.array_equal(were.arrival_h, kept.arrival_h)
    assert all_struck.arrival_h[7] == found.arrival_h[7] > WHOLE.arrival_h[7]
    assert np.array_equal(all_struck.speed_kn[7, : found.hours], found.speed_kn[7])
    assert (ARRIVED == found.state[others, WHOLE.hours :]).all()


def test_what_is_mended_ends_and_strikes_again() -> None:
    found = hurt((Moving(SLOW, 0), strikes((7, 10, 22), (7, 40, NEVER_H))))
    expected = alone(Refit(10, SLOW), Refit(22, GROUND.vessel), Refit(40, SLOW))
    assert expected.arrival_h[7] == found.arrival_h[7]


def test_two_at_once_leave_each_her_share_of_the_speed_and_the_lesser_engine() -> None:
    engineless = without_engine(SLOW)
    found = hurt((Moving(engineless, 0), strikes((7, 10, 40))), (Moving(SLOWER, 0), strikes((7, 20, NEVER_H))))
    both = without_engine(slowed_vessel(SLOW, 0.5))
    expected = alone(Refit(10, engineless), Refit(20, both), Refit(40, SLOWER))
    np.testing.assert_allclose(expected.speed_kn[7, : found.hours], found.speed_kn[7], rtol=1e-5, atol=1e-5)
    assert abs(expected.arrival_h[7] - found.arrival_h[7]) < 0.01


def test_she_lies_still_first_where_the_trouble_says_so() -> None:
    found = hurt((Moving(SLOW, 24), strikes((7, 15, NEVER_H))))
    assert (0.0 == found.speed_kn[7, 15:39]).all()
    assert found.distance_nm[7, 15] == found.distance_nm[7, 39]
    assert (found.speed_kn[7, 39:60] > 0.0).any()


def test_several_sets_of_strikes_are_each_sailed_as_alone() -> None:
    moving = [Moving(SLOW, 0)]
    sets = [[strikes((7, 20, NEVER_H))], [strikes()], [strikes((7, 20, NEVER_H), (9, 3, 30))]]
    found = [*sail_hurt(GROUND, WHOLE, LUCK, moving, sets)]
    assert found[1] is WHOLE
    for one, theirs in zip(found, sets, strict=True):
        (by_itself,) = sail_hurt(GROUND, WHOLE, LUCK, moving, [theirs])
        assert np.array_equal(by_itself.arrival_h, one.arrival_h)
        assert np.array_equal(by_itself.distance_nm, one.distance_nm)
    assert found[0].arrival_h[7] == found[2].arrival_h[7]


def test_a_boat_that_then_never_gets_in_is_counted_as_endless() -> None:
    dead = slowed_vessel(without_engine(GROUND.vessel), 0.0)
    found = hurt((Moving(dead, 0), strikes((7, 5, NEVER_H))))
    assert np.isinf(found.arrival_h[7])
    assert np.isfinite(np.delete(found.arrival_h, 7)).all()
    assert days_of(found.hours) == len(found.air_by_day_c)
