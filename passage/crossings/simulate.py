"""Sail the crossings: hour by hour, every member at once, in blocks that fit the processor's cache."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np

from passage.crossings.current import Stemmer, motor_along, refuse_where_current_wins
from passage.crossings.ensemble import ARRIVED, STANDING_OFF, Crossings
from passage.crossings.forecast import Blend, serves
from passage.crossings.helm import Vessel, Watch, steer
from passage.crossings.weather import Weather
from passage.crossings.wind import CHUNK_H, Luck

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.inputs.climate import TrackClimate
    from passage.inputs.current import TrackCurrent
    from passage.inputs.forecast import TrackForecast
    from passage.sailings.track import Track

SLOWEST_MEAN_KN = 1.0  # a crossing that has not made good a knot on average is counted as never arriving
LONGEST_WAIT_H = 24
LEAST_PERFORMANCE = 0.2
BLOCK = 2048
ROLL_CALL_H = 12  # how often boats that are in are left out of the work
NO_BOAT_KN = 25.0  # faster than which none is carried along, whatever the current


def sail(
    track: Track,
    climate: TrackClimate,
    vessel: Vessel,
    depart: datetime,
    luck: Luck,
    progress: Callable[[float], None] | None = None,
    current: TrackCurrent | None = None,
    forecast: TrackForecast | None = None,
) -> Crossings:
    """Sail every member of ``luck`` along the track, leaving at ``depart`` (UTC).

    Returns Crossings whose hours run until the last boat is in, or until a made-good speed of one knot on average
    would have brought her there. ``progress`` is told the share of the work done. A forecast counts where the
    departure lies within it (``forecast.serves``). Raises RouteRefused where the current wins in the mean.
    """
    if current is not None:
        refuse_where_current_wins(track, climate, vessel, current, depart)
    helm = vessel.helm
    blend = Blend(forecast, depart) if forecast is not None and serves(forecast, depart) else None
    weather = Weather(track, climate, depart, helm.night_speed_share, current, blend)
    performance = helm.performance_mean_share + helm.performance_sd_share * luck.performance_z
    performance = np.maximum(performance, LEAST_PERFORMANCE)
    blocks = [slice(start, min(start + BLOCK, luck.members)) for start in range(0, luck.members, BLOCK)]
    sailed = [_Fleet(track, weather, vessel, luck, performance, block).sail(progress) for block in blocks]
    fields = _joined([log for log, _ in sailed], np.float32(track.length_nm))
    air, sea = weather.warmth(fields["state"].shape[1])
    return Crossings(
        depart=depart,
        track=track,
        seed=luck.seed,
        **fields,
        arrival_h=np.concatenate([arrival for _, arrival in sailed]),
        performance=performance,
        air_by_hour_c=air,
        sea_by_hour_c=sea,
    )


class _Fleet:
    """The boats of one block that are still at sea. Arrays are (boats,); boats that are in drop out at the roll
    call.
    """

    def __init__(
        self,
        track: Track,
        weather: Weather,
        vessel: Vessel,
        luck: Luck,
        performance: NDArray[np.float64],
        block: slice,
    ) -> None:
        members = block.stop - block.start
        self._track, self._weather, self._vessel, self._luck = track, weather, vessel, luck
        self._length = np.float32(track.length_nm)
        self._stem = Stemmer(vessel.speeds) if weather.flow(0) is not None else None
        self._log = _Log(members, self._length)
        self._arrival_h = np.full(members, np.inf)
        self._block = block
        self._column = np.arange(members)  # of the block, in the log
        self._at: slice | NDArray[np.intp] = slice(None)  # the same, quicker while all are at sea
        self._factor = performance[block].astype(np.float32)
        self._distance = np.zeros(members, dtype=np.float32)
        self._waited = np.zeros(members, dtype=np.int16)
        self._watch = Watch.begin(members, vessel)
        self._near = True  # whether anybody may be in before the next roll call

    def sail(self, progress: Callable[[float], None] | None) -> tuple[_Log, NDArray[np.float64]]:
        """The log, and hours to landfall by member."""
        longest = int(np.ceil(self._track.length_nm / SLOWEST_MEAN_KN)) + LONGEST_WAIT_H
        for hour in range(longest):
            if hour % ROLL_CALL_H == 0:
                self._call_the_roll()
                self._tell(progress)
            if len(self._column) == 0:
                break
            self._hour(hour)
        self._log.end(self._arrival_h)
        return self._log, self._arrival_h

    def _hour(self, hour: int) -> None:
        """One hour at sea, from the wind to the log."""
        node = (self._distance * np.float32(1.0 / self._track.spacing_nm) + np.float32(0.5)).astype(np.intp)
        table = self._weather.table(hour)
        east, north, fast, slow, sine, cosine, day_share = table.take(self._place(node, table), axis=1, mode="clip")
        deviation = self._luck.hour(hour)
        fast_east, fast_north = deviation.fast[:, self._block][:, self._at]
        slow_east, slow_north = deviation.slow[:, self._block][:, self._at]
        east += fast * fast_east
        east += slow * slow_east
        north += fast * fast_north
        north += slow * slow_north
        tail = east * sine
        tail += north * cosine
        cross = east * cosine
        cross -= north * sine
        day_share *= self._factor
        speed, state = self._steered(hour, node, tail, cross, day_share)
        if self._near:
            self._landfall(hour, speed, state, east, north)
        self._log.write(self._at, self._distance, speed, east, north, state)
        self._distance += speed
        np.clip(self._distance, np.float32(0.0), self._length, out=self._distance)

    def _place(self, node: NDArray[np.intp], table: NDArray[np.float32]) -> NDArray[np.intp]:
        """Column of the hour's table: the node, in the part of the forecast member that she sails in."""
        forecasts = table.shape[1] // self._track.nodes
        if forecasts == 1:
            return node
        return np.asarray(node + (self._block.start + self._column) % forecasts * self._track.nodes)

    def _steered(
        self,
        hour: int,
        node: NDArray[np.intp],
        tail: NDArray[np.float32],
        cross: NDArray[np.float32],
        share: NDArray[np.float32],
    ) -> tuple[NDArray[np.float32], NDArray[np.uint8]]:
        """Speed made good along the track and state, from the wind's parts and the share of her polar's speed."""
        motor_kn = self._vessel.motor_speed_kn
        flow = self._weather.flow(hour)
        if flow is None or self._stem is None:
            sailing = self._vessel.speeds.along(tail, cross)
            sailing *= share
            return steer(self._watch, self._vessel, sailing, np.float32(motor_kn), tail, cross)
        along, across = flow.along[node], flow.across[node]
        sailing = self._stem.along(tail - along, cross - across, -across, share)
        speed, state = steer(self._watch, self._vessel, sailing, motor_along(motor_kn, across), tail, cross)
        return speed + along, state

    def _landfall(
        self,
        hour: int,
        speed: NDArray[np.float32],
        state: NDArray[np.uint8],
        east: NDArray[np.float32],
        north: NDArray[np.float32],
    ) -> None:
        """Note who gets in; at the end of the track a boat that finds it dark stands off until daylight, a day at
        most. Changes what the log is told of those who wait or are in.
        """
        to_go = self._length - self._distance
        near = (to_go <= np.maximum(speed, np.float32(0.0))).nonzero()[0]
        if len(near) == 0:
            return
        held_off = self._vessel.helm.stand_off and self._weather.dark_at_landfall(hour)
        waiting, coming = near[to_go[near] <= 0.0], near[to_go[near] > 0.0]
        arrived = np.isfinite(self._arrival_h[self._column[waiting]])
        staying = ~arrived & held_off & (self._waited[waiting] < LONGEST_WAIT_H)
        self._waited[waiting[staying]] += 1
        entering = waiting[~arrived & ~staying]
        self._arrival_h[self._column[entering]] = hour
        if not held_off:
            self._arrival_h[self._column[coming]] = hour + to_go[coming] / speed[coming]
        speed[waiting] = 0.0
        state[waiting[staying]] = STANDING_OFF
        ashore = waiting[~staying]
        state[ashore] = ARRIVED
        east[ashore] = north[ashore] = 0.0

    def _call_the_roll(self) -> None:
        furthest_nm = float(self._distance.max(initial=0.0)) + ROLL_CALL_H * NO_BOAT_KN
        self._near = furthest_nm >= self._track.length_nm
        at_sea = np.isinf(self._arrival_h[self._column])
        if at_sea.all():
            return
        self._column = self._at = self._column[at_sea]
        self._factor, self._distance = self._factor[at_sea], self._distance[at_sea]
        self._waited = self._waited[at_sea]
        self._watch = self._watch.of(at_sea)

    def _tell(self, progress: Callable[[float], None] | None) -> None:
        if progress is None:
            return
        members = len(self._arrival_h)
        miles = float(self._distance.sum()) + self._track.length_nm * (members - len(self._column))
        progress((self._block.start + miles / self._track.length_nm) / self._luck.members)


class _Log:
    """Rows written hour by hour in chunks, so that memory follows the slowest boat and no guess of her; what is not
    written says that she is in.
    """

    FIELDS: ClassVar[dict[str, type]] = {
        "distance_nm": np.float32,
        "speed_kn": np.float32,
        "wind_east_kn": np.float32,
        "wind_north_kn": np.float32,
        "state": np.uint8,
    }

    def __init__(self, members: int, length_nm: np.float32) -> None:
        self.members = members
        self._after = {"distance_nm": length_nm, "state": ARRIVED}
        self._chunks: dict[str, list[NDArray[Any]]] = {name: [] for name in self.FIELDS}
        self.hours = 0

    def write(self, at: slice | NDArray[np.intp], *values: NDArray[Any]) -> None:
        row = self.hours % CHUNK_H
        if row == 0:
            for name in self.FIELDS:
                self._chunks[name].append(self.empty(name, CHUNK_H))
        for chunks, value in zip(self._chunks.values(), values, strict=True):
            chunks[-1][row, at] = value
        self.hours += 1

    def empty(self, name: str, hours: int) -> NDArray[Any]:
        """Rows of boats that are in, (hours, members)."""
        shape = (hours, self.members)
        after = self._after.get(name)
        return np.zeros(shape, self.FIELDS[name]) if after is None else np.full(shape, after, self.FIELDS[name])

    def end(self, arrival_h: NDArray[np.float64]) -> None:
        """Rows after the last landfall are left out."""
        last_h = arrival_h.max()
        self.hours = int(last_h) + 1 if np.isfinite(last_h) else self.hours

    def pour(self, name: str, into: NDArray[Any]) -> None:
        """All rows of a field into (hours, members); the chunks are given up."""
        for number, chunk in enumerate(self._chunks.pop(name)):
            rows = into[number * CHUNK_H : (number + 1) * CHUNK_H]
            rows[:] = chunk[: len(rows)]


def _joined(logs: list[_Log], length_nm: np.float32) -> dict[str, NDArray[Any]]:
    """Every field of all blocks as (members, hours), hour by hour in memory."""
    hours, members = max(log.hours for log in logs), sum(log.members for log in logs)
    whole = _Log(members, length_nm)
    fields = {}
    for name in _Log.FIELDS:
        field = whole.empty(name, hours)
        start = 0
        for log in logs:
            log.pour(name, field[:, start : start + log.members])
            start += log.members
        fields[name] = field.T
    return fields
