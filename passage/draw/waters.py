"""What lies in the water: depth lines, and what is kept out of, as the waters of a cyclone season are.

Depths: ``climatology_demo/depths.npz``, of ETOPO5, a relief of five miles' mesh. It misses banks that rise steeply:
Gorringe's, of some 25 m (from memory), has 315 in it. So a line tells where a shelf ends and not where it is deep.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from passage.shipped import shipped

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.draw.labels import Box, Floats, Label, Room
    from passage.draw.paper import Paper

DEPTHS: dict[int, Any] = {200: (0, (1, 1.6)), 2000: (0, (0.5, 2.4))}  # metres: how the line is broken
STEPS_A_DEGREE = 100.0
NARROWEST_DEG = 1.5  # across: on a smaller chart a mesh of five miles says nothing
INWARD_PT = 11.0  # of a name from its edge


class Wall(NamedTuple):
    """What is kept out of, by name. boxes: west, south, east, north, degrees; east may pass 180."""

    name: str
    boxes: Sequence[Box]


@cache
def depth_lines(depth_m: int) -> tuple[Floats, ...]:
    """Every line of that depth: latitudes and longitudes (n, 2), degrees."""
    with np.load(shipped("climatology_demo") / "depths.npz") as kept:
        steps, points = kept[f"steps_{depth_m}m"].astype(float), kept[f"points_{depth_m}m"]
    ends = np.cumsum(points)[:-1]
    return tuple(np.cumsum(line, axis=1).T / STEPS_A_DEGREE for line in np.split(steps, ends, axis=1))


def draw_depths(paper: Paper) -> None:
    import shapely

    west, south, east, north = paper.limits_deg()
    if east - west < NARROWEST_DEG:
        return
    for depth_m, dash in DEPTHS.items():
        turned = [
            np.stack([line[:, 1] + paper.near(line[:, 1].mean()) - line[:, 1].mean(), line[:, 0]], axis=1)
            for line in depth_lines(depth_m)
        ]
        near = shapely.box(west, south, east, north).intersection(shapely.MultiLineString(turned))
        paper.shape(shapely.clip_by_rect(paper.shapes(near), *paper.frame), edge=0.6, dash=dash)


def draw_walls(paper: Paper, room: Room, walls: Sequence[Wall]) -> list[Label | None]:
    """Their edges, ticked to the inside, each with its name within, as far as there is room."""
    import shapely

    frame = shapely.box(*paper.frame)
    found: list[Label | None] = []
    for wall in walls:
        inside = _water(paper, wall)
        edge = frame.intersection(inside.boundary)
        paper.shape(edge, edge=0.9, ticks=True)
        within = frame.buffer(-INWARD_PT).intersection(inside.buffer(-INWARD_PT))
        around = shapely.points(shapely.get_coordinates(shapely.segmentize(within.boundary, INWARD_PT)))
        places = around[np.argsort(shapely.distance(around, edge), kind="stable")]
        labels = (room.centred(wall.name, (place.x, place.y), 7.0) for place in places)
        found.append(next(filter(None, labels), None))
        room.lines = np.concatenate([room.lines, shapely.get_coordinates(shapely.segmentize(edge, 2.0))])
    return found


def _water(paper: Paper, wall: Wall) -> Any:
    """Its shape on the paper, on the turn of the world that the chart is on."""
    import shapely

    west, south, east, north = np.array(wall.boxes).T
    turn = paper.near((west + east) / 2.0) - (west + east) / 2.0
    boxes = shapely.box(west + turn, np.maximum(south, -85.0), east + turn, np.minimum(north, 85.0))
    return paper.shapes(shapely.segmentize(shapely.union_all(boxes), 1.0))
