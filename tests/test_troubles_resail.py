"""Crossings taken up again at sea, and spells of lying still."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.crossings.ensemble import Crossings, days_of
from passage.crossings.ground import Ground
from passage.crossings.helm import Refit
from passage.crossings.lanes import lane_of
from passage.crossings.simulate import arrivals_h, sail, sail_lanes
from passage.crossings.wind import Luck
from passage.troubles.damage import slowed_vessel
from passage.troubles.resail import (
    AT_DEPARTURE,
    fuel_left,
    halfway_h,
    held,
    homewards,
    lane_from,
    later,
    onwards,
    strike_at,
)
from tests.crossing_cases import DEPART, ROUND_POLAR, north_track, steady, vessel

if TYPE_CHECKING:
    from passage.crossings.helm import Vessel
    from passage.sailings.track import Track

MEMBERS = 60


def ground(track: Track, east_kn: float = 0.0, north_kn: float = 15.0, sigma_kn: float = 5.0) -> Ground:
    return Ground((), track, steady(track, east_kn, north_kn, sigma_kn), ROUND_POLAR, vessel())


def sailed(where: Ground) -> Crossings:
    return sail(where, DEPART, Luck(1, MEMBERS))


BASE = ground(north_track())
WHOLE = sailed(BASE)


def struck(where: Ground, hour: int, becomes: Vessel) -> Crossings:
    lane = lane_of(where, DEPART, Luck(1, MEMBERS))
    return sail_lanes([lane._replace(refits=(Refit(hour, becomes),))])[0]


def assert_the_same(one: Crossings, other: Crossings) -> None:
    for row in fields(Crossings):
        assert np.array_equal(getattr(one, row.name), getattr(other, row.name)), row.name


@pytest.mark.parametrize("hour", [0, 1, 61, 100_000])
@pytest.mark.parametrize("motoring", [False, True])
def test_a_boat_that_becomes_what_she_was_sails_as_ever_bit_for_bit(hour: int, motoring: bool) -> None:
    her = vessel(motoring=motoring, motor_hours=20.0 * motoring, engine_below_kn=3.0, engine_after_h=2.0)
    where = replace(BASE, vessel=her)
    assert_the_same(sailed(where), struck(where, hour, replace(her)))


def test_what_she_becomes_changes_nothing_before_the_hour() -> None:
    slow = slowed_vessel(BASE.vessel, 0.5)
    again = struck(BASE, 50, slow)
    for name in ("distance_nm", "wind_east_kn", "state"):
        assert np.array_equal(getattr(WHOLE, name)[:, :50], getattr(again, name)[:, :50])
    assert np.array_equal(np.float32(0.5) * WHOLE.speed_kn[:, 50], again.speed_kn[:, 50])  # each where she then is
    assert (again.arrival_h > WHOLE.arrival_h).all()


def test_struck_at_departure_she_sails_as_if_she_had_always_been_so() -> None:
    slow = slowed_vessel(BASE.vessel, 0.5)
    assert_the_same(sailed(replace(BASE, vessel=slow)), struck(BASE, 0, slow))


def test_who_is_in_before_it_strikes_is_in() -> None:
    hour = int(WHOLE.arrival_h.min()) + 1
    again = struck(BASE, hour, slowed_vessel(BASE.vessel, 0.5))
    ashore = WHOLE.arrival_h <= hour
    assert ashore.any()
    assert np.array_equal(WHOLE.arrival_h[ashore], again.arrival_h[ashore])
    assert (again.arrival_h > WHOLE.arrival_h)[~ashore].all()


def test_hours_motored_before_it_strikes_are_gone() -> None:
    """D: 30 hours, all but the first of the first 20 used, then an engine that may run 25 in all."""
    thirsty = vessel(motoring=True, motor_hours=30.0, engine_below_kn=6.0, engine_after_h=0.0)
    there = replace(BASE, vessel=thirsty)
    assert 30.0 == sailed(there).motoring_h.max()
    assert 25.0 == struck(there, 20, replace(thirsty, motor_hours=25.0)).motoring_h.max()
    assert 20.0 >= struck(there, 20, replace(thirsty, motor_hours=0.0)).motoring_h.max() >= 19.0


def test_halfway_is_when_the_middle_crossing_has_half_the_miles_behind_her() -> None:
    hour = halfway_h(WHOLE)
    run_nm = np.quantile(WHOLE.distance_nm, 0.5, axis=0, method="inverted_cdf")
    assert run_nm[hour - 1] < WHOLE.track.length_nm / 2.0 <= run_nm[hour]


def test_who_never_gets_halfway_is_struck_in_her_last_hour() -> None:
    becalmed = sailed(ground(north_track(), 0.0, 0.0, 0.01))
    assert becalmed.hours - 1 == halfway_h(becalmed)
    assert becalmed.hours + 24 == held(becalmed, halfway_h(becalmed), 24).hours


def test_at_departure_the_rest_is_the_whole() -> None:
    assert AT_DEPARTURE == strike_at(WHOLE, 0)
    assert BASE is onwards(BASE, AT_DEPARTURE)
    (arrival_h,) = arrivals_h([lane_from(BASE, BASE.vessel, WHOLE, AT_DEPARTURE, Luck(1, MEMBERS))])
    assert np.array_equal(WHOLE.arrival_h, arrival_h)


def test_onwards_and_homewards_share_the_miles() -> None:
    strike = strike_at(WHOLE, 48)
    on, home = onwards(BASE, strike), homewards(BASE, strike)
    assert 600.0 == pytest.approx(
        on.track.length_nm + home.track.length_nm, abs=3.0
    )  # a degree of latitude is not 60 nm
    assert 180.0 == pytest.approx(float(np.median(home.track.course_deg)))
    assert BASE.track.lat_deg[0] == home.track.lat_deg[-1]
    assert BASE.climate.wind_north_kn[:, strike.node] == pytest.approx(on.climate.wind_north_kn[:, 0])


def test_home_against_the_wind_takes_longer_than_on_before_it() -> None:
    strike, luck = strike_at(WHOLE, halfway_h(WHOLE)), Luck(1, MEMBERS)
    ways = (onwards(BASE, strike), homewards(BASE, strike))
    on, home = arrivals_h([lane_from(there, BASE.vessel, WHOLE, strike, later(luck, strike)) for there in ways])
    # D: 45 degrees off the wind she makes 5 cos 45 x 0.97 = 3.4 of 5 kn good.
    assert np.median(home) > 1.25 * np.median(on)


def test_on_the_ways_from_there_she_meets_the_wind_that_she_would_have_met() -> None:
    """In a steady climate the luck after the strike is the whole passage's own, hour by hour."""
    strike, luck = strike_at(WHOLE, 48), Luck(1, MEMBERS)
    lane = lane_from(onwards(BASE, strike), BASE.vessel, WHOLE, strike, later(luck, strike))
    for hour in (0, 1, 30):
        assert np.array_equal(luck.hour(48 + hour).fast, lane.luck.hour(hour).fast)


def test_no_spell_of_lying_still_is_the_very_same_crossings() -> None:
    assert WHOLE is held(WHOLE, 40, 0)


def test_a_spell_of_lying_still_delays_every_landfall_by_its_length_and_nothing_else() -> None:
    longer = held(WHOLE, 40, 120)
    assert np.array_equal(WHOLE.arrival_h + 120.0, longer.arrival_h)
    assert np.array_equal(WHOLE.distance_nm[:, :40], longer.distance_nm[:, :40])
    assert np.array_equal(WHOLE.distance_nm[:, 40:], longer.distance_nm[:, 160:])
    assert 0.0 == longer.speed_kn[:, 40:160].max()
    assert days_of(longer.hours) == len(longer.air_by_day_c)


def test_a_boat_that_is_in_does_not_wait() -> None:
    hour = int(WHOLE.arrival_h.min()) + 1
    longer = held(WHOLE, hour, 24)
    ashore = WHOLE.arrival_h <= hour
    assert ashore.any()
    assert np.array_equal(WHOLE.arrival_h[ashore], longer.arrival_h[ashore])


def test_hours_under_engine_are_not_given_twice() -> None:
    motoring = vessel(motoring=True, motor_hours=30.0, engine_below_kn=6.0, engine_after_h=0.0)
    there = replace(BASE, vessel=motoring)
    crossings = sailed(there)
    left = fuel_left(motoring, crossings, strike_at(crossings, 20))
    assert 30.0 - 20.0 == pytest.approx(left.motor_hours, abs=1.0)  # the first hour finds the engine cold
    assert motoring is fuel_left(motoring, crossings, AT_DEPARTURE)
