"""The crossings. Expected values are closed forms of invented steady winds (D) and properties."""

from __future__ import annotations

import tracemalloc
from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np
import pytest
from scipy.stats import binom

from passage.crossings.ensemble import (
    ARRIVED,
    AT_ANCHOR,
    HOVE_TO,
    MOTORING,
    RUNNING_OFF,
    SAILING,
    STANDING_OFF,
    passage_time_h,
    sampling_range_h,
    to_dataset,
    validated,
)
from passage.crossings.helm import Vessel
from passage.crossings.lanes import lane_of
from passage.crossings.simulate import sail, sail_lanes
from passage.crossings.speed import speed_table
from passage.crossings.wind import Luck
from passage.inputs.current import TrackCurrent
from passage.inputs.polar import PolarTable
from passage.sailings.track import Leg, Stop, lay_track
from tests.crossing_cases import DEPART, helm, laid, north_track, steady, vessel
from tests.plain_reckoning import Draws, reckon

if TYPE_CHECKING:
    from passage.inputs.climate import TrackClimate
    from passage.sailings.track import Track


def test_a_steady_fair_wind_gives_distance_over_speed() -> None:
    track = north_track()
    crossings = sail(laid(track, steady(track, 0.0, 15.0), vessel()), DEPART, Luck(1, 3))
    assert track.length_nm / 5.0 == pytest.approx(crossings.arrival_h, rel=1e-5)


def test_a_steady_head_wind_is_tacked_against() -> None:
    """5 kn at 45 degrees made good to windward, less 3 per cent for tacking: D."""
    track = north_track()
    crossings = sail(laid(track, steady(track, 0.0, -15.0), vessel()), DEPART, Luck(1, 3))
    assert track.length_nm / (5.0 * np.sqrt(0.5) * 0.97) == pytest.approx(crossings.arrival_h, rel=1e-4)


def test_no_wind_ends_and_counts_as_never_arriving() -> None:
    track = north_track(60.0)
    crossings = sail(laid(track, steady(track, 0.0, 0.0), vessel()), DEPART, Luck(1, 3))
    assert np.isinf(crossings.arrival_h).all()
    assert np.inf == passage_time_h(crossings.arrival_h, 0.5)


def test_more_members_never_change_earlier_ones() -> None:
    track = north_track()
    climate = steady(track, 3.0, 12.0, 6.0)
    few = sail(laid(track, climate, vessel(performance_sd_share=0.08)), DEPART, Luck(5, 7))
    many = sail(laid(track, climate, vessel(performance_sd_share=0.08)), DEPART, Luck(5, 3000))
    hours = few.hours
    assert np.array_equal(few.arrival_h, many.arrival_h[:7])
    assert np.array_equal(few.distance_nm, many.distance_nm[:7, :hours])
    assert np.array_equal(few.wind_east_kn, many.wind_east_kn[:7, :hours])


def test_the_same_seed_gives_the_same_crossings_and_another_does_not() -> None:
    track = north_track()
    climate = steady(track, 3.0, 12.0, 6.0)
    first, again, other = (sail(laid(track, climate, vessel()), DEPART, Luck(seed, 20)) for seed in (5, 5, 6))
    assert np.array_equal(first.arrival_h, again.arrival_h)
    assert not np.array_equal(first.arrival_h, other.arrival_h)


def test_sampled_wind_returns_mean_and_spread() -> None:
    """Four standard errors; the deviations of 400 members on day 2 are independent of one another."""
    track = north_track(1200.0)
    crossings = sail(laid(track, steady(track, -4.0, 9.0, 6.0), vessel()), DEPART, Luck(2, 400))
    east, north = crossings.wind_east_kn[:, 48], crossings.wind_north_kn[:, 48]
    assert -4.0 == pytest.approx(east.mean(), abs=4 * 6.0 / np.sqrt(400))
    assert 9.0 == pytest.approx(north.mean(), abs=4 * 6.0 / np.sqrt(400))
    assert 6.0 == pytest.approx(np.hypot(east.std(), north.std()) / np.sqrt(2), rel=4 / np.sqrt(2 * 2 * 400))


def test_distance_never_exceeds_the_track_and_states_end_in_port() -> None:
    track = north_track()
    crossings = sail(
        laid(track, steady(track, 3.0, 8.0, 8.0), vessel(motor_hours=40.0, motoring=True)), DEPART, Luck(4, 200)
    )
    assert crossings.distance_nm.max() <= np.float32(track.length_nm)
    after = np.arange(crossings.hours)[None, :] >= crossings.arrival_h[:, None]
    assert (crossings.state[after] == ARRIVED).all()
    assert (crossings.state[~after] != ARRIVED).all()
    assert {SAILING, MOTORING} <= set(np.unique(crossings.state))


def test_the_engine_never_runs_longer_than_its_allowance() -> None:
    track = north_track()
    crossings = sail(
        laid(track, steady(track, 0.0, 1.0, 3.0), vessel(motor_hours=10.0, motoring=True)), DEPART, Luck(4, 50)
    )
    assert 10.0 == crossings.motoring_h.max()


def test_a_boat_that_would_arrive_in_the_dark_stands_off_until_daylight() -> None:
    track = north_track(60.0)  # twelve hours from 08 UTC: dark at 10 W on 1 February
    plain = sail(laid(track, steady(track, 0.0, 15.0), vessel()), DEPART, Luck(1, 2))
    waiting = sail(laid(track, steady(track, 0.0, 15.0), vessel(stand_off=True)), DEPART, Luck(1, 2))
    assert 12.0 == pytest.approx(plain.arrival_h, abs=0.1)
    assert 22.0 == pytest.approx(waiting.arrival_h)  # sunrise is at 06:24 UTC
    assert (waiting.state == STANDING_OFF).any()


def test_polar_night_does_not_hold_her_for_ever() -> None:
    track = lay_track([Leg(78.0, 10.0, 79.0, 10.0)])
    crossings = sail(laid(track, steady(track, 0.0, 15.0), vessel(stand_off=True)), DEPART.replace(month=1), Luck(1, 2))
    assert (crossings.arrival_h < 48.0).all()


def test_quantiles_count_boats_that_never_arrive_as_infinitely_late() -> None:
    arrival = np.array([100.0] * 18 + [np.inf] * 2)
    assert 100.0 == passage_time_h(arrival, 0.9)
    assert np.inf == passage_time_h(arrival, 0.95)


def test_a_quantile_is_the_time_that_one_in_twenty_exceeds() -> None:
    arrival = np.arange(1.0, 1001.0)
    assert 950.0 == passage_time_h(arrival, 0.95)
    assert 50 == (arrival > passage_time_h(arrival, 0.95)).sum()


def test_the_dataset_follows_its_schema() -> None:
    track = north_track(60.0)
    dataset = to_dataset(sail(laid(track, steady(track, 0.0, 15.0), vessel()), DEPART, Luck(1, 2)))
    assert ("member", "hour") == dataset["distance_nm"].dims
    assert -20.0 == pytest.approx(float(dataset["lat_deg"][0, 0]))
    with pytest.raises(ValueError, match="wind_east_kn"):
        validated(dataset.drop_vars("wind_east_kn"))
    with pytest.raises(ValueError, match="'kt'"):
        dataset["speed_kn"].attrs["units"] = "m s-1"
        validated(dataset)


@pytest.mark.parametrize("lag_h", [24, 48, 120])
def test_the_sampled_wind_keeps_the_persistence_it_was_given(lag_h: int) -> None:
    """Autocorrelation of the standardised deviation of the wind met under way: 0.88 exp(-lag / 36 h) + 0.12 exp(-lag /
    120 days) within 20 degrees of the equator (D); both parts of 1500 members, four standard errors."""
    track = lay_track([Leg(-19.0, -10.0, 0.0, -10.0)])
    sailed = sail(laid(track, steady(track, -4.0, 9.0, 6.0), vessel()), DEPART, Luck(2, 1500))
    deviation = np.stack(((sailed.wind_east_kn + 4.0) / 6.0, (sailed.wind_north_kn - 9.0) / 6.0))
    start, later = deviation[:, :, 20].ravel(), deviation[:, :, 20 + lag_h].ravel()
    expected = 0.88 * np.exp(-lag_h / 36.0) + 0.12 * np.exp(-lag_h / 2880.0)
    assert expected == pytest.approx(np.mean(start * later), abs=4 * np.sqrt((1 + expected**2) / 3000))


def test_memory_stays_within_a_hundred_bytes_for_an_hour_of_a_member() -> None:
    """10,000 crossings of 40 days in less than 1.5 GB are 156 bytes for an hour of a member."""
    track = north_track(1200.0)
    climate = steady(track, 3.0, 8.0, 6.0)
    tracemalloc.start()
    sailed = sail(laid(track, climate, vessel()), DEPART, Luck(5, 5000))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak / (sailed.members * sailed.hours) < 100.0


# ---------------------------------------------------------------- how far so few crossings can be out


def test_the_median_of_ten_lies_between_the_second_and_the_ninth() -> None:
    """The textbook's interval for the median of ten, 97.9 per cent (M; D: 1 - 22/1024)."""
    assert (2.0, 9.0) == sampling_range_h(np.arange(1.0, 11.0), 0.5)


def test_the_slow_end_of_a_thousand_lies_between_these_two() -> None:
    """T: scipy.stats.binom; ranks of the 95th per cent of 1,000, about 950 +- 1.96 sqrt(47.5)."""
    low, high = sampling_range_h(np.arange(1.0, 1001.0), 0.95)
    assert binom.cdf(low - 1, 1000, 0.95) <= 0.025 < binom.cdf(low, 1000, 0.95)
    assert binom.cdf(high - 2, 1000, 0.95) < 0.975 <= binom.cdf(high - 1, 1000, 0.95)
    assert (936.0, 963.0) == pytest.approx((low, high), abs=2.0)


def test_the_range_holds_the_truth_as_often_as_it_says() -> None:
    """Invented exponential times, 95th per cent at -ln 0.05: 19 in 20 of 1,000 samples, to four standard errors."""
    rng = np.random.default_rng(4)
    ranges = [sampling_range_h(rng.exponential(size=400), 0.95) for _ in range(1000)]
    held = np.mean([low <= -np.log(0.05) <= high for low, high in ranges])
    assert 0.95 - 0.028 < held < 0.95 + 0.028


def test_too_few_crossings_leave_the_slow_end_open() -> None:
    """T: of twenty the chance of 16 or fewer is 0.016, of 17 or fewer 0.075; none is late enough to bound it."""
    assert (17.0, np.inf) == sampling_range_h(np.arange(1.0, 21.0), 0.95)
    assert np.inf == sampling_range_h(np.full(200, np.inf), 0.95)[0]


# ---------------------------------------------------------------- beside a reckoning in plain numbers

ANGLES_DEG = np.array([42.0, 60.0, 90.0, 120.0, 150.0, 175.0])
OWN_POLAR = PolarTable(  # invented, of the usual shape
    wind_speed_kn=np.array([6.0, 12.0, 20.0, 30.0]),
    wind_angle_deg=ANGLES_DEG,
    boat_speed_kn=np.array(
        [
            [3.1, 3.9, 4.3, 4.1, 3.0, 2.6],
            [4.9, 5.6, 6.1, 5.9, 5.0, 4.5],
            [5.5, 6.2, 6.7, 6.8, 6.3, 5.9],
            [5.6, 6.3, 6.9, 7.1, 6.9, 6.6],
        ]
    ),
)
LEFT = datetime(2027, 1, 10, 5, tzinfo=UTC)  # the middle of the month falls into the passage


def windy() -> tuple[Track, TrackClimate]:
    """North-westward over the line of 20 degrees, in winds that turn, freshen and grow more unsteady along the way and
    from month to month: no two nodes and no two months have the same."""
    track = lay_track([Leg(-31.0, 14.0, -17.0, 2.0), Leg(-17.0, 2.0, -9.0, 3.0)])
    way, month = np.linspace(0.0, 1.0, track.nodes), np.arange(12.0)[:, None]
    east = 14.0 * np.cos(5.0 * way + 0.9 * month) + 3.0 * np.sin(40.0 * way)
    north = 11.0 * np.sin(3.0 * way - 1.3 * month) + 4.0 * way
    climate = steady(track, 0.0, 0.0)
    return track, replace(climate, wind_east_kn=east, wind_north_kn=north, sigma_kn=3.0 + 4.0 * way + 0.3 * month)


def draws_of(luck: Luck, member: int, performance: float, hours: int) -> Draws:
    fast, slow = (
        [tuple(getattr(luck.hour(hour), name)[:, member]) for hour in range(hours)] for name in Draws._fields[:2]
    )
    return Draws(fast, slow, performance)


@pytest.mark.parametrize("moving", [False, True])
def test_every_hour_is_as_reckoned_by_hand_in_winds_that_vary_from_place_to_place_and_month_to_month(
    moving: bool,
) -> None:
    """The wind she meets to a thousandth of a knot as long as both stand at the same node; miles run to 1 per cent and
    two miles, landfall to 1 per cent: the table of speeds is read at the nearest quarter knot."""
    track, climate = windy()
    rules = helm(night_speed_share=0.8, performance_sd_share=0.08, gust_limit_kn=25.0, gust_resume_kn=20.0)
    boat = Vessel(speed_table(OWN_POLAR, 0.03), rules)
    way, month = np.linspace(0.0, 1.0, track.nodes), np.arange(12.0)[:, None]
    current = TrackCurrent(0.7 * np.cos(4.0 * way + month), 0.5 * np.sin(6.0 * way - month), "invented")
    ground, luck = laid(track, climate, boat, current if moving else None), Luck(11, 60)
    crossings = sail(ground, LEFT, luck)
    states = {SAILING: "sailing", HOVE_TO: "hove to", RUNNING_OFF: "running off"}
    met = set()
    for member in (0, 17, 59):
        draws = draws_of(luck, member, float(crossings.performance[member]), crossings.hours + 48)
        found = reckon(ground, OWN_POLAR, 0.03, LEFT, draws)
        hours = min(len(found.distance_nm), int(crossings.arrival_h[member]))
        miles = crossings.distance_nm[member, :hours]
        assert found.arrival_h == pytest.approx(crossings.arrival_h[member], rel=0.01)
        assert found.distance_nm[:hours] == pytest.approx(miles, rel=0.01, abs=2.0)
        wind = np.stack((crossings.wind_east_kn[member, :hours], crossings.wind_north_kn[member, :hours]), axis=1)
        node = np.floor(np.array(found.distance_nm[:hours]) / track.spacing_nm + 0.5)
        same_node = node == crossings.node[member, :hours]
        assert same_node[:3].all()
        assert np.array(found.wind_kn[:hours])[same_node] == pytest.approx(wind[same_node], abs=1e-3)
        alike = [states[int(state)] for state in crossings.state[member, :hours]]
        assert np.mean([one == other for one, other in zip(alike, found.state[:hours], strict=True)]) > 0.97
        met |= set(found.state)
    assert met == set(states.values())


def with_stops(*stops: tuple[float, float]) -> Track:
    return replace(north_track(), stops=tuple(Stop(*stop) for stop in stops))


def test_a_stop_takes_its_hours_and_no_miles() -> None:
    """Steady 5 kn: the same passage, and the hours of the stop, to the hour that its beginning falls in."""
    track = with_stops((100.0, 48.0))
    plain = sail(laid(north_track(), steady(track, 0.0, 15.0), vessel()), DEPART, Luck(1, 3))
    called = sail(laid(track, steady(track, 0.0, 15.0), vessel()), DEPART, Luck(1, 3))
    assert plain.arrival_h + 48.0 == pytest.approx(called.arrival_h, abs=1.0)
    assert (48 == (called.state == AT_ANCHOR).sum(axis=1)).all()
    lying = called.state[0] == AT_ANCHOR
    assert 100.0 == pytest.approx(called.distance_nm[0][lying], abs=1e-3)
    assert 0.0 == called.wind_kn[0][lying].max()
    assert not called.under_way[0][lying].any()


def test_stops_follow_one_another_and_each_boat_comes_in_her_own_time() -> None:
    track = with_stops((50.0, 24.0), (150.0, 12.0))
    crossings = sail(laid(track, steady(track, 0.0, 12.0, 4.0), vessel()), DEPART, Luck(2, 60))
    assert (36 == (crossings.state == AT_ANCHOR).sum(axis=1)).all()
    begins = (crossings.state == AT_ANCHOR).argmax(axis=1)
    assert len(set(begins.tolist())) > 1
    assert (np.diff(crossings.distance_nm, axis=1) >= -1e-4).all()


def test_a_stop_leaves_the_engines_hours_alone() -> None:
    """In a calm with an allowance of 100 hours: none of them is used at anchor."""
    track = with_stops((100.0, 60.0))
    crossings = sail(laid(track, steady(track, 0.0, 0.0), vessel(motoring=True, motor_hours=100.0)), DEPART, Luck(1, 2))
    motored = (crossings.state == MOTORING).sum(axis=1)
    assert (motored >= 99).all()
    assert (motored <= 100).all()


def test_a_track_with_a_stop_is_sailed_beside_one_without_as_if_alone() -> None:
    plain, called = north_track(), with_stops((100.0, 48.0))
    grounds = [laid(track, steady(track, 0.0, 12.0, 4.0), vessel()) for track in (plain, called)]
    lanes = [lane_of(ground, DEPART, Luck(3, 20)) for ground in grounds]
    together = sail_lanes(lanes)
    for ground, beside in zip(grounds, together, strict=True):
        assert np.array_equal(sail(ground, DEPART, Luck(3, 20)).arrival_h, beside.arrival_h)
