"""The speed to be expected in the wind of a month: the mean over the whole distribution, not the speed in its mean.

At a place and month the wind is a bivariate normal about its vector mean (see ``crossings.wind``). The mean of
anything that depends on the wind along and across the course is then that thing smoothed by a normal curve in both
directions, so one table by spread and by the two parts of the mean wind answers for every place, month and course.
It is made by the product rule on half knots, a fraction of a second once for a boat.

It ranks tracks as the crossings do; times are quoted from the crossings. The engine is left out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.rose import CALM_KN, STRONG_KN
from passage.crossings.search.going import Going
from passage.inputs.climate import month_weights
from passage.inputs.monthly import around
from passage.inputs.rice import sigma_from_means

if TYPE_CHECKING:
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.crossings.helm import Vessel
    from passage.crossings.search.lines import Steps
    from passage.inputs.climate import Climate
    from passage.inputs.search import Prices

    Floats = NDArray[np.float64]
    Singles = NDArray[np.float32]

MOST_WIND_KN = 60.0
FINE_KN = 0.5  # of the quadrature
WIND_STEP_KN = 1.0  # of the table
SIGMA_STEP_KN = 0.5
MOST_SIGMA_KN = 16.0
HARD_ON_THE_WIND_DEG = 60.0  # closer to the true wind than this, the course made good is a beat
LONGEST_H = 2 * 8784


class ExpectedSpeeds:
    """Expected speed made good in the climatological month of the hour she is there.

    Raises nothing: where the grid does not reach or knows no wind, the speed is 0 and no way leads through.
    """

    def __init__(self, climate: Climate, vessel: Vessel, depart: datetime, prices: Prices) -> None:
        self._climate = climate
        self._winds = _packed(climate)
        self._table = expectation_table(vessel, prices)
        self.fastest_kn = float(self._table[..., 0].max())
        start = np.datetime64(depart.replace(tzinfo=None), "s")
        first, second, weight = month_weights(start + np.arange(LONGEST_H) * np.timedelta64(1, "h"))
        self._months = first, second, weight.astype(np.float32)

    def along(self, steps: Steps, hour: Floats) -> Going:
        """Speed and price (see ``Going``) on steps at hours since departure."""
        shape = np.broadcast_shapes(steps.distance_nm.shape, hour.shape)
        flat = [np.broadcast_to(values, shape).ravel() for values in (*steps, hour)]
        lat, lon, _, toward_east, toward_north, at = flat
        east, north, sigma, known = self._wind(lat, lon, at)
        tail, cross = east * toward_east + north * toward_north, east * toward_north - north * toward_east
        found = _read(self._table, sigma, tail, np.abs(cross))
        speed = np.where(known, found[:, 0], 0.0)
        return Going(speed.reshape(shape), found[:, 1].astype(float).reshape(shape))

    def _wind(self, lat: Floats, lon: Floats, hour: Floats) -> tuple[Floats, Floats, Floats, NDArray[np.bool_]]:
        """Mean wind towards east and north, spread (kn), and whether anything is known, (n,) each."""
        (_, row, column), weights, reached = around(self._climate.lat_deg, self._climate.lon_deg, lat, lon)
        cells = len(self._climate.lat_deg) * len(self._climate.lon_deg)
        cell = row * len(self._climate.lon_deg) + column
        first, second, later = (values[np.clip(hour, 0, LONGEST_H - 1).astype(np.intp)] for values in self._months)
        corner = weights.astype(np.float32)[:, :, None]
        total = (
            (self._winds[(first * cells)[:, None] + cell] * corner).sum(axis=1) * (1 - later)[:, None]
            + (self._winds[(second * cells)[:, None] + cell] * corner).sum(axis=1) * later[:, None]
        ).astype(float)
        known = reached & (total[:, 0] > 1e-6)
        east, north, variance = (total[:, 1:] / np.where(known, total[:, 0], 1.0)[:, None]).T
        return east, north, np.sqrt(np.maximum(variance, 0.0)), known


def _packed(climate: Climate) -> Singles:
    """(12 x cells, 4): 1 where the wind is known, else all 0; its east and north mean and its variance."""
    mean = np.hypot(climate.wind_east_kn, climate.wind_north_kn)
    variance = sigma_from_means(mean, climate.wind_speed_kn) ** 2
    known = np.isfinite(mean + variance)
    fields = (np.ones_like(mean), climate.wind_east_kn, climate.wind_north_kn, variance)
    return np.stack([np.where(known, field, 0.0) for field in fields], axis=-1).reshape(-1, 4).astype(np.float32)


def expectation_table(vessel: Vessel, prices: Prices) -> Singles:
    """(spreads, along, across, 2): expected speed (kn) and price by the spread, every half knot from 0 to 16, and by
    the mean wind's parts every knot, along the course from -60 (ahead) to 60, and across it from 0 to 60.
    """
    fine = np.arange(-MOST_WIND_KN, MOST_WIND_KN + FINE_KN / 2, FINE_KN)
    tail, cross = np.meshgrid(fine, fine, indexing="ij")
    things = np.stack([_speed_kn(vessel, tail, cross), _price(prices, tail, cross)]).astype(np.float32)
    centres = np.arange(-MOST_WIND_KN, MOST_WIND_KN + WIND_STEP_KN / 2, WIND_STEP_KN)
    rows = []
    for sigma in np.arange(0.0, MOST_SIGMA_KN + SIGMA_STEP_KN / 2, SIGMA_STEP_KN):
        smooth = _normal_weights(centres, fine, sigma)
        rows.append(np.moveaxis(smooth @ things @ smooth[len(centres) // 2 :].T, 0, -1))
    return np.ascontiguousarray(np.stack(rows))


def _normal_weights(centres: Floats, fine: Floats, sigma: float) -> Singles:
    """(centres, fine): each row the weights of a normal curve about its centre, of sum 1."""
    away = (fine - centres[:, None]) / max(sigma, FINE_KN / 10)
    weights = np.exp(-0.5 * away**2)
    return np.asarray(weights / weights.sum(axis=1, keepdims=True), dtype=np.float32)


def _speed_kn(vessel: Vessel, tail: Floats, cross: Floats) -> Floats:
    """Made good in one wind: by the hull, or hove to or running off where the gusts are past the crew's limit."""
    helm = vessel.helm
    wind = np.hypot(tail, cross)
    share = helm.performance_mean_share * (1.0 + helm.night_speed_share) / 2.0
    sailing = _through_hull(vessel.speeds.made_good_kn, tail, cross) * share
    leeward = np.where(tail >= 0.0, helm.running_off_speed_kn, helm.hove_to_drift_kn)
    weathering = leeward * tail / np.maximum(wind, FINE_KN)
    return np.where(wind * helm.gust_factor > helm.gust_limit_kn, weathering, sailing)


def _through_hull(made_good_kn: Singles, tail: Floats, cross: Floats) -> Floats:
    """The table of speed made good, linear between its winds (evenly from 0 to 60) and angles (from 0 to 180)."""
    rows, columns = made_good_kn.shape
    row = np.clip(np.hypot(tail, cross) / MOST_WIND_KN, 0.0, 1.0) * (rows - 1)
    column = np.degrees(np.arctan2(np.abs(cross), -tail)) / 180.0 * (columns - 1)
    upper, left = np.minimum(row.astype(np.intp), rows - 2), np.minimum(column.astype(np.intp), columns - 2)
    down, right = row - upper, column - left
    high = made_good_kn[upper, left] * (1 - right) + made_good_kn[upper, left + 1] * right
    low = made_good_kn[upper + 1, left] * (1 - right) + made_good_kn[upper + 1, left + 1] * right
    return np.asarray(high * (1 - down) + low * down)


def _price(prices: Prices, tail: Floats, cross: Floats) -> Floats:
    """Hours counted on top of an hour in one wind."""
    wind = np.hypot(tail, cross)
    beating = (np.degrees(np.arctan2(np.abs(cross), -tail)) < HARD_ON_THE_WIND_DEG) & (wind >= CALM_KN)
    priced = ((prices.rough, wind >= STRONG_KN), (prices.hard_on_the_wind, beating), (prices.calm, wind < CALM_KN))
    return np.asarray(sum(price * hours for price, hours in priced))


def _read(table: Singles, sigma: Floats, tail: Floats, cross: Floats) -> Singles:
    """(n, 2) linear between the table's rows in all three directions, held at its ends."""
    counts = np.array(table.shape[:3])
    place = np.stack([sigma / SIGMA_STEP_KN, (tail + MOST_WIND_KN) / WIND_STEP_KN, cross / WIND_STEP_KN])
    place = np.clip(place, 0.0, (counts - 1.001)[:, None])
    low = place.astype(np.intp)
    part = (place - low).astype(np.float32)
    flat = table.reshape(-1, table.shape[3])
    first = (low[0] * counts[1] + low[1]) * counts[2] + low[2]
    found = np.zeros((len(first), table.shape[3]), dtype=np.float32)
    for up in (0, 1):
        for along in (0, 1):
            for across in (0, 1):
                weight = _share(part[0], up) * _share(part[1], along) * _share(part[2], across)
                offset = (up * counts[1] + along) * counts[2] + across
                found += flat[first + offset] * weight[:, None]
    return found


def _share(part: Singles, end: int) -> Singles:
    return part if end else 1 - part
