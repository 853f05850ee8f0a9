"""The quickest track, or the kindest at the prices asked: lattices first, then waypoints, then a handful of them.

Times from here rank tracks; what a voyage takes is for the crossings to say. The track is clear of land on data that
may be three miles out, and no data shows every reef: the chart decides.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from passage.crossings.search.going import Even, changes_slowly
from passage.crossings.search.hunt import Hunt
from passage.crossings.search.lines import MEAN_RADIUS_NM, angle_between, length_nm, normals, places_along, positions
from passage.crossings.search.polish import in_few, settled, thinned, written_down
from passage.crossings.search.refusals import afloat, check_ends, in_the_offing, what_closes
from passage.errors import RouteRefused
from passage.sailings.geodesic import normalise_lon_deg
from passage.sailings.land import land_hits

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    import numpy as np
    from numpy.typing import NDArray

    from passage.crossings.search.going import Speeds
    from passage.crossings.search.hunt import Candidate
    from passage.crossings.search.region import Ends
    from passage.inputs.search import TrackLimits
    from passage.sailings.track import Track

    Floats = NDArray[np.float64]

HALF_DEGREE_NM = 30.0
SLACK_SHARE = 0.001  # what being typed in a handful of waypoints may cost
HANDFUL = 12
NO_GAIN_SHARE = 5e-4  # a gain below this is no reason to leave the drawn track
LOOKED_OVER_NM = 50.0
SMALL_WATERS_NM = 300.0  # with the ends nearer, waypoints go to a tenth of a minute, else to a whole one


@dataclass(frozen=True)
class Found:
    """A track found. lat_deg, lon_deg: its waypoints, ends included, joined by great circles.

    hours: expected, without prices; cost_h: with them. drawn_cost_h: what the drawn track costs by the same measure,
    infinite where a wall shuts it, None where none was given. keeps_drawn: nothing better by half a part in a thousand
    was found than the drawn track, and the waypoints are on it. kept_clear_nm: the distance from land kept all the way
    but for the approaches. spacing_nm, nodes: of the lattice. moved: of each end that lies on land by this coastline
    a sentence that says to which water it was moved, else ''.
    """

    lat_deg: Floats
    lon_deg: Floats
    hours: float
    cost_h: float
    drawn_cost_h: float | None
    keeps_drawn: bool
    distance_nm: float
    kept_clear_nm: float
    spacing_nm: float
    nodes: int
    moved: tuple[str, str] = ("", "")


@dataclass(frozen=True)
class Search:
    """One question: from where to where, how fast, keeping out of what, leaving when (UTC).

    drawn: a track that the answer must not be slower than. land: False for waters without any, where no coast is
    asked. slack_share: by how much a track of fewer waypoints may be slower; most_waypoints: between the ends.
    """

    ends: Ends
    speeds: Speeds
    limits: TrackLimits
    depart: datetime
    spacing_nm: float = HALF_DEGREE_NM
    drawn: Track | None = None
    land: bool = True
    slack_share: float = SLACK_SHARE
    most_waypoints: int = HANDFUL

    @property
    def direct_nm(self) -> float:
        start, goal = normals(*self.ends[:2]), normals(*self.ends[2:])
        return float(angle_between(start, goal)) * MEAN_RADIUS_NM

    @property
    def distances_nm(self) -> tuple[float, ...]:
        """Distances from land to try to keep at sea, the greater first."""
        limits = self.limits.limits
        both = (limits.clear_by_night_nm, limits.clear_by_day_nm)
        return both if self.land and both[0] > both[1] else both[1:]


def find_track(search: Search) -> Found:
    """The track of least cost. The same question gets the same answer.

    An end on land is moved to the nearest water within a few miles. Raises RouteRefused for one farther inland or
    behind a wall, for a destination that no track reaches (saying what closes the way and where), and for ends too
    close or too far apart.
    """
    asked, (search, moved) = search, afloat(search)
    check_ends(search)
    found, hunt = _hunted(search)
    if found is None and any(hunt.offing):
        off, said = in_the_offing(search, hunt.offing, asked)
        moved = (said[0] or moved[0], said[1] or moved[1])
        found = _hunted(off)[0] if any(said) else None
    if found is None:
        raise RouteRefused(what_closes(hunt))
    return replace(found, moved=moved)


def _hunted(search: Search) -> tuple[Found | None, Hunt]:
    """What the hunt brings home, keeping the greater distance from land that leads there; and the last hunt."""
    for clear_nm in search.distances_nm:
        hunt = Hunt(search, clear_nm)
        if candidates := hunt.run():
            return _answer(search, hunt, candidates), hunt
    return None, hunt


def shortest_track(ends: Ends, limits: TrackLimits, depart: datetime) -> Found:
    """The shortest track round land and boxes, whatever the wind. Raises RouteRefused as ``find_track``."""
    asked = Search(ends, Even(1.0), limits, depart)
    return find_track(replace(asked, spacing_nm=min(HALF_DEGREE_NM, asked.direct_nm / HANDFUL)))


def _answer(search: Search, hunt: Hunt, candidates: Sequence[Candidate]) -> Found:
    fine = hunt.fine()
    tracks = [_joined(_in_few(candidate.track, search, hunt), search, hunt) for candidate in candidates]
    best = min(tracks, key=lambda track: fine.schedule(track).total_h)
    drawn_cost_h, keeps_drawn = None, False
    if search.drawn is not None:
        drawn = normals(search.drawn.lat_deg, search.drawn.lon_deg)
        drawn_cost_h = fine.schedule(drawn).total_h
        keeps_drawn = drawn_cost_h <= fine.schedule(best).total_h * (1.0 + NO_GAIN_SHARE)
        best = drawn if keeps_drawn else best
    assert hunt.lattice is not None
    scheduled = fine.schedule(best)
    lat, lon = positions(thinned(best, fine, 0.0) if keeps_drawn else best)
    return Found(
        lat_deg=lat,
        lon_deg=normalise_lon_deg(lon),
        hours=float(scheduled.hours.sum()),
        cost_h=scheduled.total_h,
        drawn_cost_h=drawn_cost_h,
        keeps_drawn=keeps_drawn,
        distance_nm=length_nm(best, fine.step_nm),
        kept_clear_nm=hunt.clear_nm if search.land else 0.0,
        spacing_nm=hunt.lattice.spacing_nm,
        nodes=hunt.lattice.nodes,
    )


def _joined(track: Floats, search: Search, hunt: Hunt) -> Floats:
    """With the ways out of the ends, where the exact coast allows it less the waypoints that cost something and the
    others shifted; written down in round waypoints.
    """
    fine, per_degree = hunt.fine(), 60.0 if search.direct_nm >= SMALL_WATERS_NM else 600.0
    if hunt.out or hunt.into:
        shifted = written_down(
            settled(thinned(hunt.whole(track), fine, 0.0), fine, 4.0 * _reach_nm(search)), fine, per_degree
        )
        if not _ashore(shifted):
            return shifted
    return hunt.whole(written_down(track, hunt.at_sea(fine), per_degree))


def _ashore(track: Floats) -> bool:
    return bool(land_hits(*places_along(track, LOOKED_OVER_NM)))


def _in_few(track: Floats, search: Search, hunt: Hunt) -> Floats:
    """In a few waypoints, settled by the fine measure; where speeds change slowly, thinned by a rougher one."""
    reach_nm, fine = 4.0 * _reach_nm(search), hunt.at_sea(hunt.fine())
    by = hunt.at_sea(hunt.rough()) if changes_slowly(search.speeds) else fine
    few = in_few(settled(track, by, reach_nm / 4.0), by, reach_nm, search.slack_share, search.most_waypoints)
    return few if by is fine else settled(few, fine, reach_nm / 16.0)


def _reach_nm(search: Search) -> float:
    """Of the first step in shifting waypoints that have been polished already."""
    return min(HALF_DEGREE_NM, search.direct_nm / HANDFUL) / 16.0
