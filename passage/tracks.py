"""A found track sailed against the drawn one: the search proposes a track for the open sea, both are sailed with the
same luck, and the crossings decide, not the search.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import takewhile
from math import inf
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.at_sea import sailing_polar
from passage.crossings.helm import rig_out
from passage.crossings.search.expected import ExpectedSpeeds
from passage.crossings.search.find import Found, Search, find_track
from passage.crossings.search.lines import angle_between, normals
from passage.crossings.search.region import Ends
from passage.crossings.search.surroundings import known_words, surroundings
from passage.errors import RouteRefused
from passage.ground import lay_ground, legs_of
from passage.inputs.forecast import bare_nodes
from passage.inputs.voyage import Waypoint, same_place
from passage.positions import Position, format_position
from passage.road import walk
from passage.sailings.geodesic import inverse
from passage.sailings.land import HARBOUR_NM, NEAR_LAND_NM, Clearance, clearance, land_hits
from passage.sailings.track import Leg, lay_track
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from passage.crossings.ground import Ground
    from passage.crossings.search.surroundings import Surroundings
    from passage.crossings.wind import Luck
    from passage.inputs.folder import Facts
    from passage.inputs.search import Prices, TrackLimits
    from passage.inputs.voyage import Voyage
    from passage.road import Outcome

PILOTAGE_NM = 40.0  # waypoints this near an end are the skipper's own: the search leaves them as they are
DRAWN_SPACING_NM = 10.0  # of the nodes by which the search measures the drawn track
SHORTEST_NM = 60.0  # of open sea, for a search to be worth its name
COUNTS_SHARE = 0.005  # a slow end shorter by less is as good as the same


class TrackSailed(Record):
    """What one track came to when sailed; nearest_land: of the open-sea part, None where none lies within 60 nm."""

    distance_nm: float = told("length of the track")
    typical_days: float = told("passage time that half the crossings beat, days")
    slow_end_days: float = told("passage time at the slow end, days")
    quick_days: float = told("passage time that 1 crossing in 10 beats, days")
    rough_h: float = told("mean hours of 28 kn and more; the least sure of these")
    calm_h: float = told("wind under 4 kn, mean hours of a crossing")
    nearest_land: Clearance | None

    @reckoned("nearest land to the open sea of it, miles; null where none is within 60")
    def land_off_nm(self) -> float:
        return self.nearest_land.distance_nm if self.nearest_land else inf

    @reckoned("where on the land, else empty")
    def land_position(self) -> str:
        near = self.nearest_land
        return format_position(near.land_lat_deg, near.land_lon_deg) if near else ""

    never_crossings: int = told("crossings that never arrive within the simulation")


@dataclass(frozen=True)
class Comparison:
    """A found and a drawn track sailed by the same crossings.

    found_voyage: the voyage with the found waypoints in place, the same one where the drawn track is kept.
    searched: names of the waypoints between which there was a choice. drawn, drawn_outcome: None where the drawn track
    runs over land and was not sailed. words: the verdict. known: the winds and the water that the search knew, in
    words. left_out: what the crossings know and the search does not, '' where nothing is.
    """

    found: Found
    found_voyage: Voyage
    searched: tuple[str, str]
    found_side: TrackSailed
    found_outcome: Outcome
    drawn_side: TrackSailed | None
    drawn_outcome: Outcome | None
    better_at_slow_end: bool
    words: str
    known: str
    left_out: str


def better(facts: Facts, limits: TrackLimits, luck: Luck, depart: datetime, spacing_nm: float = 30.0) -> Comparison:
    """Search the open sea between the voyage's own pilotage waypoints, then sail found and drawn with one luck.

    Raises RouteRefused as ``find_track`` does, and for a voyage without open sea; InputFaults as ``lay_ground``, but
    for land.
    """
    first, last = open_sea(facts.voyage)
    ground = drawn_ground(facts, depart)
    found, about = propose(facts, limits, depart, spacing_nm)
    drawn_outcome = walk(facts, ground, luck, depart) if ground else None
    if found.keeps_drawn and drawn_outcome:
        found_outcome = drawn_outcome
    else:
        found_facts = replace(facts, voyage=with_waypoints(facts.voyage, found, first, last))
        found_outcome = walk(found_facts, lay_ground(found_facts, depart, in_part=True), luck, depart)
    more = len(found_outcome.facts.voyage.waypoints) - len(facts.voyage.waypoints)
    found_side = _side(found_outcome, first, last + more)
    drawn_side = _side(drawn_outcome, first, last) if drawn_outcome else None
    return Comparison(
        found=found,
        found_voyage=found_outcome.facts.voyage,
        searched=(facts.voyage.waypoints[first].name, facts.voyage.waypoints[last].name),
        found_side=found_side,
        found_outcome=found_outcome,
        drawn_side=drawn_side,
        drawn_outcome=drawn_outcome,
        better_at_slow_end=drawn_side is None or _better_at_slow_end(found_side, drawn_side),
        words=" ".join([_verdict(found, found_side, drawn_side), *_sentences(found.moved)]),
        known=known_words(about),
        left_out=_left_out(found_outcome, depart),
    )


def propose(
    facts: Facts, limits: TrackLimits, depart: datetime, spacing_nm: float = 30.0
) -> tuple[Found, Surroundings]:
    """The search alone, and in what wind and water. Raises RouteRefused as ``find_track`` does, and for a voyage
    without open sea.
    """
    search, about, _ = searched(facts, limits, depart, spacing_nm)
    return find_track(search), about


def searched(
    facts: Facts, limits: TrackLimits, depart: datetime, spacing_nm: float = 30.0
) -> tuple[Search, Surroundings, Callable[[Prices], ExpectedSpeeds]]:
    """The question that a voyage's open sea asks, what blows and sets there, and speeds at other prices."""
    first, last = open_sea(facts.voyage)
    vessel = rig_out(facts.boat, sailing_polar(facts.boat, facts.polar))
    start, goal = (facts.voyage.waypoints[at].position for at in (first, last))
    drawn = lay_track(legs_of(facts.voyage)[first:last], DRAWN_SPACING_NM)
    drifts = [(place.set_deg or 0.0, place.drift_kn or 0.0) for place in facts.voyage.waypoints[first + 1 : last + 1]]
    about = surroundings(facts.voyage, drawn, drifts, depart, vessel.fastest_kn)

    speeds = ExpectedSpeeds(about.climate, vessel, depart, limits.prices, about.current, about.forecast)
    ends = Ends(*start, *goal)
    return Search(ends, speeds, limits, depart, spacing_nm=spacing_nm, drawn=drawn), about, speeds.at_prices


def open_sea(voyage: Voyage) -> tuple[int, int]:
    """The two waypoints between which the search is free: the last near the departure, the first near the destination.

    Waypoints in a row within 40 nm of either end are pilotage, and stay the skipper's. RouteRefused where that leaves
    under 60 nm.
    """
    places = [waypoint.position for waypoint in voyage.waypoints]
    first = sum(1 for _ in takewhile(lambda place: _apart_nm(places[0], place) <= PILOTAGE_NM, places)) - 1
    coming_in = takewhile(lambda place: _apart_nm(places[-1], place) <= PILOTAGE_NM, reversed(places))
    last = len(places) - sum(1 for _ in coming_in)
    if any(waypoint.stop_h > 0.0 for waypoint in voyage.waypoints[first + 1 : last]):
        raise RouteRefused(
            "the track is not searched past a stop on the way: search it as two voyages, to the stop and from it"
        )
    if first >= last or _apart_nm(places[first], places[last]) < SHORTEST_NM:
        raise RouteRefused(
            f"no {SHORTEST_NM:g} nm of open sea lie between the waypoints near the departure and those near the "
            "destination: there is nothing to search"
        )
    return first, last


def _apart_nm(one: Position, other: Position) -> float:
    return inverse(*one, *other).distance_nm


def with_waypoints(voyage: Voyage, found: Found, first: int, last: int) -> Voyage:
    """The found waypoints in place of those drawn across the open sea; all but the pilotage by great circle.

    Each leg to one takes the set and drift of the drawn leg that its middle lies nearest to.
    """
    drawn = lay_track(legs_of(voyage)[first:last], DRAWN_SPACING_NM)
    places = _each_apart([Position(*map(float, place)) for place in zip(found.lat_deg, found.lon_deg, strict=True)])
    names = [*(f"found {number}" for number in range(1, len(places) - 1)), voyage.waypoints[last].name]
    new = []
    for name, start, end in zip(names, places, places[1:], strict=False):
        middle = lay_track([Leg(*start, *end)], _apart_nm(start, end) / 2.0)
        off = angle_between(normals(drawn.lat_deg, drawn.lon_deg), normals(middle.lat_deg[1], middle.lon_deg[1]))
        there = voyage.waypoints[first + 1 + int(drawn.leg[int(np.argmin(off))])]
        new.append(Waypoint(name=name, position=end, set_deg=there.set_deg, drift_kn=there.drift_kn))
    new[-1] = new[-1].model_copy(update={"position": voyage.waypoints[last].position})
    return voyage.model_copy(
        update={"waypoints": (*voyage.waypoints[: first + 1], *new, *voyage.waypoints[last + 1 :])}
    )


def _each_apart(places: list[Position]) -> list[Position]:
    """Without found places that became, rounded, the one before; both ends stay."""
    kept = places[:1]
    for place in places[1:-1]:
        if not same_place(kept[-1], place) and not same_place(place, places[-1]):
            kept.append(place)
    return [*kept, places[-1]]


def drawn_ground(facts: Facts, depart: datetime) -> Ground | None:
    """None where the drawn track runs over land."""
    drawn = lay_track(legs_of(facts.voyage))
    return None if land_hits(drawn.lat_deg, drawn.lon_deg) else lay_ground(facts, depart)


def _side(outcome: Outcome, first: int, last: int) -> TrackSailed:
    """first, last: the waypoints between which lies the open sea."""
    times = outcome.times
    sea = lay_track(outcome.ground.legs[first:last])
    return TrackSailed(
        distance_nm=outcome.ground.track.length_nm,
        quick_days=times.fast_h / 24.0,
        typical_days=times.typical_h / 24.0,
        slow_end_days=times.slow_end_h / 24.0,
        never_crossings=times.never_crossings,
        rough_h=times.strong_h,
        calm_h=times.calm_h,
        nearest_land=clearance(sea.lat_deg, sea.lon_deg, NEAR_LAND_NM, HARBOUR_NM),
    )


def _verdict(found: Found, found_side: TrackSailed, drawn_side: TrackSailed | None) -> str:
    kept = f"It keeps {found.kept_clear_nm:g} nm off the land of this coastline but near its ends; the chart decides."
    if found.drawn_cost_h == np.inf:
        kept += " The drawn one does not keep so clear of land, or enters a box on its days."
    if found.keeps_drawn:
        return "No better track was found than the one drawn."
    if drawn_side is None:
        return f"The track drawn runs over land and was not sailed; there is nothing to compare with. {kept}"
    slow, drawn_slow = _days(found_side.slow_end_days), _days(drawn_side.slow_end_days)
    if _better_at_slow_end(found_side, drawn_side):
        return f"At the slow end the found track takes {slow} and the drawn one {drawn_slow}. {kept}"
    typical, drawn_typical = _days(found_side.typical_days), _days(drawn_side.typical_days)
    return (
        f"The found track is not better at the slow end: it takes {slow} and the drawn one {drawn_slow}. "
        f"Typically it takes {typical} against {drawn_typical}. {kept}"
    )


def _sentences(words: tuple[str, ...]) -> list[str]:
    return [f"{each[0].upper()}{each[1:]}." for each in words if each]


def _better_at_slow_end(found: TrackSailed, drawn: TrackSailed) -> bool:
    """By a difference that counts."""
    return found.slow_end_days < drawn.slow_end_days * (1.0 - COUNTS_SHARE)


def _days(days: float) -> str:
    return f"{days:.1f} days" if np.isfinite(days) else "longer than was sailed"


def _left_out(found: Outcome, depart: datetime) -> str:
    """What the crossings know and the search does not, and where neither knows the forecast."""
    vessel, track, forecast = found.ground.vessel, found.ground.track, found.ground.forecast
    words = []
    if vessel.motor_hours > 0.0:
        words.append("The search left the engine out; the crossings use it in calms.")
    bare = bare_nodes(forecast, depart, track.distance_nm, vessel.fastest_kn).tolist() if forecast else []
    if bare:
        there = format_position(track.lat_deg[bare[0]], track.lon_deg[bare[0]])
        words.append(
            f"The forecast's box leaves out the found track at {there}, where she may be while it counts: averages "
            "stand in for it there. Ask for a larger box."
        )
    return " ".join(words)
