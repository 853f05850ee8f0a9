"""Lanes: what is sailed, and what the boats of several lanes meet when they are sailed side by side.

An hour's work costs a fleet of two hundred nearly as much as one of a thousand. Short ways out of many places (the
refuges) are therefore sailed in lockstep: the hour's tables of all lanes stand beside one another, and every boat finds
her column by her lane. Lanes that nobody sails any more are left out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple, TypeVar

import numpy as np

from passage.crossings.current import GENTLE_KN, refuse_where_current_wins
from passage.crossings.forecast import Blend, serves
from passage.crossings.weather import Weather

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.crossings.ground import Ground
    from passage.crossings.helm import Refit, Vessel
    from passage.crossings.wind import Luck
    from passage.inputs.boat import Helm
    from passage.sailings.track import Track

    Rows = NDArray[np.float32]
    Index = NDArray[np.intp]

Thing = TypeVar("Thing")

LEAST_PERFORMANCE = 0.2


class Lane(NamedTuple):
    """One track from one departure (UTC), and who sails it. performance: share of the polar's speed, (members,);
    refits: what the boats become on the way, each where she then is, in the order of the hours; least_h: hours before
    which nobody is given up, however short the track.
    """

    track: Track
    depart: datetime
    vessel: Vessel
    weather: Weather
    luck: Luck
    performance: NDArray[np.float64]
    refits: tuple[Refit, ...] = ()
    least_h: int = 0

    @property
    def moving(self) -> bool:
        """Whether the water moves."""
        return self.weather.moving

    @property
    def hard_to_stem(self) -> bool:
        """Whether what sets across the course asks for the moved hull itself (``crossings.current``)."""
        return self.weather.strongest_across_kn > GENTLE_KN

    @property
    def vessels(self) -> tuple[Vessel, ...]:
        """What she is, and what she becomes, each once."""
        known = {id(vessel): vessel for vessel in (self.vessel, *(refit.vessel for refit in self.refits))}
        return tuple(known.values())

    def part(self, who: slice) -> Lane:
        """Neighbours among those who sail it, and their luck alone."""
        refits = tuple(refit.of(who) for refit in self.refits)
        return self._replace(luck=self.luck.part(who), performance=self.performance[who], refits=refits)


def lane_of(ground: Ground, depart: datetime, luck: Luck, weather: Weather | None = None) -> Lane:
    """Arguments as for ``simulate.sail``; weather: that of another lane where it is the same. Raises RouteRefused where
    the current wins in the mean.
    """
    refuse_where_current_wins(ground, depart)
    helm = ground.vessel.helm
    if weather is None:
        forecast = ground.forecast
        blend = Blend(forecast, depart) if forecast is not None and serves(forecast, depart) else None
        settling = helm.first_days_h, helm.first_days_speed_share
        weather = Weather(ground.track, ground.climate, depart, helm.night_speed_share, ground.current, blend, settling)
    return Lane(ground.track, depart, ground.vessel, weather, luck, performance_of(helm, luck))


def performance_of(helm: Helm, luck: Luck) -> NDArray[np.float64]:
    """Every member's share of the polar's speed, (members,)."""
    share = helm.performance_mean_share + helm.performance_sd_share * luck.performance_z
    return np.maximum(share, LEAST_PERFORMANCE)


class Waters:
    """What the boats of every lane meet, hour by hour. sizes: boats of each lane, in the order of their columns. Lanes
    that share a weather or a luck have it once.
    """

    def __init__(self, lanes: Sequence[Lane]) -> None:
        self._lanes = lanes
        self.sizes = [len(lane.performance) for lane in lanes]
        self._first = np.concatenate([[0], np.cumsum(self.sizes)[:-1]])  # column of each lane's first boat
        self._per_nm = np.array([1.0 / lane.track.spacing_nm for lane in lanes], dtype=np.float32)
        self._nodes = np.array([lane.track.nodes for lane in lanes])
        self._last = self._nodes - 1
        self._weathers, self._weather_of = _each_once([lane.weather for lane in lanes])
        self._lucks, self._luck_of = _each_once([lane.luck for lane in lanes])
        self._with_luck = np.concatenate(self._columns_of_luck())
        self._number = np.concatenate([lane.luck.numbers for lane in lanes])
        self.only(np.arange(len(lanes)))

    def _columns_of_luck(self) -> list[Index]:
        """Of every boat of each lane the column in the lucks that stand side by side."""
        first = np.cumsum([0, *(luck.members for luck in self._lucks)])
        return [first[self._luck_of[lane]] + np.arange(size) for lane, size in enumerate(self.sizes)]

    def only(self, sailed: Index) -> None:
        """Leave out the lanes that nobody sails any more."""
        self._sailed = sailed.tolist()
        self._blowing = np.unique(self._weather_of[sailed]).tolist()

    def node(self, distance_nm: Rows, lane: Index) -> Index:
        """The nearest node of her own track to each boat."""
        alone = len(self._lanes) == 1
        node: Index = (distance_nm * (self._per_nm[0] if alone else self._per_nm[lane]) + np.float32(0.5)).astype(
            np.intp
        )
        np.minimum(node, self._last[0] if alone else self._last[lane], out=node)
        return node

    def table(self, hour: int, node: Index, lane: Index, column: Index) -> Rows:
        """Rows of ``Weather.table`` for every boat, (rows, boats)."""
        tables = [self._weathers[number].table(hour) for number in self._blowing]
        if len(self._lanes) == 1 and tables[0].shape[1] == self._nodes[0]:
            alone: Rows = tables[0].take(node, axis=1, mode="clip")
            return alone
        beside, offset, width = self._side_by_side(tables)
        forecasts = width // self._nodes
        place = node + offset[lane]
        if forecasts.max() > 1:
            place = place + self._number[column] % forecasts[lane] * self._nodes[lane]
        return beside.take(place, axis=1, mode="clip")

    def deviation(self, hour: int, at: slice | Index) -> tuple[Rows, Rows]:
        """Fast and slow standardised deviations of the boats in the columns ``at``, (2, boats) each."""
        deviations = [luck.hour(hour) for luck in self._lucks]
        if len(self._lanes) == 1:
            fast, slow = deviations[0]
            return _columns(fast, at), _columns(slow, at)
        columns = self._with_luck[at]
        beside: Rows = np.concatenate([np.concatenate(deviation) for deviation in deviations], axis=1)
        rows = beside.take(columns, axis=1, mode="clip")
        return rows[:2], rows[2:]

    def eddy(self, hour: int, at: slice | Index) -> Rows:
        """Standardised deviations of the water of the boats in the columns ``at``, (2, boats): along and across."""
        eddies = [luck.eddy(hour) for luck in self._lucks]
        if len(self._lanes) == 1:
            return _columns(eddies[0], at)
        beside: Rows = np.concatenate(eddies, axis=1)
        return beside.take(self._with_luck[at], axis=1, mode="clip")

    def _side_by_side(self, tables: list[Rows]) -> tuple[Rows, Index, Index]:
        """The tables of the weathers that blow as one, with every lane's first column in it and columns."""
        width = np.zeros(len(self._weathers), dtype=np.intp)
        width[self._blowing] = [table.shape[1] for table in tables]
        offset = np.cumsum(width) - width
        beside = tables[0] if len(tables) == 1 else np.concatenate(tables, axis=1)
        return beside, offset[self._weather_of], width[self._weather_of]

    def dark_at_landfall(self, hour: int) -> NDArray[np.bool_]:
        """By lane; those that nobody sails any more count as light."""
        dark = np.zeros(len(self._weathers), dtype=bool)
        dark[self._blowing] = [self._weathers[number].dark_at_landfall(hour) for number in self._blowing]
        return np.asarray(dark[self._weather_of])


def _columns(rows: Rows, at: slice | Index) -> Rows:
    """``rows[:, at]``, by numbers five times as quick."""
    return rows[:, at] if isinstance(at, slice) else rows.take(at, axis=1, mode="clip")


def _each_once(things: Sequence[Thing]) -> tuple[list[Thing], Index]:
    """The things without those met before, and the number among them of each."""
    once = {id(thing): thing for thing in things}
    numbers = {known: number for number, known in enumerate(once)}
    return [*once.values()], np.array([numbers[id(thing)] for thing in things])
