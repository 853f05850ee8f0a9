"""Sail the crossings: hour by hour, every member at once, in blocks that a processor is quick with."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np

from passage.crossings.current import stem, stem_gently, stemmers_of
from passage.crossings.ensemble import ARRIVED, AT_ANCHOR, STANDING_OFF, Crossings
from passage.crossings.helm import AtHelm, steer
from passage.crossings.lanes import Lane, Waters, lane_of
from passage.crossings.speed import Hulls
from passage.crossings.weather import STILL

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.crossings.ground import Ground
    from passage.crossings.helm import Refit, Vessel
    from passage.crossings.wind import Luck
    from passage.inputs.boat import Helm
    from passage.sailings.track import Track

SLOWEST_MEAN_KN = 1.0  # a crossing that has not made good a knot on average is counted as never arriving
LONGEST_WAIT_H = 24
BLOCK = 8000  # boats of one lane, whole fleets: an hour costs them less than twice what it costs 2,000
ABREAST = 6000  # boats of several lanes: up to there the hours cost more than the boats
LOGGED_H = 10_000_000  # of all boats abreast together, at 17 bytes an hour
ROLL_CALL_H = 12  # how often boats that are in are left out of the work
USUAL_KN = 5.0  # through the water before she has sailed an hour, to lay off by
NO_BOAT_KN = 25.0  # faster than which none is carried along, whatever the current


def sail(ground: Ground, depart: datetime, luck: Luck, progress: Callable[[float], None] | None = None) -> Crossings:
    """Sail every member of ``luck`` along the ground's track, leaving at ``depart`` (UTC).

    Returns Crossings whose hours run until the last boat is in, or until a made-good speed of one knot on average
    would have brought her there. ``progress`` is told the share of the work done. A forecast counts where the
    departure lies within it (``forecast.serves``). Raises RouteRefused where the current wins in the mean.
    """
    return sail_lanes([lane_of(ground, depart, luck)], progress)[0]


def sail_lanes(lanes: Sequence[Lane], progress: Callable[[float], None] | None = None) -> list[Crossings]:
    """The crossings of every lane, as ``sail`` would find them.

    Lanes of one set of rules are sailed side by side, for an hour's work costs a small fleet as much as a large one.
    """
    found: dict[int, Crossings] = {}
    for numbers in _abreast(lanes):
        found.update(zip(numbers, _logged([lanes[number] for number in numbers], progress), strict=True))
    return [found[number] for number in range(len(lanes))]


def arrivals_h(lanes: Sequence[Lane]) -> list[NDArray[np.float64]]:
    """Hours to landfall of every member of every lane, as ``sail_lanes`` would find them; nothing else is kept."""
    found: dict[int, NDArray[np.float64]] = {}
    for numbers in _abreast(lanes):
        abreast = [lanes[number] for number in numbers]
        found.update(zip(numbers, _by_lane(_Fleet(abreast).sail(), abreast), strict=True))
    return [found[number] for number in range(len(lanes))]


def _by_lane(boats: NDArray[Any], lanes: Sequence[Lane]) -> list[NDArray[Any]]:
    """Of an array whose first axis is the boats of all lanes, each lane's own."""
    return np.split(boats, np.cumsum([lane.luck.members for lane in lanes])[:-1])


def _logged(lanes: Sequence[Lane], progress: Callable[[float], None] | None) -> list[Crossings]:
    """The crossings of lanes abreast: a lane alone block by block, several as one block."""
    log, members = _Log(lanes), sum(lane.luck.members for lane in lanes)
    size = BLOCK if len(lanes) == 1 else members
    arrived = []
    for first in range(0, members, size):
        block = slice(first, min(first + size, members))
        abreast = [lanes[0].part(block)] if len(lanes) == 1 else lanes
        arrived.append(_Fleet(abreast, log, block).sail(_telling(progress, block, members)))
    fields = {name: _by_lane(field, lanes) for name, field in log.closed().items()}
    arrivals = _by_lane(np.concatenate(arrived), lanes)
    return [
        _crossings(lane, arrivals[at], {name: field[at] for name, field in fields.items()})
        for at, lane in enumerate(lanes)
    ]


def _crossings(lane: Lane, arrival_h: NDArray[np.float64], fields: dict[str, NDArray[Any]]) -> Crossings:
    """fields: (members, hours) at least as long as this lane's own."""
    last_h = arrival_h.max()
    hours = int(last_h) + 1 if np.isfinite(last_h) else _lane_given_up_h(lane)
    return Crossings(
        depart=lane.depart,
        track=lane.track,
        seed=lane.luck.seed,
        **{name: field[:, :hours] for name, field in fields.items()},
        arrival_h=arrival_h,
        performance=lane.performance,
        **lane.weather.warmth(hours),
    )


def _abreast(lanes: Sequence[Lane]) -> Iterator[list[int]]:
    """Numbers of lanes to be sailed side by side, as many at a time as are worth it, short ways with short ones."""
    alike: dict[tuple[object, ...], list[int]] = {}
    for number in sorted(range(len(lanes)), key=lambda number: lanes[number].track.length_nm):
        alike.setdefault(_sailed_alike(lanes[number]), []).append(number)
    for numbers in alike.values():
        first, members = 0, 0
        for at, number in enumerate(numbers):
            members += lanes[number].luck.members
            if members >= most_abreast(lanes[number].track):
                yield numbers[first : at + 1]
                first, members = at + 1, 0
        if first < len(numbers):
            yield numbers[first:]


def most_abreast(track: Track) -> int:
    """How many boats of several lanes are worth sailing side by side over such a length, their log still small."""
    return min(ABREAST, LOGGED_H // given_up_h(track))


def _sailed_alike(lane: Lane) -> tuple[object, ...]:
    """What must be the same of lanes side by side: whether the water moves and the set is hard to stem, the crew's
    rules, and the hours in which they change.
    """
    rules = {id(vessel): _rules(vessel) for vessel in lane.vessels}
    kept = [(0, rules[id(lane.vessel)])]
    for refit in lane.refits:
        if rules[id(refit.vessel)] == kept[-1][1]:
            continue
        if refit.who is not None:
            raise ValueError("members of one lane keep the same rules")
        kept.append((refit.hour, rules[id(refit.vessel)]))
    return (lane.moving, lane.hard_to_stem, *kept)


def _rules(vessel: Vessel) -> Helm:
    """Without the speed that starts the engine, which every boat has her own of, and what the weather's table holds."""
    return vessel.helm.model_copy(update={"engine_below_kn": 0.0, "first_days_h": 0.0})


def _telling(progress: Callable[[float], None] | None, block: slice, members: int) -> Callable[[float], None] | None:
    """Progress within a block as progress within the whole."""
    if progress is None:
        return None
    return lambda share: progress((block.start + share * (block.stop - block.start)) / members)


class _Fleet:
    """The boats of one or more lanes that are still at sea. Arrays are (boats,); boats that are in drop out at the
    roll call.
    """

    def __init__(self, lanes: Sequence[Lane], log: _Log | None = None, block: slice = slice(None)) -> None:
        self._waters = Waters(lanes)
        self._lanes = lanes
        self._sizes, members = self._waters.sizes, sum(self._waters.sizes)
        self._rules = lanes[0].vessel.helm
        self._moving, self._stirred = lanes[0].moving, any(lane.weather.stirred for lane in lanes)
        hulls = [vessel.speeds for lane in lanes for vessel in lane.vessels]
        self._hulls = Hulls(hulls)
        self._stemmers = stemmers_of(hulls) if lanes[0].hard_to_stem else None
        self._arrival_h = np.full(members, np.inf)
        self._column = np.arange(members)  # in the log
        self._at: slice | NDArray[np.intp] = slice(None)  # the same, quicker while all are at sea
        self._lane = np.repeat(np.arange(len(lanes)), self._sizes)
        self._length = self._of_lane([lane.track.length_nm for lane in lanes])
        self._given_up_h = np.repeat([_lane_given_up_h(lane) for lane in lanes], self._sizes)
        self._factor = np.concatenate([lane.performance for lane in lanes]).astype(np.float32)
        self._distance = np.zeros(members, dtype=np.float32)
        self._through = np.full(members, USUAL_KN, dtype=np.float32)  # the water, an hour ago
        self._waited = np.zeros(members, dtype=np.int16)
        self._hull = np.repeat([self._hulls.number(lane.vessel.speeds) for lane in lanes], self._sizes)
        self._motor_kn = self._of_lane([lane.vessel.motor_speed_kn for lane in lanes])
        self._motor_hours = self._of_lane([lane.vessel.motor_hours for lane in lanes])
        engine_below_kn = self._of_lane([lane.vessel.helm.engine_below_kn for lane in lanes])
        self._watch = AtHelm.begin(self._motor_hours, engine_below_kn)
        self._stops = _Stops.of([lane.track for lane in lanes], self._lane)
        self._near = True  # whether anybody may be in before the next roll call
        self._log, self._block = log, block  # which columns of the log are theirs

    def _of_lane(self, values: list[float]) -> NDArray[np.float32]:
        """One value for each lane as one for each boat."""
        return np.repeat(np.array(values, dtype=np.float32), self._sizes)

    def sail(self, progress: Callable[[float], None] | None = None) -> NDArray[np.float64]:
        """Hours to landfall by member; writes the log."""
        given_up_h = self._given_up_h
        refits = defaultdict(list)
        for number, lane in enumerate(self._lanes):
            for refit in lane.refits:
                refits[refit.hour].append((number, refit))
        for hour in range(int(given_up_h.max())):
            if hour % ROLL_CALL_H == 0:
                self._call_the_roll(hour)
                self._tell(progress)
            if len(self._column) == 0:
                break
            for number, refit in refits.get(hour, ()):
                self._refit(number, refit)
            self._hour(hour)
        self._arrival_h[self._arrival_h > given_up_h] = np.inf
        if self._log is not None:
            self._log.end(self._block, self._arrival_h)
        return self._arrival_h

    def _refit(self, number: int, refit: Refit) -> None:
        """Hours motored until now are motored, whatever the new vessel may motor in all."""
        watch, vessel, boats = self._watch, refit.vessel, self._boats(number, refit)
        motor_hours = np.float32(vessel.motor_hours)
        watch.motor_left_h[boats] += motor_hours - self._motor_hours[boats]
        watch.engine_below_kn[boats] = vessel.helm.engine_below_kn
        watch.motors |= vessel.motor_hours > 0.0
        self._motor_hours[boats] = motor_hours
        self._motor_kn[boats] = vessel.motor_speed_kn
        self._hull[boats] = self._hulls.number(vessel.speeds)
        self._rules = vessel.helm

    def _boats(self, number: int, refit: Refit) -> NDArray[np.intp]:
        """Where those of a lane whom the refit is of, and who are still at sea, now stand in the arrays."""
        place: NDArray[np.intp] = (self._lane == number).nonzero()[0]
        if refit.who is None:
            return place
        wanted = refit.who + sum(self._sizes[:number])
        place = np.searchsorted(self._column, wanted)
        still: NDArray[np.bool_] = self._column.take(place, mode="clip") == wanted
        return np.asarray(place[still])

    def _hour(self, hour: int) -> None:
        """One hour at sea, from the wind to the log."""
        waters = self._waters
        node = waters.node(self._distance, self._lane)
        table = waters.table(hour, node, self._lane, self._column)
        east, north, fast, slow, sine, cosine, day_share = table[:STILL]
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
        motor_left_h = self._watch.motor_left_h.copy() if self._stops else self._watch.motor_left_h
        speed, state = self._steered(hour, table[STILL:], tail, cross, day_share)
        if self._stops is not None:
            lying = self._stops.lie(self._distance, speed, state, east, north)
            self._watch.motor_left_h[lying] = motor_left_h[lying]
        if self._near:
            self._landfall(hour, speed, state, east, north)
        if self._log is not None:
            self._log.write(hour, self._block, self._at, (self._distance, speed, east, north, state))
        self._distance += speed
        np.maximum(self._distance, np.float32(0.0), out=self._distance)
        np.minimum(self._distance, self._length, out=self._distance)

    def _steered(
        self,
        hour: int,
        water: NDArray[np.float32],
        tail: NDArray[np.float32],
        cross: NDArray[np.float32],
        share: NDArray[np.float32],
    ) -> tuple[NDArray[np.float32], NDArray[np.uint8]]:
        """Speed made good along the track and state, from the water's rows, the wind's parts and the share of her
        polar's speed.
        """
        if not self._moving:
            sailing = self._hulls.along(tail, cross, self._hull)
            sailing *= share
            return steer(self._watch, self._rules, sailing, self._motor_kn, tail, cross)
        along, across, eddy = water
        if self._stirred:
            stray_along, stray_across = self._waters.eddy(hour, self._at)
            along += eddy * stray_along
            across += eddy * stray_across
        felt = tail - along, cross - across
        if self._stemmers is None:
            sailing = stem_gently(self._hulls, *felt, -across, share, self._hull, self._through)
        else:
            sailing = stem(self._stemmers, *felt, -across, share, self._hull)
        speed, state = steer(self._watch, self._rules, sailing, self._motor_kn, tail, cross, across)
        speed += along
        return speed, state

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
        held_off = self._rules.stand_off & self._waters.dark_at_landfall(hour)[self._lane[near]]
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
        self._through = self._through[at_sea]
        self._waited, self._hull, self._motor_kn = self._waited[at_sea], self._hull[at_sea], self._motor_kn[at_sea]
        self._motor_hours = self._motor_hours[at_sea]
        self._watch = self._watch.of(at_sea)
        self._stops = self._stops and self._stops.only(at_sea)
        self._waters.only(np.unique(self._lane))

    def _tell(self, progress: Callable[[float], None] | None) -> None:
        if progress is not None:
            members = len(self._arrival_h)
            progress((float((self._distance / self._length).sum()) + members - len(self._column)) / members)


def given_up_h(track: Track) -> int:
    return int(np.ceil(track.length_nm / SLOWEST_MEAN_KN + track.stop_h)) + LONGEST_WAIT_H


def _lane_given_up_h(lane: Lane) -> int:
    return max(given_up_h(lane.track), lane.least_h)


class _Stops:
    """Calls on the way. Every boat lies where her track says for as many whole hours as it says, whatever the hour of
    her coming, in no wind, and then sails on. coming: number of her next stop, (boats,); left_h: hours still to lie.
    """

    def __init__(self, at_nm: NDArray[np.float32], hours: NDArray[np.int32], lane: NDArray[np.intp]) -> None:
        self._at_nm, self._hours, self._lane = at_nm, hours, lane
        self._coming = np.zeros(len(lane), dtype=np.intp)
        self._left_h = np.zeros(len(lane), dtype=np.int32)

    @classmethod
    def of(cls, tracks: Sequence[Track], lane: NDArray[np.intp]) -> _Stops | None:
        """None where no track has any. Tables (tracks, stops and an endless one behind them)."""
        most = max(len(track.stops) for track in tracks)
        if most == 0:
            return None
        at_nm = np.full((len(tracks), most + 1), np.inf, dtype=np.float32)
        hours = np.zeros((len(tracks), most + 1), dtype=np.int32)
        for row, track in enumerate(tracks):
            for number, stop in enumerate(track.stops):
                at_nm[row, number], hours[row, number] = stop.distance_nm, round(stop.hours)
        return cls(at_nm, hours, lane)

    def only(self, who: NDArray[np.bool_]) -> _Stops:
        """Of the boats that are still at sea."""
        left = _Stops(self._at_nm, self._hours, self._lane[who])
        left._coming, left._left_h = self._coming[who], self._left_h[who]
        return left

    def lie(
        self,
        distance: NDArray[np.float32],
        speed: NDArray[np.float32],
        state: NDArray[np.uint8],
        east: NDArray[np.float32],
        north: NDArray[np.float32],
    ) -> NDArray[np.bool_]:
        """Changes what this hour is told of those who lie, and how far those get who come. Returns who lies."""
        lying = self._left_h > 0
        for field in (speed, east, north):
            field[lying] = 0.0
        state[lying] = AT_ANCHOR
        self._left_h[lying] -= 1
        to_stop = self._at_nm[self._lane, self._coming] - distance
        comes = ~lying & (speed >= to_stop)
        speed[comes] = to_stop[comes]
        self._left_h[comes] = self._hours[self._lane[comes], self._coming[comes]]
        self._coming[comes] += 1
        return lying


class _Log:
    """Rows written hour by hour, (hours, boats) a field, with room until the last is given up: what is never written
    takes no memory. What is not written of a row says that she is in.
    """

    FIELDS: ClassVar[dict[str, type]] = {
        "distance_nm": np.float32,
        "speed_kn": np.float32,
        "wind_east_kn": np.float32,
        "wind_north_kn": np.float32,
        "state": np.uint8,
    }

    def __init__(self, lanes: Sequence[Lane]) -> None:
        lengths = [np.full(lane.luck.members, lane.track.length_nm, np.float32) for lane in lanes]
        self._length_nm = np.concatenate(lengths)
        most_h = max(_lane_given_up_h(lane) for lane in lanes)
        self._fields: dict[str, NDArray[Any]] = {
            name: np.empty((most_h, len(self._length_nm)), kind) for name, kind in self.FIELDS.items()
        }
        self._written: list[tuple[slice, int]] = []  # hours of each block
        self._sailed_h = 0  # by the block that is at it

    def write(self, hour: int, block: slice, at: slice | NDArray[np.intp], values: tuple[NDArray[Any], ...]) -> None:
        """An hour of the boats in the columns ``block``, where they stand among these."""
        for (name, field), value in zip(self._fields.items(), values, strict=True):
            row = field[hour, block]
            if not isinstance(at, slice):
                row[:] = self._in_port(name, block)
            row[at] = value
        self._sailed_h = hour + 1

    def end(self, block: slice, arrival_h: NDArray[np.float64]) -> None:
        """Rows after the last landfall are left out."""
        last_h = arrival_h.max()
        self._written.append((block, int(last_h) + 1 if np.isfinite(last_h) else self._sailed_h))

    def closed(self) -> dict[str, NDArray[Any]]:
        """Every field as (boats, hours), hour by hour in memory; no more is written."""
        hours = max(written_h for _, written_h in self._written)
        for name, field in self._fields.items():
            for block, written_h in self._written:
                field[written_h:hours, block] = self._in_port(name, block)
            field.resize((hours, len(self._length_nm)), refcheck=False)  # nobody else has seen it yet
        return {name: field.T for name, field in self._fields.items()}

    def _in_port(self, name: str, block: slice) -> Any:
        after: dict[str, Any] = {"distance_nm": self._length_nm[block], "state": ARRIVED}
        return after.get(name, 0)
