"""A track: legs laid end to end as a table of nodes every few miles, made once per route.

A crossing's position is one number, the distance run along the track; everything that depends on place is
read from here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np

from passage.errors import OutOfRange, RouteRefused
from passage.sailings import geodesic, rhumb
from passage.sailings.composite import CompositePart, composite
from passage.sailings.geodesic import (
    CourseAndDistance,
    Positions,
    difference_of_longitude_deg,
    normalise_course_deg,
    normalise_lon_deg,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

    FloatArray = NDArray[np.float64]

Sailing = Literal["great circle", "rhumb line", "composite"]
SAILINGS: tuple[Sailing, ...] = ("great circle", "rhumb line", "composite")

SHORTEST_LEG_NM = 0.001  # two metres: closer waypoints are one waypoint written twice
JOIN_TOLERANCE_DEG = 1e-6  # a tenth of a metre


@dataclass(frozen=True)
class Leg:
    """From one waypoint to the next. limiting_lat_deg belongs to a composite leg only: north positive, not to
    be passed. stop_h: how long she lies where it ends; of the last leg it counts for nothing.
    """

    from_lat_deg: float
    from_lon_deg: float
    to_lat_deg: float
    to_lon_deg: float
    sailing: Sailing = "great circle"
    limiting_lat_deg: float | None = None
    stop_h: float = 0.0

    @property
    def ends(self) -> tuple[float, float, float, float]:
        return self.from_lat_deg, self.from_lon_deg, self.to_lat_deg, self.to_lon_deg


class Stop(NamedTuple):
    """A call on the way: after so many miles she lies for so many hours."""

    distance_nm: float
    hours: float


@dataclass(frozen=True)
class Track:
    """Nodes (nodes,) evenly spaced in distance run; the first is the departure, the last exactly the
    destination.

    distance_nm: from the departure. lat_deg north positive; lon_deg in [-180, 180). course_deg: true course
    of the leg at the node, towards the destination. leg: index of the leg the node lies on; a node on a
    waypoint belongs to the leg ahead. A waypoint between two nodes is not a node itself: the table cuts its
    corner by less than one spacing. turns: latitude and longitude where each leg after the first begins. stops: calls
    on the way, in order.
    """

    distance_nm: FloatArray
    lat_deg: FloatArray
    lon_deg: FloatArray
    course_deg: FloatArray
    leg: NDArray[np.intp]
    spacing_nm: float
    turns: tuple[tuple[float, float], ...] = ()
    stops: tuple[Stop, ...] = ()

    @property
    def stop_h(self) -> float:
        """Hours that she lies on the way."""
        return sum(stop.hours for stop in self.stops)

    @property
    def length_nm(self) -> float:
        return float(self.distance_nm[-1])

    @property
    def nodes(self) -> int:
        return len(self.distance_nm)


class TrackLine(NamedTuple):
    """Points (n,) of a track in order: miles run to each, latitude and longitude in degrees as in ``Track``."""

    distance_nm: FloatArray
    lat_deg: FloatArray
    lon_deg: FloatArray


class LegSummary(NamedTuple):
    """One line of the table of legs. starts_at_nm: distance run where the leg begins.

    highest_lat_deg: the latitude farthest from the equator that the leg reaches, north positive.
    great_circle_nm and rhumb_line_nm: what either sailing would measure between the same ends, whichever is
    sailed.
    """

    sailing: Sailing
    starts_at_nm: float
    distance_nm: float
    initial_course_deg: float
    final_course_deg: float
    great_circle_nm: float
    rhumb_line_nm: float
    highest_lat_deg: float


def lay_track(legs: Sequence[Leg], spacing_nm: float = 5.0) -> Track:
    """Lay the legs end to end; nodes stand length / ceil(length / spacing_nm) apart.

    RouteRefused for no legs, legs that do not join, a waypoint given twice running, or a limiting latitude
    missing, superfluous or already passed at an end; OutOfRange for positions not on the earth and a spacing
    not positive.
    """
    if not (math.isfinite(spacing_nm) and spacing_nm > 0.0):
        raise OutOfRange(f"nodes cannot stand {spacing_nm:g} miles apart; the spacing must be more than 0")
    _check_joins(legs)
    parts = [(index, part) for index, leg in enumerate(legs) for part in _parts(leg)]
    begins_nm = np.cumsum([0.0, *(part.distance_nm for _, part in parts)])
    length_nm = float(begins_nm[-1])
    # A hair below a whole number of spacings must not add a node.
    intervals = max(1, math.ceil(length_nm / spacing_nm - 1e-9))
    distance_nm = np.linspace(0.0, length_nm, intervals + 1)
    of_part = np.minimum(np.searchsorted(begins_nm, distance_nm, side="right") - 1, len(parts) - 1)
    offset_nm = distance_nm - begins_nm[of_part]
    pieces = [_along(part, offset_nm[of_part == index]) for index, (_, part) in enumerate(parts)]
    lat_deg, lon_deg, course_deg = (np.concatenate(column) for column in zip(*pieces, strict=True))
    # Solvers return the ends of a line but for rounding; departure and destination are to be exact.
    lat_deg[[0, -1]] = legs[0].from_lat_deg, legs[-1].to_lat_deg
    lon_deg[[0, -1]] = normalise_lon_deg(legs[0].from_lon_deg), normalise_lon_deg(legs[-1].to_lon_deg)
    leg_of_part = np.array([index for index, _ in parts])
    turns = tuple((leg.from_lat_deg, leg.from_lon_deg) for leg in legs[1:])
    ends_nm = [float(begins_nm[1:][leg_of_part == index][-1]) for index in range(len(legs))]
    calls = zip(ends_nm[:-1], legs[:-1], strict=True)
    stops = tuple(Stop(end_nm, leg.stop_h) for end_nm, leg in calls if leg.stop_h > 0.0)
    return Track(distance_nm, lat_deg, lon_deg, course_deg, leg_of_part[of_part], length_nm / intervals, turns, stops)


def legs_nm(legs: Sequence[Leg]) -> float:
    """Miles of the legs end to end, as they would be laid."""
    return sum(part.distance_nm for leg in legs for part in _parts(leg))


def through_waypoints(track: Track) -> TrackLine:
    """The nodes of a track with its turns among them, so that no corner is cut."""
    ahead = np.searchsorted(track.leg, np.arange(1, len(track.turns) + 1))
    lat_deg, lon_deg = np.array(track.turns, dtype=float).reshape(-1, 2).T
    return TrackLine(
        np.insert(track.distance_nm, ahead, _miles_to(track, ahead)),
        np.insert(track.lat_deg, ahead, lat_deg),
        np.insert(track.lon_deg, ahead, normalise_lon_deg(lon_deg)),
    )


def _miles_to(track: Track, ahead: NDArray[np.intp]) -> list[float]:
    """Miles run to each turn: from the node behind it, or from the turn behind it where no node lies between."""
    turns = track.turns
    miles: list[float] = []
    for number, (turn, node) in enumerate(zip(turns, ahead, strict=True)):
        same = number > 0 and ahead[number - 1] == node
        behind = turns[number - 1] if same else (float(track.lat_deg[node - 1]), float(track.lon_deg[node - 1]))
        start_nm = miles[-1] if same else float(track.distance_nm[node - 1])
        miles.append(start_nm + geodesic.inverse(*behind, *turn).distance_nm)
    return miles


def leg_summaries(legs: Sequence[Leg]) -> tuple[LegSummary, ...]:
    """One summary per leg, in order. Raises as ``lay_track``."""
    _check_joins(legs)
    summaries: list[LegSummary] = []
    starts_at_nm = 0.0
    for leg in legs:
        summaries.append(_summary(leg, starts_at_nm))
        starts_at_nm += summaries[-1].distance_nm
    return tuple(summaries)


def at_distance(track: Track, distance_nm: ArrayLike) -> Positions:
    """Latitude, longitude and true course, each of the shape of distance_nm, between the nodes by straight
    interpolation.

    Before the departure or past the destination the end of the track is answered. At a spacing of 5 miles the
    straight line stays within 5 m of the leg up to 65 degrees of latitude. Across a waypoint the course stays
    that of the leg behind.
    """
    place = np.clip(np.asarray(distance_nm, dtype=float) / track.spacing_nm, 0.0, track.nodes - 1)
    node = np.minimum(place.astype(np.intp), track.nodes - 2)
    part, ahead = place - node, node + 1
    turn_deg = normalise_lon_deg(track.course_deg[ahead] - track.course_deg[node])
    turn_deg = np.where(track.leg[ahead] == track.leg[node], turn_deg, 0.0)
    course_deg = np.where(part == 1.0, track.course_deg[ahead], track.course_deg[node] + part * turn_deg)
    dlon_deg = normalise_lon_deg(track.lon_deg[ahead] - track.lon_deg[node])
    return Positions(
        track.lat_deg[node] * (1.0 - part) + track.lat_deg[ahead] * part,
        normalise_lon_deg(np.asarray(track.lon_deg[node] + part * dlon_deg)),
        normalise_course_deg(np.asarray(course_deg)),
    )


def _check_joins(legs: Sequence[Leg]) -> None:
    if not legs:
        raise RouteRefused("a track needs at least one leg: a departure and a destination")
    for number, (leg, following) in enumerate(pairwise(legs), start=1):
        apart_deg = max(
            abs(leg.to_lat_deg - following.from_lat_deg),
            abs(difference_of_longitude_deg(leg.to_lon_deg, following.from_lon_deg)),
        )
        if apart_deg > JOIN_TOLERANCE_DEG:
            raise RouteRefused(f"leg {number + 1} does not begin where leg {number} ends; legs must join")


@lru_cache(maxsize=256)
def _parts(leg: Leg) -> tuple[CompositePart, ...]:
    """The leg as pieces of geodesic and rhumb line."""
    if leg.sailing not in SAILINGS:
        raise RouteRefused(f"a leg cannot be sailed by '{leg.sailing}'; choose one of: {', '.join(SAILINGS)}")
    direct_nm = geodesic.inverse(*leg.ends).distance_nm
    if direct_nm < SHORTEST_LEG_NM:
        raise RouteRefused(
            f"the waypoint {leg.to_lat_deg:g}, {leg.to_lon_deg:g} stands twice running; take one of them away"
        )
    if (leg.sailing == "composite") != (leg.limiting_lat_deg is not None):
        raise RouteRefused(
            f"a {leg.sailing} leg with limiting latitude {leg.limiting_lat_deg}; "
            "a composite leg needs one and no other leg takes one"
        )
    if leg.limiting_lat_deg is not None:
        return composite(*leg.ends, leg.limiting_lat_deg)
    if leg.sailing == "rhumb line":
        return (CompositePart("rhumb line", *leg.ends, rhumb.inverse(*leg.ends).distance_nm),)
    return (CompositePart("great circle", *leg.ends, direct_nm),)


def _inverse(part: CompositePart) -> CourseAndDistance:
    return rhumb.inverse(*part.ends) if part.sailing == "rhumb line" else geodesic.inverse(*part.ends)


def _along(part: CompositePart, distance_nm: FloatArray) -> Positions:
    start = (part.from_lat_deg, part.from_lon_deg, _inverse(part).initial_course_deg)
    return rhumb.along(*start, distance_nm) if part.sailing == "rhumb line" else geodesic.along(*start, distance_nm)


def _summary(leg: Leg, starts_at_nm: float) -> LegSummary:
    parts = _parts(leg)
    return LegSummary(
        sailing=leg.sailing,
        starts_at_nm=starts_at_nm,
        distance_nm=sum(part.distance_nm for part in parts),
        initial_course_deg=_inverse(parts[0]).initial_course_deg,
        final_course_deg=_inverse(parts[-1]).final_course_deg,
        great_circle_nm=geodesic.inverse(*leg.ends).distance_nm,
        rhumb_line_nm=rhumb.inverse(*leg.ends).distance_nm,
        highest_lat_deg=max((lat_deg for part in parts for lat_deg in _latitudes(part)), key=abs),
    )


def _latitudes(part: CompositePart) -> tuple[float, float]:
    """Northernmost and southernmost latitude of a part."""
    if part.sailing == "rhumb line":
        return max(part.from_lat_deg, part.to_lat_deg), min(part.from_lat_deg, part.to_lat_deg)
    north, south = geodesic.extreme_latitudes(*part.ends)
    return north.lat_deg, south.lat_deg
