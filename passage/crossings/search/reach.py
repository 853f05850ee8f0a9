"""How far to look: every place that could lie on a quicker track than the best known.

In hours to it from the one end and on to the other, at the fastest she could go there on any course, a place that takes
longer than the best track known lies on no quicker one. Where speeds tell only the fastest there is anywhere, that is
an ellipse about both ends.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.search.lattice import MOVES, lay_lattice, pairs
from passage.crossings.search.lines import MEAN_RADIUS_NM, SPHERE_SHARE, angle_between, normals

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.search.going import Speeds
    from passage.crossings.search.lattice import Lattice
    from passage.crossings.search.region import Ends

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]

WHOLE_NM = 5400.0  # a quarter of the way round the world
LOOKED_OVER_ROWS = 24  # spacings between the ends of the lattice on which the reach is measured
CORNERS_SHARE = 0.986  # of the way along its moves is the straight way at least


class Reach(NamedTuple):
    """How far a lattice goes beside the direct line and past its ends, nm."""

    half_width_nm: float
    margin_nm: float

    def within(self, other: Reach) -> bool:
        return self.half_width_nm <= other.half_width_nm * 1.001 and self.margin_nm <= other.margin_nm * 1.001

    def both(self, other: Reach) -> Reach:
        return Reach(max(self.half_width_nm, other.half_width_nm), max(self.margin_nm, other.margin_nm))

    def spared(self, spare_nm: float) -> Reach:
        return Reach(self.half_width_nm + spare_nm, self.margin_nm + spare_nm)


class Marked(NamedTuple):
    """Places of a lattice through which a track may lead that is not dearer than the best, as far as it can tell."""

    lattice: Lattice
    worth: Bools

    def on(self, other: Lattice) -> Bools:
        """Those of another lattice in the same frame that lie by one of them, (nodes,)."""
        coarse = self.lattice
        wide = np.pad(self.worth.reshape(coarse.along, coarse.across), 1)
        near = np.zeros((coarse.along, coarse.across), dtype=bool)
        for row, column in np.ndindex(3, 3):
            near |= wide[row : row + coarse.along, column : column + coarse.across]
        at = []
        for number in (0, 1):
            ours, theirs = (divmod(lattice.start, lattice.across)[number] for lattice in (other, coarse))
            place = (np.arange((other.along, other.across)[number]) - ours) * other.spacing_nm / coarse.spacing_nm
            at.append(np.rint(place).astype(np.int64) + theirs)
        inside = [(places >= 0) & (places < most) for places, most in zip(at, near.shape, strict=True)]
        clipped = [np.clip(places, 0, most - 1) for places, most in zip(at, near.shape, strict=True)]
        return np.asarray((near[np.ix_(*clipped)] & inside[0][:, None] & inside[1]).ravel())


def reach_of(ends: Ends, speeds: Speeds, most_h: float) -> tuple[Reach, Marked | None]:
    """Of every place on a track of most_h priced hours at most, and those places where they could be told apart."""
    widest = _ellipse(ends, most_h * speeds.fastest_kn / SPHERE_SHARE)
    fastest_at = getattr(speeds, "fastest_at", None)
    if fastest_at is None or widest.half_width_nm >= WHOLE_NM:
        return widest, None
    step_nm = float(angle_between(normals(*ends[:2]), normals(*ends[2:]))) * MEAN_RADIUS_NM / LOOKED_OVER_ROWS
    lattice = lay_lattice(ends, step_nm, *widest.spared(step_nm))
    fastest_kn = fastest_at(*lattice.place_deg, most_h, 1.5 * step_nm)
    worth = _hours(lattice, fastest_kn, step_nm) <= most_h
    row, column = np.nonzero(worth.reshape(lattice.along, lattice.across))
    first, middle = divmod(lattice.start, lattice.across)
    last = lattice.goal // lattice.across
    aside, past = np.abs(column - middle).max(initial=0), max(first - row.min(), row.max() - last, 0)
    return Reach(float(aside + 1) * step_nm, float(past + 1) * step_nm), Marked(lattice, worth)


def _ellipse(ends: Ends, both_ways_nm: float) -> Reach:
    direct, both_ways = float(angle_between(normals(*ends[:2]), normals(*ends[2:]))), both_ways_nm / MEAN_RADIUS_NM
    if both_ways >= np.pi:
        return Reach(WHOLE_NM, WHOLE_NM)
    half = np.arccos(np.clip(np.cos(both_ways / 2.0) / np.cos(direct / 2.0), -1.0, 1.0))
    return Reach(float(half) * MEAN_RADIUS_NM, max(both_ways - direct, 0.0) / 2.0 * MEAN_RADIUS_NM)


def _hours(lattice: Lattice, fastest_kn: Floats, step_nm: float) -> Floats:
    """(nodes,): from the start to each and on to the goal, at the fastest at either end of every move."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import dijkstra

    start, end = (
        np.concatenate(each) for each in zip(*(pairs(lattice, move) for move in MOVES[: len(MOVES) // 2]), strict=True)
    )
    run_nm = angle_between(lattice.normal[start], lattice.normal[end]) * MEAN_RADIUS_NM * SPHERE_SHARE * CORNERS_SHARE
    hours = run_nm / np.maximum(np.maximum(fastest_kn[start], fastest_kn[end]), 0.1)
    graph = coo_matrix((hours, (start, end)), shape=(lattice.nodes, lattice.nodes)).tocsr()
    return np.asarray(dijkstra(graph, directed=False, indices=[lattice.start, lattice.goal]).sum(axis=0))


def aside_of(ends: Ends, track: Floats) -> Reach:
    """How far a track leaves the direct line, and how far it goes past its ends."""
    start, goal = normals(*ends[:2]), normals(*ends[2:])
    pole = np.cross(start, goal)
    pole /= np.linalg.norm(pole)
    aside = np.arcsin(np.clip(np.abs(track @ pole).max(), 0.0, 1.0))
    along = np.arctan2(track @ np.cross(pole, start), track @ start)
    past = max(-float(along.min()), float(along.max()) - float(angle_between(start, goal)), 0.0)
    return Reach(float(aside) * MEAN_RADIUS_NM, past * MEAN_RADIUS_NM)
