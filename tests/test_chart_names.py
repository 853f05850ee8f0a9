"""The hand list of names, held against the coastline, which knows nothing of it (GSHHG 2.3.6, S)."""

from __future__ import annotations

import numpy as np
import pytest

from passage.draw.names import every_name, names_within, ocean_at
from passage.sailings.coast import coast_polygons
from passage.sailings.land import on_land

ISLAND_NM, CAPE_NM = 4.0, 6.0  # a name is placed to some miles; a small island's coast is never farther


def off_coast_nm(lat_deg: float, lon_deg: float) -> float:
    """Miles to the nearest point of the coastline, flat; infinite where there is none within a quarter of a degree."""
    rings = coast_polygons(lon_deg - 0.3, lat_deg - 0.25, lon_deg + 0.3, lat_deg + 0.25, "high")
    if not rings:
        return float("inf")
    points = np.concatenate(rings)
    east = (points[:, 0] - lon_deg) * np.cos(np.radians(lat_deg))
    return float(60.0 * np.hypot(east, points[:, 1] - lat_deg).min())


@pytest.mark.parametrize("named", [name for name in every_name() if name.kind == "island"], ids=lambda name: name.name)
def test_an_island_is_where_there_is_land(named) -> None:  # type: ignore[no-untyped-def]
    assert on_land(named.lat_deg, named.lon_deg) or off_coast_nm(named.lat_deg, named.lon_deg) < ISLAND_NM


@pytest.mark.parametrize("named", [name for name in every_name() if name.kind == "cape"], ids=lambda name: name.name)
def test_a_cape_is_by_the_coast(named) -> None:  # type: ignore[no-untyped-def]
    assert off_coast_nm(named.lat_deg, named.lon_deg) < CAPE_NM


@pytest.mark.parametrize("named", [name for name in every_name() if name.kind == "sea"], ids=lambda name: name.name)
def test_a_sea_is_not_on_land(named) -> None:  # type: ignore[no-untyped-def]
    assert not on_land(named.lat_deg, named.lon_deg)


def test_names_over_180_degrees_are_found_from_either_side() -> None:
    assert "Kadavu" in {name.name for name in names_within(170.0, -25.0, 190.0, -10.0)}
    assert "Niue" in {name.name for name in names_within(170.0, -25.0, 192.0, -10.0)}
    assert "Niue" not in {name.name for name in names_within(170.0, -25.0, 185.0, -10.0)}


@pytest.mark.parametrize(
    ("lat_deg", "lon_deg", "ocean"),
    [
        (-25.0, 0.0, "South Atlantic Ocean"),
        (38.0, -30.0, "North Atlantic Ocean"),
        (15.0, -75.0, "North Atlantic Ocean"),
        (-30.0, 60.0, "Indian Ocean"),
        (-28.0, 179.0, "South Pacific Ocean"),
        (-5.0, -110.0, "South Pacific Ocean"),
        (20.0, 140.0, "North Pacific Ocean"),
        (-62.0, 0.0, "Southern Ocean"),
        (80.0, 10.0, "Arctic Ocean"),
    ],
)
def test_an_ocean_is_told_by_its_meridians(lat_deg: float, lon_deg: float, ocean: str) -> None:
    assert ocean == ocean_at(lat_deg, lon_deg)
