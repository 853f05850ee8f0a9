"""Passage times and the run by day, on invented steady winds (D) and invented arrivals."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from passage.consequences.times import day_by_day, passage_times, wind_ahead_share
from passage.crossings.simulate import sail
from passage.crossings.wind import Luck
from passage.plan.sheets.times import stop_words
from passage.sailings.track import Stop
from passage.tell.blocks import bare
from tests.crossing_cases import DEPART, laid, north_track, steady, vessel


def test_hours_of_a_stop_are_told_and_count_as_neither_calm_nor_under_way() -> None:
    track = replace(north_track(600.0), stops=(Stop(100.0, 48.0),))
    crossings = sail(laid(track, steady(track, 0.0, 15.0), vessel()), DEPART, Luck(1, 20))
    times = passage_times(crossings, 0.95)
    assert (48.0, 0.0) == (times.at_anchor_h, times.calm_h)
    assert "2.0 days of stops on the way" in bare(stop_words(times))
    assert "nothing is restocked" in stop_words(times)


def test_a_steady_passage_is_as_quick_as_it_is_slow() -> None:
    track = north_track(600.0)
    times = passage_times(sail(laid(track, steady(track, 0.0, 15.0), vessel()), DEPART, Luck(1, 20)), 0.95)
    assert [track.length_nm / 5.0] * 3 == pytest.approx([times.fast_h, times.typical_h, times.slow_end_h], rel=1e-5)
    assert ("none", 0, 0.0) == (times.gale_seen, times.never_crossings, times.calm_h)


def test_the_run_by_day_ends_on_the_day_of_the_last_landfall() -> None:
    track = north_track(600.0)  # 120 hours at 5 kn, five whole days and a little: the geodesic is not quite 600 miles
    crossings = sail(laid(track, steady(track, 0.0, 15.0), vessel()), DEPART, Luck(1, 20))
    days = day_by_day(crossings)
    assert 120.0 == pytest.approx(days[0].typical_run_nm, rel=1e-5)
    assert track.length_nm == pytest.approx(days[-1].typical_run_nm)
    assert int(np.ceil(crossings.arrival_h.max() / 24.0)) == days[-1].day
    assert 100.0 == days[-1].arrived_in_100
    assert days[-1].typical_in
    assert not days[0].typical_in
    assert all(earlier.arrived_in_100 <= later.arrived_in_100 for earlier, later in itertools.pairwise(days))


def test_strong_wind_and_gales_are_counted_in_hours_and_in_words() -> None:
    track = north_track(600.0)
    strong = passage_times(sail(laid(track, steady(track, 0.0, 30.0), vessel()), DEPART, Luck(1, 20)), 0.95)
    gale = passage_times(sail(laid(track, steady(track, 0.0, 36.0), vessel()), DEPART, Luck(1, 20)), 0.95)
    assert strong.strong_h == pytest.approx(np.ceil(strong.typical_h))
    assert ("none", "some") == (strong.gale_seen, gale.gale_seen)


def test_boats_that_never_arrive_make_the_slow_end_infinite() -> None:
    track = north_track(60.0)
    crossings = sail(laid(track, steady(track, 0.0, 15.0), vessel()), DEPART, Luck(1, 20))
    late = replace(crossings, arrival_h=np.where(np.arange(20) < 2, np.inf, crossings.arrival_h))
    times = passage_times(late, 0.95)
    assert (2, np.inf) == (times.never_crossings, times.slow_end_h)
    assert np.isfinite(times.typical_h)


def test_a_wind_is_ahead_by_the_course_and_one_from_everywhere_in_a_third_of_the_hours() -> None:
    track = north_track(600.0)
    north = sail(laid(track, steady(track, 0.0, 15.0), vessel()), DEPART, Luck(1, 200))
    assert 0.0 == wind_ahead_share(north)
    southerly = replace(north, wind_north_kn=-north.wind_north_kn)
    assert 1.0 == wind_ahead_share(southerly)
    rng = np.random.default_rng(1)
    east, north_kn = (rng.normal(0.0, 10.0, north.state.shape).astype(np.float32) for _ in range(2))
    everywhere = wind_ahead_share(replace(north, wind_east_kn=east, wind_north_kn=north_kn))
    assert 1 / 3 == pytest.approx(everywhere, abs=0.03)  # D; three binomial errors of some 4,000 hours are 0.022
    calm = replace(north, wind_east_kn=0.0 * east, wind_north_kn=0.0 * east)
    assert np.isnan(wind_ahead_share(calm))
