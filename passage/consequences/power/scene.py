"""What the electrics see of the boat: where she is, what she does and what the sky does there, hour by hour.

Arrays run (hour, member), which is how the crossings lie in memory; what all members share is (hour, place), a place
being a stretch of the track some thirty miles long.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.consequences.power.cloud import covered_loss, deviates, transmittance_high, transmittance_low
from passage.consequences.power.sun import RISEN_ALTITUDE_DEG, clear_sky_w_m2, linke_turbidity, sun_at
from passage.crossings.ensemble import ARRIVED, AT_ANCHOR, DAY_H, blocks
from passage.errors import OutOfRange
from passage.inputs.months import month_weights
from passage.positions import format_position
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterator
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.consequences.power.cloud import Case
    from passage.consequences.power.sun import Sun
    from passage.crossings.ensemble import Crossings
    from passage.inputs.climate import TrackClimate

    Floats32 = NDArray[np.float32]
    Places = NDArray[np.intp]

BY_BOAT = ("run_nm", "state", "wind_east_kn", "wind_north_kn", "speed_kn")  # of a scene, (hour, member) each
SKY_H = 240
PLACE_NM = 30.0  # the sun is two minutes of time early or late over a place's length
MILD_C = 20.0  # for panels where the climate file gives no air temperature


@dataclass(frozen=True)
class Scene:
    """Boats and sky. run_nm, state, wind (towards east and north, kn) and speed_kn: (hour, member); ends_h: landfall,
    hours from ``start``, (member,); place_of_node: the place in which each node of her track lies. lat, lon, course:
    (places,); cloud (12, places), 0-1; air_c (hour, places). first: number of the first member.
    """

    start: np.datetime64
    seed: int
    run_nm: Floats32
    state: NDArray[np.uint8]
    wind_east_kn: Floats32
    wind_north_kn: Floats32
    speed_kn: Floats32
    ends_h: NDArray[np.float64]
    spacing_nm: float
    place_of_node: Places
    lat_deg: NDArray[np.float64]
    lon_deg: NDArray[np.float64]
    course_deg: NDArray[np.float64]
    cloud: NDArray[np.float64]
    air_c: Floats32
    first: int = 0

    @property
    def hours(self) -> int:
        return int(self.run_nm.shape[0])

    @property
    def members(self) -> int:
        return int(self.run_nm.shape[1])

    def in_blocks(self) -> Iterator[tuple[slice, Scene]]:
        """A few hundred boats at a time under the same sky, and which they are."""
        sky = self.sky
        for who in blocks(self.members, self.hours):
            parts: dict[str, Any] = {name: getattr(self, name)[:, who] for name in BY_BOAT}
            part = replace(self, **parts, ends_h=self.ends_h[who], first=self.first + who.start)
            part.__dict__["sky"] = sky  # laid once for all of them
            yield who, part

    def placed(self, run_nm: Floats32) -> Places:
        """The places of boats that have run so far."""
        node = (run_nm / np.float32(self.spacing_nm) + np.float32(0.5)).astype(np.intp)
        return np.asarray(self.place_of_node.take(node, mode="clip"))

    @cached_property
    def place(self) -> Places:
        """Where each boat is, (hour, member)."""
        return self.placed(self.run_nm)

    @cached_property
    def at_sea(self) -> Floats32:
        """The share of the hour before landfall, 0 to 1, (hour, member)."""
        return np.clip(self.ends_h - np.arange(self.hours)[:, None], 0.0, 1.0).astype(np.float32)

    @property
    def middles(self) -> NDArray[np.datetime64]:
        """The middle of every hour, UTC, (hours,)."""
        return self.start + np.arange(self.hours) * np.timedelta64(60, "m") + np.timedelta64(30, "m")

    @property
    def under_way(self) -> NDArray[np.bool_]:
        """Boats not yet in, (hour, member)."""
        return np.asarray(self.state < ARRIVED)

    @cached_property
    def sky(self) -> Sky:
        return _sky_over(self)

    @cached_property
    def deviate(self) -> Floats32:
        """Luck with the cloud, (hour, member)."""
        return deviates(self.seed, self.members, self.hours, self.first)

    @cached_property
    def harvests(self) -> dict[Hashable, Floats32]:
        """What panels were found to catch, (hour, member) each."""
        return {}

    def here(self, by_place: NDArray[np.float32], hours: slice = slice(None)) -> Floats32:
        """A shared table (hour, place) as every member meets it in these hours, (hours, member)."""
        table = by_place[hours]
        flat = self.place[hours] + np.arange(table.shape[0])[:, None] * table.shape[1]
        return np.asarray(np.take(table.reshape(-1), flat))

    def solar_hour(self) -> Floats32:
        """Ship's solar time in the middle of every hour, 0 to 24, (hour, place)."""
        midnight = self.start.astype("datetime64[D]")
        utc_h = (self.middles - midnight) / np.timedelta64(1, "h")
        return np.asarray((utc_h[:, None] + self.lon_deg / 15.0) % 24.0, dtype=np.float32)


@dataclass(frozen=True)
class Sky:
    """What all members share, each (hour, place): the sun from the boat's own axes (unit vector ahead, to starboard,
    up), the clear sky's sun on a level surface and the sun outside the air (W/m2), mean cloud, and what a wholly
    covered hour loses of it in the high and in the low case.
    """

    ahead: Floats32
    starboard: Floats32
    up: Floats32
    clear_w_m2: Floats32
    outside_w_m2: Floats32
    cloud: Floats32
    loss: dict[Case, Floats32]
    night: NDArray[np.bool_]


def scene_under_way(crossings: Crossings, climate: TrackClimate) -> Scene:
    """The crossings as the electrics see them; OutOfRange where the climate knows no cloud anywhere on the track."""
    track = crossings.track
    step = max(1, round(PLACE_NM / track.spacing_nm))
    nodes = np.arange(0, track.nodes, step)
    return Scene(
        start=_utc(crossings.depart),
        seed=crossings.seed,
        run_nm=crossings.distance_nm.T,
        state=crossings.state.T,
        wind_east_kn=crossings.wind_east_kn.T,
        wind_north_kn=crossings.wind_north_kn.T,
        speed_kn=crossings.speed_kn.T,
        ends_h=crossings.arrival_h,
        spacing_nm=track.spacing_nm,
        place_of_node=np.minimum((np.arange(track.nodes) + step // 2) // step, len(nodes) - 1),
        lat_deg=track.lat_deg[nodes],
        lon_deg=track.lon_deg[nodes],
        course_deg=track.course_deg[nodes],
        cloud=_known_along(climate.cloud)[:, nodes],
        air_c=np.nan_to_num(crossings.air_by_day_c[:, nodes], nan=MILD_C).repeat(DAY_H, axis=0)[: crossings.hours],
    )


class Berth(Record):
    """A boat lying still at a latitude and longitude (degrees, north and east positive)."""

    lat_deg: float
    lon_deg: float

    @reckoned("latitude and longitude")
    def position(self) -> str:
        return format_position(self.lat_deg, self.lon_deg)

    bow_true_course_deg: float = told("true bearing of her bow", default=0.0)
    steady_wind_kn: float = told("apparent wind over her, knots", default=0.0)


def berth_in(
    climate: TrackClimate,
    position: tuple[float, float],
    start: datetime,
    heading_deg: float | None = None,
    wind_kn: float | None = None,
) -> Berth:
    """A berth at a latitude and longitude (degrees); climate: of that one place, (12, 1). What is not given is the
    climate's at ``start`` (UTC): she lies to the mean wind, in its mean speed over open water.
    """
    first, second, weight = month_weights(_utc(start))

    def now(monthly: NDArray[np.float64]) -> float:
        return float(monthly[first, 0] * (1.0 - weight) + monthly[second, 0] * weight)

    if heading_deg is None:
        towards_deg = np.degrees(np.arctan2(now(climate.wind_east_kn), now(climate.wind_north_kn)))
        heading_deg = float((towards_deg + 180.0) % 360.0)
    return Berth(*position, heading_deg, now(climate.speed_kn) if wind_kn is None else wind_kn)


def scene_at_anchor(berth: Berth, climate: TrackClimate, start: datetime, days: int, members: int, seed: int) -> Scene:
    """``members`` skies over a boat that lies still from ``start`` (UTC); climate: of that one place, (12, 1)."""
    hours, shape = 24 * days, (24 * days, members)
    first, second, weight = month_weights(_utc(start) + np.arange(hours) * np.timedelta64(1, "h"))
    air = climate.air_c[first, :1] * (1.0 - weight[:, None]) + climate.air_c[second, :1] * weight[:, None]
    towards = np.radians(berth.bow_true_course_deg + 180.0)
    return Scene(
        start=_utc(start),
        seed=seed,
        run_nm=np.zeros(shape, dtype=np.float32),
        state=np.full(shape, AT_ANCHOR, dtype=np.uint8),
        wind_east_kn=np.full(shape, berth.steady_wind_kn * np.sin(towards), dtype=np.float32),
        wind_north_kn=np.full(shape, berth.steady_wind_kn * np.cos(towards), dtype=np.float32),
        speed_kn=np.zeros(shape, dtype=np.float32),
        ends_h=np.full(members, np.inf),
        spacing_nm=PLACE_NM,
        place_of_node=np.zeros(1, dtype=np.intp),
        lat_deg=np.array([berth.lat_deg]),
        lon_deg=np.array([berth.lon_deg]),
        course_deg=np.array([berth.bow_true_course_deg]),
        cloud=_known_along(climate.cloud[:, :1]),
        air_c=np.nan_to_num(air, nan=MILD_C).astype(np.float32),
    )


def _utc(time: datetime) -> np.datetime64:
    return np.datetime64(time.replace(tzinfo=None), "s")


def _known_along(cloud: NDArray[np.float64]) -> NDArray[np.float64]:
    """Monthly cloud (12, nodes) with gaps filled from the nearest nodes that are known, along the track."""
    filled = cloud.copy()
    nodes = np.arange(cloud.shape[1])
    for month in filled:
        known = np.isfinite(month)
        if not known.any():
            raise OutOfRange(
                "the climate file gives no cloud here, and without it no sun can be reckoned; name one that does, "
                "or take electrics.toml out of the folder"
            )
        month[:] = np.interp(nodes, nodes[known], month[known])
    return filled


def _sky_over(scene: Scene) -> Sky:
    """Ten days at a time: a long track has some hundred places."""
    parts = [_sky_of(scene, scene.middles[first : first + SKY_H]) for first in range(0, scene.hours, SKY_H)]
    names = [field.name for field in fields(Sky) if field.name != "loss"]
    tables: dict[str, Any] = {name: np.concatenate([getattr(part, name) for part in parts]) for name in names}
    loss = {case: np.concatenate([part.loss[case] for part in parts]) for case in parts[0].loss}
    return Sky(loss=loss, **tables)


def _sky_of(scene: Scene, middles: NDArray[np.datetime64]) -> Sky:
    """Of some hours of the scene, by their middles (UTC)."""
    lat = scene.lat_deg[None, :]
    sun = sun_at(middles[:, None], lat, scene.lon_deg[None, :])
    first, second, weight = month_weights(middles)
    cloud = scene.cloud[first] * (1.0 - weight[:, None]) + scene.cloud[second] * weight[:, None]
    noon = np.maximum(90.0 - np.abs(lat - sun.declination_deg), 0.0)
    course = np.radians(scene.course_deg)
    clear = clear_sky_w_m2(sun, linke_turbidity(lat, sun.declination_deg))
    return Sky(
        ahead=_f4(sun.east * np.sin(course) + sun.north * np.cos(course)),
        starboard=_f4(sun.east * np.cos(course) - sun.north * np.sin(course)),
        up=_f4(sun.up),
        clear_w_m2=_f4(clear),
        outside_w_m2=_f4(sun.normal_w_m2 * np.maximum(sun.up, 0.0)),
        cloud=_f4(cloud),
        loss={
            "high": _f4(covered_loss(transmittance_high(cloud, noon), cloud)),
            "low": _f4(covered_loss(transmittance_low(cloud, lat), cloud)),
        },
        night=_is_night(sun),
    )


def _f4(values: NDArray[np.float64]) -> Floats32:
    return values.astype(np.float32)


def _is_night(sun: Sun) -> NDArray[np.bool_]:
    return np.asarray(sun.up < np.sin(np.radians(RISEN_ALTITUDE_DEG)))
