"""Sail the crossings: hour by hour, every member at once, in blocks that fit the processor's cache."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np

from passage.crossings.current import Stemmer, motor_along
from passage.crossings.ensemble import ARRIVED, STANDING_OFF, Crossings
from passage.crossings.helm import Refit, Vessel, Watch, steer
from passage.crossings.lanes import Lane, Waters, lane_of
from passage.crossings.wind import CHUNK_H, Luck

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.inputs.boat import Helm
    from passage.inputs.climate import TrackClimate
    from passage.inputs.current import TrackCurrent
    from passage.inputs.forecast import TrackForecast
    from passage.sailings.track import Track

SLOWEST_MEAN_KN = 1.0  # a crossing that has not made good a knot on average is counted as never arriving
LONGEST_WAIT_H = 24
BLOCK = 2048  # boats whose arrays fit the processor's cache
ABREAST = 6000  # boats of several lanes: there the hours cost more than the boats
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
    refit: Refit | None = None,
) -> Crossings:
    """Sail every member of ``luck`` along the track, leaving at ``depart`` (UTC).

    Returns Crossings whose hours run until the last boat is in, or until a made-good speed of one knot on average
    would have brought her there. ``progress`` is told the share of the work done. A forecast counts where the
    departure lies within it (``forecast.serves``). ``refit``: what she becomes on the way, every boat where she then
    is. Raises RouteRefused where the current wins in the mean.
    """
    lane = lane_of(track, climate, vessel, depart, luck, current, forecast)
    blocks = [slice(start, min(start + BLOCK, luck.members)) for start in range(0, luck.members, BLOCK)]
    logs = [_Log(block.stop - block.start, np.float32(track.length_nm)) for block in blocks]
    sailed = [
        _Fleet([lane], block, log, refit).sail(_telling(progress, block, luck.members))
        for block, log in zip(blocks, logs, strict=True)
    ]
    fields = _joined(logs, np.float32(track.length_nm))
    air, sea = lane.weather.warmth(fields["state"].shape[1])
    return Crossings(
        depart=depart,
        track=track,
        seed=luck.seed,
        **fields,
        arrival_h=np.concatenate(sailed),
        performance=lane.performance,
        air_by_hour_c=air,
        sea_by_hour_c=sea,
    )


def arrivals_h(lanes: Sequence[Lane]) -> list[NDArray[np.float64]]:
    """Hours to landfall of every member of every lane, as ``sail`` would find them; nothing else is kept.

    Lanes of one speed table and helm are sailed side by side, for an hour's work costs a small fleet as much as a
    large one.
    """
    found: dict[int, NDArray[np.float64]] = {}
    for abreast in _abreast(lanes):
        whole = slice(0, max(lanes[number].luck.members for number in abreast))
        arrival_h = _Fleet([lanes[number] for number in abreast], whole).sail()
        ends = np.cumsum([lanes[number].luck.members for number in abreast])[:-1]
        found.update(zip(abreast, np.split(arrival_h, ends), strict=True))
    return [found[number] for number in range(len(lanes))]


def _abreast(lanes: Sequence[Lane]) -> Iterator[list[int]]:
    """Numbers of lanes that are sailed by one rule, as many at a time as are worth it, short ways with short ones."""
    alike: dict[tuple[int, Helm, bool], list[int]] = {}
    for number in sorted(range(len(lanes)), key=lambda number: lanes[number].track.length_nm):
        lane = lanes[number]
        alike.setdefault((id(lane.vessel.speeds), lane.vessel.helm, lane.moving), []).append(number)
    for numbers in alike.values():
        first, members = 0, 0
        for at, number in enumerate(numbers):
            members += lanes[number].luck.members
            if members >= ABREAST:
                yield numbers[first : at + 1]
                first, members = at + 1, 0
        if first < len(numbers):
            yield numbers[first:]


def _telling(progress: Callable[[float], None] | None, block: slice, members: int) -> Callable[[float], None] | None:
    """Progress within a block as progress within the whole."""
    if progress is None:
        return None
    return lambda share: progress((block.start + share * (block.stop - block.start)) / members)


class _Fleet:
    """The boats of one or more lanes that are still at sea. Arrays are (boats,); boats that are in drop out at the
    roll call.
    """

    def __init__(
        self, lanes: Sequence[Lane], block: slice, log: _Log | None = None, refit: Refit | None = None
    ) -> None:
        self._waters = Waters(lanes, block)
        sizes, members = self._waters.sizes, sum(self._waters.sizes)
        self._vessel = replace(lanes[0].vessel, motor_hours=max(lane.vessel.motor_hours for lane in lanes))
        self._stem = Stemmer(self._vessel.speeds) if lanes[0].moving else None
        self._log = log
        self._refit = refit
        self._arrival_h = np.full(members, np.inf)
        self._column = np.arange(members)  # in the log
        self._at: slice | NDArray[np.intp] = slice(None)  # the same, quicker while all are at sea
        self._lane = np.repeat(np.arange(len(lanes)), sizes)
        self._length = np.repeat(np.array([lane.track.length_nm for lane in lanes], dtype=np.float32), sizes)
        self._given_up_h = np.repeat([_given_up_h(lane.track) for lane in lanes], sizes)
        self._factor = np.concatenate([lane.performance[block] for lane in lanes]).astype(np.float32)
        self._distance = np.zeros(members, dtype=np.float32)
        self._waited = np.zeros(members, dtype=np.int16)
        motor_hours = np.repeat(np.array([lane.vessel.motor_hours for lane in lanes], dtype=np.float32), sizes)
        self._watch = Watch.begin(motor_hours)
        self._near = True  # whether anybody may be in before the next roll call

    def sail(self, progress: Callable[[float], None] | None = None) -> NDArray[np.float64]:
        """Hours to landfall by member; writes the log."""
        given_up_h = self._given_up_h
        for hour in range(int(given_up_h.max())):
            if hour % ROLL_CALL_H == 0:
                self._call_the_roll(hour)
                self._tell(progress)
            if len(self._column) == 0:
                break
            if self._refit is not None and hour == self._refit.hour:
                self._become(self._refit.vessel)
            self._hour(hour)
        self._arrival_h[self._arrival_h > given_up_h] = np.inf
        if self._log is not None:
            self._log.end(self._arrival_h)
        return self._arrival_h

    def _become(self, vessel: Vessel) -> None:
        """Hours motored until now are motored, whatever the new vessel may motor in all."""
        self._watch.motor_left_h += np.float32(vessel.motor_hours - self._vessel.motor_hours)
        self._vessel = vessel
        if self._stem is not None:
            self._stem = Stemmer(vessel.speeds)

    def _hour(self, hour: int) -> None:
        """One hour at sea, from the wind to the log."""
        waters = self._waters
        node = waters.node(self._distance, self._lane)
        east, north, fast, slow, sine, cosine, day_share = waters.table(hour, node, self._lane, self._column)
        (fast_east, fast_north), (slow_east, slow_north) = waters.deviation(hour, self._at)
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
        if self._log is not None:
            self._log.write(self._at, self._distance, speed, east, north, state)
        self._distance += speed
        np.maximum(self._distance, np.float32(0.0), out=self._distance)
        np.minimum(self._distance, self._length, out=self._distance)

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
        if self._stem is None:
            sailing = self._vessel.speeds.along(tail, cross)
            sailing *= share
            return steer(self._watch, self._vessel, sailing, np.float32(motor_kn), tail, cross)
        along, across = self._waters.flow(hour, node, self._lane)
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
        held_off = self._vessel.helm.stand_off & self._waters.dark_at_landfall(hour)[self._lane[near]]
        there = to_go[near] <= 0.0
        waiting, coming = near[there], near[~there & ~held_off]
        arrived = np.isfinite(self._arrival_h[self._column[waiting]])
        staying = ~arrived & held_off[there] & (self._waited[waiting] < LONGEST_WAIT_H)
        self._waited[waiting[staying]] += 1
        self._arrival_h[self._column[waiting[~arrived & ~staying]]] = hour
        self._arrival_h[self._column[coming]] = hour + to_go[coming] / speed[coming]
        speed[waiting] = 0.0
        state[waiting[staying]] = STANDING_OFF
        ashore = waiting[~staying]
        state[ashore] = ARRIVED
        east[ashore] = north[ashore] = 0.0

    def _call_the_roll(self, hour: int) -> None:
        to_go_nm = float((self._length - self._distance).min(initial=np.inf))
        self._near = to_go_nm <= ROLL_CALL_H * NO_BOAT_KN
        at_sea = np.isinf(self._arrival_h[self._column]) & (self._given_up_h[self._column] > hour)
        if at_sea.all():
            return
        self._column = self._at = self._column[at_sea]
        self._lane, self._length = self._lane[at_sea], self._length[at_sea]
        self._factor, self._distance = self._factor[at_sea], self._distance[at_sea]
        self._waited = self._waited[at_sea]
        self._watch = self._watch.of(at_sea)
        self._waters.only(np.unique(self._lane))

    def _tell(self, progress: Callable[[float], None] | None) -> None:
        if progress is not None:
            members = len(self._arrival_h)
            progress((float((self._distance / self._length).sum()) + members - len(self._column)) / members)


def _given_up_h(track: Track) -> int:
    return int(np.ceil(track.length_nm / SLOWEST_MEAN_KN)) + LONGEST_WAIT_H


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
