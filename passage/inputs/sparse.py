"""Mending a monthly wind climatology where few ships have reported: cells dropped, smoothed and filled.

Arrays are (12, ny, nx), January first, longitudes an even ring; speeds in knots; NaN where there is no value.
The limits were set on the shipped climatology (its SOURCES.md): they are choices with reasons, not laws.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from passage.inputs.rice import rice_mean, sigma_from_means

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

STEADIEST = 0.985  # vector mean / mean speed; more, month in month out, is one ship's report and no climate
SLOWEST_KN, FASTEST_KN = 3.0, 30.0
ENOUGH = 300  # reports: the cell speaks for itself
DOUBTED = 120  # reports: below, the cell must agree with its neighbours
FEW = 30
HARDLY_ANY = 15  # reports: below, the adjacent months help
NEAR_KM, WIDE_KM = 150.0, 250.0  # smoothing lengths with some and with few reports
LAST_KM = 500.0  # where ships report in some months and not in others, for the others
REACH = 2.0  # smoothing lengths: a neighbour beyond weighs under a seventh, and is left out
EARTH_KM = 6371.0


class Mended(NamedTuple):
    """Vector mean and mean speed in knots, where they rest on few reports of their own, what was dropped.

    All (12, ny, nx).
    """

    east_kn: Floats
    north_kn: Floats
    speed_kn: Floats
    few_reports: Flags
    dropped: Flags


def mend_wind(east_kn: Floats, north_kn: Floats, speed_kn: Floats, reports: Floats, lat_deg: Floats) -> Mended:
    """Drop cells that cannot be right, smooth the thinly reported, fill the empty as far as neighbours reach.

    Smoothed are the components and sigma squared, never the mean speed: averaging speeds of unlike winds and
    then inverting the Rice mean would count the difference of their means as spread. The mean speed is
    rebuilt from them.
    """
    known = np.isfinite(east_kn + north_kn + speed_kn)
    variance = sigma_from_means(np.hypot(east_kn, north_kn), speed_kn) ** 2
    kept = known & ~implausible(east_kn, north_kn, speed_kn)
    kept &= ~disagrees(east_kn, north_kn, variance, np.where(kept, reports, 0.0))
    own = np.where(kept, reports, 0.0)
    east, north, spread = (smooth(field, own, lat_deg) for field in (east_kn, north_kn, variance))
    rebuilt = rice_mean(np.hypot(east, north), np.sqrt(spread))
    speed = np.where(own >= ENOUGH, speed_kn, rebuilt)
    return Mended(east, north, speed, np.isfinite(east) & (own < FEW), known & ~kept)


def implausible(east_kn: Floats, north_kn: Floats, speed_kn: Floats) -> Flags:
    """Steadier than wind is, calmer than any sea's month or windier."""
    unsteady = np.hypot(east_kn, north_kn) <= STEADIEST * speed_kn
    return np.asarray(~(unsteady & (speed_kn >= SLOWEST_KN) & (speed_kn <= FASTEST_KN)))


def disagrees(east_kn: Floats, north_kn: Floats, variance: Floats, reports: Floats) -> Flags:
    """Cells with few reports whose vector stands off the report-weighted mean of their eight neighbours.

    Cells without reports take no part. The allowance is five times the spread of such a difference: 2.7 for
    reports that come in clusters, 0.006 for the gradient of the true wind; sigma is the neighbours', for a
    cell of a few odd reports misjudges its own. A cell with no neighbour cannot be judged and stays.
    """
    around = _around(reports)
    some = np.where(around > 0, around, np.nan)
    east, north, sigma_square = (
        _around(np.where(reports > 0, field, 0.0) * reports) / some for field in (east_kn, north_kn, variance)
    )
    own = np.where(reports > 0, reports, np.nan)
    allowed = 5 * np.sqrt(sigma_square * (2.7 * (1 / own + 1 / some) + 0.006))
    apart = np.hypot(east_kn - east, north_kn - north)
    return np.asarray((own < DOUBTED) & (apart > np.maximum(4.0, allowed)))


def _around(values: Floats) -> Floats:
    """Sum over the eight neighbours; the ring of longitudes closes, the poles do not."""
    framed = np.pad(values, ((0, 0), (1, 1), (0, 0)))
    column = framed[:, :-2] + framed[:, 1:-1] + framed[:, 2:]
    return np.asarray(column + np.roll(column, 1, axis=2) + np.roll(column, -1, axis=2) - values)


def smooth(field: Floats, reports: Floats, lat_deg: Floats) -> Floats:
    """Report-weighted Gaussian mean, the wider the fewer the reports; untouched where there are enough.

    A cell without reports (0) is filled from others within REACH * WIDE_KM in its own and the adjacent months. Where
    that serves some months of a cell and not all (winters of the Southern Ocean), LAST_KM takes the place of WIDE_KM.
    NaN where nothing is left.
    """
    weights = np.where(np.isfinite(field), reports, 0.0)
    weighted = np.where(weights > 0, field, 0.0) * weights
    near, near_weight = (_gathered(values, lat_deg, NEAR_KM) for values in (weighted, weights))
    wide, wide_weight = (_gathered(values, lat_deg, WIDE_KM) for values in (weighted, weights))
    bands = [weights >= ENOUGH, weights >= FEW, weights >= HARDLY_ANY]
    total = np.select(bands, [weighted, near, wide], _three_months(wide))
    weight = np.select(bands, [weights, near_weight, wide_weight], _three_months(wide_weight))
    gap = (weight == 0) & (weight > 0).any(axis=0)
    last, last_weight = (_three_months(_gathered(values, lat_deg, LAST_KM)) for values in (weighted, weights))
    total, weight = np.where(gap, last, total), np.where(gap, last_weight, weight)
    mean = total / np.where(weight > 0, weight, np.nan)
    return np.asarray(np.where(weights >= ENOUGH, field, mean))


def _three_months(values: Floats) -> Floats:
    return np.asarray(np.roll(values, 1, axis=0) + values + np.roll(values, -1, axis=0))


def _gathered(values: Floats, lat_deg: Floats, length_km: float) -> Floats:
    """Sum of the values around each cell, weighted with exp(-d^2 / 2 length^2) of the distance d."""
    columns = np.arange(values.shape[-1])
    apart = (columns[:, None] - columns) % len(columns)
    gathered = np.zeros_like(values)
    for row, lat in enumerate(lat_deg):
        for other in np.flatnonzero(np.radians(np.abs(lat_deg - lat)) * EARTH_KM <= REACH * length_km):
            distance = _distance_km(lat, lat_deg[other], columns * 360 / len(columns))
            weight = np.where(distance <= REACH * length_km, np.exp(-0.5 * (distance / length_km) ** 2), 0.0)
            gathered[:, row] += values[:, other] @ weight[apart]
    return gathered


def _distance_km(lat: float, other_lat: float, lon_apart_deg: Floats) -> Floats:
    """Great-circle distance on a sphere, by haversines."""
    lat1, lat2 = np.radians(lat), np.radians(other_lat)
    half = np.sin((lat2 - lat1) / 2) ** 2
    half = half + np.cos(lat1) * np.cos(lat2) * np.sin(np.radians(lon_apart_deg) / 2) ** 2
    return np.asarray(2 * EARTH_KM * np.arcsin(np.sqrt(np.minimum(half, 1.0))))
