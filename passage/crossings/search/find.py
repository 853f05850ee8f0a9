"""The quickest track, or the kindest at the prices asked: lattice first, then waypoints, then a handful of them.

Times from here rank tracks; what a voyage takes is for the crossings to say. The track is clear of land on data that
may be three miles out, and no data shows every reef: the chart decides.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.search.labels import set_labels
from passage.crossings.search.lattice import edges_of, lay_lattice
from passage.crossings.search.lines import MEAN_RADIUS_NM, angle_between, length_nm, normals, positions
from passage.crossings.search.polish import Measure, polished, thinned, written_down
from passage.crossings.search.walls import Days, Ends, Keep, Walls, boxes_of, land_raster
from passage.errors import RouteRefused
from passage.inputs.position import format_position
from passage.inputs.search import TrackLimits
from passage.sailings.geodesic import normalise_lon_deg
from passage.sailings.land import nearest_water, on_land

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.crossings.search.going import Speeds
    from passage.crossings.search.lattice import Lattice
    from passage.sailings.track import Track

    Floats = NDArray[np.float64]

HALF_DEGREE_NM = 30.0
FINEST_NM = 7.5
LONGEST_NM = 9000.0
HALF_WIDTH_SHARE, MARGIN_SHARE = 0.3, 0.1  # of the direct distance, beside it and past its ends
LEAST_SIDE, LEAST_MARGIN = 10, 6  # in spacings
WIDER = 1.7
WIDENINGS = 3
REFUSALS = 50  # moves that a closer look closes before the lattice is given up
DRAWN_SPARE_NM = 120.0
SLACK_SHARE = 0.001  # what being typed in a handful of waypoints may cost
HANDFUL = 12
FINE_SHARE = 1 / 3  # of the spacing: how finely the answer is measured, and the drawn track beside it
NO_GAIN_SHARE = 5e-4  # a gain below this is no reason to leave the drawn track
SMALL_WATERS_NM = 10.0  # with a lattice finer than this, waypoints go to a tenth of a minute, else to a whole one


@dataclass(frozen=True)
class Found:
    """A track found. lat_deg, lon_deg: its waypoints, ends included, joined by great circles.

    hours: expected, without prices; cost_h: with them. drawn_cost_h: what the drawn track costs by the same measure,
    infinite where a wall shuts it, None where none was given. keeps_drawn: nothing better by half a part in a thousand
    was found than the drawn track, and the waypoints are on it. kept_clear_nm: the distance from land kept all the way
    but for the approaches. spacing_nm, nodes: of the lattice.
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


def find_track(search: Search) -> Found:
    """The track of least cost. The same question gets the same answer.

    Raises RouteRefused for an end on land (the nearest water is suggested) or behind a wall, for a destination that
    no track reaches (saying what closes the way), and for ends too close or too far apart.
    """
    _check_ends(search)
    for clear_nm in _distances(search):
        for spacing_nm in _spacings(search):
            trial = _Trial(search, clear_nm, spacing_nm)
            if (path := trial.path()) is not None:
                return _answer(search, trial, path)
            if clear_nm == _distances(search)[0] and spacing_nm == search.spacing_nm:
                _refuse_what_never_moves(search)
            if trial.shut_in:
                break
    raise RouteRefused(_what_closes(search))


def _distances(search: Search) -> tuple[float, ...]:
    """Distances from land to try to keep at sea, the greater first."""
    limits = search.limits.limits
    both = (limits.clear_by_night_nm, limits.clear_by_day_nm)
    return both if search.land and both[0] > both[1] else both[1:]


def _spacings(search: Search) -> Iterator[float]:
    """Finer and finer lattices, which find narrower gaps."""
    spacing_nm = search.spacing_nm
    while True:
        yield spacing_nm
        spacing_nm /= 2.0
        if spacing_nm < min(FINEST_NM, search.spacing_nm):
            break


class _Trial:
    """One lattice among walls, made wider while the best track on it runs along its border.

    shut_in: walls part the ends, so that no lattice at this distance from land, however fine or wide, leads there.
    """

    def __init__(self, search: Search, clear_nm: float, spacing_nm: float) -> None:
        self.search, self.clear_nm = search, clear_nm
        self.shut_in = False
        drawn_nm = _farthest_aside_nm(search) + DRAWN_SPARE_NM if search.drawn else 0.0
        self._half_width_nm = max(HALF_WIDTH_SHARE * search.direct_nm, LEAST_SIDE * spacing_nm, drawn_nm)
        self._margin_nm = max(MARGIN_SHARE * search.direct_nm, LEAST_MARGIN * spacing_nm)
        self._spacing_nm = spacing_nm
        self._lay()

    def _lay(self) -> None:
        search = self.search
        self.lattice = lay_lattice(search.ends, self._spacing_nm, self._half_width_nm, self._margin_nm)
        self.walls = _walls(search, self.lattice, self.clear_nm)
        self.measure = Measure(search.speeds, self.walls, self.lattice.spacing_nm)

    def path(self) -> Floats | None:
        """The best track on the lattice as normals (n, 3), or None where none reaches the destination."""
        for widening in range(WIDENINGS + 1):
            nodes, at_border = self._nodes()
            self.shut_in = not nodes and self.walls.part(self.search.ends, widening == WIDENINGS)
            if self.shut_in or widening == WIDENINGS or not at_border:
                break
            self._half_width_nm *= WIDER
            self._margin_nm *= WIDER
            self._lay()
        return self.lattice.normal[nodes] if nodes else None

    def _nodes(self) -> tuple[list[int], bool]:
        """Nodes of the best track that the measure allows too, none where there is none; and whether it, or what was
        reached instead, touches the border. Boxes with days are judged more closely by the measure.
        """
        edges, border = edges_of(self.lattice, self.walls), self.lattice.border()
        for _ in range(REFUSALS):
            labels = set_labels(self.lattice, edges, self.search.speeds, self.walls, self.lattice.goal)
            if np.isinf(labels.cost_h[self.lattice.goal]):
                return [], bool(np.isfinite(labels.cost_h[border]).any())
            nodes = labels.path(self.lattice.goal)
            sailed = self.measure.schedule(self.lattice.normal[nodes])
            if np.isfinite(sailed.total_h):
                return nodes, bool(border[nodes].any())
            shut = np.flatnonzero(np.isinf(sailed.cost_h))
            edges.close(self.lattice, np.array(nodes)[shut], np.array(nodes)[shut + 1])
        return [], False


def _walls(search: Search, lattice: Lattice, clear_nm: float) -> Walls:
    raster = None
    if search.land:
        by_day_nm = min(search.limits.limits.clear_by_day_nm, clear_nm)
        raster = land_raster(lattice.region(), search.ends, by_day_nm, clear_nm)
    return Walls(Days(search.depart), raster, boxes_of(search.limits), search.limits.prices.cyclone_season)


def _farthest_aside_nm(search: Search) -> float:
    """How far the drawn track leaves the direct line, nm."""
    assert search.drawn is not None
    start, goal = normals(*search.ends[:2]), normals(*search.ends[2:])
    pole = np.cross(start, goal)
    aside = normals(search.drawn.lat_deg, search.drawn.lon_deg) @ (pole / np.linalg.norm(pole))
    return float(np.arcsin(np.clip(np.abs(aside).max(), 0.0, 1.0))) * MEAN_RADIUS_NM


# ---------------------------------------------------------------- the answer


def _answer(search: Search, trial: _Trial, path: Floats) -> Found:
    how = (trial.measure, trial.lattice.spacing_nm, search.slack_share, search.most_waypoints)
    fine = replace(trial.measure, step_nm=trial.lattice.spacing_nm * FINE_SHARE)
    tracks = [polished(path, *how)]
    drawn_cost_h = None
    if search.drawn is not None:
        drawn = normals(search.drawn.lat_deg, search.drawn.lon_deg)
        drawn_cost_h = fine.schedule(drawn).total_h
        if np.isfinite(drawn_cost_h):
            tracks.append(polished(drawn, *how))
    per_degree = 60.0 if search.spacing_nm >= SMALL_WATERS_NM else 600.0
    tracks = [written_down(track, fine, per_degree) for track in tracks]
    best = min(tracks, key=lambda track: fine.schedule(track).total_h)
    keeps_drawn = drawn_cost_h is not None and drawn_cost_h <= fine.schedule(best).total_h * (1.0 + NO_GAIN_SHARE)
    found = fine.schedule(drawn if keeps_drawn else best)
    lat, lon = positions(thinned(drawn, fine, 0.0) if keeps_drawn else best)
    return Found(
        lat_deg=lat,
        lon_deg=normalise_lon_deg(lon),
        hours=float(found.hours.sum()),
        cost_h=found.total_h,
        drawn_cost_h=drawn_cost_h,
        keeps_drawn=keeps_drawn,
        distance_nm=length_nm(drawn if keeps_drawn else best, fine.step_nm),
        kept_clear_nm=trial.clear_nm if search.land else 0.0,
        spacing_nm=trial.lattice.spacing_nm,
        nodes=trial.lattice.nodes,
    )


# ---------------------------------------------------------------- refusals


def _check_ends(search: Search) -> None:
    direct_nm = search.direct_nm
    if direct_nm > LONGEST_NM:
        raise RouteRefused(
            f"the ends are {direct_nm:,.0f} nm apart and a search reaches {LONGEST_NM:,.0f}; search the voyage in parts"
        )
    if direct_nm < 4.0 * min(FINEST_NM, search.spacing_nm):
        raise RouteRefused(f"the ends are {direct_nm:.1f} nm apart: too close together for a search")
    for name, lat, lon in (("start", *search.ends[:2]), ("destination", *search.ends[2:])):
        if search.land and on_land(lat, lon):
            water = format_position(*nearest_water(lat, lon))
            place = format_position(lat, lon)
            raise RouteRefused(f"the {name} {place} lies on land; the nearest water is about {water}: see the chart")
        for box in boxes_of(search.limits):
            if box.always and box.holds(np.array(lat), np.array(lon)):
                raise RouteRefused(f"the {name} {format_position(lat, lon)} lies behind a wall of its own: {box.name}")


def _refuse_what_never_moves(search: Search) -> None:
    """Where not even open water without any wall leads there, walls are not to blame."""
    free = replace(search, limits=TrackLimits(), land=False)
    lattice = _Trial(free, 0.0, search.spacing_nm).lattice
    if not _leads(free, lattice, _walls(free, lattice, 0.0)):
        raise RouteRefused(
            "the destination cannot be reached by any course: the current wins, the boat makes nothing good, or the "
            "climate knows no wind on the way"
        )


def _what_closes(search: Search) -> str:
    """The wall without which there would be a way."""
    limits = search.limits.limits
    lattice = _Trial(search, limits.clear_by_day_nm, search.spacing_nm).lattice
    walls = _walls(search, lattice, limits.clear_by_day_nm)
    lifted: list[tuple[str, Walls]] = [(_said(box), _without(walls, box)) for box in walls.boxes]
    if search.land and limits.clear_by_day_nm > 0.0:
        said = f"keeping {limits.clear_by_day_nm:g} nm off land and listed dangers"
        lifted.append((said, _walls(search, lattice, 0.0)))
    if search.land:
        lifted.append(("land, as this coastline and lattice have it,", replace(walls, raster=None)))
    closing = [said for said, fewer in lifted if _leads(search, lattice, fewer)]
    if closing:
        return f"no track reaches the destination: {' or '.join(closing)} closes the way; without it there is one"
    together = ", ".join(said for said, _ in lifted)
    return f"no track reaches the destination: these walls close every way together: {together}"


def _leads(search: Search, lattice: Lattice, walls: Walls) -> bool:
    labels = set_labels(lattice, edges_of(lattice, walls), search.speeds, walls, lattice.goal)
    return bool(np.isfinite(labels.cost_h[lattice.goal]))


def _said(box: Keep) -> str:
    return box.name if box.always else f"{box.name} on its days"


def _without(walls: Walls, box: Keep) -> Walls:
    return replace(walls, boxes=tuple(other for other in walls.boxes if other is not box))
