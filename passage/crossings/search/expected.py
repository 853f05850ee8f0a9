"""The speed to be expected in the wind of a month: the mean over the whole distribution, not the speed in its mean.

At a place and month the wind is a bivariate normal about its vector mean (see ``crossings.wind``). The mean of
anything that depends on the wind along and across the course is then that thing smoothed by a normal curve in both
directions, so one table by spread and by the two parts of the mean wind answers for every place, month and course.
It is made by the product rule on half knots, a fraction of a second once for a boat.

Where a forecast is aboard the mean moves towards it and the spread shrinks by its weight, as in the crossings
(``crossings.forecast``); of several members the speeds are averaged, never their winds. In a current the wind is taken
against the water, she makes across it what stems its set (``crossings.current``), for which the table has rows by the
speed to be made across, and the current's part along the course is added.

It ranks tracks as the crossings do; times are quoted from the crossings. The engine is left out.
"""

from __future__ import annotations

from copy import copy
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.current import Stemmer
from passage.crossings.rose import CALM_KN, STRONG_KN
from passage.crossings.search.fields import ForecastField, MonthlyField, between_nodes
from passage.crossings.search.going import Going
from passage.crossings.wind import HARD_ON_THE_WIND_DEG
from passage.inputs.rice import sigma_from_means

if TYPE_CHECKING:
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.crossings.helm import Vessel
    from passage.crossings.search.lines import Steps
    from passage.inputs.climate import Climate
    from passage.inputs.current import CurrentGrid
    from passage.inputs.forecast import AreaForecast
    from passage.inputs.search import Prices

    Floats = NDArray[np.float64]
    Singles = NDArray[np.float32]

MOST_WIND_KN = 60.0
FINE_KN = 0.5  # of the quadrature
WIND_STEP_KN = 1.0  # of the table
SIGMA_STEP_KN = 0.5
MOST_SIGMA_KN = 16.0
ACROSS_STEP_KN = 0.25
BOUND_SPARE = 1.02  # a bound read off whole knots of wind, for winds between them
CURRENT_TOP_KN = 4.0  # what sets across the course beyond it counts as ground lost


class _Wind(NamedTuple):
    """A distribution of wind at n places: the mean towards east and north, and the spread, kn."""

    east: Floats
    north: Floats
    sigma: Floats


class ExpectedSpeeds:
    """Expected speed made good in the climatological month of the hour she is there, in the forecast and the current.

    Raises nothing: where a grid of wind or current does not reach or knows nothing, the speed is 0 and no way leads
    through. Outside the forecast's box the climate alone counts.
    """

    def __init__(
        self,
        climate: Climate,
        vessel: Vessel,
        depart: datetime,
        prices: Prices,
        current: CurrentGrid | None = None,
        forecast: AreaForecast | None = None,
    ) -> None:
        variance = sigma_from_means(np.hypot(climate.wind_east_kn, climate.wind_north_kn), climate.wind_speed_kn) ** 2
        winds = (climate.wind_east_kn, climate.wind_north_kn, variance)
        self._climate = MonthlyField(climate.lat_deg, climate.lon_deg, winds, depart)
        self._forecast = ForecastField(forecast, depart) if forecast else None
        self._current, strongest_kn = None, 0.0
        if current is not None:
            sets = (current.east_kn, current.north_kn)
            self._current = MonthlyField(current.lat_deg, current.lon_deg, sets, depart)
            strongest_kn = float(np.nanmax(np.hypot(*sets), initial=0.0))
        self._speeds = speed_tables(vessel, min(strongest_kn, CURRENT_TOP_KN))
        self._prices = price_table(prices)
        self.fastest_kn = float(self._speeds.max()) + strongest_kn

    def at_prices(self, prices: Prices) -> ExpectedSpeeds:
        """The same boat on the same sea, an hour at other prices."""
        other = copy(self)
        other._prices = price_table(prices)
        return other

    @property
    def changes_slowly(self) -> bool:
        """Over months: where no forecast is aboard."""
        return self._forecast is None

    def fastest_at(self, lat_deg: Floats, lon_deg: Floats, until_h: float, within_nm: float) -> Floats:
        """What she never exceeds within some miles of places (n,), on any course, up to an hour since departure, kn."""
        if self._forecast is not None:
            return np.full(lat_deg.shape, self.fastest_kn)
        speed_kn = self._climate.greatest(self._fastest_in, until_h, within_nm)(lat_deg, lon_deg)
        if self._current is not None:
            speed_kn = speed_kn + self._current.greatest(_drift_kn, until_h, within_nm)(lat_deg, lon_deg)
        return np.asarray(speed_kn)

    def _fastest_in(self, east_kn: Floats, north_kn: Floats, variance: Floats) -> Floats:
        """Through the water, on the best course in any wind of these; with a current the wind over the water is another
        one, and the best of all winds is taken.
        """
        best = self._speeds[0]
        if self._current is not None:
            return np.full(east_kn.shape, float(best.max()))
        parts = np.arange(best.shape[1]) * WIND_STEP_KN - MOST_WIND_KN
        size = np.hypot(parts[:, None], parts)
        winds = np.arange(0.0, MOST_WIND_KN)
        most = np.array([best[:, np.abs(size - wind) <= WIND_STEP_KN].max(axis=1) for wind in winds]).T
        row = np.clip(np.rint(np.sqrt(np.maximum(variance, 0.0)) / SIGMA_STEP_KN), 0, len(most) - 1).astype(np.intp)
        column = np.clip(np.rint(np.hypot(east_kn, north_kn)), 0, len(winds) - 1).astype(np.intp)
        return np.asarray(most[row, column] * BOUND_SPARE)

    def along(self, steps: Steps, hour: Floats) -> Going:
        """Speed and price (see ``Going``) on steps at hours since departure."""
        shape = np.broadcast_shapes(steps.distance_nm.shape, hour.shape)
        lat, lon, _, *course, at = (np.broadcast_to(values, shape).ravel() for values in (*steps, hour))
        (east, north, variance), known = self._climate.at(lat, lon, at)
        mean = _Wind(east, north, np.sqrt(np.maximum(variance, 0.0)))
        flow = None
        if self._current is not None:
            flow, charted = self._current.at(lat, lon, at)
            known = known & charted
        speed, price = self._read(mean, flow, course)
        if self._forecast is not None:
            weight = self._forecast.weight(lat, lon, at)
            near = np.flatnonzero(weight)
            inside = [values[near] for values in course]
            there = None if flow is None else flow[:, near]
            heard = [
                self._read(_blended(mean, near, weight[near], wind), there, inside)
                for wind in self._forecast.winds(lat[near], lon[near], at[near])
            ]
            speed[near], price[near] = np.mean(heard, axis=0)
        return Going(np.where(known, speed, 0.0).reshape(shape), price.reshape(shape))

    def _read(self, wind: _Wind, flow: Floats | None, course: list[Floats]) -> tuple[Floats, Floats]:
        """Expected speed made good along the course, and price, (n,)."""
        if flow is None:
            tail, cross = _parts(wind.east, wind.north, *course)
            place = _places(wind.sigma, tail, cross)
            return between_nodes(self._speeds[0], place), self._price(place)
        with_her, across = _parts(*flow, *course)
        tail, cross = _parts(wind.east - flow[0], wind.north - flow[1], *course)
        side = np.where(across == 0.0, np.sign(cross), -np.sign(across))  # the side to which she must make way
        across = np.abs(across)
        place = _places(wind.sigma, tail, cross * side)
        speed = between_nodes(self._speeds, np.concatenate([across[None] / ACROSS_STEP_KN, place]))
        return speed - np.maximum(across - CURRENT_TOP_KN, 0.0) + with_her, self._price(place)

    def _price(self, place: Floats) -> Floats:
        return np.zeros(place.shape[1]) if self._prices is None else between_nodes(self._prices, place)


def _places(sigma: Floats, tail: Floats, cross: Floats) -> Floats:
    """In steps of the table by spread and the two parts of the mean wind, (3, n)."""
    return np.stack([sigma / SIGMA_STEP_KN, tail + MOST_WIND_KN, cross + MOST_WIND_KN])


def _drift_kn(east_kn: Floats, north_kn: Floats) -> Floats:
    return np.hypot(east_kn, north_kn)


def _parts(east: Floats, north: Floats, toward_east: Floats, toward_north: Floats) -> tuple[Floats, Floats]:
    """Along a course, positive with her, and across it, positive to the right."""
    return east * toward_east + north * toward_north, east * toward_north - north * toward_east


def _blended(mean: _Wind, near: NDArray[np.intp], weight: Floats, forecast: tuple[Floats, Floats]) -> _Wind:
    """The climate with the forecast on top by weight."""
    east, north, sigma = (values[near] for values in mean)
    return _Wind(
        east + weight * (forecast[0] - east),
        north + weight * (forecast[1] - north),
        sigma * np.sqrt(1.0 - weight * weight),
    )


def speed_tables(vessel: Vessel, strongest_kn: float = 0.0) -> Singles:
    """Expected speed through the water along the course (to make across, spreads, along, across), kn.

    By what she must make across the course, every quarter of a knot from 0 to ``strongest_kn``; by the spread, every
    half knot from 0 to 16; and by the mean wind's parts every knot from -60 to 60, along the course (positive astern)
    and across it (positive towards the side to which she must make way).
    """
    winds = _fine_winds()
    levels = np.arange(0.0, np.ceil(strongest_kn / ACROSS_STEP_KN) + 1) * ACROSS_STEP_KN
    return np.stack([_smoothed(_speed_kn(vessel, *winds, float(level))) for level in levels])


def price_table(prices: Prices) -> Singles | None:
    """What an hour costs on top of itself (spreads, along, across), None where nothing has a price."""
    priced = prices.rough + prices.hard_on_the_wind + prices.calm > 0.0
    return _smoothed(_price(prices, *_fine_winds())) if priced else None


def _fine_winds() -> tuple[Floats, Floats]:
    """The two parts of the winds of the quadrature, along and across."""
    tail, cross = np.meshgrid(*[_steps(-MOST_WIND_KN, MOST_WIND_KN, FINE_KN)] * 2, indexing="ij")
    return tail, cross


def _smoothed(thing: Floats) -> Singles:
    """What depends on the wind, by the spread and by the parts of the mean wind."""
    single = thing.astype(np.float32)
    return np.stack([weights @ single @ weights.T for weights in _smoothing()])


@cache
def _smoothing() -> list[Singles]:
    """A matrix of weights for each spread."""
    fine, centres = (_steps(-MOST_WIND_KN, MOST_WIND_KN, step) for step in (FINE_KN, WIND_STEP_KN))
    return [_normal_weights(centres, fine, sigma) for sigma in _steps(0.0, MOST_SIGMA_KN, SIGMA_STEP_KN)]


def _steps(first: float, last: float, step: float) -> Floats:
    return np.arange(first, last + step / 2, step)


def _normal_weights(centres: Floats, fine: Floats, sigma: float) -> Singles:
    """(centres, fine): each row the weights of a normal curve about its centre, of sum 1."""
    away = (fine - centres[:, None]) / max(sigma, FINE_KN / 10)
    weights = np.exp(-0.5 * away**2)
    return np.asarray(weights / weights.sum(axis=1, keepdims=True), dtype=np.float32)


def _speed_kn(vessel: Vessel, tail: Floats, cross: Floats, to_make_kn: float) -> Floats:
    """Made good in one wind: by the hull, or hove to or running off where the gusts are past the crew's limit."""
    helm = vessel.helm
    wind = np.hypot(tail, cross)
    share = helm.performance_mean_share * (1.0 + helm.night_speed_share) / 2.0
    sailing = _sailing_kn(vessel, tail, cross, to_make_kn, share)
    leeward = np.where(tail >= 0.0, helm.running_off_speed_kn, helm.hove_to_drift_kn)
    weathering = leeward * tail / np.maximum(wind, FINE_KN)
    return np.where(wind * helm.gust_factor > helm.gust_limit_kn, weathering, sailing)


def _sailing_kn(vessel: Vessel, tail: Floats, cross: Floats, to_make_kn: float, share: float) -> Floats:
    if to_make_kn == 0.0:
        return _through_hull(vessel.speeds.made_good_kn, tail, cross) * share
    tails, crosses = (values.ravel().astype(np.float32) for values in (tail, cross))
    to_make, shares = (np.full(tail.size, value, dtype=np.float32) for value in (to_make_kn, share))
    return Stemmer(vessel.speeds).along(tails, crosses, to_make, shares).reshape(tail.shape).astype(float)


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
