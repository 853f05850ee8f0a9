"""Official forecasts and warnings along the track: whose area one is in, and how the bulletins are heard.

The areas are those of the World-Wide Navigational Warning Service (IHO S-53) and of the WMO's bulletins (WMO-No. 558),
which are the same but for small differences. Limits of areas I to VI were read second-hand (R2), the others are from
memory (M); the outlines are simplified towards land and good to find the area at sea (D). Near a border both are named.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import groupby
from math import cos, radians
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

NEAR_DEG = 2.0
ARCTIC = "none of the areas I to XVI: the Arctic areas XVII to XXI belong to Canada, Norway and Russia"

HOW_HEARD = (
    ("NAVTEX 518 kHz in English, 490 kHz in the national language; some 200 to 400 nm off the coast stations", "M"),
    ("SafetyNET or another recognised satellite service: set the receiver to each area below before its border", "R2"),
    ("HF voice, facsimile and telex by the schedules of the issuing service", "R2"),
    ("All bulletins of all areas stand on the WMO's own page, wwmiws.wmo.int, for the last look before leaving", "R2"),
)
CAUTIONS = (
    "Climate averages are no forecast: the bulletins of these services overrule everything that is said here.",
    "Look the schedules up anew before departure; areas and frequencies change.",
)

Outline = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Area:
    """One area. coordinator: of navigational warnings; issuer: of weather bulletins; outline: corners (lat, lon)."""

    area: str
    coordinator: str
    issuer: str
    limits: str
    standing: str
    outline: Outline


@dataclass(frozen=True)
class ServiceRow:
    """One stretch of the track, in miles run from departure; also: areas whose border is within 2° of it."""

    from_nm: float
    to_nm: float
    area: str
    coordinator: str
    issuer: str
    limits: str
    standing: str
    also: tuple[str, ...]


@cache
def areas() -> tuple[Area, ...]:
    text = (files(__package__) / "areas.csv").read_text(encoding="utf-8")
    return tuple(Area(outline=_outline(row.pop("outline")), **row) for row in csv.DictReader(text.splitlines()))


def area_at(lat_deg: float, lon_deg: float) -> Area | None:
    """The area a place at sea lies in; None north of the areas known here."""
    return next((area for area in areas() if inside(lat_deg, lon_deg, area.outline)), None)


def services_along(
    distances_nm: Sequence[float], lats_deg: Sequence[float], lons_deg: Sequence[float]
) -> tuple[ServiceRow, ...]:
    """The areas along a track of nodes, in order; three sequences of one length, longitudes in any convention."""
    nodes = list(zip(distances_nm, lats_deg, lons_deg, strict=True))
    stretches = [list(group) for _, group in groupby(nodes, key=lambda node: area_at(node[1], node[2]))]
    ends = [*(stretch[0][0] for stretch in stretches[1:]), nodes[-1][0]]
    return tuple(_row(stretch, end) for stretch, end in zip(stretches, ends, strict=True))


def _row(stretch: list[tuple[float, float, float]], to_nm: float) -> ServiceRow:
    from_nm, lat_deg, lon_deg = stretch[0]
    here = area_at(lat_deg, lon_deg)
    also = tuple(area.area for area in _near((lat, lon) for _, lat, lon in stretch) if area is not here)
    if here is None:
        return ServiceRow(from_nm, to_nm, "Arctic", "", "", ARCTIC, "M", also)
    return ServiceRow(from_nm, to_nm, here.area, here.coordinator, here.issuer, here.limits, here.standing, also)


def _near(places: Iterable[tuple[float, float]]) -> list[Area]:
    """Areas found two degrees away on any of eight sides of any of the places, in the order of the list."""
    found: set[Area] = set()
    for lat_deg, lon_deg in places:
        across_deg = NEAR_DEG / max(cos(radians(lat_deg)), 0.1)
        sides = ((north, east) for north in (-1, 0, 1) for east in (-1, 0, 1))
        around = (area_at(lat_deg + north * NEAR_DEG, lon_deg + east * across_deg) for north, east in sides)
        found.update(area for area in around if area)
    return [area for area in areas() if area in found]


def inside(lat_deg: float, lon_deg: float, outline: Outline) -> bool:
    """Whether a place lies within an outline, which may run on beyond 180°."""
    return any(_crosses(lat_deg, lon_deg + turn, outline) for turn in (-360.0, 0.0, 360.0))


def _crosses(lat_deg: float, lon_deg: float, outline: Outline) -> bool:
    """Even-odd rule along the parallel to the east."""
    inside = False
    for (lat_a, lon_a), (lat_b, lon_b) in zip(outline, (*outline[1:], outline[0]), strict=True):
        straddles = (lat_a > lat_deg) != (lat_b > lat_deg)
        if straddles and lon_deg < lon_a + (lat_deg - lat_a) / (lat_b - lat_a) * (lon_b - lon_a):
            inside = not inside
    return inside


def _outline(text: str) -> Outline:
    corners = (corner.split() for corner in text.split("; "))
    return tuple((float(lat), float(lon)) for lat, lon in corners)
