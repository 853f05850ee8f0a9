"""Why no track leads there: the end or the wall that stops it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.search.labels import set_labels
from passage.crossings.search.lattice import FINEST_NM, edges_of
from passage.crossings.search.lines import LOOK_NM, MEAN_RADIUS_NM, angle_between, normals, places_along
from passage.crossings.search.region import Ends
from passage.crossings.search.walls import boxes_of
from passage.errors import RouteRefused
from passage.positions import format_position
from passage.sailings.geodesic import normalise_lon_deg
from passage.sailings.land import clear_water, on_land

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.search.find import Search
    from passage.crossings.search.hunt import Hunt, Offing
    from passage.crossings.search.lattice import Lattice
    from passage.crossings.search.walls import Keep, Walls

    Floats = NDArray[np.float64]

LONGEST_NM = 9000.0
MOVED_NM, OFFING_NM = 5.0, 20.0  # so far inland an end is moved to the water, and where a fjord leads to it so far
NEAR_NM = 60.0  # of an end: a wall there is told with it


def afloat(search: Search) -> tuple[Search, tuple[str, str]]:
    """The search with ends that lie on land moved to the nearest water within a few miles, and a sentence for each end
    so moved, else ''. Raises RouteRefused for an end farther inland.
    """
    if not search.land:
        return search, ("", "")
    ends = [_afloat(name, *_end(search, name)) for name in ("start", "destination")]
    moved = replace(search, ends=Ends(*ends[0][0], *ends[1][0]))
    return moved, (ends[0][1], ends[1][1])


def _afloat(name: str, lat: float, lon: float) -> tuple[tuple[float, float], str]:
    if not on_land(lat, lon):
        return (lat, lon), ""
    water = clear_water(lat, lon)
    place, beside, off_nm = format_position(lat, lon), format_position(*water), _apart_nm((lat, lon), water)
    if off_nm > MOVED_NM and (off_nm > OFFING_NM or not _water_by(lat, lon)):
        raise RouteRefused(
            f"the {name} {place} lies on land; the nearest water is about {beside}, {off_nm:.0f} nm off: give a "
            "position in the harbour or off it, and see the chart"
        )
    return water, _moved_words(f"this coastline has land at the {name} {place}", water, off_nm)


def in_the_offing(search: Search, offing: Offing, asked: Search) -> tuple[Search, tuple[str, str]]:
    """The search with ends from which this coastline shows no way out moved to open water in the offing, where it is
    near enough, and a sentence for each so moved, else ''. asked: the search as it was asked, by whose ends they are
    named.
    """
    places, said = [], []
    for name, given in zip(("start", "destination"), offing, strict=True):
        end = _end(search, name)
        water = given or end
        off_nm = _apart_nm(end, water)
        goes = 0.0 < off_nm <= OFFING_NM
        places.append(water if goes else end)
        own = _end(asked, name)
        words = f"this coastline shows no way out from the {name} {format_position(*own)}"
        said.append(_moved_words(words, water, _apart_nm(own, water)) if goes else "")
    return replace(search, ends=Ends(*places[0], *places[1])), (said[0], said[1])


def _moved_words(why: str, water: tuple[float, float], off_nm: float) -> str:
    return (
        f"{why}: the track is reckoned from clear water near it, {format_position(*water)}, {off_nm:.1f} nm off; what "
        "lies between is pilotage by the chart"
    )


def _apart_nm(one: tuple[float, float], other: tuple[float, float]) -> float:
    return float(angle_between(normals(*one), normals(*other))) * MEAN_RADIUS_NM


def _water_by(lat: float, lon: float) -> bool:
    """Whether the exact coast shows water within a few miles, in a fjord, say."""
    step_deg = np.arange(-MOVED_NM, MOVED_NM + 0.1, 0.5) / 60.0
    east_deg = step_deg / np.cos(np.radians(min(abs(lat), 85.0)))
    return not on_land(np.clip(lat + step_deg, -90.0, 90.0)[:, None], lon + east_deg).all()


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
        for box in boxes_of(search.limits):
            if box.always and box.holds(np.array(lat), np.array(lon)):
                raise RouteRefused(f"the {name} {format_position(lat, lon)} lies behind a wall of its own: {box.name}")


def what_closes(hunt: Hunt) -> str:
    """The wall without which there would have been a way for a hunt that found none."""
    search = hunt.search
    if not hunt.leads():
        return (
            "the destination cannot be reached by any course: the current wins, the boat makes nothing good, or the "
            "climate knows no wind on the way"
        )
    hunt = hunt.keeping(search.limits.limits.clear_by_day_nm)
    lattice, walls = hunt.widest()
    lifted: list[tuple[str, Walls]] = [(_said(box), _without(walls, box)) for box in walls.boxes]
    if search.land and hunt.clear_nm > 0.0:
        said = f"keeping {hunt.clear_nm:g} nm off land and listed dangers"
        lifted.append((said, hunt.keeping(0.0).widest()[1]))
    if search.land:
        lifted.append(("land, as this coastline and lattice have it,", replace(walls, raster=None)))
    found = [(said, _path(search, lattice, fewer)) for said, fewer in lifted]
    closing = [f"{said}{_where(path, walls, search)}" for said, path in found if len(path)]
    if closing:
        return f"no track reaches the destination: {' or '.join(closing)} closes the way; without it there is one"
    together = ", ".join(said for said, _ in lifted)
    return f"no track reaches the destination: these walls close every way together: {together}"


def _path(search: Search, lattice: Lattice, walls: Walls) -> Floats:
    """Normals (n, 3) of the best track on the lattice, none where there is none."""
    labels = set_labels(lattice, edges_of(lattice, walls), search.speeds, walls, lattice.goal)
    nodes = labels.path(lattice.goal) if np.isfinite(labels.cost_h[lattice.goal]) else []
    return lattice.normal[nodes]


def _where(path: Floats, walls: Walls, search: Search) -> str:
    """Where all the walls first stand across a track laid without one of them, and by which end."""
    lat, lon = places_along(path, LOOK_NM)
    met = np.flatnonzero(walls.shut(lat, lon, np.zeros(len(lat))))
    if not len(met):
        return ""
    there = normals(lat[met[0]], lon[met[0]])
    near = [
        name
        for name, end in (("start", search.ends[:2]), ("destination", search.ends[2:]))
        if angle_between(there, normals(*end)) * MEAN_RADIUS_NM < NEAR_NM
    ]
    by_end = f", by the {near[0]} {format_position(*_end(search, near[0]))}" if near else ""
    return f" at {format_position(float(lat[met[0]]), normalise_lon_deg(float(lon[met[0]])))}{by_end}"


def _end(search: Search, name: str) -> tuple[float, float]:
    return search.ends[:2] if name == "start" else search.ends[2:]


def _said(box: Keep) -> str:
    return box.name if box.always else f"{box.name} on its days"


def _without(walls: Walls, box: Keep) -> Walls:
    return replace(walls, boxes=tuple(other for other in walls.boxes if other is not box))
