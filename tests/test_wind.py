"""Persistence of the wind. Peers: the closed forms of two first-order autoregressions (D)."""

from __future__ import annotations

import numpy as np
import pytest

from passage.crossings.wind import CHUNK_H, FAST_EFOLDING_H, FLEET, SLOW_EFOLDING_H, Luck, slow_share

MEMBERS, HOURS = 1500, 480


def series(luck: Luck, hours: int = HOURS) -> np.ndarray:
    """(hours, 4, members): fast east, fast north, slow east, slow north."""
    return np.stack([np.concatenate(luck.hour(hour)) for hour in range(hours)])


@pytest.fixture(scope="module")
def rows() -> np.ndarray:
    return series(Luck(seed=7, members=MEMBERS))


def test_deviations_start_and_stay_standardised(rows: np.ndarray) -> None:
    """Mean 0 and variance 1 from the first hour; tolerance four standard errors of 1500 independent members."""
    for hour in (0, 100, HOURS - 1):
        assert 0.0 == pytest.approx(rows[hour].mean(axis=1), abs=4 / np.sqrt(MEMBERS))
        assert 1.0 == pytest.approx(rows[hour].var(axis=1), abs=4 * np.sqrt(2 / MEMBERS))


@pytest.mark.parametrize(
    ("row", "efolding_h", "lag_h"),
    [(row, FAST_EFOLDING_H, lag_h) for row in (0, 1) for lag_h in (12, 36, 120)]
    + [(row, SLOW_EFOLDING_H, lag_h) for row in (2, 3) for lag_h in (24, 120, 360)],  # renewed once a day
)
def test_deviations_last_as_long_as_they_should(rows: np.ndarray, row: int, efolding_h: float, lag_h: int) -> None:
    """Autocorrelation exp(-lag / e-folding) across members, four standard errors."""
    start, later = rows[50, row], rows[50 + lag_h, row]
    expected = np.exp(-lag_h / efolding_h)
    assert expected == pytest.approx(
        np.corrcoef(start, later)[0, 1], abs=4 * (1 - expected**2) / np.sqrt(MEMBERS) + 1e-3
    )


def test_series_are_strangers_to_one_another(rows: np.ndarray) -> None:
    correlation = np.corrcoef(rows[100]) - np.eye(4)
    assert 0.0 == pytest.approx(correlation, abs=4 / np.sqrt(MEMBERS))


@pytest.mark.parametrize("few", [8, FLEET, FLEET + 3])
def test_a_member_has_the_same_luck_however_many_sail_with_it(few: int) -> None:
    small, large = Luck(seed=3, members=few), Luck(seed=3, members=3 * FLEET)
    assert np.array_equal(small.performance_z, large.performance_z[:few])
    for hour in (0, 5, CHUNK_H + 3):
        for alone, among in zip(small.hour(hour), large.hour(hour), strict=True):
            assert np.array_equal(alone, among[:, :few])


def test_the_luck_of_a_part_is_that_of_its_members_among_all() -> None:
    late_h = np.arange(2 * FLEET + 20) % 3
    whole, who = Luck(3, 2 * FLEET + 20).delayed(late_h), slice(FLEET, 2 * FLEET + 20)
    part, some = whole.part(who), np.array([1, 30, 69])
    assert np.array_equal(whole.numbers[who], part.numbers)
    assert np.array_equal(whole.numbers[who][some], part.of(some).numbers)
    assert np.array_equal(whole.hour(9).fast[:, who][:, some], part.of(some).hour(9).fast)
    assert np.array_equal(whole.performance_z[who], part.performance_z)
    for hour in (0, CHUNK_H + 3):
        assert np.array_equal(whole.eddy(hour)[:, who], part.eddy(hour))
        for among, alone in zip(whole.hour(hour), part.hour(hour), strict=True):
            assert np.array_equal(among[:, who], alone)


def test_luck_does_not_depend_on_the_order_of_asking() -> None:
    forward, backward = Luck(seed=3, members=4), Luck(seed=3, members=4)
    last = backward.hour(2 * CHUNK_H)
    assert np.array_equal(backward.hour(1).fast, forward.hour(1).fast)
    assert np.array_equal(last.fast, forward.hour(2 * CHUNK_H).fast)


def test_other_persistence_draws_the_same_numbers() -> None:
    """The same luck: hour by hour both deviations rise and fall together."""
    usual, longer = series(Luck(3, 200), 240), series(Luck(3, 200, 2 * FAST_EFOLDING_H, 2 * SLOW_EFOLDING_H), 240)
    steps = [np.diff(rows[:, 0], axis=0).ravel() for rows in (usual, longer)]
    assert np.corrcoef(*steps)[0, 1] > 0.99
    assert 1.0 == pytest.approx(longer[-1].var(axis=1), abs=4 * np.sqrt(2 / 200))


def test_a_boat_that_leaves_later_meets_the_luck_of_her_own_hours() -> None:
    luck = Luck(seed=3, members=5)
    later = luck.delayed(np.array([0, 24, 0, 48, 24]))
    for hour in (0, 7, CHUNK_H - 10):
        for member, delay in enumerate((0, 24, 0, 48, 24)):
            assert np.array_equal(luck.hour(hour + delay).fast[:, member], later.hour(hour).fast[:, member])
            assert np.array_equal(luck.hour(hour + delay).slow[:, member], later.hour(hour).slow[:, member])
    assert np.array_equal(luck.performance_z, later.performance_z)
    for much_later in (
        later.delayed(np.full(5, 24)),
        luck.delayed(np.full(5, 24)).delayed(np.array([0, 24, 0, 48, 24])),
    ):
        assert np.array_equal(luck.hour(79).fast[:, 3], much_later.hour(7).fast[:, 3])
        assert np.array_equal(luck.hour(31).fast[:, 2], much_later.hour(7).fast[:, 2])


def test_other_seeds_have_other_luck() -> None:
    assert not np.array_equal(Luck(seed=1, members=4).hour(0).fast, Luck(seed=2, members=4).hour(0).fast)


def test_the_slow_share_goes_by_latitude_and_both_hemispheres_are_alike() -> None:
    """A pin: what was chosen from 132 months, printed by benchmarks/real_months.py; linear between."""
    lat = np.array([0.0, -10.0, 17.5, -25.0, 30.0, 55.0])
    assert [0.20, 0.15, 0.095, 0.045, 0.03, 0.07] == pytest.approx(slow_share(lat, np.full(6, -30.0)))
    assert slow_share(lat, np.full(6, 60.0)) == pytest.approx(slow_share(-lat, np.full(6, 420.0)))


def test_more_of_the_wind_lasts_in_the_eastern_pacific() -> None:
    """Off San Francisco and off Chile, not off Japan, and not where the tropics' own share is higher (a pin)."""
    there = slow_share(np.array([35.0, -30.0, 35.0, 5.0]), np.array([-130.0, 270.0, 145.0, -120.0]))
    assert [0.12, 0.12, 0.03, 0.175] == pytest.approx(there)
    either_side = slow_share(np.full(200, 35.0), np.linspace(-180.0, -60.0, 200))
    assert np.abs(np.diff(either_side)).max() < 0.01  # no edge


@pytest.mark.parametrize(("days", "slow"), [(20, 0.12), (20, 0.03), (30, 0.12)])
def test_long_means_scatter_as_the_closed_form_says(days: int, slow: float) -> None:
    """Variance of the mean of n hours of a first-order autoregression with step r (D):
    ((1 + r) / (1 - r) - 2 r (1 - r^n) / (n (1 - r)^2)) / n; four standard errors of a variance from 2 x 1500 series."""

    def variance_of_mean(steps: int, keep: float) -> float:
        return float(((1 + keep) / (1 - keep) - 2 * keep * (1 - keep**steps) / (steps * (1 - keep) ** 2)) / steps)

    rows = series(Luck(seed=11, members=MEMBERS), 24 * days)
    mean = (np.sqrt(1 - slow) * rows[:, :2] + np.sqrt(slow) * rows[:, 2:]).mean(axis=0)
    fast = variance_of_mean(24 * days, np.exp(-1 / FAST_EFOLDING_H))
    lasting = variance_of_mean(days, np.exp(-24 / SLOW_EFOLDING_H))
    expected = (1 - slow) * fast + slow * lasting
    assert expected == pytest.approx(mean.var(), rel=4 * np.sqrt(2 / (2 * MEMBERS)))
