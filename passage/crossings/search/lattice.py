"""The lattice laid along the great circle from departure to destination.

                  . . . . . . . . .        columns across the line, left positive
    departure --> S . . . . . . . G        rows along it, from a little before the departure
                  . . . . . . . . .        to a little past the destination

Laid so, no meridian, pole or 180 degrees is anything special, and a direct track is a row of the lattice.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.search.lines import (
    MEAN_RADIUS_NM,
    angle_between,
    between,
    meeting,
    normals,
    positions,
)
from passage.crossings.search.region import Region

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.search.region import Ends
    from passage.crossings.search.walls import Keep, Walls

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Ints = NDArray[np.int64]

FINEST_NM = 7.5  # between the nodes of the finest one laid
WIDEST_DEG = 75.0  # across the line; beyond it the rows run together


def _moves() -> tuple[tuple[int, int], ...]:
    """Thirty-two moves, each with its opposite half the list further on; the widest gap is 18.4 degrees."""
    half = [(1, 0), (0, 1)]
    for along, across in ((1, 1), (2, 1), (1, 2), (3, 1), (1, 3), (3, 2), (2, 3)):
        half += [(along, across), (along, -across)]
    return (*half, *((-along, -across) for along, across in half))


MOVES = _moves()


@dataclass(frozen=True)
class Lattice:
    """Nodes (along x across, 3) as normals, row by row; start and goal are nodes. spacing_nm: along and across."""

    normal: Floats
    along: int
    across: int
    start: int
    goal: int
    spacing_nm: float

    @property
    def nodes(self) -> int:
        return self.along * self.across

    @cached_property
    def place_deg(self) -> tuple[Floats, Floats]:
        return positions(self.normal)

    def region(self, which: Bools | None = None) -> Region:
        """Round all nodes, or those (nodes,) asked for, with half a degree to spare, in whole degrees."""
        lat, lon = self.place_deg
        middle = float(np.floor(lon[self.start]))
        lat, lon = (lat, lon) if which is None else (lat[which], lon[which])
        east = (lon - middle + 180.0) % 360.0 - 180.0
        south, north = max(float(np.floor(lat.min() - 0.5)), -90.0), min(float(np.ceil(lat.max() + 0.5)), 90.0)
        spare = 0.5 / np.cos(np.radians(min(max(-south, north), 88.0)))
        west, width = float(np.floor(east.min() - spare)), float(np.ptp(east) + 2.0 * spare + 2.0)
        if width >= 330.0:
            return Region(south, north, middle - 180.0, middle + 180.0)
        return Region(south, north, middle + west, middle + west + float(np.ceil(width)))

    def border(self) -> Bools:
        """Nodes (nodes,) at the edges, where a wider lattice might hold a better track."""
        row, column = np.divmod(np.arange(self.nodes), self.across)
        return np.asarray((np.minimum(row, column) <= 1) | (row >= self.along - 2) | (column >= self.across - 2))


def lay_lattice(ends: Ends, spacing_nm: float, half_width_nm: float, margin_nm: float) -> Lattice:
    """A lattice about the great circle between two places, its spacing the nearest that divides the line evenly."""
    start, goal = normals(*ends[:2]), normals(*ends[2:])
    whole = float(angle_between(start, goal))
    rows = max(1, round(whole * MEAN_RADIUS_NM / spacing_nm))
    step = whole / rows
    pole = np.cross(start, goal)
    pole /= np.linalg.norm(pole)
    sides = int(np.ceil(min(half_width_nm / MEAN_RADIUS_NM, np.radians(WIDEST_DEG)) / step - 1e-9))
    margin = int(np.ceil(margin_nm / MEAN_RADIUS_NM / step - 1e-9))
    alpha = (np.arange(-margin, rows + margin + 1) * step)[:, None, None]
    beta = (np.arange(-sides, sides + 1) * step)[None, :, None]
    normal = np.cos(beta) * (np.cos(alpha) * start + np.sin(alpha) * np.cross(pole, start)) + np.sin(beta) * pole
    along, across = normal.shape[:2]
    first = margin * across + sides
    return Lattice(normal.reshape(-1, 3), along, across, first, first + rows * across, step * MEAN_RADIUS_NM)


@dataclass(frozen=True)
class Edges:
    """What may be sailed from each node. allowed: (nodes, moves) on any day. dated: for each box with days, which
    moves enter it, (nodes, moves). shortest_nm: of all moves.
    """

    allowed: Bools
    dated: tuple[Bools, ...]
    shortest_nm: float

    def close(self, lattice: Lattice, start: Ints, end: Ints) -> None:
        """Close the moves between nodes, both ways, in place."""
        half = len(MOVES) // 2
        for one, other in zip(start, end, strict=True):
            move = MOVES.index(tuple(np.subtract(divmod(other, lattice.across), divmod(one, lattice.across)).tolist()))
            self.allowed[one, move] = self.allowed[other, (move + half) % len(MOVES)] = False


def edges_of(lattice: Lattice, walls: Walls, inside: Bools | None = None) -> Edges:
    """Look every move over once; what holds one way holds the other. inside: (nodes,) those that may be sailed to, all
    where left out.
    """
    half = len(MOVES) // 2
    dated_boxes = [box for box in walls.boxes if not box.always]
    allowed = np.zeros((lattice.nodes, len(MOVES)), dtype=bool)
    dated = tuple(np.zeros_like(allowed) for _ in dated_boxes)
    shortest_nm = np.inf
    for move in range(half):
        start, end = pairs(lattice, MOVES[move])
        shortest_nm = min(shortest_nm, float(between(lattice.normal[start], lattice.normal[end]).distance_nm.min()))
        opened = _open(lattice, walls, start, end, inside)
        allowed[start, move] = allowed[end, move + half] = opened
        for enters, box in zip(dated, dated_boxes, strict=True):
            enters[start, move] = enters[end, move + half] = _entering(lattice, box, start, end)
    return Edges(allowed, dated, shortest_nm)


def pairs(lattice: Lattice, move: tuple[int, int]) -> tuple[Ints, Ints]:
    """Nodes from which a move stays on the lattice, and where it leads."""
    number = np.arange(lattice.nodes).reshape(lattice.along, lattice.across)
    along, across = move
    start = number[: lattice.along - along, max(0, -across) : lattice.across - max(0, across)].ravel()
    return start, start + along * lattice.across + across


def _open(lattice: Lattice, walls: Walls, start: Ints, end: Ints, inside: Bools | None) -> Bools:
    """Moves that meet nothing that is shut on all days."""
    always = walls.on_every_day()
    shut = always.shut(*lattice.place_deg, np.zeros(lattice.nodes))
    if inside is not None:
        shut |= ~inside
    opened = ~(shut[start] | shut[end])
    begin, stop = lattice.normal[start[opened]], lattice.normal[end[opened]]
    opened[opened] = ~meeting(
        begin, stop, always.may_be_shut_between, lambda lat, lon, _, share: always.shut(lat, lon, share)
    )
    return opened


def _entering(lattice: Lattice, box: Keep, start: Ints, end: Ints) -> Bools:
    """Moves that meet a box, its days apart."""
    begin, stop = lattice.normal[start], lattice.normal[end]
    return meeting(begin, stop, box.may_meet, lambda lat, lon, *_: box.holds(lat, lon))
