"""Boat speed: what a polar table is worth along a course when tacking and gybing are allowed.

The best speed made good along a course is the radius, in the direction of the course, of the convex hull of the polar
curve and the origin: any point of the hull is reached by sailing two headings for part of the time each. (The largest
projection of the curve on the course is not: that is the hull's support function, some 4-7 per cent too fast.)

                  . - ~ - .
               /             \\        curve: boat speed by wind angle
              |     wind      |       chord between the two close-hauled points: what tacking makes good
               \\   from top  /
                 ---chord---
                      o  origin
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.inputs.polar import PolarTable

WIND_STEP_KN = 0.25
WIND_TOP_KN = 60.0
ANGLE_STEP_DEG = 1.0
SUSPICIOUS_EXCESS = 0.03  # the hull may exceed a sound table by this much between 60 and 150 degrees


@dataclass(frozen=True)
class SpeedTable:
    """Speed made good by wind, on fine even grids; tacking and gybing allowed and their loss taken off.

    made_good_kn: (winds, angles), wind rows every 0.25 kn from 0 to 60, angle columns every degree from 0 (dead to
    windward) to 180. by_parts_kn: the same by the wind's parts every 0.25 kn, rows along the course from -60 (ahead) to
    60 (astern), columns across it from 0 to 60: a lookup without an angle.
    """

    made_good_kn: NDArray[np.float32]
    by_parts_kn: NDArray[np.float32]

    def along(self, tailwind_kn: NDArray[np.float32], crosswind_kn: NDArray[np.float32]) -> NDArray[np.float32]:
        """Speed made good (kn) by the wind's parts along the course (positive astern) and across it (either sign),
        nearest grid point.
        """
        return Hulls([self]).along(tailwind_kn, crosswind_kn)


class Hulls:
    """The speed tables of a fleet, read for each boat by her own."""

    def __init__(self, tables: Sequence[SpeedTable]) -> None:
        once = {id(table): table.by_parts_kn for table in tables}
        self._numbers = {known: number for number, known in enumerate(once)}
        first, *others = once.values()
        self._shape = first.shape
        self._cells = (np.stack([first, *others]) if others else first).reshape(-1)

    def number(self, table: SpeedTable) -> int:
        return self._numbers[id(table)]

    def along(
        self,
        tailwind_kn: NDArray[np.float32],
        crosswind_kn: NDArray[np.float32],
        number: NDArray[np.intp] | None = None,
    ) -> NDArray[np.float32]:
        """``SpeedTable.along``; number: of each boat's table, where there are several."""
        rows, columns = self._shape
        per_kn = np.float32(1.0 / WIND_STEP_KN)
        row = tailwind_kn * per_kn
        row += np.float32(rows // 2 + 0.5)
        column = np.abs(crosswind_kn)
        column *= per_kn
        column += np.float32(0.5)
        np.maximum(row, np.float32(0.0), out=row)
        np.minimum(row, np.float32(rows - 1), out=row)
        np.minimum(column, np.float32(columns - 1), out=column)
        cell = row.astype(np.intp)
        if number is not None and len(self._numbers) > 1:
            cell += number * rows
        cell *= columns
        cell += column.astype(np.intp)
        return self._cells.take(cell, mode="clip")


def wind_grid_kn() -> NDArray[np.float64]:
    return np.arange(0.0, WIND_TOP_KN + WIND_STEP_KN / 2, WIND_STEP_KN)


def angle_grid_deg() -> NDArray[np.float64]:
    return np.arange(0.0, 180.0 + ANGLE_STEP_DEG / 2, ANGLE_STEP_DEG)


def speed_table(polar: PolarTable, tacking_loss: float = 0.03) -> SpeedTable:
    """Tabulate a polar's speed made good once, for the whole passage.

    Between the table's winds speeds are linear; below its lightest wind they fall in proportion to nothing at no
    wind; above its strongest they stay what they were there (the helm reefs and heaves to). Inside the closest
    tabulated angle the boat does not sail, and beyond the widest she gybes.
    """
    winds, curves = _curves(polar)
    angles = angle_grid_deg()
    hull = np.stack([hull_radius(polar.wind_angle_deg, curve, angles) for curve in curves])
    plain = np.stack([np.interp(angles, polar.wind_angle_deg, curve, left=0.0, right=0.0) for curve in curves])
    made_good = _on_fine_winds(winds, np.maximum(plain, hull * (1.0 - tacking_loss)))
    return SpeedTable(made_good, _by_parts(made_good))


def _curves(polar: PolarTable) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Winds (k,) and boat speed (k, angles of the table), every whole knot and every tabulated wind, none first."""
    tabulated, speeds = polar.wind_speed_kn, polar.boat_speed_kn
    if tabulated[0] > 0.0:
        tabulated = np.concatenate([[0.0], tabulated])
        speeds = np.vstack([np.zeros(speeds.shape[1]), speeds])
    winds = np.union1d(tabulated, np.arange(np.ceil(tabulated[-1])))
    return winds, np.stack([np.interp(winds, tabulated, column) for column in speeds.T], axis=1)


def _on_fine_winds(winds_kn: NDArray[np.float64], rows: NDArray[np.float64]) -> NDArray[np.float32]:
    fine = wind_grid_kn()
    return np.stack([np.interp(fine, winds_kn, column) for column in rows.T], axis=1).astype(np.float32)


def _by_parts(made_good_kn: NDArray[np.float32]) -> NDArray[np.float32]:
    """The table by wind speed and angle read, linearly, at every pair of the wind's parts."""
    across = wind_grid_kn()
    tail = np.concatenate([-across[:0:-1], across])[:, None]
    wind = np.minimum(np.hypot(tail, across) / WIND_STEP_KN, made_good_kn.shape[0] - 1.001)
    angle = np.minimum(np.degrees(np.arctan2(across, -tail)) / ANGLE_STEP_DEG, made_good_kn.shape[1] - 1.001)
    row, column = wind.astype(np.intp), angle.astype(np.intp)
    up, right = wind - row, angle - column
    lower = made_good_kn[row, column] * (1.0 - right) + made_good_kn[row, column + 1] * right
    upper = made_good_kn[row + 1, column] * (1.0 - right) + made_good_kn[row + 1, column + 1] * right
    return np.asarray(lower * (1.0 - up) + upper * up, dtype=np.float32)


def hull_radius(
    polar_angle_deg: NDArray[np.float64], boat_speed_kn: NDArray[np.float64], course_angle_deg: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Radius of the convex hull of {origin, polar curve, its mirror image} in given directions off the wind.

    polar_angle_deg and boat_speed_kn: (m,) one curve; course_angle_deg: (k,) 0 dead to windward, 180 dead to leeward.
    """
    if not boat_speed_kn.any():
        return np.zeros_like(course_angle_deg)
    dense = np.union1d(polar_angle_deg, np.arange(np.ceil(polar_angle_deg[0]), polar_angle_deg[-1]))
    speed = np.interp(dense, polar_angle_deg, boat_speed_kn)
    windward, across = speed * np.cos(np.radians(dense)), speed * np.sin(np.radians(dense))
    corners = _half_hull(np.append(windward, 0.0), np.append(across, 0.0))
    return _ray_lengths(corners, np.radians(course_angle_deg))


def _half_hull(windward: NDArray[np.float64], across: NDArray[np.float64]) -> NDArray[np.float64]:
    """Corners (n, 2) of the hull of a curve symmetric about the wind axis, from most to windward to most to leeward.

    Andrew's monotone chain over the half with across >= 0; the chain's ends are where the whole hull meets the axis,
    for the chord joining a point to its mirror image is square to it.
    """
    order = np.lexsort((across, -windward))
    chain: list[tuple[float, float]] = [(float(windward[order[0]]), 0.0)]
    for x, y in zip(windward[order], across[order], strict=True):
        while len(chain) >= 2 and _turn(chain[-2], chain[-1], (x, y)) <= 0.0:
            chain.pop()
        chain.append((float(x), float(y)))
    end = (float(windward.min()), 0.0)
    while len(chain) >= 2 and _turn(chain[-2], chain[-1], end) <= 0.0:
        chain.pop()
    return np.array([*chain, end])


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    """Positive where a, b, c turns left: b is then a corner of the hull, walked from windward over the side to
    leeward.
    """
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _ray_lengths(corners: NDArray[np.float64], direction_rad: NDArray[np.float64]) -> NDArray[np.float64]:
    """Distance from the origin to the farthest crossing of each ray with the chain of corners."""
    ahead, side = np.cos(direction_rad)[:, None], np.sin(direction_rad)[:, None]
    start, step = corners[:-1], np.diff(corners, axis=0)
    determinant = side * step[:, 0] - ahead * step[:, 1]
    safe = np.where(np.abs(determinant) < 1e-12, np.inf, determinant)
    length = (start[:, 1] * step[:, 0] - start[:, 0] * step[:, 1]) / safe
    share = (ahead * start[:, 1] - side * start[:, 0]) / safe
    tolerance = 1e-9
    hit = (share >= -tolerance) & (share <= 1.0 + tolerance) & (length >= 0.0) & np.isfinite(safe)
    return np.asarray(np.where(hit, length, 0.0).max(axis=1))


def suspicious_points(polar: PolarTable) -> list[tuple[float, float, float]]:
    """Where two other headings beat the tabulated one by over 3 per cent between 60 and 150 degrees: the table is
    probably wrong there. Returns (wind_kn, wind_angle_deg, excess share)."""
    found = []
    for wind, curve in zip(polar.wind_speed_kn, polar.boat_speed_kn, strict=True):
        excess = hull_radius(polar.wind_angle_deg, curve, polar.wind_angle_deg) / np.maximum(curve, 1e-9) - 1.0
        doubtful = (excess > SUSPICIOUS_EXCESS) & (polar.wind_angle_deg >= 60) & (polar.wind_angle_deg <= 150)
        found += [(float(wind), float(polar.wind_angle_deg[i]), float(excess[i])) for i in np.flatnonzero(doubtful)]
    return found
