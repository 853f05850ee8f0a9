"""Sail the crossings: hour by hour, every member at once, in blocks that fit the processor's cache."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np

from passage.crossings.ensemble import ARRIVED, STANDING_OFF, Crossings
from passage.crossings.helm import Vessel, Watch, steer
from passage.crossings.wind import CHUNK_H, Luck, slow_share
from passage.inputs.climate import TrackClimate, month_weights
from passage.sailings.sky import SUNRISE_DEG, sun_altitude_deg

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.sailings.track import Track

SLOWEST_MEAN_KN = 1.0  # a crossing that has not made good a knot on average is counted as never arriving
LONGEST_WAIT_H = 24
LEAST_PERFORMANCE = 0.2
BLOCK = 2048
_AIR, _SEA = 4, 5


def sail(
    track: Track,
    climate: TrackClimate,
    vessel: Vessel,
    depart: datetime,
    luck: Luck,
    progress: Callable[[float], None] | None = None,
) -> Crossings:
    """Sail every member of ``luck`` along the track, leaving at ``depart`` (UTC).

    Returns Crossings whose hours run until the last boat is in, or until a made-good speed of one knot on average
    would have brought her there. ``progress`` is told the share of the work done.
    """
    sky = _Sky(track, climate, depart)
    helm = vessel.helm
    performance = helm.performance_mean_share + helm.performance_sd_share * luck.performance_z
    performance = np.maximum(performance, LEAST_PERFORMANCE)
    blocks = [slice(start, min(start + BLOCK, luck.members)) for start in range(0, luck.members, BLOCK)]
    sailed = [_sail_block(track, sky, vessel, luck, performance, block, progress) for block in blocks]
    logs = [log for log, _ in sailed]
    hours = max(log.hours for log in logs)
    after = {"distance_nm": track.length_nm, "state": ARRIVED}
    return Crossings(
        depart=depart,
        track=track,
        seed=luck.seed,
        **{name: _joined(logs, name, hours, after.get(name, 0.0)) for name in _Log.FIELDS},
        arrival_h=np.concatenate([arrival for _, arrival in sailed]),
        performance=performance,
        air_by_hour_c=sky.column(_AIR, hours),
        sea_by_hour_c=sky.column(_SEA, hours),
    )


class _Sky:
    """What every member meets alike: the climate of each node, interpolated between mid-months hour by hour, and
    night.

    Rows are made in chunks of ten days when first asked for. A row of ``shared`` is (6, nodes): wind east, wind
    north, fast spread, slow spread (kn), air, sea (C); ``night`` is (nodes,).
    """

    def __init__(self, track: Track, climate: TrackClimate, depart: datetime) -> None:
        share = slow_share(track.lat_deg)
        fast, slow = climate.sigma_kn * np.sqrt(1.0 - share), climate.sigma_kn * np.sqrt(share)
        fields = (climate.wind_east_kn, climate.wind_north_kn, fast, slow, climate.air_c, climate.sea_c)
        self._months = np.stack(fields, axis=1).astype(np.float32)  # (12, 6, nodes)
        self._track = track
        self._depart = depart
        self._shared: list[NDArray[np.float32]] = []
        self._night: list[NDArray[np.bool_]] = []

    def shared(self, hour: int) -> NDArray[np.float32]:
        self._reach(hour)
        return self._shared[hour // CHUNK_H][hour % CHUNK_H]

    def night(self, hour: int) -> NDArray[np.bool_]:
        self._reach(hour)
        return self._night[hour // CHUNK_H][hour % CHUNK_H]

    def column(self, row: int, hours: int) -> NDArray[np.float32]:
        """One shared field over all hours, (hours, nodes)."""
        self._reach(max(hours - 1, 0))
        return np.concatenate([chunk[:, row] for chunk in self._shared])[:hours]

    def _reach(self, hour: int) -> None:
        while hour >= CHUNK_H * len(self._shared):
            start = self._depart + timedelta(hours=CHUNK_H * len(self._shared))
            hours = np.datetime64(start.replace(tzinfo=None), "s") + np.arange(CHUNK_H) * np.timedelta64(1, "h")
            first, second, weight = month_weights(hours)
            weight = weight.astype(np.float32)[:, None, None]
            self._shared.append((1 - weight) * self._months[first] + weight * self._months[second])
            middle = (hours + np.timedelta64(30, "m"))[:, None]
            altitude = sun_altitude_deg(middle, self._track.lat_deg[None, :], self._track.lon_deg[None, :])
            self._night.append(altitude < SUNRISE_DEG)


class _Landfall:
    """Who is in, and when: at the end of the track a boat that finds it dark stands off until daylight, a day at
    most."""

    def __init__(self, members: int, length_nm: float, stand_off: bool) -> None:
        self.arrival_h = np.full(members, np.inf)
        self._length = np.float32(length_nm)
        self._stand_off = stand_off
        self._waited = np.zeros(members, dtype=np.int16)

    def note(
        self, hour: int, dark: bool, distance: NDArray[np.float32], speed: NDArray[np.float32], state: NDArray[np.uint8]
    ) -> None:
        """One hour at the far end: note who gets in, hold those who wait or are in already (speed and state
        change).
        """
        there = np.isfinite(self.arrival_h)
        to_go = self._length - distance
        waiting = ~there & (to_go <= 0.0)
        stay = waiting & (self._waited < LONGEST_WAIT_H) if self._stand_off and dark else np.zeros_like(waiting)
        self._waited += stay
        entering = waiting & ~stay
        self.arrival_h[entering] = hour
        if not (self._stand_off and dark):
            now = ~there & ~waiting & (speed >= to_go)
            self.arrival_h[now] = hour + to_go[now] / speed[now]
        held = there | waiting
        speed[held] = 0.0
        state[there | entering] = ARRIVED
        state[stay] = STANDING_OFF


class _Log:
    """Rows written hour by hour in chunks, so that memory follows the slowest boat and no guess of her."""

    FIELDS: ClassVar[dict[str, type]] = {
        "distance_nm": np.float32,
        "speed_kn": np.float32,
        "wind_east_kn": np.float32,
        "wind_north_kn": np.float32,
        "state": np.uint8,
    }

    def __init__(self, members: int) -> None:
        self._members = members
        self._chunks: dict[str, list[NDArray[Any]]] = {name: [] for name in self.FIELDS}
        self.hours = 0

    def write(self, *values: NDArray[Any]) -> None:
        row = self.hours % CHUNK_H
        for (name, kind), value in zip(self.FIELDS.items(), values, strict=True):
            if row == 0:
                self._chunks[name].append(np.empty((CHUNK_H, self._members), dtype=kind))
            self._chunks[name][-1][row] = value
        self.hours += 1

    def column(self, name: str) -> NDArray[Any]:
        """All rows of a field, (hours, members); the chunks are given up."""
        return np.concatenate(self._chunks.pop(name))[: self.hours]


def _sail_block(
    track: Track,
    sky: _Sky,
    vessel: Vessel,
    luck: Luck,
    performance: NDArray[np.float64],
    block: slice,
    progress: Callable[[float], None] | None,
) -> tuple[_Log, NDArray[np.float64]]:
    members = block.stop - block.start
    factor = performance[block].astype(np.float32)
    course = np.radians(track.course_deg)
    sine, cosine = np.sin(course).astype(np.float32), np.cos(course).astype(np.float32)
    last, per_nm = track.nodes - 1, np.float32(1.0 / track.spacing_nm)
    distance, watch, log = np.zeros(members, dtype=np.float32), Watch.begin(members, vessel), _Log(members)
    landfall = _Landfall(members, track.length_nm, vessel.helm.stand_off)
    for hour in range(int(np.ceil(track.length_nm / SLOWEST_MEAN_KN)) + LONGEST_WAIT_H):
        node = np.minimum((distance * per_nm + np.float32(0.5)).astype(np.intp), last)
        east, north = _wind(sky.shared(hour), luck.hour(hour)[:, block], node)
        tailwind = east * sine[node] + north * cosine[node]
        crosswind = east * cosine[node] - north * sine[node]
        wind = np.hypot(east, north)
        angle = np.degrees(np.arctan2(np.abs(crosswind), -tailwind))
        sail_speed = vessel.speeds.along(wind, angle) * factor
        night = sky.night(hour)
        sail_speed *= np.where(night[node], np.float32(vessel.helm.night_speed_share), np.float32(1.0))
        speed, state = steer(watch, vessel, sail_speed, wind, tailwind)
        landfall.note(hour, bool(night[last]), distance, speed, state)
        log.write(distance, speed, east, north, state)
        distance = np.clip(distance + speed, np.float32(0.0), np.float32(track.length_nm))
        if progress is not None and hour % 24 == 0:
            progress((block.start + members * float(distance.mean()) / track.length_nm) / luck.members)
        if np.isfinite(landfall.arrival_h).all():
            break
    return log, landfall.arrival_h


def _wind(
    shared: NDArray[np.float32], deviation: NDArray[np.float32], node: NDArray[np.intp]
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Hourly mean wind towards east and north (kn), (members,) each."""
    east, north, fast, slow = np.take(shared[:4], node, axis=1)
    fast_east, fast_north, slow_east, slow_north = deviation
    return east + fast * fast_east + slow * slow_east, north + fast * fast_north + slow * slow_north


def _joined(logs: list[_Log], name: str, hours: int, after: float) -> NDArray[Any]:
    """A field of all blocks as (members, hours), filled up with what holds after arrival."""
    rows = [log.column(name) for log in logs]
    if len(rows) == 1:
        return rows[0].T
    joined = np.full((hours, sum(row.shape[1] for row in rows)), after, dtype=rows[0].dtype)
    start = 0
    for row in rows:
        joined[: len(row), start : start + row.shape[1]] = row
        start += row.shape[1]
    return joined.T
