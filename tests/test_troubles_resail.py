"""Crossings taken up again at sea, and spells of lying still."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.crossings.ensemble import ARRIVED, Crossings
from passage.crossings.simulate import sail
from passage.crossings.wind import Luck
from passage.ground import Ground
from passage.troubles.resail import (
    AT_DEPARTURE,
    fuel_left,
    halfway,
    held,
    homewards,
    joined,
    onwards,
    sail_from,
    strike_at,
)
from tests.crossing_cases import DEPART, ROUND_POLAR, north_track, steady, vessel

if TYPE_CHECKING:
    from passage.sailings.track import Track

MEMBERS = 60


def ground(track: Track, east_kn: float = 0.0, north_kn: float = 15.0, sigma_kn: float = 5.0) -> Ground:
    return Ground((), track, steady(track, east_kn, north_kn, sigma_kn), ROUND_POLAR, vessel())


def sailed(where: Ground) -> Crossings:
    return sail(where.track, where.climate, where.vessel, DEPART, Luck(1, MEMBERS))


BASE = ground(north_track())
WHOLE = sailed(BASE)


def test_at_departure_the_rest_is_the_whole() -> None:
    assert AT_DEPARTURE == strike_at(WHOLE, 0)
    assert BASE is onwards(BASE, AT_DEPARTURE)
    again = sail_from(BASE, BASE.vessel, WHOLE, AT_DEPARTURE, Luck(1, MEMBERS))
    assert np.array_equal(WHOLE.arrival_h, again.arrival_h)
    assert again is joined(WHOLE, again, AT_DEPARTURE)


def test_halfway_is_where_the_middle_crossing_has_half_the_miles_behind_her() -> None:
    strike = halfway(WHOLE)
    assert 300.0 == pytest.approx(strike.run_nm, abs=8.0)  # an hour's run and half a node
    assert strike.run_nm == BASE.track.distance_nm[strike.node]


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
    strike = strike_at(WHOLE, halfway(WHOLE).hour)
    luck = Luck(1, MEMBERS)
    on = sail_from(onwards(BASE, strike), BASE.vessel, WHOLE, strike, luck)
    home = sail_from(homewards(BASE, strike), BASE.vessel, WHOLE, strike, luck)
    # D: 45 degrees off the wind she makes 5 cos 45 x 0.97 = 3.4 of 5 kn good.
    assert np.median(home.arrival_h) > 1.25 * np.median(on.arrival_h)


def test_she_meets_the_wind_that_she_would_have_met() -> None:
    """In a steady climate the wind after the strike is the whole passage's own, hour by hour."""
    strike = strike_at(WHOLE, 48)
    after = sail_from(onwards(BASE, strike), BASE.vessel, WHOLE, strike, Luck(1, MEMBERS))
    for hour in (0, 1, 30):
        assert np.array_equal(WHOLE.wind_east_kn[:, 48 + hour], after.wind_east_kn[:, hour])


def test_taken_up_again_with_nothing_changed_the_middle_one_arrives_when_she_did() -> None:
    strike = halfway(WHOLE)
    after = sail_from(onwards(BASE, strike), BASE.vessel, WHOLE, strike, Luck(1, MEMBERS))
    again = joined(WHOLE, after, strike)
    assert np.array_equal(WHOLE.distance_nm[:, : strike.hour], again.distance_nm[:, : strike.hour])
    assert np.median(WHOLE.arrival_h) == pytest.approx(np.median(again.arrival_h), abs=3.0)
    assert again.air_by_hour_c.shape == (again.hours, BASE.track.nodes)
    assert again.distance_nm.max() == pytest.approx(BASE.track.length_nm, rel=1e-6)


def test_who_is_in_before_the_strike_stays_in() -> None:
    early = int(np.argmin(WHOLE.arrival_h))
    hour = int(WHOLE.arrival_h[early]) + 1
    strike = strike_at(WHOLE, hour)
    after = sail_from(onwards(BASE, strike), BASE.vessel, WHOLE, strike, Luck(1, MEMBERS))
    again = joined(WHOLE, after, strike)
    assert WHOLE.arrival_h[early] == again.arrival_h[early]
    assert np.all(again.state[early, hour:] == ARRIVED)


def test_no_spell_of_lying_still_is_the_very_same_crossings() -> None:
    assert WHOLE is held(WHOLE, 40, 0)


def test_a_spell_of_lying_still_delays_every_landfall_by_its_length_and_nothing_else() -> None:
    later = held(WHOLE, 40, 120)
    assert np.array_equal(WHOLE.arrival_h + 120.0, later.arrival_h)
    assert np.array_equal(WHOLE.distance_nm[:, :40], later.distance_nm[:, :40])
    assert np.array_equal(WHOLE.distance_nm[:, 40:], later.distance_nm[:, 160:])
    assert 0.0 == later.speed_kn[:, 40:160].max()
    assert later.air_by_hour_c.shape[0] == later.hours


def test_a_boat_that_is_in_does_not_wait() -> None:
    hour = int(WHOLE.arrival_h.min()) + 1
    later = held(WHOLE, hour, 24)
    ashore = WHOLE.arrival_h <= hour
    assert ashore.any()
    assert np.array_equal(WHOLE.arrival_h[ashore], later.arrival_h[ashore])


def test_hours_under_engine_are_not_given_twice() -> None:
    motoring = vessel(motoring=True, motor_hours=30.0, engine_below_kn=6.0, engine_after_h=0.0)
    there = replace(BASE, vessel=motoring)
    crossings = sailed(there)
    left = fuel_left(motoring, crossings, strike_at(crossings, 20))
    assert 30.0 - 20.0 == pytest.approx(left.motor_hours, abs=1.0)  # the first hour finds the engine cold
    assert motoring is fuel_left(motoring, crossings, AT_DEPARTURE)
