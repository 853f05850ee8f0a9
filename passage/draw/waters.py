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
        near = [
            paper.at(line[:, 0], line[:, 1] + turn)
            for line in depth_lines(depth_m)
            for turn in (-360.0, 0.0, 360.0)
            if _meets(line, turn, (west, south, east, north))
        ]
        shown = shapely.clip_by_rect(shapely.MultiLineString(near), *paper.frame)
        paper.shape(shown, edge=0.6, dash=dash)


def _meets(line: Floats, turn_deg: float, box: Box) -> bool:
    (south, west), (north, east) = line.min(axis=0), line.max(axis=0)
    return bool(south < box[3] and north > box[1] and west + turn_deg < box[2] and east + turn_deg > box[0])


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

    west, _, east, _ = paper.limits_deg()
    shapes = []
    for box in wall.boxes:
        turn = 360.0 * round(((west + east) - (box[0] + box[2])) / 720.0)
        shapes.append(shapely.box(box[0] + turn, max(box[1], -85.0), box[2] + turn, min(box[3], 85.0)))
    around = shapely.segmentize(shapely.union_all(shapes), 1.0)
    return shapely.transform(around, lambda points: paper.at(points[:, 1], points[:, 0]))
