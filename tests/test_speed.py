"""Speed made good from a polar's hull. Peers: closed forms (derived, D) and scipy's ConvexHull (T)."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import ConvexHull

from passage.crossings.speed import SpeedTable, hull_radius, speed_table, suspicious_points
from passage.inputs.polar import PolarTable

PUBLISHED = Path(__file__).parent / "published"


def closed_forms() -> dict[str, float]:
    with (PUBLISHED / "06_router_closed_forms.csv").open(encoding="utf-8") as file:
        return {row["id"]: float(row["exact"]) for row in csv.DictReader(file)}


DEAD_ZONE = PolarTable(  # 6 kn in any wind and at any angle from 45 degrees, nothing inside: problem R5
    wind_speed_kn=np.array([0.0, 10.0]),
    wind_angle_deg=np.array([45.0, 90.0, 180.0]),
    boat_speed_kn=np.full((2, 3), 6.0),
)


@pytest.mark.parametrize(("case", "angle_deg"), [("PO-1", 0.0), ("PO-2", 30.0), ("PO-3", 45.0), ("PO-3", 120.0)])
def test_tacking_times_in_a_polar_with_a_dead_zone(case: str, angle_deg: float) -> None:
    """Ten miles at 6 kn with nothing inside 45 degrees; closed forms, D; tolerance half the last printed digit."""
    radius = hull_radius(DEAD_ZONE.wind_angle_deg, DEAD_ZONE.boat_speed_kn[1], np.array([angle_deg]))
    assert closed_forms()[case] == pytest.approx(10.0 / radius[0], abs=5e-7)


@settings(max_examples=60)
@given(st.lists(st.floats(0.0, 9.0), min_size=5, max_size=5), st.floats(0.0, 180.0))
def test_the_radius_is_that_of_scipys_hull(speeds: list[float], angle_deg: float) -> None:
    angles = np.array([40.0, 70.0, 100.0, 140.0, 175.0])
    curve = np.array(speeds)
    radius = hull_radius(angles, curve, np.array([angle_deg]))[0]
    dense = np.union1d(angles, np.arange(40.0, 175.0))
    speed, radians = np.interp(dense, angles, curve), np.radians(dense)
    points = np.column_stack([speed * np.cos(radians), speed * np.sin(radians)])
    points = np.vstack([points, points * [1.0, -1.0], [[0.0, 0.0]]])
    if np.linalg.matrix_rank(points, tol=1e-3) < 2:
        return
    hull = ConvexHull(points, qhull_options="QJ")
    direction = np.array([np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))])
    slopes = hull.equations[:, :2] @ direction
    reach = np.divide(-hull.equations[:, 2], slopes, out=np.full(len(slopes), np.inf), where=slopes > 1e-9)
    assert max(reach.min(), 0.0) == pytest.approx(radius, abs=2e-3)


def along(table: SpeedTable, wind_kn: float, angle_deg: float) -> float:
    """Speed made good in a wind so many degrees off the course."""
    parts = (-np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg)))
    return float(table.along(*(np.array([wind_kn * part], dtype=np.float32) for part in parts))[0])


def test_a_zero_row_gives_zero_speed() -> None:
    table = speed_table(PolarTable(np.array([5.0, 10.0]), np.array([45.0, 180.0]), np.array([[0.0, 0.0], [5.0, 4.0]])))
    assert [0.0, 0.0, 0.0] == [along(table, 0.0, 90.0), along(table, 3.0, 90.0), along(table, 5.0, 0.0)]


def test_tacking_costs_its_loss_and_sailing_the_course_does_not() -> None:
    table = speed_table(DEAD_ZONE, tacking_loss=0.03)
    assert 6.0 * np.cos(np.radians(45.0)) * 0.97 == pytest.approx(along(table, 10.0, 0.0), rel=1e-6)
    assert 6.0 == pytest.approx(along(table, 10.0, 90.0), rel=1e-6)


def test_wind_above_the_table_gives_its_last_row() -> None:
    assert 6.0 == pytest.approx(along(speed_table(DEAD_ZONE), 200.0, 90.0), rel=1e-6)


@given(st.floats(0.0, 59.0), st.floats(0.0, 180.0))
def test_the_table_by_parts_is_the_table_by_wind_and_angle(wind_kn: float, angle_deg: float) -> None:
    """Each part is at most half a step of 0.25 kn off its grid line; this polar changes by 0.5 kn per knot at most."""
    polar = PolarTable(np.array([10.0, 20.0]), np.array([0.0, 180.0]), np.array([[5.0, 5.0], [8.0, 8.0]]))
    table = speed_table(polar)
    expected = np.interp(wind_kn, [0.0, 10.0, 20.0], [0.0, 5.0, 8.0])
    assert expected == pytest.approx(along(table, wind_kn, angle_deg), abs=0.5 * np.hypot(0.125, 0.125) + 1e-6)


def test_a_dent_in_a_polar_is_found() -> None:
    dented = PolarTable(np.array([12.0]), np.array([45.0, 80.0, 110.0, 180.0]), np.array([[4.5, 6.0, 3.0, 5.0]]))
    assert [(12.0, 110.0)] == [(wind, angle) for wind, angle, _ in suspicious_points(dented)]
