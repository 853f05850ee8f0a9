"""Composite sailing: the textbook's answers on the sphere, a numerical minimum on WGS 84, one code for both."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import minimize

from passage.errors import OutOfRange, RouteRefused
from passage.sailings import geodesic, rhumb
from passage.sailings.composite import CompositePart, composite
from passage.sailings.earth import NAUTICAL_SPHERE, WGS84, Ellipsoid

# Derived from Napier's rules, cos DLo = tan L / tan Lmax and cos D = sin L / sin Lmax, and confirmed by a constrained
# numerical search [D]: reach and leave to 0.1', parts to 0.01 mile, total to 0.001. Signs: north and east positive.
NORFOLK_GIRONDE = (36 + 57.7 / 60, -(75 + 42.2 / 60), 45 + 39.1 / 60, -(1 + 29.8 / 60))
CAPE_FREMANTLE = (-(35 + 8 / 60), 19 + 26 / 60, -(33 + 16 / 60), 115 + 36 / 60)
CASES = [
    (NORFOLK_GIRONDE, 47.0, -(30 + 16.1 / 60), -(18 + 56.9 / 60), (2081.98, 463.25, 726.05), 3271.272),
    (CAPE_FREMANTLE, -40.0, 52 + 26.4 / 60, 77 + 1.8 / 60, (1587.26, 1130.24, 1885.18), 4602.688),
]
Ends = tuple[float, float, float, float]


def length_nm(parts: tuple[CompositePart, ...]) -> float:
    return sum(part.distance_nm for part in parts)


@pytest.mark.parametrize(("ends", "limit", "reach", "leave", "lengths", "total"), CASES)
def test_spherical_composite_tracks(
    ends: Ends, limit: float, reach: float, leave: float, lengths: tuple[float, ...], total: float
) -> None:
    parts = composite(*ends, limit, NAUTICAL_SPHERE)
    assert tuple(part.sailing for part in parts) == ("great circle", "rhumb line", "great circle")
    assert pytest.approx(reach, abs=0.06 / 60) == parts[1].from_lon_deg
    assert pytest.approx(leave, abs=0.06 / 60) == parts[1].to_lon_deg
    assert pytest.approx(lengths, abs=0.006) == tuple(part.distance_nm for part in parts)
    assert pytest.approx(total, abs=6e-4) == length_nm(parts)


@pytest.mark.parametrize(("ends", "limit"), [(case[0], case[1]) for case in CASES])
def test_no_other_meeting_longitudes_are_shorter_on_wgs84(ends: Ends, limit: float) -> None:
    def overrun_deg(*leg: float) -> float:
        north, south = geodesic.extreme_latitudes(*leg)
        return max(abs(north.lat_deg), abs(south.lat_deg)) - abs(limit)

    def by_way_of(longitudes: np.ndarray) -> float:
        meet, part = (limit, float(longitudes[0])), (limit, float(longitudes[1]))
        overrun = max(overrun_deg(*ends[:2], *meet), overrun_deg(*part, *ends[2:]))
        return (
            geodesic.inverse(*ends[:2], *meet).distance_nm
            + rhumb.inverse(*meet, *part).distance_nm
            + geodesic.inverse(*part, *ends[2:]).distance_nm
            + (1e4 * overrun if overrun > 1e-9 else 0.0)
        )

    width = ends[3] - ends[1]
    start = np.array([ends[1] + 0.45 * width, ends[1] + 0.55 * width])
    found = minimize(by_way_of, start, method="Nelder-Mead", options={"xatol": 1e-6, "fatol": 1e-10, "maxiter": 500})
    assert pytest.approx(length_nm(composite(*ends, limit)), abs=1e-5) == found.fun


@pytest.mark.parametrize("ellipsoid", [WGS84, NAUTICAL_SPHERE], ids=lambda ellipsoid: ellipsoid.name)
@pytest.mark.parametrize(("ends", "limit"), [(case[0], case[1]) for case in CASES])
def test_the_track_keeps_the_limit_and_turns_no_corner(ends: Ends, limit: float, ellipsoid: Ellipsoid) -> None:
    parts = composite(*ends, limit, ellipsoid)
    assert ends == (*parts[0].ends[:2], *parts[-1].ends[2:])
    for part in parts:
        if part.sailing == "great circle":
            line = geodesic.inverse(*part.ends, ellipsoid)
            north, south = geodesic.extreme_latitudes(*part.ends, ellipsoid)
            assert pytest.approx(part.distance_nm, abs=1e-6) == line.distance_nm
            assert max(abs(north.lat_deg), abs(south.lat_deg)) <= abs(limit) + 1e-9
    # Both geodesics touch the parallel, so the course there is due east.
    assert pytest.approx(90.0, abs=1e-6) == geodesic.inverse(*parts[0].ends, ellipsoid).final_course_deg
    assert pytest.approx(90.0, abs=1e-6) == geodesic.inverse(*parts[2].ends, ellipsoid).initial_course_deg


@pytest.mark.parametrize("ends", [NORFOLK_GIRONDE, CAPE_FREMANTLE])
def test_a_limit_beyond_the_vertex_leaves_the_great_circle(ends: Ends) -> None:
    north, south = geodesic.extreme_latitudes(*ends)
    vertex = max(north.lat_deg, south.lat_deg, key=abs)
    for limit in (vertex, vertex * 1.2):
        (part,) = composite(*ends, limit)
        assert ("great circle", *ends) == part[:5]
        assert geodesic.inverse(*ends).distance_nm == part.distance_nm
    # Just inside the vertex the three parts differ from the plain geodesic by next to nothing.
    parts = composite(*ends, vertex * (1 - 1e-6))
    assert len(parts) == 3
    assert pytest.approx(geodesic.inverse(*ends).distance_nm, abs=1e-4) == length_nm(parts)


def test_a_limit_at_the_latitude_of_an_end_loses_that_great_circle() -> None:
    lat1, lon1, lat2, lon2 = NORFOLK_GIRONDE
    first, parallel = composite(*NORFOLK_GIRONDE, lat2)
    assert (first.sailing, parallel.sailing) == ("great circle", "rhumb line")
    assert (lat2, lon2) == (parallel.to_lat_deg, parallel.to_lon_deg)
    parallel, last = composite(lat2, lon2, lat1, lon1, lat2)
    assert (parallel.sailing, last.sailing) == ("rhumb line", "great circle")
    (only,) = composite(45.0, -60.0, 45.0, -10.0, 45.0)
    assert only.sailing == "rhumb line"
    assert pytest.approx(rhumb.inverse(45.0, -60.0, 45.0, -10.0).distance_nm, abs=1e-9) == only.distance_nm


def test_the_other_hemisphere_does_not_bind() -> None:
    assert len(composite(*CAPE_FREMANTLE, 10.0)) == 1
    assert len(composite(*NORFOLK_GIRONDE, -10.0)) == 1


def test_the_way_back_is_as_long_and_a_tighter_limit_longer() -> None:
    for ends, limit, *_ in CASES:
        there, back = composite(*ends, limit), composite(*ends[2:], *ends[:2], limit)
        assert pytest.approx(length_nm(there), abs=1e-8) == length_nm(back)
        tighter = composite(*ends, limit - math.copysign(1.0, limit))
        assert length_nm(tighter) > length_nm(there) > geodesic.inverse(*ends).distance_nm


def test_over_180_degrees_and_across_the_equator() -> None:
    for shift in (0.0, 130.0, 360.0):
        parts = composite(-34.0, -170.0 + shift, 42.0, 10.0 + shift - 1, 45.0)
        assert pytest.approx(length_nm(composite(-34.0, -170.0, 42.0, 9.0, 45.0)), abs=1e-6) == length_nm(parts)
    west, east = composite(40.0, 150.0, 40.0, -130.0, 45.0), composite(40.0, -130.0, 40.0, 150.0, 45.0)
    assert pytest.approx(length_nm(west), abs=1e-8) == length_nm(east)
    assert -180.0 <= west[1].to_lon_deg < 180.0


def test_an_end_beyond_the_limit_is_refused() -> None:
    with pytest.raises(RouteRefused, match="beyond the limiting latitude 40"):
        composite(*NORFOLK_GIRONDE, 40.0)
    with pytest.raises(RouteRefused, match="beyond the limiting latitude -34"):
        composite(*CAPE_FREMANTLE, -34.0)


@pytest.mark.parametrize("limit", [0.0, 95.0, math.nan])
def test_a_limit_that_is_none_is_refused(limit: float) -> None:
    with pytest.raises(OutOfRange):
        composite(*NORFOLK_GIRONDE, limit)
