"""When a trouble strikes at sea, spells of lying still, and other ways to go from there.

A trouble at departure is sailed from there. One on the way strikes at the end of a day, where the middle crossing then
is, and the ways on, back and to the refuges begin there too, each in the wind that it would have met: so what a lost
rig takes is one figure wherever it is told.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from datetime import timedelta
from math import ceil
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.crossings.ensemble import (
    ARRIVED,
    BY_HOUR,
    DAY_H,
    MOTORING,
    SAILING,
    SHARED,
    Crossings,
    days_of,
    passage_time_h,
)
from passage.crossings.helm import out_for
from passage.crossings.lanes import Lane, lane_of
from passage.sailings.geodesic import normalise_course_deg
from passage.sailings.track import Track

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.ground import Ground
    from passage.crossings.helm import Vessel
    from passage.crossings.weather import Weather
    from passage.crossings.wind import Luck
    from passage.inputs.climate import TrackClimate
    from passage.inputs.forecast import TrackForecast

    Nodes = NDArray[np.intp]

MOST_MOTORED_SHARE = 0.95
MOST_DAYS = 9  # from which ways out are sailed
GIVEN_UP_H = 45 * DAY_H  # at the earliest, when a boat in trouble is: a knot made good is much for her on a short way
SHORT_H = 48  # a passage of fewer hours is told by the hour
MEMBERS = 250  # whom a trouble meets, and who sail each way out: enough to tell one from another, a quarter of the wait


@dataclass(frozen=True)
class Strike:
    """When and where ways part: hours after departure, the node of the track, and the miles run by then."""

    hour: int
    node: int
    run_nm: float


AT_DEPARTURE = Strike(0, 0, 0.0)


def middle_nm(crossings: Crossings, hour: int) -> float:
    """Miles that the middle crossing has run by that hour."""
    there = crossings.distance_nm[:, min(hour, crossings.hours - 1)]
    return float(np.quantile(there, 0.5, method="inverted_cdf"))


def strike_at(crossings: Crossings, hour: int) -> Strike:
    """Where the middle crossing is at that hour; the last node before the end for one that is in."""
    if hour <= 0:
        return AT_DEPARTURE
    track = crossings.track
    node = min(max(round(middle_nm(crossings, hour) / track.spacing_nm), 1), track.nodes - 2)
    return Strike(hour, node, float(track.distance_nm[node]))


# ---------------------------------------------------------------- where she sails from there


def onwards(ground: Ground, strike: Strike) -> Ground:
    """What is left of the ground beyond the strike; the whole of it at departure."""
    track = ground.track
    if strike.node == 0:
        return ground
    left = _along_nodes(ground, np.arange(strike.node, track.nodes), track.course_deg)
    stops = tuple(stop._replace(distance_nm=stop.distance_nm - strike.run_nm) for stop in track.stops)
    ahead = tuple(stop for stop in stops if stop.distance_nm > 0.0)
    return replace(left, track=replace(left.track, stops=ahead))


def homewards(ground: Ground, strike: Strike) -> Ground:
    """The way back along the track that she came by."""
    course_deg = normalise_course_deg(ground.track.course_deg + 180.0)
    return _along_nodes(ground, np.arange(strike.node, -1, -1), course_deg)


def _along_nodes(ground: Ground, nodes: Nodes, course_deg: NDArray[np.float64]) -> Ground:
    track = ground.track
    way = Track(
        distance_nm=np.abs(track.distance_nm[nodes] - track.distance_nm[nodes[0]]),
        lat_deg=track.lat_deg[nodes],
        lon_deg=track.lon_deg[nodes],
        course_deg=course_deg[nodes],
        leg=track.leg[nodes],
        spacing_nm=track.spacing_nm,
    )
    return under(ground, way, nodes)


def under(ground: Ground, track: Track, nodes: Nodes) -> Ground:
    """What blows and sets at these of the ground's nodes, along the track that they make."""
    return replace(
        ground,
        track=track,
        climate=_climate_along(ground.climate, nodes),
        current=ground.current.at(nodes) if ground.current else None,
        forecast=_forecast_along(ground.forecast, nodes),
    )


def _climate_along(climate: TrackClimate, nodes: Nodes) -> TrackClimate:
    """What is known of it at these nodes."""
    known: dict[str, Any] = {row.name: getattr(climate, row.name) for row in fields(climate)}
    grids: dict[str, Any] = {name: values[:, nodes] for name, values in known.items() if isinstance(values, np.ndarray)}
    return replace(climate, **grids)


def _forecast_along(forecast: TrackForecast | None, nodes: Nodes) -> TrackForecast | None:
    if forecast is None:
        return None
    return replace(
        forecast,
        wind_east_kn=forecast.wind_east_kn[..., nodes],
        wind_north_kn=forecast.wind_north_kn[..., nodes],
        covered=forecast.covered[nodes],
    )


def lane_from(
    ground: Ground, vessel: Vessel, crossings: Crossings, strike: Strike, luck: Luck, weather: Weather | None = None
) -> Lane:
    """``ground`` from the strike on, in the wind of ``luck`` (see ``later``), which is what these crossings would meet;
    weather: of another lane along the same ground. Nobody is given up before GIVEN_UP_H. Raises RouteRefused where the
    current wins in the mean.
    """
    depart = crossings.depart + timedelta(hours=strike.hour)
    vessel = replace(vessel, helm=out_for(vessel.helm, strike.hour))
    return lane_of(replace(ground, vessel=vessel), depart, luck, weather)._replace(least_h=GIVEN_UP_H)


def later(luck: Luck, strike: Strike) -> Luck:
    """The luck of crossings from the strike on; each keeps her performance."""
    return luck.delayed(np.full(luck.members, strike.hour)) if strike.hour else luck


def fuel_left(vessel: Vessel, crossings: Crossings, strike: Strike) -> Vessel:
    """The vessel with the hours under engine that the crossings still have by then: what the one in twenty that has
    motored most has left, for the vessel knows one figure for all.
    """
    motored_h = (crossings.state[:, : strike.hour] == MOTORING).sum(axis=1)
    most_h = passage_time_h(motored_h.astype(float), MOST_MOTORED_SHARE)
    return replace(vessel, motor_hours=max(vessel.motor_hours - most_h, 0.0)) if most_h else vessel


# ---------------------------------------------------------------- when it strikes, and lying still


def halfway_h(crossings: Crossings) -> int:
    """The hour at which the middle crossing has half of the track behind her; the last one if she never has."""
    return min(int((crossings.typical_run_nm < crossings.track.length_nm / 2.0).sum()), crossings.hours - 1)


def days_out(crossings: Crossings) -> list[int]:
    """Every few whole days out at which the middle crossing is still at sea; day 1 where she never is."""
    last = ceil(last_day(crossings))
    step = max(1, ceil(last_day(crossings) / MOST_DAYS))
    return list(range(step, max(last, step + 1), step))


def hours_out(crossings: Crossings) -> tuple[list[int], int]:
    """Hours from departure from which a harbour is told, and of how many of them one is sailed from: the ends of the
    days out; on a passage of under two days, where the end of one comes too late, every few hours.
    """
    last_h = ceil(24.0 * last_day(crossings))
    if last_h < SHORT_H:
        every_h = ceil(last_h / MOST_DAYS)
        return list(range(every_h, max(last_h, every_h + 1), every_h)), 1
    few = days_out(crossings)
    return [24 * day for day in range(1, max(ceil(last_day(crossings)), few[0] + 1))], few[0]


def last_day(crossings: Crossings) -> float:
    """Days until the middle crossing is in, those sailed at the most."""
    return passage_time_h(np.minimum(crossings.arrival_h, crossings.hours), 0.5) / 24.0


def midway_h(crossings: Crossings) -> int:
    """The end of the day nearest to halfway from which ways out are sailed; halfway itself where she is in by then."""
    halfway = halfway_h(crossings)
    ends = [24 * day for day in days_out(crossings) if day < last_day(crossings)]
    return min(ends, key=lambda hour: abs(hour - halfway), default=halfway)


def joined(crossings: Crossings, strike: Strike, left: Crossings, warmth: dict[str, Any]) -> Crossings:
    """Crossings until the strike, and what is left sailed from where the middle one then is. warmth: along the whole
    track, of as many hours as both make together.
    """

    def by_hour(name: str) -> NDArray[Any]:
        after = getattr(left, name)
        ahead = after + np.float32(strike.run_nm) if name == "distance_nm" else after
        return np.concatenate([getattr(crossings, name)[:, : strike.hour].T, ahead.T]).T

    rows: dict[str, Any] = {name: by_hour(name) for name in BY_HOUR} | warmth
    return replace(crossings, **rows, arrival_h=strike.hour + left.arrival_h)


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

    noons = DAY_H * np.arange(days_of(crossings.hours + hold_h)) + DAY_H // 2
    days = np.where(noons < hour, noons, np.maximum(noons - hold_h, hour)) // DAY_H  # of those without the spell

    def warmth(whole: NDArray[np.float32] | None) -> NDArray[np.float32] | None:
        return None if whole is None else whole.take(days, axis=0, mode="clip")

    rows: dict[str, Any] = {name: by_hour(name) for name in BY_HOUR}
    rows |= {name: warmth(getattr(crossings, name)) for name in SHARED}
    return replace(
        crossings,
        **rows,
        arrival_h=crossings.arrival_h + np.where(at_sea, float(hold_h), 0.0),
    )
