"""What reporting adds to the wind that ships saw, and its taking out again.

A ship's report is in error, and a spread got from reports (``inputs.rice``) is the wind's and the error's together.
What the error does hangs on how the spread is got. Here it comes from two means, and so an error of the *speed* that is
as often high as low leaves both where they are, except in light airs, where nobody reports less than nothing: their
mean is read too high (Hinton and Wylie 1985, *A Correction for the Errors in Ship Reports of Light Winds*, J. Atmos.
Oceanic Technol. 2, 353-356; abstract read). An error of the *direction* shortens the vector mean and leaves the mean
speed, which looks like spread. To subtract the square of the speed's error from that of the spread instead would be
wrong: in most of the trades nothing would be left.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from passage.inputs.rice import rice_mean, sigma_from_means

Floats = NDArray[np.float64]

# Kent, Challenor and Taylor 1999, A Statistical Determination of the Random Observational Errors Present in Voluntary
# Observing Ships Meteorological Reports, J. Atmos. Oceanic Technol. 16, 905-914: 2.1 +- 0.2 m/s, 45 S to 75 N, hardly
# hanging on the speed (abstract read).
SPEED_ERROR_KN = 2.1 * 3600 / 1852
# Derived: what rounding to sixteen points of the compass does, 22.5 / sqrt(12); later reports give ten degrees, and the
# eye errs besides. No published figure was found. With ten degrees tropical places would lose 8 to 17 per cent of their
# spread, with this they lose 3 to 8 (benchmarks/ship_errors.py); moored buoys show 6, by the design.
DIRECTION_ERROR_DEG = 22.5 / 12**0.5
LEAST_LEFT = 0.75  # of the spread as reported: our floor, lest thin cells lose a spread that was never measured well
_ROUNDS = 5  # each takes up under a third of what is left; the floor is met long before
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(16)


def vector_mean_kept(error_deg: float) -> float:
    """Share of the vector mean that directions with a normal error (standard deviation, degrees) leave."""
    return float(np.exp(-0.5 * np.radians(error_deg) ** 2))


def read_too_high(nu: ArrayLike, sigma: ArrayLike, error: float) -> Floats:
    """How much too high the mean speed is read where no report can be less than nothing, all in one unit.

    E[max(s + e, 0)] - E[s] with s Rice distributed (nu, sigma) and e normal about 0; arrays broadcast, NaN stays. With
    c = error: the mean over s of c phi(s/c) - s Phi(-s/c), by Gauss and Hermite over the wind's two parts.
    """
    from scipy.special import ndtr

    nu_all, sigma_all = np.broadcast_arrays(np.asarray(nu, float), np.asarray(sigma, float))
    total, weights = np.zeros(nu_all.shape), _WEIGHTS / _WEIGHTS.sum()
    for node, weight in zip(_NODES, weights, strict=True):
        along = nu_all + sigma_all * node
        for across, share in zip(_NODES, weight * weights, strict=True):
            speed = np.hypot(along, sigma_all * across) / error
            total += share * (np.exp(-0.5 * speed * speed) / np.sqrt(2 * np.pi) - speed * ndtr(-speed))
    return np.asarray(error * total)


def without_error(vector_kn: Floats, speed_kn: Floats) -> tuple[Floats, Floats]:
    """Vector mean and mean speed (kn) as they would be without the ships' errors; arrays of one shape, NaN stays.

    The spread that the two give is at least LEAST_LEFT of what the reports gave, and no greater than that.
    """
    reported = sigma_from_means(vector_kn, speed_kn)
    vector = np.minimum(vector_kn / vector_mean_kept(DIRECTION_ERROR_DEG), speed_kn)
    sigma = reported
    for _ in range(_ROUNDS):
        sigma = sigma_from_means(vector, speed_kn - read_too_high(vector, sigma, SPEED_ERROR_KN))
        sigma = np.clip(sigma, LEAST_LEFT * reported, reported)
    return vector, rice_mean(vector, sigma)
