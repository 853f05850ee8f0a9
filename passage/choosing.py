"""The choice between tracks: three to five of them across the open sea, each sailed by the same crossings.

``choose`` asks the search for tracks that differ by more than noise (``crossings.search.choices``), sails every one
with the same luck and says in a sentence why each is as it is. ``first_track`` lays a track between two harbours for a
voyage that has none yet.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.ensemble import ARRIVED
from passage.crossings.rose import CALM_KN
from passage.crossings.search.choices import TrackKind, apart_nm, find_choices
from passage.crossings.search.expected import ExpectedSpeeds
from passage.crossings.search.find import Search, find_track
from passage.crossings.search.lines import normals
from passage.crossings.search.purposes import purposes
from passage.crossings.search.region import Ends
from passage.crossings.wind import HARD_ON_THE_WIND_DEG
from passage.ground import lay_ground
from passage.inputs.climate import read_climate
from passage.offered import Offered
from passage.positions import Position
from passage.road import Outcome, walk
from passage.sailings.land import FARTHEST_LOOK_NM, nearest_land
from passage.tracks import drawn_ground, open_sea, searched, with_waypoints

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from passage.crossings.ensemble import Crossings
    from passage.crossings.helm import Vessel
    from passage.crossings.search.choices import Choice
    from passage.crossings.wind import Luck
    from passage.inputs.folder import Facts
    from passage.inputs.search import TrackLimits
    from passage.inputs.voyage import Voyage

HELP_EVERY_NM = 60.0  # of the track, to find the place farthest from land


def choose(facts: Facts, limits: TrackLimits, luck: Luck, depart: datetime) -> tuple[Offered, ...]:
    """Tracks to choose between, the quickest first. Raises as ``tracks.propose``."""
    search, about, speeds = searched(facts, limits, depart)
    if drawn_ground(facts, depart) is None:
        search = replace(search, drawn=None)
    month = depart.month - 1
    sailed: list[Offered] = []
    for choice in find_choices(search, speeds):
        first, last = open_sea(facts.voyage)
        voyage = with_waypoints(facts.voyage, choice.found, first, last) if choice.found else facts.voyage
        after = len(facts.voyage.waypoints) - 1 - last
        crossed = np.array([place.position for place in voyage.waypoints[first : len(voyage.waypoints) - after]])
        moved = choice.found.moved if choice.found else ("", "")
        meant = ("",) * first + purposes(crossed[:, 0], crossed[:, 1], about.climate, month, moved) + ("",) * after
        changed = replace(facts, voyage=voyage)
        outcome = walk(changed, lay_ground(changed, depart, in_part=True), luck, depart)
        sailed.append(_sailed(choice, voyage, meant, outcome, sailed))
    return tuple(sailed)


def _sailed(
    choice: Choice, voyage: Voyage, meant: tuple[str, ...], outcome: Outcome, before: Sequence[Offered]
) -> Offered:
    times = outcome.times
    one = Offered(
        voyage,
        outcome,
        meant,
        number=len(before) + 1,
        kinds=choice.kinds,
        why="",
        distance_nm=outcome.ground.track.length_nm,
        typical_days=times.typical_h / 24.0,
        slow_end_days=times.slow_end_h / 24.0,
        hard_on_the_wind_h=hard_on_the_wind_h(outcome.crossings),
        rough_h=times.strong_h,
        calm_h=times.calm_h,
        motoring_h=times.motoring_h,
        water_used_l=_water_l(outcome),
        farthest_nm=farthest_nm(outcome),
    )
    return replace(one, why=_why(one, before[0] if before else None))


def hard_on_the_wind_h(crossings: Crossings) -> float:
    """Mean hours in a crossing on a course within 60 degrees of the wind, calms left out."""
    course = np.radians(crossings.track.course_deg[crossings.node])
    ahead = -(crossings.wind_east_kn * np.sin(course) + crossings.wind_north_kn * np.cos(course))
    wind = crossings.wind_kn
    hard = (ahead > wind * np.cos(np.radians(HARD_ON_THE_WIND_DEG))) & (wind >= CALM_KN) & (crossings.state != ARRIVED)
    return float(hard.sum() / crossings.members)


def _water_l(outcome: Outcome) -> float:
    used = replace(outcome, shopping=False).stores.water.store.used
    return float(np.quantile(used, outcome.slow_share, method="higher"))


def farthest_nm(outcome: Outcome) -> float:
    """How far from any land the track leads at the most, infinite beyond 600 miles."""
    track = outcome.ground.track
    every = max(1, round(HELP_EVERY_NM / track.spacing_nm))
    return float(nearest_land(track.lat_deg[::every], track.lon_deg[::every], FARTHEST_LOOK_NM).distance_nm.max())


# ---------------------------------------------------------------- why


IS = {
    TrackKind.QUICKEST: "the quickest",
    TrackKind.AS_DRAWN: "the track as drawn",
    TrackKind.CLEAR_OF_SEASON: "the quickest at the price you ask of cyclone waters in their season",
    TrackKind.KINDEST: "the kindest, with fewest hours of hard beating and strong wind for the time",
    TrackKind.FEWEST_CALMS: "the one with fewest calms for the time",
    TrackKind.SHORTEST: "the shortest way round the land",
    TrackKind.ANOTHER_WAY: "another way, well off the tracks above",
}


def _why(one: Offered, first: Offered | None) -> str:
    """What it is and, beside the first, what it costs and what it saves."""
    *before, last = (IS[kind] for kind in one.kinds)
    is_words = f"{', '.join(before)} and {last}" if before else last
    if first is None:
        return f"{is_words[0].upper()}{is_words[1:]}."
    side = _side_words(one, first)
    more = one.typical_days - first.typical_days
    days = f"{abs(more):.1f} days {'more' if more > 0 else 'less'}" if np.isfinite(more) else "too slow to be sure of"
    days = "no more days" if abs(more) < LEAST_DAYS else days
    changes = [
        f"{abs(change):.0f} h {'more' if change > 0 else 'less'} {name}"
        for name, change in (
            ("hard on the wind", one.hard_on_the_wind_h - first.hard_on_the_wind_h),
            ("of 28 kn and more", one.rough_h - first.rough_h),
            ("of calm", one.calm_h - first.calm_h),
        )
        if abs(change) >= LEAST_H
    ]
    return f"{is_words[0].upper()}{is_words[1:]}{side}: {', '.join([days, *changes])} than on the first."


LEAST_DAYS = 0.1
LEAST_H = 3.0  # of mean hours: a difference below it is not worth a word


def _side_words(one: Offered, first: Offered) -> str:
    """On which side of the first it passes at its middle, and how far on the mean."""
    ours, theirs = one.outcome.ground.track, first.outcome.ground.track
    tracks = [normals(track.lat_deg[::10], track.lon_deg[::10]) for track in (ours, theirs)]
    middle, other = ours.nodes // 2, tracks[1]
    place = normals(ours.lat_deg[middle], ours.lon_deg[middle])
    beside = int(np.argmax(other @ place)) * 10
    up = float(ours.lat_deg[middle] - theirs.lat_deg[beside])
    right = float((ours.lon_deg[middle] - theirs.lon_deg[beside] + 180.0) % 360.0 - 180.0)
    across = right * float(np.cos(np.radians(ours.lat_deg[middle])))
    upright = abs(up) >= abs(across)
    side = ("north" if up > 0 else "south") if upright else ("east" if across > 0 else "west")
    return f", {apart_nm(tracks[0], tracks[1]):.0f} nm {side} of the first on the mean"


# ---------------------------------------------------------------- a track where there is none yet


def first_track(
    start: Position, goal: Position, vessel: Vessel, limits: TrackLimits, depart: datetime
) -> tuple[tuple[Position, ...], tuple[str, ...]]:
    """Waypoints of the quickest track between two harbours in the winds of the climatology, and what each is for.

    An end that the coast of the data shows as land is moved to the nearest water within a few miles, which its purpose
    says. Raises RouteRefused as ``find_track``.
    """
    climate = read_climate()
    speeds = ExpectedSpeeds(climate, vessel, depart, limits.prices)
    found = find_track(Search(Ends(*start, *goal), speeds, limits, depart, slack_share=FIRST_SLACK_SHARE))
    places = [Position(float(lat), float(lon)) for lat, lon in zip(found.lat_deg, found.lon_deg, strict=True)]
    return tuple(places), purposes(found.lat_deg, found.lon_deg, climate, depart.month - 1, found.moved)


FIRST_SLACK_SHARE = 0.003  # few waypoints in a first track
