"""Exact label setting: the least cost from the departure to every node, with the clock running.

Labels are settled in buckets as wide as the cheapest possible move, so that no label of a bucket can better another
and a whole bucket is relaxed at once; nothing depends on a first guess, so nothing is trapped in a valley that is not
the lowest. It is exact where leaving later never brings her in earlier, which holds for winds that change over weeks;
in a forecast, whose winds change over hours, it is as good as that comes true, and the polish follows. The winds of a
move are those of its middle hour, taken as if she made half her best speed. With prices the clock is that of the
cheapest way to a node. A box with days is judged when she gets there; she never loiters before one that is about to
open.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.search.lattice import MOVES
from passage.crossings.search.lines import between
from passage.errors import OutOfRange

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.search.going import Speeds
    from passage.crossings.search.lattice import Edges, Lattice
    from passage.crossings.search.lines import Steps
    from passage.crossings.search.walls import Walls

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

SLOWEST_KN = 0.05  # slower than this is no way


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


def cost_of(steps: Steps, hour: Floats, speeds: Speeds, walls: Walls) -> tuple[Floats, Floats]:
    """Hours and priced hours of steps begun at hours since departure, infinite where she cannot go."""
    going = speeds.along(steps, hour)
    moving = going.speed_kn > SLOWEST_KN
    hours = np.where(moving, steps.distance_nm / np.where(moving, going.speed_kn, 1.0), np.inf)
    return hours, hours * (1.0 + going.price + walls.price(steps.lat_deg, steps.lon_deg, hour))


def set_labels(lattice: Lattice, edges: Edges, speeds: Speeds, walls: Walls, goal: int | None = None) -> Labels:
    """Labels of all nodes, or of those settled before the goal is. Raises OutOfRange for a boat that never moves."""
    if speeds.fastest_kn <= SLOWEST_KN:
        raise OutOfRange("by her polar table the boat does not move in any wind")
    width = edges.shortest_nm / speeds.fastest_kn
    cost, hour = np.full(lattice.nodes, np.inf), np.zeros(lattice.nodes)
    before = np.full(lattice.nodes, -1)
    waiting = np.zeros(lattice.nodes, dtype=bool)
    cost[lattice.start] = 0.0
    front = np.array([lattice.start])
    while len(front):
        least = cost[front].min()
        if goal is not None and cost[goal] <= least:
            break
        ripe = cost[front] < least + width
        batch, front = front[ripe], front[~ripe]
        waiting[batch] = False
        better = _relaxed(lattice, edges, speeds, walls, batch, Labels(cost, hour, before))
        fresh = better[~waiting[better]]
        waiting[fresh] = True
        front = np.concatenate([front, fresh])
    return Labels(cost, hour, before)


def _relaxed(lattice: Lattice, edges: Edges, speeds: Speeds, walls: Walls, batch: Ints, labels: Labels) -> Ints:
    """Better the labels, in place, of all nodes that one move from the batch betters; returns those nodes."""
    row, move = np.nonzero(edges.allowed[batch])
    start = batch[row]
    end = start + _strides(lattice)[move]
    hopeful = labels.cost_h[end] > labels.cost_h[start]
    start, end, move = start[hopeful], end[hopeful], move[hopeful]
    begun = labels.hour[start]
    steps = between(lattice.normal[start], lattice.normal[end])
    hours, cost = cost_of(steps, begun + steps.distance_nm / speeds.fastest_kn, speeds, walls)
    cost += labels.cost_h[start]
    cost[_shut(edges, walls, start, move, begun, hours)] = np.inf
    good = np.flatnonzero(cost < labels.cost_h[end])
    good = good[np.lexsort((cost[good], end[good]))]
    node, first = np.unique(end[good], return_index=True)
    best = good[first]
    labels.cost_h[node], labels.hour[node], labels.before[node] = cost[best], begun[best] + hours[best], start[best]
    return node


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
