"""Names of seas, islands and capes, to find one's way on a chart by; no place is reckoned from them."""

from __future__ import annotations

import csv
from functools import cache
from typing import NamedTuple

from passage.shipped import shipped

KINDS = ("sea", "island", "cape")


HORN_DEG, AGULHAS_DEG, TASMANIA_DEG, MALACCA_DEG, PANAMA_DEG = -67.27, 20.0, 146.82, 100.0, 9.0
SOUTHERN_DEG, ARCTIC_DEG = -60.0, 75.0


class Named(NamedTuple):
    """lat_deg, lon_deg: of the cape, on the island, in the sea."""

    name: str
    kind: str
    lat_deg: float
    lon_deg: float


@cache
def every_name() -> tuple[Named, ...]:
    """The hand list ``coastline/names.csv``, from memory and held against the coastline; larger things first."""
    with (shipped("coastline") / "names.csv").open(encoding="utf-8", newline="") as file:
        rows = [
            Named(row["name"], row["kind"], float(row["lat_deg"]), float(row["lon_deg"]))
            for row in csv.DictReader(file)
        ]
    return tuple(sorted(rows, key=lambda row: KINDS.index(row.kind)))


def ocean_at(lat_deg: float, lon_deg: float) -> str:
    """The ocean at a place at sea, by the meridians of Cape Agulhas, Tasmania and Cape Horn (IHO S-23 of 1953, M)."""
    lon_deg = (lon_deg + 180.0) % 360.0 - 180.0
    if lat_deg < SOUTHERN_DEG:
        return "Southern Ocean"
    if lat_deg > ARCTIC_DEG:
        return "Arctic Ocean"
    half = "North" if lat_deg >= 0.0 else "South"
    if HORN_DEG <= lon_deg < AGULHAS_DEG or (lat_deg > PANAMA_DEG and -98.0 <= lon_deg < HORN_DEG):
        return f"{half} Atlantic Ocean"
    if (AGULHAS_DEG <= lon_deg < TASMANIA_DEG and lat_deg < 0.0) or AGULHAS_DEG <= lon_deg < MALACCA_DEG:
        return "Indian Ocean"
    return f"{half} Pacific Ocean"


def names_within(west_deg: float, south_deg: float, east_deg: float, north_deg: float) -> list[Named]:
    """Those in a box, larger things first; longitudes as the box counts, past 180 where it does."""
    found = []
    for row in every_name():
        lon_deg = west_deg + (row.lon_deg - west_deg) % 360.0
        if lon_deg <= east_deg and south_deg <= row.lat_deg <= north_deg:
            found.append(row._replace(lon_deg=lon_deg))
    return found
