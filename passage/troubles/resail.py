"""Crossings sailed again from a day at sea, in the wind they would have had, and spells of lying still put into them.

A trouble that strikes at sea strikes every crossing on the same day. From there on all of them are sailed from where
the middle one then is.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.crossings.ensemble import ARRIVED, MOTORING, SAILING, Crossings, passage_time_h
from passage.crossings.lanes import Lane, lane_of
from passage.crossings.simulate import sail
from passage.inputs.current import TrackCurrent
from passage.sailings.geodesic import normalise_course_deg
from passage.sailings.track import Track

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.crossings.helm import Vessel
    from passage.crossings.wind import Luck
    from passage.ground import Ground
    from passage.inputs.forecast import TrackForecast

    Nodes = NDArray[np.intp]

MOST_MOTORED_SHARE = 0.95
# Fields of Crossings by hour, (members, hours), and what they hold of a boat that is in.
BY_HOUR = ("distance_nm", "speed_kn", "wind_east_kn", "wind_north_kn", "state")


@dataclass(frozen=True)
class Strike:
    """When and where it happens: hours after departure, the node of the track, and the miles run by then."""

    hour: int
    node: int
    run_nm: float


AT_DEPARTURE = Strike(0, 0, 0.0)


def strike_at(crossings: Crossings, hour: int) -> Strike:
    """Where the middle crossing is at that hour; the last node before the end for one that is in."""
    if hour <= 0:
        return AT_DEPARTURE
    track = crossings.track
    run_nm = float(np.quantile(crossings.distance_nm[:, min(hour, crossings.hours - 1)], 0.5, method="inverted_cdf"))
    node = min(round(run_nm / track.spacing_nm), track.nodes - 2)
    return Strike(hour, node, float(track.distance_nm[node]))


def halfway(crossings: Crossings) -> Strike:
    """The hour at which the middle crossing has half of the track behind her."""
    run_nm = np.quantile(crossings.distance_nm, 0.5, axis=0, method="inverted_cdf")
    return strike_at(crossings, int((run_nm < crossings.track.length_nm / 2.0).sum()))


# ---------------------------------------------------------------- where she sails from there


def onwards(ground: Ground, strike: Strike) -> Ground:
    """What is left of the ground beyond the strike; the whole of it at departure."""
    track = ground.track
    return ground if strike.node == 0 else _along_nodes(ground, np.arange(strike.node, track.nodes), track.course_deg)


def homewards(ground: Ground, strike: Strike) -> Ground:
    """The way back along the track that she came by."""
    course_deg = normalise_course_deg(ground.track.course_deg + 180.0)
    return _along_nodes(ground, np.arange(strike.node, -1, -1), course_deg)


def _along_nodes(ground: Ground, nodes: Nodes, course_deg: NDArray[np.float64]) -> Ground:
    track = ground.track
    return replace(
        ground,
        track=Track(
            distance_nm=np.abs(track.distance_nm[nodes] - track.distance_nm[nodes[0]]),
            lat_deg=track.lat_deg[nodes],
            lon_deg=track.lon_deg[nodes],
            course_deg=course_deg[nodes],
            leg=track.leg[nodes],
            spacing_nm=track.spacing_nm,
        ),
        climate=replace(
            ground.climate,
            **{row.name: getattr(ground.climate, row.name)[:, nodes] for row in fields(ground.climate)},
        ),
        current=_current_along(ground.current, nodes),
        forecast=_forecast_along(ground.forecast, nodes),
    )


def _current_along(current: TrackCurrent | None, nodes: Nodes) -> TrackCurrent | None:
    if current is None:
        return None
    return TrackCurrent(current.east_kn[:, nodes], current.north_kn[:, nodes], current.source)


def _forecast_along(forecast: TrackForecast | None, nodes: Nodes) -> TrackForecast | None:
    if forecast is None:
        return None
    return replace(
        forecast,
        wind_east_kn=forecast.wind_east_kn[..., nodes],
        wind_north_kn=forecast.wind_north_kn[..., nodes],
        covered=forecast.covered[nodes],
    )


# ---------------------------------------------------------------- the crossings from there


def sail_from(ground: Ground, vessel: Vessel, crossings: Crossings, strike: Strike, luck: Luck) -> Crossings:
    """Sail ``ground`` with the wind that these crossings would meet from the strike on; each keeps her performance.

    Raises RouteRefused where the current wins in the mean.
    """
    depart, later = _from(crossings, strike, luck)
    return sail(ground.track, ground.climate, vessel, depart, later, None, ground.current, ground.forecast)


def lane_from(ground: Ground, vessel: Vessel, crossings: Crossings, strike: Strike, luck: Luck) -> Lane:
    """The same, to be sailed beside others."""
    depart, later = _from(crossings, strike, luck)
    return lane_of(ground.track, ground.climate, vessel, depart, later, ground.current, ground.forecast)


def _from(crossings: Crossings, strike: Strike, luck: Luck) -> tuple[datetime, Luck]:
    later = luck.delayed(np.full(luck.members, strike.hour)) if strike.hour else luck
    return crossings.depart + timedelta(hours=strike.hour), later


def fuel_left(vessel: Vessel, crossings: Crossings, strike: Strike) -> Vessel:
    """The vessel with the hours under engine that the crossings still have by then: what the one in twenty that has
    motored most has left, for the vessel knows one figure for all.
    """
    motored_h = (crossings.state[:, : strike.hour] == MOTORING).sum(axis=1)
    most_h = passage_time_h(motored_h.astype(float), MOST_MOTORED_SHARE)
    return replace(vessel, motor_hours=max(vessel.motor_hours - most_h, 0.0)) if most_h else vessel


def _every(by_hour: Callable[[str], NDArray[Any]]) -> dict[str, Any]:
    return {name: by_hour(name) for name in BY_HOUR}


def joined(before: Crossings, after: Crossings, strike: Strike) -> Crossings:
    """Crossings as they were until the strike and as they are from there on; who is in before it stays in.

    after: sailed from the strike along what is left of the track.
    """
    if strike.hour == 0:
        return after
    hour, skipped = strike.hour, before.track.nodes - after.track.nodes
    ashore = before.arrival_h <= hour

    def by_hour(name: str) -> NDArray[Any]:
        begun, rest = getattr(before, name)[:, :hour], getattr(after, name)
        if name == "distance_nm":
            rest = rest + np.float32(strike.run_nm)
        in_port = {"distance_nm": before.track.length_nm, "state": ARRIVED}.get(name, 0.0)
        return np.concatenate([begun.T, np.where(ashore, rest.dtype.type(in_port), rest.T)]).T

    def warmth(begun: NDArray[np.float32], rest: NDArray[np.float32]) -> NDArray[np.float32]:
        return np.concatenate([begun[:hour], np.pad(rest, ((0, 0), (skipped, 0)), mode="edge")])

    return replace(
        before,
        **_every(by_hour),
        arrival_h=np.where(ashore, before.arrival_h, hour + after.arrival_h),
        air_by_hour_c=warmth(before.air_by_hour_c, after.air_by_hour_c),
        sea_by_hour_c=warmth(before.sea_by_hour_c, after.sea_by_hour_c),
    )


def held(crossings: Crossings, hour: int, hold_h: int) -> Crossings:
    """Every crossing lies still for ``hold_h`` from that hour, in no wind, and then sails on as she would have.

    Whole days keep the landfalls in daylight.
    """
    if hold_h == 0:
        return crossings
    at_sea = crossings.arrival_h > hour
    spell = (crossings.members, hold_h)
    still: dict[str, NDArray[Any]] = {
        "distance_nm": np.broadcast_to(crossings.distance_nm[:, hour, None], spell),
        "state": np.broadcast_to(np.where(at_sea, SAILING, ARRIVED).astype(np.uint8)[:, None], spell),
    }

    def by_hour(name: str) -> NDArray[Any]:
        whole = getattr(crossings, name)
        lull = still.get(name, np.zeros(spell, dtype=whole.dtype))
        return np.concatenate([whole[:, :hour].T, lull.T, whole[:, hour:].T]).T

    def warmth(whole: NDArray[np.float32]) -> NDArray[np.float32]:
        return np.concatenate([whole[:hour], np.repeat(whole[hour, None], hold_h, axis=0), whole[hour:]])

    return replace(
        crossings,
        **_every(by_hour),
        arrival_h=crossings.arrival_h + np.where(at_sea, float(hold_h), 0.0),
        air_by_hour_c=warmth(crossings.air_by_hour_c),
        sea_by_hour_c=warmth(crossings.sea_by_hour_c),
    )
