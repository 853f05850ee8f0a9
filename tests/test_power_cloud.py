"""Cloud that lasts, keeps the climatology, and takes from the sun what two published formulas say."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import beta

from passage.consequences.power.cloud import (
    covered_loss,
    covered_share,
    deviates,
    transmittance_high,
    transmittance_low,
)
from passage.crossings.wind import Luck

MEANS = (0.05, 0.3, 0.5, 0.62, 0.9)
RANKS = (np.arange(20_000) + 0.5) / 20_000


def normal(ranks: np.ndarray) -> np.ndarray:
    from scipy.special import ndtri

    return ndtri(ranks).astype(np.float32)


def cloud_of(mean: float) -> np.ndarray:
    """Cloud at evenly spread ranks of luck."""
    return covered_share(np.full(RANKS.shape, mean, dtype=np.float32), normal(RANKS)).astype(float)


@pytest.mark.parametrize("mean", MEANS)
def test_cloud_keeps_its_mean_and_has_the_second_moment_of_the_beta(mean: float) -> None:
    # D: beta(m, 1 - m) has E[c^2] = m (1 + m) / 2. Tolerance: the table's steps.
    cloud = cloud_of(mean)
    assert mean == pytest.approx(cloud.mean(), abs=0.003)
    assert mean * (1.0 + mean) / 2.0 == pytest.approx((cloud**2).mean(), abs=0.004)


@pytest.mark.parametrize("mean", MEANS)
def test_its_distribution_is_scipys(mean: float) -> None:
    # T: scipy.stats.beta. In the middle a step of the table's deviate is 0.02 x 0.4 of rank, there 0.02 of cloud.
    assert beta.ppf(RANKS, mean, 1.0 - mean) == pytest.approx(cloud_of(mean), abs=0.03)


def test_skies_are_mostly_clear_or_mostly_covered() -> None:
    cloud = cloud_of(0.5)
    shares = [((cloud >= low) & (cloud < low + 0.2)).mean() for low in (0.0, 0.4, 0.8)]
    assert shares[0] > 2.0 * shares[1] < shares[2]


def test_always_clear_and_always_covered_stay_so() -> None:
    luck = np.linspace(-5.0, 5.0, 11, dtype=np.float32)
    assert [0.0, 1.0] == [float(covered_share(np.full(11, m, np.float32), luck).mean()) for m in (0.0, 1.0)]


def test_luck_is_standard_and_lasts_for_days() -> None:
    luck = deviates(3, 600, 24 * 20)
    assert [0.0, 1.0] == pytest.approx([luck.mean(), luck.std()], abs=0.04)
    noons = luck[12::24]
    one, five = (np.corrcoef(noons[:-lag].ravel(), noons[lag:].ravel())[0, 1] for lag in (1, 5))
    # D: 0.05 + 0.55 exp(-24/36) + 0.40 exp(-24/4) and the same for 120 h, sampled in 600 members.
    assert [0.333, 0.070] == pytest.approx([one, five], abs=0.03)
    # D: half the square of what four hours change: 1 - 0.05 - 0.55 exp(-4/36) - 0.40 exp(-1); some 36,000 samples.
    assert 0.311 == pytest.approx(float(((luck[4:] - luck[:-4]) ** 2).mean()) / 2.0, rel=0.02)


def test_daily_daylight_cloud_is_as_alike_from_day_to_day_as_sunshine_is() -> None:
    # Graham, Hollands and Huget 1988: 0.29 for stations on land (M); seas are steadier, so 0.29 to 0.55 is accepted.
    luck = deviates(5, 500, 24 * 20)
    cloud = covered_share(np.full(luck.shape, 0.6, np.float32), luck).reshape(20, 24, 500)[:, 6:18].mean(axis=1)
    alike = np.corrcoef(cloud[:-1].ravel(), cloud[1:].ravel())[0, 1]
    assert 0.29 <= alike <= 0.55


def test_more_members_or_hours_never_alter_earlier_ones() -> None:
    whole = deviates(7, 12, 96)
    assert np.array_equal(whole[:, :5], deviates(7, 5, 96))
    assert np.array_equal(whole[:30], deviates(7, 12, 30))


def test_cloud_draws_are_not_the_winds() -> None:
    apart = np.corrcoef(Luck(1, 2000).performance_z, deviates(1, 2000, 1)[0])[0, 1]
    assert 0.07 > abs(apart)  # three sigma of 2000 pairs


def test_the_formulas_give_what_their_authors_print() -> None:
    # Reed 1977 (R2), covered sky and the sun 60 degrees up at noon; Berliand at the equator (M), half and all covered.
    assert 0.494 == pytest.approx(float(transmittance_high(1.0, 60.0)))
    assert [0.715, 0.24] == pytest.approx(transmittance_low([0.5, 1.0], 0.0).tolist())


def test_the_little_sun_of_every_latitude_is_berliands() -> None:
    """Budyko's table of a by latitude, by fifth degrees from the equator (M), 0.38 everywhere, on either side."""
    table = "0.38 0.40 0.40 0.39 0.37 0.35 0.36 0.38 0.38 0.38 0.40 0.41 0.36 0.25 0.18 0.16 0.15 0.14"
    for lat_deg, a in zip(range(0, 90, 5), map(float, table.split()), strict=True):
        for half, share in ((0.5, 1.0 - a / 2.0 - 0.38 / 4.0), (1.0, 1.0 - a - 0.38)):
            for side in (lat_deg, -lat_deg):
                assert share == pytest.approx(float(transmittance_low(half, side)), abs=1e-9)


def test_reed_never_exceeds_the_clear_sky() -> None:
    assert 1.0 == transmittance_high(0.1, 85.0)


@pytest.mark.parametrize("mean", MEANS)
def test_a_long_record_gives_what_the_monthly_formula_says(mean: float) -> None:
    cloud, asked = cloud_of(mean), np.array([0.9, 0.8])[None, :] ** (mean + 1.0)
    loss = covered_loss(asked, np.full((1, 2), mean))
    reachable = np.maximum(asked, 1.0 - mean * (1.0 + mean) / 2.0)  # a covered hour cannot lose more than all
    # Tolerance: the table's steps, which matter most where cloud is rare.
    assert reachable[0] == pytest.approx((1.0 - loss * cloud[:, None] ** 2).mean(axis=0), abs=0.004)


def test_a_covered_hour_keeps_as_much_as_hourly_formulas_say() -> None:
    # Kasten and Czeplak 1980: 0.25 under a covered sky (M); Berliand's monthly mean in low latitudes implies 0.24.
    for mean in (0.4, 0.6, 0.8):
        cloud = np.array([mean])
        assert 0.25 == pytest.approx(1.0 - float(covered_loss(transmittance_low(cloud, 0.0), cloud)[0]), abs=0.02)
