"""Speed of a wind that scatters about its vector mean: the Rice mean and its inverse.

The wind's east and north parts are taken as independent normals of one spread sigma about the vector mean nu,
so the speed is Rice distributed, with mean  E = sigma sqrt(pi/2) L(-nu^2 / 2 sigma^2),  L the Laguerre
function of order 1/2 (S. O. Rice, Mathematical analysis of random noise, Bell System Technical Journal 24,
1945, section 3.10).
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

# Bessel's integral by midpoints on the half circle. Its aliasing error falls like exp(-64^2 / 2t) with t =
# x^2 / 4, so 32 nodes are exact to rounding up to x = FAR, where five terms of the asymptotic series take
# over.
_NODES = (np.arange(32) + 0.5) * np.pi / 32
FAR = 12.0
_SERIES = (1 / 2, 1 / 8, 3 / 16, 75 / 128, 735 / 256)  # ((-1/2)_k)^2 2^k / k!
_TABLE_ROWS = 4096


def _near(x: Floats) -> Floats:
    """Rice mean for unit spread at nu = x below FAR."""
    quarter = x * x / 4
    total = np.zeros_like(x)
    for cosine in np.cos(_NODES):
        total += np.exp(quarter * (cosine - 1)) * (1 + 2 * quarter * (1 + cosine))
    return np.asarray(np.sqrt(np.pi / 2) * total / len(_NODES))


def _excess(x: Floats) -> Floats:
    """(Rice mean - nu) / nu for unit spread at nu = x from FAR upwards."""
    inverse_square = 1 / (x * x)
    return np.asarray(np.polynomial.polynomial.polyval(inverse_square, (0.0, *_SERIES)))


def rice_mean(nu: ArrayLike, sigma: ArrayLike) -> Floats:
    """Mean speed for a vector mean nu >= 0 and a spread sigma >= 0 of each component, all in one unit.

    Arrays broadcast; NaN in, NaN out. sigma = 0 gives nu; nu = 0 gives sigma sqrt(pi/2). Relative error below
    1e-11.
    """
    nu_all, sigma_all = np.broadcast_arrays(np.asarray(nu, float), np.asarray(sigma, float))
    far = nu_all >= FAR * sigma_all
    with np.errstate(divide="ignore", invalid="ignore"):
        x = nu_all / sigma_all
    near_mean = sigma_all * _near(np.where(far, 0.0, x))
    steady = nu_all * (1 + _excess(np.where(far & np.isfinite(x), x, np.inf)))
    return np.asarray(np.where(far, steady, near_mean))


@cache
def _table() -> tuple[Floats, Floats]:
    """Steadiness nu / mean, ascending 0..1, and (sigma / mean)^2, smooth enough to be read linearly."""
    share = np.arange(_TABLE_ROWS) / _TABLE_ROWS
    nu = np.sqrt(np.pi / 2) * share / np.sqrt(1 - share**2)
    mean = rice_mean(nu, 1.0)
    return np.append(nu / mean, 1.0), np.append(1 / mean**2, 0.0)


def sigma_from_means(vector_mean: ArrayLike, scalar_mean: ArrayLike) -> Floats:
    """Spread of each wind component, from the size of the vector mean and the mean speed, all in one unit.

    Arrays broadcast; NaN in, NaN out. Where the vector mean reaches or exceeds the mean speed (rounding, few
    reports) the spread is 0, and so it is where there is no wind at all. Absolute error below 1e-7 of the
    mean speed for steadiness below 0.99.
    """
    vector, scalar = np.broadcast_arrays(np.asarray(vector_mean, float), np.asarray(scalar_mean, float))
    with np.errstate(divide="ignore", invalid="ignore"):
        steadiness = np.where((scalar <= 0) & (vector >= 0), 1.0, vector / scalar)
    return scalar * np.sqrt(np.interp(np.minimum(steadiness, 1.0), *_table()))
