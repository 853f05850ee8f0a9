"""Lanes sailed side by side are the same lanes sailed alone; tracks, winds and boats are invented."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.crossings import simulate
from passage.crossings.helm import Refit
from passage.crossings.lanes import Lane, Waters, lane_of
from passage.crossings.simulate import arrivals_h, most_abreast, sail, sail_lanes
from passage.crossings.wind import Luck
from passage.inputs.current import TrackCurrent
from passage.troubles.damage import slowed_vessel, without_engine
from tests.crossing_cases import DEPART, laid, north_track, steady, vessel
from tests.test_forecast import forecast

if TYPE_CHECKING:
    from passage.crossings.helm import Vessel

LUCK = Luck(3, 60)


def alone(lane: Lane, **added: object) -> np.ndarray:
    climate = steady(lane.track, 3.0, 9.0, 6.0)
    return sail(laid(lane.track, climate, lane.vessel, **added), DEPART, lane.luck).arrival_h


def lane(miles: float, boat: Vessel, luck: Luck = LUCK, **added: object) -> Lane:
    track = north_track(miles)
    return lane_of(laid(track, steady(track, 3.0, 9.0, 6.0), boat, **added), DEPART, luck)


def test_short_and_long_lanes_of_several_boats_arrive_as_they_do_alone() -> None:
    """More boats than a block holds, two speed tables, allowances for calms, luck that begins later, standing off."""
    boat = vessel(stand_off=True, motoring=True, motor_hours=30.0)
    other = vessel(stand_off=True, gust_limit_kn=20.0, gust_resume_kn=16.0)
    later = LUCK.delayed(np.full(LUCK.members, 31))
    lanes = [lane(60.0 + 37.0 * number, boat, later if number % 3 else LUCK) for number in range(40)]
    lanes += [lane(200.0, replace(boat, motor_hours=6.0)), lane(350.0, other), lane(90.0, other, Luck(3, 20))]
    side_by_side = arrivals_h(lanes)
    assert len(lanes) == len(side_by_side)
    for one, arrival_h in zip(lanes, side_by_side, strict=True):
        np.testing.assert_array_equal(alone(one), arrival_h)


def test_vessels_of_their_own_and_what_they_become_are_logged_as_they_would_be_alone() -> None:
    """Slower ones, an engine that starts at another speed or fails, damage at sea, a crew that heaves to sooner."""
    boat = vessel(motoring=True, motor_hours=30.0)
    slow, engineless = slowed_vessel(boat, 0.8), without_engine(boat)
    timid = vessel(motoring=True, motor_hours=30.0, gust_limit_kn=18.0, gust_resume_kn=14.0)
    lanes = [
        lane(300.0, boat),
        lane(300.0, slow),
        lane(180.0, boat)._replace(refits=(Refit(20, slow),)),
        lane(300.0, boat)._replace(refits=(Refit(0, engineless),)),
        lane(240.0, boat)._replace(refits=(Refit(31, engineless),)),
        lane(240.0, boat)._replace(refits=(Refit(20, timid),)),
        lane(240.0, boat)._replace(refits=(Refit(31, timid),)),
        lane_of(
            laid(north_track(200.0), steady(north_track(200.0), -3.0, 6.0, 5.0), boat), DEPART + timedelta(days=9), LUCK
        ),
    ]
    together = sail_lanes(lanes)
    assert (together[2].arrival_h != sail_lanes([lane(180.0, boat)])[0].arrival_h).all()
    assert (together[5].arrival_h > sail_lanes([lane(240.0, boat)])[0].arrival_h).any()
    assert (together[5].arrival_h != together[6].arrival_h).any()
    for one, crossings in zip(lanes, together, strict=True):
        (by_itself,) = sail_lanes([one])
        for field in fields(crossings):
            assert np.array_equal(getattr(by_itself, field.name), getattr(crossings, field.name)), field.name


def test_in_fast_water_damage_at_sea_is_sailed_as_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever they become and whenever, with another luck over another distance, they sail together."""
    boat = vessel(motoring=True, motor_hours=30.0)
    slow = slowed_vessel(boat, 0.7)
    refits = [(), (Refit(0, slow),), (Refit(9, slow),), (Refit(9, slow),), (Refit(9, without_engine(boat)),)]
    lanes = []
    for number, becomes in enumerate(refits):
        track = north_track(200.0 + 40.0 * number)
        current = TrackCurrent(np.full((12, track.nodes), -1.2), np.full((12, track.nodes), -0.7), "invented")
        plain = lane(track.length_nm, boat, Luck(3 + number, 60), current=current)
        lanes.append(plain._replace(refits=becomes))
    abreast = []
    monkeypatch.setattr(simulate, "Waters", lambda sailed: abreast.append(len(sailed)) or Waters(sailed))
    together = sail_lanes(lanes)
    assert [5] == abreast
    for one, crossings in zip(lanes, together, strict=True):
        (by_itself,) = sail_lanes([one])
        for field in fields(crossings):
            assert np.array_equal(getattr(by_itself, field.name), getattr(crossings, field.name)), field.name
    unhurt = sail_lanes([lanes[2]._replace(refits=())])[0]
    assert (together[2].distance_nm[:, 9] == unhurt.distance_nm[:, 9]).all()
    assert (together[2].arrival_h > unhurt.arrival_h).mean() > 0.9


def test_a_refit_of_some_members_is_theirs_alone_and_what_is_mended_sails_as_ever_after() -> None:
    """Members struck in an hour of their own, more of them than a block holds; one is hurt and mended, one twice."""
    boat = vessel(motoring=True, motor_hours=30.0)
    slow, engineless = slowed_vessel(boat, 0.6), without_engine(boat)
    plain = lane(240.0, boat, Luck(3, 2100))
    (whole,) = sail_lanes([plain])
    some = [np.array(who) for who in ([0, 2049], [7], [2049], [7])]
    turns = zip((5, 9, 12, 30), (slow, engineless, boat, boat), some, strict=True)
    hurt = plain._replace(refits=tuple(Refit(*turn) for turn in turns))
    (struck,) = sail_lanes([hurt])
    untouched = ~np.isin(np.arange(2100), [0, 7, 2049])
    assert (whole.arrival_h[untouched] == struck.arrival_h[untouched]).all()
    assert np.array_equal(whole.speed_kn[2049, :5], struck.speed_kn[2049, :5])
    assert np.array_equal(np.float32(0.6) * whole.speed_kn[[0, 2049], 5], struck.speed_kn[[0, 2049], 5])
    assert whole.arrival_h[2049] < struck.arrival_h[2049]
    (for_good,) = sail_lanes([plain._replace(refits=(Refit(5, slow),))])
    assert for_good.arrival_h[0] == struck.arrival_h[0]
    assert struck.arrival_h[2049] < for_good.arrival_h[2049]


def test_some_members_alone_sail_as_they_do_among_all_under_a_forecast_of_several_runs_too() -> None:
    boat, who = vessel(), np.array([1, 5, 6, 40, 59])
    track = north_track(300.0)
    fair = forecast([(0.0, 14.0), (8.0, 2.0), (-5.0, 9.0)], track.nodes)
    for luck in (LUCK, LUCK.delayed(np.arange(60) % 3)):
        for extra in ({}, {"forecast": fair}):
            (all_of_them,) = arrivals_h([lane(300.0, boat, luck, **extra)])
            (alone_at_sea,) = arrivals_h([lane(300.0, boat, luck.of(who), **extra)])
            assert np.array_equal(all_of_them[who], alone_at_sea)


def test_a_refit_of_some_members_that_keeps_other_rules_is_refused() -> None:
    timid = vessel(gust_limit_kn=18.0, gust_resume_kn=14.0)
    with pytest.raises(ValueError, match="same rules"):
        arrivals_h([lane(300.0, vessel())._replace(refits=(Refit(3, timid, np.array([0])),))])


def test_a_current_or_a_forecast_in_one_lane_leaves_the_others_alone() -> None:
    boat = vessel()
    track = north_track(300.0)
    current = TrackCurrent(np.full((12, track.nodes), 0.4), np.full((12, track.nodes), -0.7), "invented")
    runs = [(0.0, 14.0), (8.0, 2.0), (-5.0, 9.0), (3.0, 3.0), (-2.0, 6.0), (6.0, 11.0), (1.0, 8.0)]
    fair = forecast(runs, track.nodes)  # seven, which go into no number of boats here: who sails which run is seen
    added: list[dict[str, object]] = [{}, {"current": current}, {"forecast": fair}, {}]
    lanes = [lane(300.0, boat, **extra) for extra in added]
    found = arrivals_h(lanes)
    for one, extra, arrival_h in zip(lanes, added, found, strict=True):
        np.testing.assert_array_equal(alone(one, **extra), arrival_h)
    assert (found[1] != found[0]).any()
    assert (found[2] != found[0]).any()


def test_who_never_gets_in_is_given_up_at_the_same_hour_as_alone() -> None:
    """A foul wind and a boat that does not point: some get in late, some never."""
    boat, track = vessel(hove_to_drift_kn=2.0, gust_limit_kn=16.0, gust_resume_kn=12.0), north_track(120.0)
    foul = [
        lane_of(laid(track, steady(track, 0.0, -north, 4.0), boat), DEPART + timedelta(hours=north), LUCK)
        for north in (6, 8, 9)
    ]
    found = arrivals_h([*foul, lane(500.0, boat)])
    for one, north, arrival_h in zip(foul, (6, 8, 9), found, strict=False):
        climate = steady(track, 0.0, -north, 4.0)
        once = sail(laid(track, climate, boat), DEPART + timedelta(hours=north), one.luck).arrival_h
        np.testing.assert_array_equal(once, arrival_h)
    assert np.isinf(found[2]).any()
    assert np.isfinite(found[0]).any()


def test_the_log_of_boats_abreast_stays_small_however_far_they_sail() -> None:
    """17 bytes an hour of each boat, given up after an hour for every mile and a day's standing off."""
    short = north_track()
    for miles in (20.0, 1000.0, 8000.0, 24_000.0):
        boats = most_abreast(replace(short, distance_nm=np.array([0.0, miles])))
        assert 300 < boats <= 6000
        assert boats * (miles + 24) * 17 <= 170e6
    assert 6000 == most_abreast(north_track(1000.0))


def test_no_lanes_no_arrivals() -> None:
    assert [] == arrivals_h([])
