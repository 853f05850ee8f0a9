"""A route or recorded track from a GPX file in place of waypoints typed into the voyage file."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from pydantic import ValidationError

from passage.errors import Fault, InputFaults
from passage.inputs.gpx import read_gpx, typed
from passage.inputs.text import is_file
from passage.inputs.toml import Lent
from passage.inputs.voyage import MOST_WAYPOINTS, RouteFile, same_place
from passage.units import shown

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.inputs.gpx import GpxLine, Point
    from passage.inputs.toml import Document, KeyPath

    Floats = NDArray[np.float64]

WITHIN_NM = 1.0  # a line of too many points is thinned so that each point left out lies this near to what is left
NM_PER_RAD = 3440.065  # a sphere will do to say what lies within a mile
_FILE = ("route", "file")


def with_route(document: Document) -> Document:
    """The voyage file with the points of the GPX file it names as its waypoints; as it is where it names none, or where
    the table that names it is itself at fault. Raises InputFaults.
    """
    route = _asked(document)
    if route is None:
        return document
    if "waypoint" in document.values:
        raise _at_the_name(document, "a GPX file, and waypoints typed here", "keep one of the two")
    if not is_file(route.file):
        found = f"no file {shown(route.file.name)} stands there"
        raise _at_the_name(document, found, "mend the name, or type the waypoints here")
    try:
        return _filled(document, route, _chosen(document, route, read_gpx(route.file)))
    except InputFaults as told:
        raise InputFaults([_named_too(document, fault) for fault in told.faults]) from None


def _asked(document: Document) -> RouteFile | None:
    given, context = document.values.get("route"), {"folder": document.folder}
    try:
        return RouteFile.model_validate(given, context=context, by_alias=True, by_name=False)
    except ValidationError:
        return None


def _at_the_name(document: Document, found: str, wanted: str, key: str = "file") -> InputFaults:
    return InputFaults([document.fault(("route", key), found, wanted)])


def _named_too(document: Document, fault: Fault) -> Fault:
    """A fault of the GPX file that says where the voyage file names it."""
    if fault.file == document.file:
        return fault
    return fault._replace(wanted=f"{fault.wanted} ({document.file} line {document.line(_FILE)} names this file)")


def _chosen(document: Document, route: RouteFile, lines: Sequence[GpxLine]) -> GpxLine:
    """The route asked for; where the file holds no route, the track."""
    kind = "route" if any(line.kind == "route" for line in lines) else "track"
    those = [line for line in lines if line.kind == kind]
    names = [line.name or f"{kind} {number}" for number, line in enumerate(those, 1)]
    told = f"{route.file.name} holds {', '.join(map(shown, names[:12]))}"
    if not those:
        raise _at_the_name(document, f"{route.file.name} holds no route and no track", "name a file with one in it")
    if route.name is None and len(those) > 1:
        raise _at_the_name(document, f"several {kind}s", f'say which: add a line such as name = "..."; {told}')
    if route.name is not None and names.count(route.name) != 1:
        found = f"{f'several {kind}s' if route.name in names else f'no {kind}'} of the name {shown(route.name)}"
        raise _at_the_name(document, found, f"name one that stands there once; {told}", "name")
    return those[names.index(route.name)] if route.name is not None else those[0]


def _filled(document: Document, route: RouteFile, line: GpxLine) -> Document:
    """The points as the voyage file would give them, each with its place in the GPX file for faults."""
    apart = _apart(line.points)
    if len(apart) < 2:
        found = f"a {line.kind} of {'a single point' if apart else 'no points'} in {route.file.name}"
        raise _at_the_name(document, found, "a voyage has a departure and a destination")
    kept = apart if len(apart) <= MOST_WAYPOINTS else _thinned(document, route, line, apart)
    names = _names(line.points, kept)
    how = {key: value for key, value in document.values["route"].items() if key in ("sailing", "limit")}
    waypoints = [
        {"name": name, "position": typed(*line.points[index].position), **(how if number else {})}
        for number, (index, name) in enumerate(zip(kept, names, strict=True))
    ]
    file, named_at = route.file.name, document.line(_FILE)
    lent: dict[KeyPath, Lent] = {
        ("waypoint", number): Lent(file, line.points[index].line, names[number], named_at)
        for number, index in enumerate(kept)
    }
    note = _note(route, line, len(kept))
    return replace(document, values={**document.values, "waypoint": waypoints}, lent=lent, notes=(note,))


def _note(route: RouteFile, line: GpxLine, kept: int) -> str:
    """What was taken from the file, and what was left out."""
    name = f" {shown(line.name)}" if line.name else ""
    note = f"Waypoints: the {line.kind}{name} of {route.file.name}, {kept} of its {len(line.points)} points."
    if len(line.points) == kept:
        return note
    if len(_apart(line.points)) == kept:
        return f"{note} Those left out repeat the point before them."
    return f"{note} Those left out lie within {WITHIN_NM:g} nm of the track: look at it where it passes near land."


def _apart(points: Sequence[Point]) -> list[int]:
    """The points that do not repeat the one before them."""
    kept = [0] if points else []
    for index in range(1, len(points)):
        if not same_place(points[kept[-1]].position, points[index].position):
            kept.append(index)
    return kept


def _names(points: Sequence[Point], kept: Sequence[int]) -> list[str]:
    """The names of the points kept, invented where there is none, numbered where one stands there again."""
    given = [points[index].name or f"point {index + 1}" for index in kept]
    seen: Counter[str] = Counter()
    names = []
    for name in given:
        seen[name] += 1
        names.append(name if seen[name] == 1 else f"{name} ({seen[name]})")
    return names


def _thinned(document: Document, route: RouteFile, line: GpxLine, apart: list[int]) -> list[int]:
    """The points without which the line would pass farther than ``WITHIN_NM`` from one of them."""
    if route.sailing != "great circle":
        found = f'sailing = "{route.sailing}" along {len(apart)} points'
        wanted = f"more than {MOST_WAYPOINTS} points are thinned for great circles only; leave sailing out"
        raise _at_the_name(document, found, wanted, "sailing")
    kept = [apart[at] for at in thinned([line.points[index].position for index in apart], WITHIN_NM, MOST_WAYPOINTS)]
    if len(kept) > MOST_WAYPOINTS:
        found = f"more than {MOST_WAYPOINTS} points of the {line.kind} in {route.file.name} cannot be left out"
        wanted = (
            f"a voyage has at most {MOST_WAYPOINTS} waypoints; draw a simpler route, or thin it where it was written"
        )
        raise _at_the_name(document, f"{found} without moving it by more than {WITHIN_NM:g} nm", wanted)
    return kept


def thinned(positions: Sequence[tuple[float, float]], within_nm: float, most: int) -> list[int]:
    """Which of the positions (latitude, longitude, degrees) to keep so that every other lies within ``within_nm`` of
    the great circles between those kept. The ends are kept. Douglas and Peucker (1973), on a sphere. Once more than
    ``most`` must be kept, no more are looked for.
    """
    units = _unit_vectors(np.array(positions))
    kept, open_spans = {0, len(units) - 1}, [(0, len(units) - 1)]
    while open_spans and len(kept) <= most:
        first, last = open_spans.pop()
        if last - first < 2:
            continue
        off_nm = _off_nm(units[first + 1 : last], units[first], units[last])
        furthest = first + 1 + int(np.argmax(off_nm))
        if off_nm.max() > within_nm:
            kept.add(furthest)
            open_spans += [(first, furthest), (furthest, last)]
    return sorted(kept)


def _unit_vectors(positions_deg: Floats) -> Floats:
    latitude, longitude = np.radians(positions_deg).T
    return np.stack(
        [np.cos(latitude) * np.cos(longitude), np.cos(latitude) * np.sin(longitude), np.sin(latitude)], axis=-1
    )


def _off_nm(units: Floats, start: Floats, end: Floats) -> Floats:
    """How far each of ``units`` (n, 3) lies from the great circle between two others, ends included."""
    pole = np.cross(start, end)
    length = float(np.linalg.norm(pole))
    to_ends = np.minimum(_angle(units, start), _angle(units, end))
    if length < 1e-9:  # a round trip: start and end are one place
        return NM_PER_RAD * to_ends
    pole /= length
    beside = (units @ np.cross(pole, start) > 0) & (units @ np.cross(end, pole) > 0)
    return NM_PER_RAD * np.where(beside, np.abs(np.arcsin(np.clip(units @ pole, -1, 1))), to_ends)


def _angle(units: Floats, other: Floats) -> Floats:
    half: Floats = np.clip(np.linalg.norm(units - other, axis=-1) / 2, 0, 1)
    return 2 * np.arcsin(half)
