"""Cloud: a monthly mean turned into a sky that lasts, and what the sun loses to it.

*The sky.* At any hour the share of sky covered has the climatological mean m and the U shape that ship reports show,
mostly clear or mostly covered: a beta distribution (as Falls 1974 proposes for cloud) with parameters m and 1 - m. It
is reached through a standard normal deviate that lasts: a part for the season, one for the weather, one for passing
clouds.

*The loss.* An hourly transmittance 1 - k c^2 with k chosen so that its mean over that distribution, where the mean of
c^2 is m (1 + m) / 2, is exactly what a formula made for monthly means gives. Berliand's own quadratic *is* that mean
with k = 2 x 0.38 in low latitudes, which leaves a quarter of the sun under a covered sky, as hourly formulas do too
(Kasten and Czeplak 1980); this is why the beta parameters sum to one here. Two formulas bracket the truth:

- high: Reed (J. Phys. Oceanogr. 7, 1977), 1 - 0.62 m + 0.0019 x noon altitude (degrees), never above 1 (R2)
- low: Berliand (1960, in Budyko's Heat Balance), 1 - a m - 0.38 m^2, with a by latitude (M)

Held against the net short-wave climatology of Esbensen and Kushnir (1981) over the sea from 50S to 50N, with their own
cloud and a sea albedo of 0.06 (``benchmarks/radiation.py``; 16,223 cells times months, their mean 171.5 W/m2), the high
case is 15 W/m2 above it (rmse 20), the low case 16 below (rmse 18), the mean of both 0.6 below (rmse 8). Where cloud is
under 0.35 (232 values, mean 234) the high case is 2 above (rmse 11). That climatology is itself a formula of cloud, so
this speaks for geometry and clear sky more than for cloud.
"""

from __future__ import annotations

from functools import cache, lru_cache
from math import erf, pi, sin, sqrt
from typing import TYPE_CHECKING, Literal

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]
    Floats32 = NDArray[np.float32]

Case = Literal["high", "low"]
DRAWN_H = 480  # so many at a time
STREAM = 0xC10D  # keeps these draws apart from the wind's: the same seed sails the same crossings with or without cloud

# Shares of the deviate's variance and their e-folding times. Our choice (D): days one after the other then correlate by
# about 0.5; stations on land gave 0.3 for daily sunshine (Graham, Hollands and Huget 1988, M), oceans are steadier.
SEASON_SHARE = 0.05
WEATHER_SHARE, WEATHER_EFOLDING_H = 0.55, 36.0
PASSING_SHARE, PASSING_EFOLDING_H = 0.40, 4.0

# Berliand's a by latitude, either hemisphere, degrees.
_BERLIAND_LAT = np.arange(0.0, 90.0, 5.0)
_BERLIAND_A = np.array(
    [0.38, 0.40, 0.40, 0.39, 0.37, 0.35, 0.36, 0.38, 0.38, 0.38, 0.40, 0.41, 0.36, 0.25, 0.18, 0.16, 0.15, 0.14]
)
_MEAN_STEP, _DEVIATE_STEP, _DEVIATE_TOP = 0.01, 0.02, 4.0


def transmittance_high(cloud: ArrayLike, noon_altitude_deg: ArrayLike) -> Floats:
    """Share of the clear sky's sun in a month of mean cloud 0-1, after Reed 1977."""
    share = 1.0 - 0.62 * np.asarray(cloud, float) + 0.0019 * np.asarray(noon_altitude_deg, float)
    return np.asarray(np.clip(share, 0.0, 1.0))


def transmittance_low(cloud: ArrayLike, lat_deg: ArrayLike) -> Floats:
    """Share of the clear sky's sun in a month of mean cloud 0-1, after Berliand."""
    covered = np.asarray(cloud, float)
    share = 1.0 - np.interp(np.abs(np.asarray(lat_deg, float)), _BERLIAND_LAT, _BERLIAND_A) * covered
    return np.asarray(np.clip(share - 0.38 * covered**2, 0.0, 1.0))


def covered_loss(transmittance: Floats, cloud: Floats) -> Floats:
    """k of the hourly transmittance 1 - k c^2: what a wholly covered hour loses, 0-1."""
    mean_square = np.maximum(cloud * (1.0 + cloud) / 2.0, 1e-6)
    return np.clip((1.0 - transmittance) / mean_square, 0.0, 1.0)


def deviates(seed: int, members: int, hours: int, first: int = 0) -> Floats32:
    """Standard normal deviates that last, (hours, members), not to be written to; each member's own stream, the same
    however many hours are asked for. first: number of the first member.
    """
    return _deviates(seed, first, members, -(-hours // DRAWN_H) * DRAWN_H)[:hours]


@lru_cache(maxsize=4)  # troubles and their like meet the same skies
def _deviates(seed: int, first: int, members: int, hours: int) -> Floats32:
    seeds = [np.random.SeedSequence([seed, STREAM], spawn_key=(first + member,)) for member in range(members)]
    streams = [np.random.Generator(np.random.SFC64(each)) for each in seeds]
    begin = np.stack([stream.standard_normal(3, dtype=np.float32) for stream in streams], axis=1)
    fresh = np.empty((hours, 2, members), dtype=np.float32)
    for member, stream in enumerate(streams):
        fresh[:, :, member] = stream.standard_normal((hours, 2), dtype=np.float32)
    keep = np.exp(-1.0 / np.array([WEATHER_EFOLDING_H, PASSING_EFOLDING_H], dtype=np.float32))[:, None]
    renew = np.sqrt(1.0 - keep**2)
    season, state = np.float32(sqrt(SEASON_SHARE)) * begin[0], begin[1:]
    weight = np.sqrt(np.array([[WEATHER_SHARE], [PASSING_SHARE]], dtype=np.float32))
    lasting: Floats32 = np.empty((hours, members), dtype=np.float32)
    for hour in range(hours):
        lasting[hour] = season + (weight * state).sum(axis=0)
        state = keep * state + renew * fresh[hour]
    lasting.setflags(write=False)
    return lasting


def covered_share(mean: Floats32, deviate: Floats32) -> Floats32:
    """Share of sky covered (0-1) where its mean is ``mean`` (0-1) and luck is ``deviate``; of one shape."""
    table = _quantiles()
    row = (mean * np.float32(1.0 / _MEAN_STEP) + np.float32(0.5)).astype(np.intp)
    scaled = np.clip(deviate, -_DEVIATE_TOP, _DEVIATE_TOP) + np.float32(_DEVIATE_TOP)
    column = (scaled * np.float32(1.0 / _DEVIATE_STEP) + np.float32(0.5)).astype(np.intp)
    share: Floats32 = np.take(table.reshape(-1), row * table.shape[1] + column)
    return share


@cache
def _quantiles() -> Floats32:
    """Cloud by mean (rows, every hundredth from 0 to 1) and deviate (columns, -4 to 4)."""
    steps = round(2 * _DEVIATE_TOP / _DEVIATE_STEP)
    deviate = np.linspace(-_DEVIATE_TOP, _DEVIATE_TOP, steps + 1)
    rank = np.array([0.5 * (1.0 + erf(value / sqrt(2.0))) for value in deviate])
    means = np.linspace(0.0, 1.0, round(1.0 / _MEAN_STEP) + 1)
    inner = [_beta_quantile(mean, rank) for mean in means[1:-1]]
    return np.stack([np.zeros_like(rank), *inner, np.ones_like(rank)]).astype(np.float32)


def _beta_quantile(mean: float, rank: Floats) -> Floats:
    """Quantiles of the beta distribution with parameters ``mean`` and 1 - ``mean``, for ranks 0-1."""
    low, low_rank = _lower_half(mean)
    high, high_rank = _lower_half(1.0 - mean)  # seen from the covered end
    ranks = np.concatenate([low_rank, 1.0 - high_rank[::-1][1:]])
    return np.asarray(np.interp(rank, ranks, np.concatenate([low, 1.0 - high[::-1][1:]])))


def _lower_half(mean: float, steps: int = 400) -> tuple[Floats, Floats]:
    """Cloud from 0 to 1/2 and its rank. With x = c^mean the density has no pole: sin(pi m)/(pi m) (1 - c)^-m dx."""
    x = np.linspace(0.0, 0.5**mean, steps + 1)
    cloud = x ** (1.0 / mean)
    density = sin(pi * mean) / (pi * mean) * (1.0 - cloud) ** -mean
    return cloud, np.concatenate([[0.0], np.cumsum((density[1:] + density[:-1]) / 2.0 * np.diff(x))])
