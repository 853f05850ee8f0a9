"""Why no track leads there: the end or the wall that stops it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.search.hunt import FINEST_NM, Hunt, leads
from passage.crossings.search.labels import set_labels
from passage.crossings.search.lattice import edges_of
from passage.crossings.search.walls import boxes_of
from passage.errors import RouteRefused
from passage.inputs.position import format_position
from passage.sailings.land import nearest_water, on_land

if TYPE_CHECKING:
    from passage.crossings.search.find import Search
    from passage.crossings.search.lattice import Lattice
    from passage.crossings.search.walls import Keep, Walls

LONGEST_NM = 9000.0


def check_ends(search: Search) -> None:
    """Raises RouteRefused for ends that no search can serve."""
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


def what_closes(search: Search) -> str:
    """The wall without which there would be a way."""
    if not leads(search):
        return (
            "the destination cannot be reached by any course: the current wins, the boat makes nothing good, or the "
            "climate knows no wind on the way"
        )
    hunt = Hunt(search, search.limits.limits.clear_by_day_nm)
    lattice, walls = hunt.widest()
    lifted: list[tuple[str, Walls]] = [(_said(box), _without(walls, box)) for box in walls.boxes]
    if search.land and hunt.clear_nm > 0.0:
        said = f"keeping {hunt.clear_nm:g} nm off land and listed dangers"
        lifted.append((said, Hunt(search, 0.0).widest()[1]))
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
