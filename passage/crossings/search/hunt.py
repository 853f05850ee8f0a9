"""The hunt for the best track among walls: lattices from coarse to fine, and the floor of every valley they show.

A lattice is made wide enough for every place that could lie on a quicker track: the miles from both ends to it, sailed
at the fastest speed there is, take no longer than the best track found so far. The finer lattices hold the places of
the coarser ones, and what a coarser one has found stays in the running, so that looking more finely never makes the
answer worse. From each lattice the best track is polished, and from the coarser ones the best tracks through other
valleys too, for a lattice may rank two of them wrongly.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.search.going import changes_slowly
from passage.crossings.search.labels import set_labels
from passage.crossings.search.lattice import FINEST_NM, edges_of, lay_lattice
from passage.crossings.search.letout import let_out, off_lying, open_already, opened, region_round
from passage.crossings.search.lines import MEAN_RADIUS_NM, angle_between, away_nm, normals, pieces, positions
from passage.crossings.search.polish import TrackCost, floor_near
from passage.crossings.search.raster import MOST_CELLS, land_raster
from passage.crossings.search.reach import Marked, Reach, aside_of, reach_of
from passage.crossings.search.region import Ends
from passage.crossings.search.walls import Days, Walls, boxes_of
from passage.inputs.search import TrackLimits

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from passage.crossings.search.find import Search
    from passage.crossings.search.labels import Labels
    from passage.crossings.search.lattice import Lattice
    from passage.crossings.search.letout import LetOut
    from passage.crossings.search.raster import Raster
    from passage.crossings.search.region import Region

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]

COARSEST_ROWS, LEAST_ROWS = 8, 24  # spacings between the ends: of the first lattice at least, of the last one at least
VALLEY_ROWS = 50  # with more of them only the best track of a lattice is polished
FIRST_WIDTH_SHARE, FIRST_MARGIN_SHARE = 0.3, 0.1  # of the direct distance, while no track at all is known
LEAST_SIDE = 4  # in spacings
SPARE_NM = 60.0
SPARE_DEG = 1.0  # of a raster, round what was asked: the next lattice may reach a little farther
WIDER, WIDENINGS = 2.2, 2
SPARE_SPACINGS = 1.5
REFUSALS = 50  # moves that a closer look closes before the lattice is given up
MEASURED_NM, MEASURED_PARTS = 10.0, 200  # a track is measured by pieces of so many miles, or so many to the direct line
ROUGH, ROUGH_SLOWLY = 3.0, 6.0  # of those pieces in one while it is polished, and where speeds change slowly
FIRST_STEP_NM = 30.0  # of the polish
WORTH_SHARE = (
    0.015  # a fine lattice's track that costs more than the best by this does not become it when polished: its
)
# moves leave gaps of 18.4 degrees, and a straight line laid in them is 1.3 % longer at most
COARSE_SHARE = 2.0  # nor one through another valley by this, divided by the spacings between the ends
APART_SHARE, APART_SPACINGS = 0.05, 2.0  # of the direct distance, and in spacings: farther apart are other valleys
VALLEYS = 2  # looked into beside the best
MOST_NODES = 4000  # of a lattice that is not narrowed by what a coarser one has shown
SOME = 4  # the widest water is told by every fourth cell each way
OUT_SHARE = 0.5  # of the direct distance: ways out of the ends that are longer are no ways out
FINALISTS, FINAL_SHARE = 2, 0.002


Offing = tuple[tuple[float, float] | None, tuple[float, float] | None]


class Candidate(NamedTuple):
    """A polished track (n, 3) between the lattice's ends, and what the whole costs by the fine measure."""

    track: Floats
    cost_h: float


@dataclass
class Hunt:
    """One hunt, keeping one distance from land. shut_in: walls part the ends, so that no lattice, however fine or wide,
    leads there. lattice: the last one laid. bound_h: what some track is known to cost, the direct or the drawn
    one. out, into: ways let out from the start and, sailed backwards, into the destination, None where an end lies
    open; offing: of each end that lies shut in with no way out found, the nearest open water; ends: those of the
    lattices, where the ways come out.
    """

    search: Search
    clear_nm: float
    candidates: list[Candidate] = field(default_factory=list)
    bound_h: float = np.inf
    shut_in: bool = False
    lattice: Lattice | None = None
    ends: Ends = field(init=False)
    out: LetOut | None = None
    into: LetOut | None = None
    offing: Offing = (None, None)
    _narrowed: Marked | None = None
    _within: Marked | None = None  # what could lie on a quicker track than the best one known
    _region: Region | None = None
    _raster: Raster | None = None

    def __post_init__(self) -> None:
        self.ends = self.search.ends

    def run(self) -> tuple[Candidate, ...]:
        """Polished tracks, the best first, those that cost hardly more after it; none where no way leads."""
        self._begin()
        asked = self._asked_rows()
        if np.isinf(self.bound_h) and not self.leads():
            return ()
        for rows in asked:
            self._look(rows, last=rows == asked[-1])
            if self.shut_in:
                return ()
        self._look_closer(asked[-1])
        ranked = sorted(self.candidates, key=lambda candidate: candidate.cost_h)
        return tuple(each for each in ranked[:FINALISTS] if each.cost_h <= ranked[0].cost_h * (1.0 + FINAL_SHARE))

    def keeping(self, clear_nm: float) -> Hunt:
        """The same hunt, not begun, keeping another distance from land."""
        return Hunt(self.search, clear_nm)

    def leads(self) -> bool:
        """Whether she would get there in open water without any wall."""
        free = Hunt(replace(self.search, limits=TrackLimits(), land=False), 0.0)
        lattice, walls = free.widest()
        labels = set_labels(lattice, edges_of(lattice, walls), self.search.speeds, walls, lattice.goal)
        return bool(np.isfinite(labels.cost_h[lattice.goal]))

    @property
    def direct_nm(self) -> float:
        start, goal = normals(*self.ends[:2]), normals(*self.ends[2:])
        return float(angle_between(start, goal)) * MEAN_RADIUS_NM

    @property
    def most_h(self) -> float:
        return min([self.bound_h, *(candidate.cost_h for candidate in self.candidates)])

    def fine(self) -> TrackCost:
        """By which whole tracks are told apart, whatever the lattice."""
        return TrackCost(self.search.speeds, self._walls(), self._step_nm)

    def at_sea(self, measure: TrackCost) -> TrackCost:
        """The measure for what lies between the ways out, the clock running since the departure."""
        if self.out is None:
            return measure
        return replace(measure, begins_h=float(measure.schedule(self.out.way).hours.sum()))

    @property
    def _step_nm(self) -> float:
        return min(MEASURED_NM, self.direct_nm / MEASURED_PARTS)

    def rough(self) -> TrackCost:
        """By which a track is polished."""
        by = ROUGH_SLOWLY if changes_slowly(self.search.speeds) else ROUGH
        return TrackCost(self.search.speeds, self._walls(), self._step_nm * by)

    def widest(self) -> tuple[Lattice, Walls]:
        """A lattice as wide as one is ever laid without a track known, and the walls on it."""
        rows = self._asked_rows()[-1]
        reach = self._first_reach(LEAST_SIDE * self.direct_nm / rows)
        lattice = self._lay(rows, Reach(reach.half_width_nm * WIDER, reach.margin_nm * WIDER))
        return lattice, self._walls()

    def _asked_rows(self) -> list[int]:
        """Spacings between the ends, doubled from lattice to lattice."""
        rows = self.direct_nm / self.search.spacing_nm
        while rows < LEAST_ROWS:
            rows *= 2.0
        doublings = int(np.log2(rows / COARSEST_ROWS) + 1e-9)
        first = round(rows / 2.0**doublings)
        return [first * 2**doubled for doubled in range(doublings + 1)]

    def _look_closer(self, rows: int) -> None:
        """Beyond what was asked, while no lattice leads there though she moves: narrower gaps."""
        finest_nm = min(FINEST_NM, self.search.spacing_nm)
        while not self.candidates and self.direct_nm / rows >= 2.0 * finest_nm and not self.shut_in:
            rows *= 2
            self._look(rows, last=True)

    # ------------------------------------------------------------ where to look

    def _begin(self) -> None:
        """Let the ends out; and what the direct track and the drawn one cost is the first bound to how far to look."""
        if self.search.land:
            self._lay(LEAST_ROWS, self._first_reach(SPARE_NM))
            self._let_out()
        tracks = [self.whole(np.stack([normals(*self.ends[:2]), normals(*self.ends[2:])]))]
        if self.search.drawn is not None:
            tracks.append(normals(self.search.drawn.lat_deg, self.search.drawn.lon_deg))
        for track in tracks:
            reach = aside_of(self.ends, track).spared(SPARE_NM)
            self._lay(LEAST_ROWS, reach.both(self._first_reach(SPARE_NM)))
            self.bound_h = min(self.bound_h, self.fine().schedule(track).total_h)

    def _let_out(self) -> None:
        walls = self._walls()
        assert walls.raster is not None
        if walls.raster.shut.size > MOST_CELLS:
            return
        waters, ends = walls.raster.waters(), (self.search.ends[:2], self.search.ends[2:])
        own = [int(waters[walls.raster.cell(end)]) for end in ends]
        water = own[0] if own[0] == own[1] != 0 else int(np.bincount(waters[::SOME, ::SOME].ravel())[1:].argmax()) + 1
        both = tuple(zip(ends, ends[::-1], strict=True))
        lies_open = [open_already(walls, waters, water, end, other) for end, other in both]
        found = [
            None if lies else let_out(walls, waters, water, end, other)
            for lies, (end, other) in zip(lies_open, both, strict=True)
        ]
        near = [
            None if way or lies else off_lying(walls.raster, waters == water, end)
            for way, lies, end in zip(found, lies_open, ends, strict=True)
        ]
        self.offing = (near[0], near[1])
        if sum(way.length_nm for way in found if way) > self.direct_nm * OUT_SHARE:
            return
        self.out, self.into = found
        places = [positions(way.way[-1]) if way else end for way, end in zip(found, ends, strict=True)]
        self.ends = Ends(*(float(part) for place in places for part in place))
        self._region = None

    def whole(self, path: Floats) -> Floats:
        """A track between the lattice's ends with the ways out of the true ones."""
        before = self.out.way[:-1] if self.out else path[:0]
        after = self.into.way[-2::-1] if self.into else path[:0]
        return np.concatenate([before, path, after])

    def _first_reach(self, least_nm: float) -> Reach:
        direct_nm = self.direct_nm
        return Reach(max(FIRST_WIDTH_SHARE * direct_nm, least_nm), max(FIRST_MARGIN_SHARE * direct_nm, least_nm))

    def _reach(self, spacing_nm: float) -> Reach:
        reach, self._within = reach_of(self.ends, self.search.speeds, self.most_h)
        return reach.spared(SPARE_SPACINGS * spacing_nm)

    def _lay(self, rows: int, reach: Reach) -> Lattice:
        self.lattice = lay_lattice(self.ends, self.direct_nm / rows, *reach)
        return self.lattice

    def _inside(self, lattice: Lattice) -> Bools | None:
        """The nodes to which she may sail, None for all."""
        narrowed = self._narrowed if lattice.nodes > MOST_NODES else None
        marks = [marked.on(lattice) for marked in (self._within, narrowed) if marked]
        return np.logical_and.reduce(marks) if marks else None

    def _walls(self) -> Walls:
        """On the region of the lattice; a raster of land made for a wider one serves."""
        search, raster = self.search, None
        if search.land:
            assert self.lattice is not None
            ways = [way.way for way in (self.out, self.into) if way]
            region = self.lattice.region(self._within.on(self.lattice) if self._within else None)
            region = region.with_(round_ways) if (round_ways := region_round(ways)) else region
            if self._region is None or not self._region.holds(region):
                self._region = (self._region.with_(region) if self._region else region).spared(SPARE_DEG)
                by_day_nm = min(search.limits.limits.clear_by_day_nm, self.clear_nm)
                self._raster = land_raster(self._region, search.ends, by_day_nm, self.clear_nm)
                for way in ways:
                    opened(self._raster, way)
            raster = self._raster
        return Walls(Days(search.depart), raster, boxes_of(search.limits), search.limits.prices.cyclone_season)

    # ------------------------------------------------------------ looking

    def _look(self, rows: int, last: bool) -> None:
        """Lay a lattice wide enough, and wider while what it finds shows that it was not, or while none leads there."""
        spacing_nm = self.direct_nm / rows
        for widening in range(WIDENINGS + 1):
            known = np.isfinite(self.most_h)
            reach = self._reach(spacing_nm) if known else self._first_reach(LEAST_SIDE * spacing_nm)
            reach = reach if known else Reach(*(WIDER**widening * nm for nm in reach))
            reached_border = self._try(self._lay(rows, reach), rows)
            if not np.isfinite(self.most_h):
                self.shut_in = self._walls().part(self.ends, widening == WIDENINGS)
                if self.shut_in or not reached_border or not last:
                    return
            elif known or self._reach(spacing_nm).within(reach):
                return

    def _try(self, lattice: Lattice, rows: int) -> bool:
        """Polish what the lattice shows; whether its labels reach its border."""
        walls, speeds, measure = self._walls(), self.search.speeds, self.rough()
        edges = edges_of(lattice, walls, self._inside(lattice))
        valleys, coarse_share = rows <= VALLEY_ROWS, COARSE_SHARE / rows
        worth_share = max(2.0 * WORTH_SHARE, coarse_share) if valleys else WORTH_SHARE
        most_h = self.most_h * (1.0 + (coarse_share if valleys else WORTH_SHARE))
        for _ in range(REFUSALS):
            labels = set_labels(lattice, edges, speeds, walls, None if valleys else lattice.goal, most_h)
            if np.isinf(labels.cost_h[lattice.goal]):
                return bool(np.isfinite(labels.cost_h[lattice.border()]).any())
            nodes = np.array(labels.path(lattice.goal))
            scheduled = measure.schedule(self.whole(lattice.normal[nodes]))
            if np.isfinite(scheduled.total_h):
                break
            first = len(self.out.way) - 1 if self.out else 0
            shut = np.flatnonzero(np.isinf(scheduled.cost_h[first : first + len(nodes) - 1]))
            if not len(shut):
                return False
            edges.close(lattice, nodes[shut], nodes[shut + 1])
        else:
            return False
        self._consider(lattice.normal[nodes], scheduled.total_h, lattice, worth_share)
        if valleys:
            most_h = min(most_h, labels.cost_h[lattice.goal] * (1.0 + coarse_share))
            on = set_labels(lattice, edges, speeds, walls, None, most_h, labels.hour[lattice.goal])
            through = labels.cost_h + on.cost_h
            self._narrowed = Marked(lattice, through <= most_h)
            for path in _valleys(lattice, labels, on, most_h, self._apart_nm(lattice)):
                self._consider(path, measure.schedule(self.whole(path)).total_h, lattice, coarse_share)
        return True

    def _apart_nm(self, lattice: Lattice) -> float:
        return max(APART_SHARE * self.direct_nm, APART_SPACINGS * lattice.spacing_nm)

    def _consider(self, path: Floats, cost_h: float, lattice: Lattice, worth_share: float) -> None:
        """Polish a track unless it lies along one already polished or costs too much to become the best."""
        if not cost_h <= self.most_h * (1.0 + worth_share):
            return
        beside_nm = min(self._apart_nm(lattice), APART_SPACINGS * lattice.spacing_nm)
        if any(_farthest_nm(path, candidate.track) < beside_nm for candidate in self.candidates):
            return
        self._take(path)

    def _take(self, track: Floats) -> None:
        reach_nm = min(FIRST_STEP_NM, self.direct_nm / LEAST_ROWS)
        track = floor_near(track, self.at_sea(self.rough()), reach_nm)
        cost_h = self.fine().schedule(self.whole(track)).total_h
        if np.isfinite(cost_h):
            self.candidates.append(Candidate(track, cost_h))


def _farthest_nm(path: Floats, track: Floats) -> float:
    """How far the one goes from the other."""
    return float(away_nm(pieces(path[:-1], path[1:], 60.0).end, track).max())


# ---------------------------------------------------------------- valleys


def _valleys(lattice: Lattice, out: Labels, on: Labels, most_h: float, apart_nm: float) -> Iterator[Floats]:
    """The best tracks of a lattice through places from which a step to either side is dearer, other than the best of
    all and apart from one another.

    out: labels of all nodes from the departure, on: from all nodes to the destination. Through each node leads a best
    track: out to it and on from it.
    """
    through = (out.cost_h + on.cost_h).reshape(lattice.along, lattice.across)
    waiting = np.flatnonzero(_floors(through) & (through <= most_h))
    waiting = waiting[np.argsort(through.ravel()[waiting], kind="stable")]
    chosen = lattice.normal[out.path(lattice.goal)]
    for _ in range(VALLEYS):
        waiting = waiting[away_nm(lattice.normal[waiting], chosen) > apart_nm] if len(waiting) else waiting
        if not len(waiting):
            return
        node = int(waiting[0])
        chosen = lattice.normal[[*out.path(node), *on.path(node)[-2::-1]]]
        yield chosen


def _floors(through: Floats) -> Bools:
    """Places (along, across) no dearer than the two on either side."""
    padded = np.pad(through, ((0, 0), (2, 2)), constant_values=np.inf)
    wide = through.shape[1]
    sides = [padded[:, shift : shift + wide] for shift in (0, 1, 3, 4)]
    return np.asarray(np.isfinite(through) & (through <= np.minimum.reduce(sides)))
