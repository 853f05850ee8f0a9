"""Exact label setting: the least cost from the departure to every node, with the clock running.

Labels are settled in buckets as wide as the cheapest possible move, so that no label of a bucket can better another
and a whole bucket is relaxed at once; nothing depends on a first guess, so nothing is trapped in a valley that is not
the lowest. It is exact where leaving later never brings her in earlier. On one move that is always so, for its hours
are added up as they pass (``going.sailed``); from place to place it is so wherever she can hold her place against the
current, for she might wait. With prices the clock is that of the cheapest way to a node. A box with days is judged when
she gets there; she never loiters before one that is about to open.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.search.going import SLOWEST_KN, sailed
from passage.crossings.search.lattice import MOVES
from passage.crossings.search.lines import MEAN_RADIUS_NM, SPHERE_SHARE, angle_between, between
from passage.errors import OutOfRange

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.search.going import Speeds
    from passage.crossings.search.lattice import Edges, Lattice
    from passage.crossings.search.walls import Walls

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Labels:
    """The answer for every node settled: cost in priced hours, infinite where no way leads; hours; node before."""

    cost_h: Floats
    hour: Floats
    before: Ints

    def path(self, node: int) -> list[int]:
        """Nodes from the departure to one that was reached."""
        nodes = [node]
        while self.before[nodes[-1]] >= 0:
            nodes.append(int(self.before[nodes[-1]]))
        return nodes[::-1]


def set_labels(
    lattice: Lattice,
    edges: Edges,
    speeds: Speeds,
    walls: Walls,
    goal: int | None = None,
    most_h: float = np.inf,
    arrive_h: float | None = None,
) -> Labels:
    """Labels of all nodes, or of those settled before the goal is. Raises OutOfRange for a boat that never moves.

    most_h: nodes by which the goal cannot be reached within so many priced hours, even at her fastest, are left out.
    arrive_h: the labels are of the way from each node on to the goal of the lattice, where she is then, the clock
    running back from there; good for telling valleys apart, not for a time.
    """
    if speeds.fastest_kn <= SLOWEST_KN:
        raise OutOfRange("by her polar table the boat does not move in any wind")
    first, last = (lattice.start, lattice.goal) if arrive_h is None else (lattice.goal, lattice.start)
    passing = _Passing(lattice, edges, speeds, walls, arrive_h, most_h - _least_h(lattice, last, speeds))
    width = edges.shortest_nm / speeds.fastest_kn
    cost, hour = np.full(lattice.nodes, np.inf), np.zeros(lattice.nodes)
    labels = Labels(cost, hour, np.full(lattice.nodes, -1))
    waiting = np.zeros(lattice.nodes, dtype=bool)
    cost[first] = 0.0
    front = np.array([first])
    while len(front):
        least = cost[front].min()
        if goal is not None and cost[goal] <= least:
            break
        ripe = cost[front] < least + width
        batch, front = front[ripe], front[~ripe]
        waiting[batch] = False
        better = passing.relaxed(batch, labels)
        fresh = better[~waiting[better]]
        waiting[fresh] = True
        front = np.concatenate([front, fresh])
    return labels


def _least_h(lattice: Lattice, node: int, speeds: Speeds) -> Floats:
    """Hours from every node to one at her fastest; a thousandth less, for the sphere on which they are reckoned."""
    away_nm = angle_between(lattice.normal, lattice.normal[node]) * MEAN_RADIUS_NM
    return np.asarray(away_nm * SPHERE_SHARE / speeds.fastest_kn)


@dataclass(frozen=True)
class _Passing:
    """Labels handed on along the moves. most_h: of each node, beyond which its label is no use."""

    lattice: Lattice
    edges: Edges
    speeds: Speeds
    walls: Walls
    arrive_h: float | None
    most_h: Floats

    def relaxed(self, batch: Ints, labels: Labels) -> Ints:
        """Better the labels, in place, of all nodes that one move from the batch betters; returns those nodes."""
        row, move = np.nonzero(self.edges.allowed[batch])
        start = batch[row]
        end = start + _strides(self.lattice)[move]
        hopeful = (labels.cost_h[end] > labels.cost_h[start]) & (labels.cost_h[start] <= self.most_h[end])
        start, end, move = start[hopeful], end[hopeful], move[hopeful]
        hours, cost = self._moved(start, end, move, labels)
        cost += labels.cost_h[start]
        good = np.flatnonzero((cost < labels.cost_h[end]) & (cost <= self.most_h[end]))
        good = good[np.lexsort((cost[good], end[good]))]
        node, first = np.unique(end[good], return_index=True)
        best = good[first]
        labels.cost_h[node], labels.before[node] = cost[best], start[best]
        labels.hour[node] = labels.hour[start[best]] + hours[best]
        return node

    def _moved(self, start: Ints, end: Ints, move: Ints, labels: Labels) -> tuple[Floats, Floats]:
        """Hours and priced hours of moves, infinite into a box on its days."""
        from_node, to_node, begun = self.lattice.normal[start], self.lattice.normal[end], labels.hour[start]
        if self.arrive_h is None:
            steps = between(from_node, to_node)
        else:
            steps = between(to_node, from_node)
            begun = np.maximum(self.arrive_h - begun - 2.0 * steps.distance_nm / self.speeds.fastest_kn, 0.0)
        run = sailed(steps, begun, self.speeds, self.walls)
        shut = _shut(self.edges, self.walls, start, move, begun, run.hours)
        return run.hours, np.where(shut, np.inf, run.cost_h)


def _strides(lattice: Lattice) -> Ints:
    return np.array([along * lattice.across + across for along, across in MOVES])


def _shut(edges: Edges, walls: Walls, start: Ints, move: Ints, begun: Floats, hours: Floats) -> NDArray[np.bool_]:
    """Moves into a box on its days, at their beginning or their end."""
    shut = np.zeros(len(start), dtype=bool)
    dated = (box for box in walls.boxes if not box.always)
    for enters, box in zip(edges.dated, dated, strict=True):
        done = begun + np.where(np.isfinite(hours), hours, 0.0)
        closed = walls.days.within(begun, box.first_day, box.last_day)
        closed |= walls.days.within(done, box.first_day, box.last_day)
        shut |= enters[start, move] & closed
    return shut
