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
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.lists.cards import CardLine
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

NEAR_DEG = 2.0
ARCTIC = "none of the areas I to XVI: the Arctic areas XVII to XXI belong to Canada, Norway and Russia"

_HEARD = (
    ("NAVTEX 518 kHz in English, 490 kHz in the national language; some 200 to 400 nm off the coast stations", "M"),
    ("SafetyNET or another recognised satellite service: set the receiver to each area above before its border", "R2"),
    ("HF voice, facsimile and telex by the schedules of the issuing service", "R2"),
    ("All bulletins of all areas stand on the WMO's own page, wwmiws.wmo.int, for the last look before leaving", "R2"),
)
HOW_HEARD = tuple(CardLine(words, standing) for words, standing in _HEARD)
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


class ServiceRow(Record):
    """One stretch of the track."""

    from_nm: float = told("miles run where the stretch begins")
    to_nm: float = told("miles run where it ends")
    area: str = told("number of the area, the same for weather and navigational warnings")
    coordinator: str = told("who coordinates its navigational warnings")
    issuer: str = told("who issues its weather bulletins")
    limits: str = told("its limits in words")
    standing: str = told("standing of the limits: R read, R2 second hand, M from memory")
    also: tuple[str, ...] = told("areas whose border lies within two degrees of the stretch")


@cache
def areas() -> tuple[Area, ...]:
    text = (files(__package__) / "areas.csv").read_text(encoding="utf-8")
    return tuple(Area(outline=_outline(row.pop("outline")), **row) for row in csv.DictReader(text.splitlines()))


def area_at(lat_deg: float, lon_deg: float) -> Area | None:
    """The area a place at sea lies in; None north of the areas known here."""
    number = int(_numbers(np.array([lat_deg]), np.array([lon_deg]))[0])
    return areas()[number] if number >= 0 else None


def services_along(distances_nm: ArrayLike, lats_deg: ArrayLike, lons_deg: ArrayLike) -> tuple[ServiceRow, ...]:
    """The areas along a track of nodes, in order; three sequences of one length, longitudes in any convention."""
    run_nm, lat, lon = (np.asarray(values, dtype=float) for values in (distances_nm, lats_deg, lons_deg))
    number = _numbers(lat, lon)
    begins = [0, *(np.flatnonzero(np.diff(number)) + 1).tolist()]
    ends = [*begins[1:], len(number)]
    to_nm = [float(run_nm[min(end, len(number) - 1)]) for end in ends]
    return tuple(
        _row(int(number[begin]), (float(run_nm[begin]), until_nm), lat[begin:end], lon[begin:end])
        for begin, end, until_nm in zip(begins, ends, to_nm, strict=True)
    )


def _row(number: int, stretch_nm: tuple[float, float], lat_deg: Floats, lon_deg: Floats) -> ServiceRow:
    also = tuple(areas()[near].area for near in _near(lat_deg, lon_deg) if near != number)
    if number < 0:
        return ServiceRow(*stretch_nm, "Arctic", "", "", ARCTIC, "M", also)
    here = areas()[number]
    return ServiceRow(*stretch_nm, here.area, here.coordinator, here.issuer, here.limits, here.standing, also)


def _near(lat_deg: Floats, lon_deg: Floats) -> list[int]:
    """Areas found two degrees away on any of eight sides of any of the places, in the order of the list."""
    across_deg = NEAR_DEG / np.maximum(np.cos(np.radians(lat_deg)), 0.1)
    north, east = (side.ravel()[:, None] for side in np.meshgrid([-1, 0, 1], [-1, 0, 1]))
    found = _numbers((lat_deg + north * NEAR_DEG).ravel(), (lon_deg + east * across_deg).ravel())
    return [int(number) for number in np.unique(found) if number >= 0]


def _numbers(lat_deg: Floats, lon_deg: Floats) -> NDArray[np.intp]:
    """Which of the areas each place lies in, the first where several do; -1 for none."""
    number = np.full(lat_deg.shape, -1)
    for at, area in reversed(list(enumerate(areas()))):
        number[inside(lat_deg, lon_deg, area.outline)] = at
    return number


def inside(lat_deg: Floats, lon_deg: Floats, outline: Outline) -> NDArray[np.bool_]:
    """Whether places lie within an outline, which may run on beyond 180°."""
    return np.asarray(np.any([_crosses(lat_deg, lon_deg + turn, outline) for turn in (-360.0, 0.0, 360.0)], axis=0))


def _crosses(lat_deg: Floats, lon_deg: Floats, outline: Outline) -> NDArray[np.bool_]:
    """Even-odd rule along the parallel to the east."""
    odd = np.zeros(lat_deg.shape, dtype=bool)
    for (lat_a, lon_a), (lat_b, lon_b) in zip(outline, (*outline[1:], outline[0]), strict=True):
        if lat_a != lat_b:
            meets_lon = lon_a + (lat_deg - lat_a) / (lat_b - lat_a) * (lon_b - lon_a)
            odd ^= ((lat_a > lat_deg) != (lat_b > lat_deg)) & (lon_deg < meets_lon)
    return odd


def _outline(text: str) -> Outline:
    corners = (corner.split() for corner in text.split("; "))
    return tuple((float(lat), float(lon)) for lat, lon in corners)
