"""Land on a track, clearance, the nearest water, and the dangers no coastline shows.

Known points are plain geography (P) unless a source stands beside them.
"""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from passage.errors import OutOfRange
from passage.sailings.coast import coast
from passage.sailings.land import (
    _inside,
    clear_water,
    clearance,
    dangers_near,
    known_dangers,
    land_hits,
    may_be_land,
    nearest_land,
    on_land,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

WGS84 = Geodesic.WGS84
LEGS = Path(__file__).parent / "published" / "08_ocean_legs.csv"
LAS_PALMAS, CHARLOTTE_AMALIE = (28.14167, -15.41667), (18.33333, -64.93333)  # Pub. 151, R2


def geodesic(
    start: tuple[float, float], end: tuple[float, float], spacing_nm: float = 5.0
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    line = WGS84.InverseLine(*start, *end)
    at = [line.Position(s) for s in np.linspace(0, line.s13, int(line.s13 / 1852 / spacing_nm) + 2)]
    return np.array([p["lat2"] for p in at]), np.array([p["lon2"] for p in at])


def distance_nm(lat: float, lon: float, other_lat: float, other_lon: float) -> float:
    return float(WGS84.Inverse(lat, lon, other_lat, other_lon)["s12"]) / 1852


def published_legs() -> list[dict[str, str]]:
    with LEGS.open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def ends(leg: dict[str, str]) -> tuple[tuple[float, float], tuple[float, float]]:
    return (float(leg["lat1"]), float(leg["lon1"])), (float(leg["lat2"]), float(leg["lon2"]))


# Points


@pytest.mark.parametrize(
    ("lat", "lon"),
    [
        (51.478, 0.0),  # Greenwich
        (28.27, -16.64),  # Teide
        (-16.85, -179.97),  # Taveuni, just east of 180
        (-16.9, 179.99),  # Taveuni, just west of 180
        (-16.5, 179.3),  # Vanua Levu
        (66.2, -172.0),  # Chukotka, east of 180
        (-85.0, 100.0),  # Antarctica
        (-90.0, 0.0),
        (-80.0, 180.0),
        (47.7, -87.5),  # Lake Superior: lakes are land here
        (-15.93, -5.72),  # St Helena
    ],
)
def test_known_land(lat: float, lon: float) -> None:
    assert on_land(lat, lon)


@pytest.mark.parametrize(
    ("lat", "lon"),
    [
        (0.0, 0.0),
        (30.0, -40.0),
        (28.3, -16.2),  # between Tenerife and Gran Canaria
        (-17.5, 180.0),
        (-40.0, 180.0),
        (-40.0, -180.0),
        (43.0, 34.0),  # Black Sea
        (58.5, 20.0),  # Baltic
        (35.95, -5.5),  # Strait of Gibraltar
        (90.0, 0.0),
        (-60.0, 120.0),
    ],
)
def test_known_water(lat: float, lon: float) -> None:
    assert not on_land(lat, lon)


def test_shape_is_kept_and_a_turn_of_longitude_changes_nothing() -> None:
    lat, lon = np.linspace(-60, 70, 30)[:, None], np.linspace(-180, 175, 40)[None, :]
    land = on_land(lat, lon)
    assert land.shape == (30, 40)
    assert 0.2 < land.mean() < 0.5
    assert (land == on_land(lat, lon + 360)).all()
    assert (land == on_land(lat, lon - 360)).all()


def test_share_of_land_is_that_of_the_globe() -> None:
    """29.2 % of the globe is land (M, textbook geography); ice shelves and lakes add a little. Three sigma of 40,000
    points is 0.7 %."""
    random = np.random.default_rng(7)
    lat = np.degrees(np.arcsin(random.uniform(-1, 1, 40_000)))
    assert on_land(lat, random.uniform(-180, 180, 40_000)).mean() == pytest.approx(0.294, abs=0.009)


def test_the_filter_never_misses_land() -> None:
    """Points strewn about the coast, half of them within a mile of it, and all over the globe."""
    random, land = np.random.default_rng(11), coast("high")
    at = random.integers(0, len(land.lat_deg), 60_000)
    spread = np.where(np.arange(len(at)) % 2, 0.016, 0.2)
    lat = np.clip(land.lat_deg[at] + random.normal(0, spread), -90, 90)
    lon = (land.lon_deg[at] + random.normal(0, spread) + 180) % 360 - 180
    exact = _inside(lat, lon)
    assert 0.2 < exact.mean() < 0.8
    assert may_be_land(lat, lon)[exact].all()
    assert (exact == on_land(lat, lon)).all()


def test_the_filter_says_water_only_a_minute_clear_of_every_coast() -> None:
    random, land = np.random.default_rng(12), coast("high")
    at = random.integers(0, len(land.lat_deg), 20_000)
    lat = np.clip(land.lat_deg[at] + random.uniform(-1, 1, len(at)) / 60, -90, 90)
    lon = land.lon_deg[at] + random.uniform(-1, 1, len(at)) / 60
    assert may_be_land(lat, lon).all()


def test_the_filter_settles_most_of_an_ocean() -> None:
    random = np.random.default_rng(13)
    lat, lon = random.uniform(10, 40, 10_000), random.uniform(-60, -20, 10_000)
    assert may_be_land(lat, lon).mean() < 0.005


def test_what_is_no_position_is_refused() -> None:
    for lat, lon in ((91.0, 0.0), (np.nan, 0.0), (0.0, np.inf)):
        with pytest.raises(OutOfRange, match="latitude"):
            on_land(lat, lon)


# Tracks


@pytest.mark.parametrize("spacing_nm", [1.0, 5.0, 60.0])
@pytest.mark.parametrize("leg", published_legs(), ids=lambda leg: f"{leg['from_port']} to {leg['to_port']}"[:40])
def test_published_legs_meet_land_where_the_table_says(leg: dict[str, str], spacing_nm: float) -> None:
    """08_ocean_legs.csv, column first_land_hit beyond 20 nm of the ends (T): printed to 0.1 degree, hence 0.05, and
    found by sampling some miles apart, hence another 0.05. Where the table has none, a stretch of less than 0.2 nm may
    have slipped between its samples."""
    hits = land_hits(*geodesic(*ends(leg), spacing_nm), harbour_nm=20.0)
    if leg["first_land_hit"]:
        lat, lon = map(float, leg["first_land_hit"].strip("()").split(","))
        assert (lat, lon) == pytest.approx((hits[0].lat_deg, hits[0].lon_deg), abs=0.1)
    else:
        assert all(hit.across_nm < 0.2 for hit in hits)


def test_a_rock_of_a_few_cables_is_found_where_the_table_has_none() -> None:
    """Lisboa to Funchal clips an islet close north-west of Porto Santo, 33°06' N 16°22' W (P)."""
    lat, lon = geodesic((38.7, -9.13333), (32.63333, -16.90833))
    (hit,) = land_hits(lat, lon, harbour_nm=20.0)
    assert (33.10, -16.37) == pytest.approx((hit.lat_deg, hit.lon_deg), abs=0.01)


@pytest.mark.parametrize(
    ("start", "end", "south", "north", "west", "east", "across_nm"),
    [
        # Ports: Pub. 151 (R2); that these geodesics cross Madagascar and Brazil: navigation.md section 8 (T).
        ((-29.867, 31.05), (-20.15417, 57.49583), -25.6, -12.0, 43.2, 50.5, 100),  # Durban to Port Louis: Madagascar
        ((-8.05, -34.867), (13.083, -59.617), -8.1, 0.0, -45.0, -34.7, 400),  # Recife to Bridgetown: Brazil
    ],
)
def test_geodesics_cross_the_land_they_are_known_to_cross(
    start: tuple[float, float],
    end: tuple[float, float],
    south: float,
    north: float,
    west: float,
    east: float,
    across_nm: float,
) -> None:
    hit = max(land_hits(*geodesic(start, end)), key=lambda found: found.across_nm)
    assert south < hit.lat_deg < north
    assert west < hit.lon_deg < east
    assert hit.across_nm > across_nm


def test_a_hit_stands_at_its_distance_from_the_start() -> None:
    """0.01 nm: what summing steps of a mile may lose against one geodesic."""
    for hit in land_hits(*geodesic(LAS_PALMAS, CHARLOTTE_AMALIE, 60)):
        assert distance_nm(*LAS_PALMAS, hit.lat_deg, hit.lon_deg) == pytest.approx(hit.distance_nm, abs=0.01)


def test_spacing_of_the_nodes_does_not_matter() -> None:
    close = land_hits(*geodesic(LAS_PALMAS, CHARLOTTE_AMALIE, 2))
    wide = land_hits(*geodesic(LAS_PALMAS, CHARLOTTE_AMALIE, 59))
    assert len(close) == len(wide) > 5
    # Great circles through geodetic latitudes stray a few metres from the geodesic; a slanting coast doubles that.
    assert np.abs(np.array(close) - np.array(wide))[:, 2].max() < 0.02


def test_hits_reversed_are_the_same_land() -> None:
    lat, lon = geodesic(LAS_PALMAS, CHARLOTTE_AMALIE)
    forward, back = land_hits(lat, lon), land_hits(lat[::-1], lon[::-1])
    assert [hit.across_nm for hit in forward] == pytest.approx([hit.across_nm for hit in back[::-1]], abs=1e-6)


@pytest.mark.parametrize("spacing_nm", [2.0, 20.0, 60.0])
def test_an_islet_between_two_nodes_is_met(spacing_nm: float) -> None:
    """Lines of 60 nm drawn over the middle of islets a few cables wide, some on either side of 180 degrees."""
    land, random = coast("high"), np.random.default_rng(3)
    box = land.rings.boxes
    width = np.maximum((box.east - box.west) * np.cos(np.radians(box.south)), box.north - box.south) * 60
    small = np.flatnonzero((width < 0.5) & (np.diff(land.first) == 4) & (np.abs(box.south) < 70))
    near_180 = small[np.abs(np.abs(box.west[small]) - 180) < 0.5]
    assert len(near_180) > 10
    for number in np.concatenate([random.choice(small, 60), random.choice(near_180, 20)]):
        lon, lat = land.ring(int(number))[:3].mean(axis=0)
        course = random.uniform(0, 360)
        start = WGS84.Direct(lat, lon, course, -31 * 1852.0)
        end = WGS84.Direct(lat, lon, course, 29 * 1852.0)
        track = geodesic((start["lat2"], start["lon2"]), (end["lat2"], end["lon2"]), spacing_nm)
        assert any(abs(hit.distance_nm - 31) < 0.5 for hit in land_hits(*track))


def test_a_track_over_180_degrees_is_ordinary() -> None:
    """Along 16°51' S over Taveuni, which lies on the meridian; written with either sign of longitude."""
    lon = np.linspace(179.5, 180.5, 13)
    lat = np.full_like(lon, -16.85)
    hit = land_hits(lat, lon)[0]
    assert abs(hit.lon_deg) > 179.7
    assert hit == pytest.approx(land_hits(lat, (lon + 180) % 360 - 180)[0])
    assert hit.distance_nm < 29 < hit.distance_nm + hit.across_nm < 40  # the meridian, 28.7 nm on, lies ashore


def test_harbours_at_either_end_are_forgiven_and_no_more() -> None:
    """From the middle of Gran Canaria south to open water: P."""
    lat, lon = np.linspace(27.96, 27.0, 20), np.full(20, -15.6)
    ashore = land_hits(lat, lon, harbour_nm=0.0)
    assert len(ashore) == 1
    assert ashore[0].distance_nm == 0.0
    left_land_nm = ashore[0].across_nm
    assert 10 < left_land_nm < 16
    assert [] == land_hits(lat, lon, harbour_nm=left_land_nm + 0.01)
    (rest,) = land_hits(lat, lon, harbour_nm=5.0)
    assert (5.0, left_land_nm - 5.0) == pytest.approx((rest.distance_nm, rest.across_nm), abs=1e-6)
    (arriving,) = land_hits(lat[::-1], lon[::-1], harbour_nm=5.0)
    assert arriving.across_nm == pytest.approx(left_land_nm - 5.0, abs=1e-6)


def test_open_water_is_clear() -> None:
    assert [] == land_hits(*geodesic((20.0, -30.0), (15.0, -55.0)))


def test_what_is_no_track_is_refused() -> None:
    with pytest.raises(OutOfRange, match="two nodes"):
        land_hits([10.0], [20.0])
    with pytest.raises(OutOfRange, match="nm apart"):
        land_hits([0.0, 0.0], [0.0, 3.0])
    with pytest.raises(OutOfRange, match="wholly within"):
        clearance([0.0, 0.0], [0.0, 0.05])


# Clearance


def nearest_by_force(lat: float, lon: float, box_deg: float) -> float:
    """Every coast edge in a box, walked in fifty steps, by geographiclib."""
    land = coast("high")
    x, y = land.lon_deg, land.lat_deg
    wide = box_deg / np.cos(np.radians(lat))
    off = (x - lon + 180) % 360 - 180
    near = np.flatnonzero((np.abs(y[:-1] - lat) < box_deg) & (np.abs(off[:-1]) < wide))
    near = near[~np.isin(near + 1, land.first)]
    rough = np.hypot(y[near] - lat, off[near] * np.cos(np.radians(lat)))
    return min(
        distance_nm(lat, lon, y[edge] + part * (y[edge + 1] - y[edge]), x[edge] + part * (x[edge + 1] - x[edge]))
        for edge in near[np.argsort(rough)[:25]]
        for part in np.linspace(0, 1, 51)
    )


@pytest.mark.parametrize(
    ("lat", "lon"),
    [
        (38.2, -29.6),  # south-west of Faial
        (-17.2, 179.99),  # between Taveuni and the Lau group
        (-17.2, -179.99),
        (61.0, -8.5),  # west of the Faroes
        (-15.0, -150.0),  # off the Tuamotus
        (71.5, 24.0),  # north of Norway
        (36.5, -9.5),
    ],
)
def test_nearest_land_is_that_found_by_force(lat: float, lon: float) -> None:
    """0.02 nm: the walk steps some tens of metres along an edge."""
    near = nearest_land(lat, lon, 120)
    assert float(near.distance_nm) == pytest.approx(nearest_by_force(lat, lon, 2.2), abs=0.02)
    there = distance_nm(lat, lon, float(near.lat_deg), float(near.lon_deg))
    assert there == pytest.approx(float(near.distance_nm), abs=0.005)


def test_nearest_land_of_many_points_is_that_of_each() -> None:
    random = np.random.default_rng(17)
    lat, lon = random.uniform(-50, 60, (6, 50)), random.uniform(-180, 180, (6, 50))
    together = nearest_land(lat, lon, 250)
    assert together.distance_nm.shape == (6, 50)
    assert np.isinf(together.distance_nm).any()
    assert (together.distance_nm == 0).any()
    assert (np.isnan(together.lat_deg) == np.isinf(together.distance_nm)).all()
    for at in np.ndindex(2, 50):
        alone = nearest_land(lat[at], lon[at], 250)
        assert float(alone.distance_nm) == pytest.approx(float(together.distance_nm[at]), abs=1e-9)


def test_clearance_is_the_least_distance_on_the_way() -> None:
    """San Francisco to Honolulu passes the Farallones (P); 0.03 nm: 0.02 of the method and the walk's own steps."""
    start, end = (37.80833, -122.4), (21.30833, -157.87083)
    closest = clearance(*geodesic(start, end), harbour_nm=20)
    assert closest is not None
    walk = geodesic(start, end, 0.1)
    along = np.linspace(0, distance_nm(*start, *end), len(walk[0]))
    inner = (along > 20) & (along < along[-1] - 20) & ((along < 120) | (along > along[-1] - 120))
    assert closest.distance_nm == pytest.approx(
        nearest_land(walk[0][inner], walk[1][inner]).distance_nm.min(), abs=0.03
    )
    assert (37.7, -123.0) == pytest.approx((closest.land_lat_deg, closest.land_lon_deg), abs=0.05)
    on_track = (closest.track_lat_deg, closest.track_lon_deg)
    assert distance_nm(*on_track, closest.land_lat_deg, closest.land_lon_deg) == pytest.approx(
        closest.distance_nm, abs=0.01
    )
    assert distance_nm(*start, *on_track) == pytest.approx(closest.along_nm, abs=0.01)


def test_a_track_over_land_has_no_clearance() -> None:
    closest = clearance(*geodesic(LAS_PALMAS, CHARLOTTE_AMALIE), harbour_nm=20)
    assert closest is not None
    assert closest.distance_nm == 0.0
    assert (28.1, -16.5) == pytest.approx((closest.land_lat_deg, closest.land_lon_deg), abs=0.1)


def test_no_land_within_reach_is_said() -> None:
    track = geodesic((30.0, -40.0), (25.0, -50.0))
    assert clearance(*track, within_nm=60) is None
    wider = clearance(*track, within_nm=600)
    assert wider is None or wider.distance_nm > 60
    assert np.isinf(nearest_land(30.0, -40.0, 60).distance_nm)
    with pytest.raises(OutOfRange, match="0 to 600"):
        nearest_land(30.0, -40.0, 900)


# Water


@pytest.mark.parametrize(("lat", "lon"), [(28.27, -16.64), (-16.85, 179.99), (45.0, 5.0), (-19.0, 47.0), (64.9, -18.0)])
def test_nearest_water_is_water_clear_of_land_and_near(lat: float, lon: float) -> None:
    water = clear_water(lat, lon)
    assert not on_land(*water)
    assert not may_be_land(*water)
    coast_nm = nearest_by_force(lat, lon, 4.0)
    assert coast_nm < distance_nm(lat, lon, *water) < coast_nm + 15  # a firth or two may lie between


def test_no_water_is_named_deep_inland() -> None:
    with pytest.raises(OutOfRange, match="no open water"):
        clear_water(46.0, 86.0)  # by the place farthest from any sea (P)


# Dangers


def test_the_hand_list_is_whole() -> None:
    dangers = known_dangers()
    assert len({danger.name for danger in dangers}) == len(dangers) > 25
    for danger in dangers:
        assert abs(danger.lat_deg) < 70
        assert -180 <= danger.lon_deg < 180
        assert 0 < danger.extent_nm <= 120
        assert danger.standing in {"R2", "C", "M"}


def test_dangers_marked_so_have_land_of_theirs_in_the_coastline() -> None:
    marked = [danger for danger in known_dangers() if danger.standing == "C"]
    assert len(marked) > 10
    for danger in marked:
        assert nearest_land(danger.lat_deg, danger.lon_deg, 200).distance_nm <= danger.extent_nm, danger.name


def test_minerva_is_told_where_the_coastline_is_silent() -> None:
    """An invented track from the south-west past both reefs. Pass of the north reef 23°37.4' S 178°56.1' W, of
    the south reef 23°56.6' S 179°07.6' W: a cruising guide, R2."""
    track = geodesic((-30.0, 177.0), (-20.0, -177.0))
    north, south = (
        next(d for d in known_dangers() if d.name == f"Minerva Reef, {part}") for part in ("North", "South")
    )
    assert distance_nm(north.lat_deg, north.lon_deg, -23.623, -178.935) <= north.extent_nm
    assert distance_nm(south.lat_deg, south.lon_deg, -23.943, -179.127) <= south.extent_nm
    assert np.isinf(nearest_land(north.lat_deg, north.lon_deg, 100).distance_nm)
    near = dangers_near(*track, within_nm=60)
    assert ["Minerva Reef, South", "Minerva Reef, North"] == [found.danger.name for found in near]
    for found in near:
        walk = geodesic((-30.0, 177.0), (-20.0, -177.0), 0.5)
        away = [distance_nm(found.danger.lat_deg, found.danger.lon_deg, *at) for at in zip(*walk, strict=True)]
        assert found.clear_nm == pytest.approx(min(away) - found.danger.extent_nm, abs=0.02)


def test_a_track_through_a_danger_is_not_clear() -> None:
    found = min(dangers_near([-23.0, -24.5], [-178.9, -178.9], within_nm=60), key=lambda near: near.clear_nm)
    assert ("Minerva Reef, North", 0.0) == (found.danger.name, found.clear_nm)
