"""The wind at one place and month in closed form: what a pilot chart's rose would show.

The wind is an isotropic bivariate normal about its vector mean; in a direction in which the mean has the part m, the
speed r of the wind has the density

    r exp(-(r - m)^2 / 2 s^2) exp(-(n^2 - m^2) / 2 s^2) / (2 pi s^2)        n mean, s spread, r from 0

whose integrals from any speed up are error functions. They are summed over directions by Gauss's rule within each
sector.

Gales are not to be trusted from this: against moored buoys it makes four to six times too many hours of force 8,
against published pilot charts too few. Print ``strong_share`` with that caution, and ``gale_share`` in words only.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from passage.inputs.months import month_weights
from passage.inputs.rice import rice_mean
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.inputs.climate import TrackClimate

    Floats = NDArray[np.float64]

CALM_KN, STRONG_KN, GALE_KN = 4.0, 28.0, 34.0
SECTORS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")
_SECTOR_RAD = np.pi / 4
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(48)
STEADIEST = 0.01  # of the mean: a spread below it leaves all the wind in one direction
_erfc = np.vectorize(math.erfc, otypes=[float])


class Sector(Record):
    """One arm of the rose; share: of all hours."""

    name: str = told("where the wind is from")
    share: float

    @reckoned("hours in 100")
    def in_100(self) -> float:
        return 100.0 * self.share

    mean_wind_kn: float = told("mean wind of the hours it blows from there, kn; 0 where it never does")


class Rose(Record):
    """Wind of a place and month. The sectors hold the wind of 4 kn and more; with ``calm_share`` they make 1.

    calm_share: under 4 kn; strong_share: 28 kn and more; gale_share: 34 kn and more, not to be told as a figure.
    """

    mean_wind_kn: float = told("mean wind of all hours, kn")
    calm_share: float
    strong_share: float
    gale_share: float

    @reckoned("hours in 100 with less than 4 kn")
    def calm_in_100(self) -> float:
        return 100.0 * self.calm_share

    @reckoned("hours in 100 with 28 kn and more; the least sure of these")
    def strong_in_100(self) -> float:
        return 100.0 * self.strong_share

    sectors: tuple[Sector, ...] = told("wind of 4 kn and more by where it is from, eight sectors")


def wind_rose(east_kn: float, north_kn: float, sigma_kn: float) -> Rose:
    """The rose of a vector mean (parts towards east and north, kn) and the spread of each part."""
    nu = math.hypot(east_kn, north_kn)
    sigma = max(sigma_kn, STEADIEST * nu, 1e-9)
    shares, miles = _above(CALM_KN, east_kn, north_kn, sigma)
    sectors = tuple(
        Sector(name, float(share), float(mile / share) if share > 1e-12 else 0.0)
        for name, share, mile in zip(SECTORS, shares, miles, strict=True)
    )
    strong, gale = (float(_above(speed, east_kn, north_kn, sigma)[0].sum()) for speed in (STRONG_KN, GALE_KN))
    return Rose(float(rice_mean(nu, sigma)), max(1.0 - float(shares.sum()), 0.0), strong, gale, sectors)


def rose_on(climate: TrackClimate, node: int, day: datetime) -> Rose:
    """The rose at a node of the track on a day (UTC), between the mid-months about it."""
    first, second, part = (float(value) for value in month_weights(np.datetime64(day.replace(tzinfo=None), "s")))
    east, north, sigma = (
        float(field[int(first), node] * (1.0 - part) + field[int(second), node] * part)
        for field in (climate.wind_east_kn, climate.wind_north_kn, climate.sigma_kn)
    )
    return wind_rose(east, north, sigma)


def _above(least_kn: float, east_kn: float, north_kn: float, sigma_kn: float) -> tuple[Floats, Floats]:
    """Share of wind of ``least_kn`` and more, and the same times its speed, by the sector it is from; (8,) each."""
    edges = _edges(math.atan2(-east_kn, -north_kn))
    middle, half = (edges[1:] + edges[:-1]) / 2, np.diff(edges) / 2
    blown_from = middle[:, None] + half[:, None] * _NODES
    towards = blown_from + np.pi
    along = east_kn * np.sin(towards) + north_kn * np.cos(towards)  # m, (pieces, nodes)
    beside = east_kn * np.cos(towards) - north_kn * np.sin(towards)
    start = (least_kn - along) / sigma_kn
    tail = np.sqrt(np.pi / 2) * _erfc(start / np.sqrt(2))
    edge = np.exp(-0.5 * start**2)
    first = sigma_kn * edge + along * tail
    second = sigma_kn**2 * (start * edge + tail) + 2 * along * sigma_kn * edge + along**2 * tail
    density = np.exp(-0.5 * (beside / sigma_kn) ** 2) / (2 * np.pi * sigma_kn)
    sector = np.round(middle / _SECTOR_RAD).astype(int) % len(SECTORS)
    sums = np.zeros((2, len(SECTORS)))
    np.add.at(sums.T, sector, np.stack([half * ((density * moment) @ _WEIGHTS) for moment in (first, second)], axis=1))
    return sums[0], sums[1]


def _edges(mean_from_rad: float) -> Floats:
    """Bounds of the sectors once round, with the mean direction, where the density is sharpest, among them."""
    edges = (np.arange(len(SECTORS) + 1) - 0.5) * _SECTOR_RAD
    return np.sort(np.append(edges, (mean_from_rad - edges[0]) % (2 * np.pi) + edges[0]))
