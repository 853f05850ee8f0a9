"""How little one reading of the wind tells of the day around it.

The wind is the sum of a monthly mean and of a deviation that lasts (``crossings.wind``), and so a reading pulls the
hours about it towards itself, the less the farther off they are, and the rest of the way they lie where the month has
them. With the deviation's two parts normal and their autocorrelations known, the wind of every hour given the
readings is normal too, with mean and covariance in closed form (conditioning of a Gaussian process; Rasmussen and
Williams 2006, *Gaussian Processes for Machine Learning*, equations 2.23 and 2.24, from memory). This is what turns a
regression on a badly known wind into one whose error is the day's own and not the reading's (R. J. Carroll and
others, *Measurement Error in Nonlinear Models*, regression calibration, from memory).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.wind import FAST_EFOLDING_H, SLOW_EFOLDING_H

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.crossings.speed import SpeedTable

    Floats = NDArray[np.float64]

READING_SD_KN = 2.0  # in each part of the wind, of one reading aboard: our choice, no source
STEP_H = 3.0
PATHS = 256  # the day's wind as so many ways as it may have gone
_LEAST_KN2 = 1e-6


class Reading(NamedTuple):
    """The wind as noted: hours after the day began, and its parts towards east and north, kn."""

    hour: float
    east_kn: float
    north_kn: float


class Usual(NamedTuple):
    """The wind of the month at the place: its mean's parts, the spread of each, and the share of that which is slow."""

    east_kn: float
    north_kn: float
    sigma_kn: float
    slow_share: float


class Promise(NamedTuple):
    """Mean speed of the day (kn) at a performance of one, as expected from the readings, and its standard deviation."""

    mean_kn: float
    sd_kn: float


def covariance_kn2(first_h: Floats, second_h: Floats, usual: Usual) -> Floats:
    """Of one part of the wind between hours, (first, second)."""
    apart = np.abs(first_h[:, None] - second_h)
    fast, slow = np.exp(-apart / FAST_EFOLDING_H), np.exp(-apart / SLOW_EFOLDING_H)
    return np.asarray(usual.sigma_kn**2 * ((1.0 - usual.slow_share) * fast + usual.slow_share * slow))


def given(readings: Sequence[Reading], hours: Floats, usual: Usual) -> tuple[Floats, Floats]:
    """Wind at the hours given the readings: its mean, (2, hours) towards east and north, and the covariance that each
    part has, (hours, hours).
    """
    usual_kn = np.array([[usual.east_kn], [usual.north_kn]])
    if not readings:
        return np.broadcast_to(usual_kn, (2, len(hours))).copy(), covariance_kn2(hours, hours, usual)
    noted_h = np.array([each.hour for each in readings])
    noted_kn = np.array([[each.east_kn for each in readings], [each.north_kn for each in readings]])
    read = covariance_kn2(noted_h, noted_h, usual) + READING_SD_KN**2 * np.eye(len(readings))
    pull = np.linalg.solve(read, covariance_kn2(noted_h, hours, usual))  # (readings, hours)
    left = covariance_kn2(hours, hours, usual) - covariance_kn2(hours, noted_h, usual) @ pull
    return usual_kn + (noted_kn - usual_kn) @ pull, left


def promised(readings: Sequence[Reading], day_h: float, usual: Usual, course_deg: float, speeds: SpeedTable) -> Promise:
    """What she should make good on a course over a day of so many hours, at a performance of one.

    The same paths of chance every time: equal logs teach equal things.
    """
    hours = np.linspace(0.0, day_h, max(int(np.ceil(day_h / STEP_H)), 1) + 1)
    mean, left = given(readings, hours, usual)
    root = np.linalg.cholesky(left + _LEAST_KN2 * np.eye(len(hours)))
    drawn = np.random.default_rng(0).standard_normal((PATHS, 2, len(hours)))
    both_ways = np.concatenate([drawn, -drawn]) @ root.T + mean  # mirrored, so that their mean is the mean
    east, north = both_ways[:, 0], both_ways[:, 1]
    sine, cosine = np.sin(np.radians(course_deg)), np.cos(np.radians(course_deg))
    tail, cross = east * sine + north * cosine, east * cosine - north * sine
    day_kn = speeds.along(tail.astype(np.float32), cross.astype(np.float32)).astype(float).mean(axis=1)
    return Promise(float(day_kn.mean()), float(day_kn.std()))
