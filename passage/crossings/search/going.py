"""How fast she goes: what the search asks of a wind, a current and a boat, and the simple answers to it.

Any object with these two names will do; the month's climate is in ``expected``. A forecast would be another.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple, Protocol

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from passage.crossings.search.lines import Steps
    from passage.crossings.speed import SpeedTable

    Floats = NDArray[np.float64]
    Current = Callable[[Floats, Floats, Floats], tuple[Floats, Floats]]

_SAMPLES = 17
_HALVINGS = 32
_HAIR_KN = 1e-9


class Going(NamedTuple):
    """Arrays of one shape. speed_kn: made good along the course, 0 or less where none is; price: hours counted on
    top of each hour sailed, 0 or more.
    """

    speed_kn: Floats
    price: Floats


class Speeds(Protocol):
    """Speed made good by place, course and hours since departure; ``fastest_kn`` is never exceeded."""

    @property
    def fastest_kn(self) -> float: ...

    def along(self, steps: Steps, hour: Floats) -> Going: ...


@dataclass(frozen=True)
class Steady:
    """The same speed on every course."""

    fastest_kn: float

    def along(self, steps: Steps, hour: Floats) -> Going:
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

    def along(self, steps: Steps, hour: Floats) -> Going:
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
    current: Current
    strongest_kn: float

    @property
    def fastest_kn(self) -> float:
        return self.water.fastest_kn + self.strongest_kn

    def along(self, steps: Steps, hour: Floats) -> Going:
        set_east, set_north = self.current(steps.lat_deg, steps.lon_deg, hour)
        with_her = set_east * steps.east + set_north * steps.north

        def spare_kn(ground_kn: Floats) -> Floats:
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
