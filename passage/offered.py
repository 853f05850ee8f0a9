"""A track to choose, and what the crossings made of it."""

from __future__ import annotations

from math import nan

from passage.crossings.search.choices import TrackKind
from passage.inputs.voyage import Voyage, waypoints_toml
from passage.positions import format_position
from passage.road import Outcome
from passage.tell.records import Record, reckoned, told


class Bend(Record):
    """A waypoint of a track to choose."""

    name: str = told("its name")
    position: str = told("latitude and longitude, degrees and minutes")
    purpose: str = told("what the waypoint is for; empty for the skipper's own")


class Offered(Record):
    """One track and what the crossings made of it; days infinite where too few crossings arrive."""

    voyage: Voyage
    outcome: Outcome
    purposes: tuple[str, ...]  # of each waypoint of the voyage
    number: int = told("its number on the chart")
    kinds: tuple[TrackKind, ...] = told(
        "all that the track is: quickest, as drawn, clear of the season, kindest, fewest calms, shortest, another way"
    )
    why: str = told("why the track is as it is, beside the first")
    distance_nm: float = told("length of the track")
    typical_days: float = told("passage time that half the crossings beat, days")
    slow_end_days: float = told("passage time at the slow end, days")
    hard_on_the_wind_h: float = told(
        "mean hours in a crossing on a course within 60 degrees of the wind, calms left out"
    )
    rough_h: float = told("mean hours of 28 kn and more; the least sure of these")
    calm_h: float = told("wind under 4 kn, mean hours of a crossing")
    motoring_h: float = told("under engine, mean hours of a crossing")
    water_used_l: float = told("litres of water used to landfall by the slow end")
    farthest_nm: float = told("miles from any land where the track is farthest from help; null over 600")
    storms: float = told("storms from records; null while none are aboard", default=nan)

    @reckoned("its waypoints")
    def waypoints(self) -> tuple[Bend, ...]:
        return tuple(
            Bend(place.name, format_position(*place.position), purpose)
            for place, purpose in zip(self.voyage.waypoints, self.purposes, strict=True)
        )

    @reckoned("the waypoints as voyage.toml wants them")
    def voyage_toml(self) -> str:
        return waypoints_toml(self.voyage)
