"""Invented questions for the tests of the search; nothing here is a real voyage."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.search.find import Search
from passage.crossings.search.going import Going, Speeds
from passage.crossings.search.region import Ends
from passage.crossings.speed import speed_table
from passage.inputs.climate import Climate
from passage.inputs.current import CurrentGrid
from passage.inputs.forecast import AreaForecast, TrackForecast
from passage.inputs.polar import PolarTable
from passage.inputs.search import TrackLimits

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from passage.crossings.search.lines import Steps
    from passage.crossings.speed import SpeedTable

DEPART = datetime(2027, 2, 1, 8, tzinfo=UTC)
NO_WALLS = TrackLimits()

# Miles to the degree of longitude and of latitude at the equator, WGS84: pi a / 180 and pi a (1 - e^2) / 180.
EAST_NM, NORTH_NM = 60.107716, 59.705326


def plane(east_nm: float, north_nm: float) -> tuple[float, float]:
    """Latitude and longitude of a point so far from 0N 30W, near which the sea is as good as flat."""
    return north_nm / NORTH_NM, -30.0 + east_nm / EAST_NM


def question(start: tuple[float, float], goal: tuple[float, float], speeds: Speeds, **changes: object) -> Search:
    """A search of open water without any wall, unless changed."""
    given: dict[str, object] = {"limits": NO_WALLS, "depart": DEPART, "land": False}
    return Search(Ends(*start, *goal), speeds, **(given | changes))  # type: ignore[arg-type]


def dead_zone() -> SpeedTable:
    """6 kn at 45 degrees off the wind or more, nothing closer, and no loss in tacking."""
    polar = PolarTable(np.array([8.0, 12.0]), np.array([45.0, 90.0, 180.0]), np.full((2, 3), 6.0))
    return speed_table(polar, tacking_loss=0.0)


def even_climate(east_kn: NDArray[np.float64] | float, north_kn: float, speed_kn: float) -> Climate:
    """One wind everywhere; east_kn may be (12, 1, 1) by month."""
    lat, lon = np.arange(-89.0, 90.0, 2.0), np.arange(-179.0, 180.0, 2.0)
    shape = (12, len(lat), len(lon))
    flat = {name: np.full(shape, 20.0) for name in ("air_c", "sea_c", "cloud", "reports")}
    return Climate(
        lat_deg=lat,
        lon_deg=lon,
        wind_east_kn=np.broadcast_to(east_kn, shape).astype(float),
        wind_north_kn=np.full(shape, north_kn),
        wind_speed_kn=np.full(shape, speed_kn),
        few_reports=np.zeros(shape, dtype=bool),
        source="invented",
        file="invented.nc",
        **flat,
    )


def even_current(east_kn: NDArray[np.float64] | float, north_kn: float) -> CurrentGrid:
    """One current everywhere; east_kn may be (ny, 1) by latitude, every half degree from 10 S to 10 N."""
    lat, lon = np.arange(-10.0, 10.1, 0.5), np.arange(-60.0, 1.0, 0.5)
    shape = (12, len(lat), len(lon))
    east = np.broadcast_to(east_kn, shape).astype(float)
    return CurrentGrid(lat, lon, east, np.full(shape, north_kn), "invented", "invented.nc")


def area_forecast(
    *members: tuple[NDArray[np.float64] | float, NDArray[np.float64] | float],
    aged_h: float = 0.0,
    trust_h: tuple[float, float] = (120.0, 240.0),
) -> AreaForecast:
    """Every six hours from its issue, ``aged_h`` before DEPART, for ten days: each member's wind towards east and
    north, kn, each one figure or (steps, ny, nx) or what spreads to that, every half degree from 10 S to 10 N and from
    60 W to Greenwich.
    """
    lat, lon = np.arange(-10.0, 10.1, 0.5), np.arange(-60.0, 0.1, 0.5)
    issued = DEPART - timedelta(hours=aged_h)
    valid = np.datetime64(issued.replace(tzinfo=None), "s") + np.arange(0, 241, 6) * np.timedelta64(3600, "s")
    shape = (len(valid), len(lat), len(lon))
    winds = np.stack(
        [[np.broadcast_to(part, shape).reshape(len(valid), -1) for part in member] for member in members], axis=1
    ).astype(np.float32)
    covered = np.ones(winds.shape[-1], dtype=bool)
    cells = TrackForecast(issued, valid, winds[0], winds[1], covered, *trust_h, "invented.grib", "invented")
    return AreaForecast(lat, lon, cells)


# ---------------------------------------------------------------- simple answers to how fast she goes

_SAMPLES = 17
_HALVINGS = 32
_HAIR_KN = 1e-9


@dataclass(frozen=True)
class Steady:
    """The same speed on every course."""

    fastest_kn: float

    def along(self, steps: Steps, hour: NDArray[np.float64]) -> Going:
        nothing = np.zeros(np.broadcast_shapes(steps.distance_nm.shape, hour.shape))
        return Going(nothing + self.fastest_kn, nothing)


@dataclass(frozen=True)
class SteadyWind:
    """One wind for ever and everywhere, through a boat's table. wind_from_deg true."""

    table: SpeedTable
    wind_kn: float
    wind_from_deg: float

    @property
    def fastest_kn(self) -> float:
        return float(self._curve().max())

    def along(self, steps: Steps, hour: NDArray[np.float64]) -> Going:
        wind_from = np.radians(self.wind_from_deg)
        ahead = steps.east * np.sin(wind_from) + steps.north * np.cos(wind_from)
        beside = steps.east * np.cos(wind_from) - steps.north * np.sin(wind_from)
        curve = self._curve()
        angle = np.degrees(np.arctan2(np.abs(beside), ahead))
        speed = np.interp(angle, np.linspace(0.0, 180.0, len(curve)), curve)
        return Going(speed + 0.0 * hour, np.zeros(np.broadcast_shapes(speed.shape, hour.shape)))

    def _curve(self) -> NDArray[np.floating]:
        """Speed made good by angle off the wind, evenly from 0 to 180 degrees."""
        winds = np.linspace(0.0, 60.0, len(self.table.made_good_kn))
        return np.array([np.interp(self.wind_kn, winds, column) for column in self.table.made_good_kn.T])


@dataclass(frozen=True)
class InCurrent:
    """Any speeds through the water, carried by a current.

    current: (lat_deg, lon_deg, hour) -> east and north part in knots, towards. strongest_kn: never exceeded. Along a
    course a the largest s is made good for which s a less the current lies within what she can make through the
    water; 0 where there is none, which is where the current wins. Exact for a steady wind; for an expected speed it
    moves the curve of expected speeds as if that were the boat's own.
    """

    water: Speeds
    current: Callable[..., tuple[NDArray[np.float64], NDArray[np.float64]]]
    strongest_kn: float

    @property
    def fastest_kn(self) -> float:
        return self.water.fastest_kn + self.strongest_kn

    def along(self, steps: Steps, hour: NDArray[np.float64]) -> Going:
        set_east, set_north = self.current(steps.lat_deg, steps.lon_deg, hour)
        with_her = set_east * steps.east + set_north * steps.north
        if isinstance(self.water, Steady):  # as fast on every course: the triangle is solved at once
            across = set_east * steps.north - set_north * steps.east
            makes = self.water.fastest_kn**2 - across**2
            ground = with_her + np.sqrt(np.maximum(makes, 0.0))
            good = np.where((makes < 0.0) | (ground < 0.0), 0.0, ground)
            return Going(good, self.water.along(steps, hour).price)

        def spare_kn(ground_kn: NDArray[np.float64]) -> NDArray[np.float64]:
            """What she has in hand through the water at a speed over the ground."""
            east, north = ground_kn * steps.east - set_east, ground_kn * steps.north - set_north
            needed = np.hypot(east, north)
            safe = np.maximum(needed, _HAIR_KN)
            headed = steps._replace(east=east / safe, north=north / safe)
            return self.water.along(headed, hour).speed_kn - needed

        # For a boat as fast on every course the middle of what is possible is the current's own part along it.
        possible = np.maximum(with_her, 0.0)
        possible = np.where(spare_kn(possible) >= 0.0, possible, -1.0)
        for tried in np.linspace(0.0, self.fastest_kn, _SAMPLES):
            better = (tried > possible) & (spare_kn(np.full_like(possible, tried)) >= 0.0)
            possible = np.where(better, tried, possible)
        wins = possible < 0.0
        beyond = possible + self.fastest_kn / (_SAMPLES - 1)
        for _ in range(_HALVINGS):
            middle = (possible + beyond) / 2.0
            fits = spare_kn(middle) >= 0.0
            possible, beyond = np.where(fits, middle, possible), np.where(fits, beyond, middle)
        return Going(np.where(wins, 0.0, possible), self.water.along(steps, hour).price)


# ---------------------------------------------------------------- currents in a plane whose best track is known


@dataclass(frozen=True)
class InPlane:
    """Five knots through the water on every course, in a current (x, y, hour) -> (east, north) near 0N 30W."""

    current: Callable[..., tuple[NDArray[np.float64], NDArray[np.float64]]]
    strongest_kn: float
    water_kn: float = 5.0

    @property
    def fastest_kn(self) -> float:
        return self.water_kn + self.strongest_kn

    def along(self, steps: Steps, hour: NDArray[np.float64]) -> Going:
        east, north = self.current((steps.lon_deg + 30.0) * EAST_NM, steps.lat_deg * NORTH_NM, hour)
        with_her, across = east * steps.east + north * steps.north, east * steps.north - north * steps.east
        stems = self.water_kn**2 - across**2
        speed = np.where(stems > 0.0, np.sqrt(np.maximum(stems, 0.0)) + with_her, 0.0) + 0.0 * hour
        return Going(speed, np.zeros(speed.shape))


def _swirl(x: NDArray[np.float64], y: NDArray[np.float64], turn_kn: float, wide_nm: float):  # type: ignore[no-untyped-def]
    turn = turn_kn * np.exp(-(x**2 + y**2) / wide_nm**2) / wide_nm
    return -turn * y, turn * x


def _one(x, y, hour):  # type: ignore[no-untyped-def]
    return _swirl(x - 50.0, y - 5.0, 8.0, 30.0)


def _strong(x, y, hour):  # type: ignore[no-untyped-def]
    return _swirl(x - 50.0, y, 14.0, 30.0)


def _two(x, y, hour):  # type: ignore[no-untyped-def]
    one, other = _swirl(x - 35.0, y - 10.0, 7.0, 18.0), _swirl(x - 75.0, y + 12.0, -9.0, 20.0)
    return one[0] + other[0], one[1] + other[1]


def _moving(x, y, hour):  # type: ignore[no-untyped-def]
    return _swirl(x - 20.0 - 2.0 * hour, y - 8.0, 9.0, 22.0)


def _tide(x, y, hour):  # type: ignore[no-untyped-def]
    phase = 2.0 * np.pi * hour / 12.4
    return 3.0 * np.sin(phase) + 0.0 * x, 2.5 * np.cos(phase) * np.sin(x / 20.0)


# name: current, goal in miles east and north, its strongest in knots, hours of the best track (D, benchmarks.zermelo)
SWIRLS = {
    "one swirl": (_one, (100.0, 0.0), 3.5, 15.513),
    "a strong swirl": (_strong, (100.0, 0.0), 6.1, 13.765),
    "two swirls": (_two, (110.0, 0.0), 4.2, 16.096),
    "a moving swirl": (_moving, (100.0, 0.0), 4.0, 15.435),
    "a tide": (_tide, (80.0, 30.0), 4.0, 16.049),
}
