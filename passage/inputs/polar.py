"""A polar table from a tidy CSV file: one line for each wind speed and wind angle.

    wind_speed_kn,wind_angle_deg,boat_speed_kn
    6,52,3.6

True wind, true angle off the bow; lines that begin with ``#`` and empty lines are passed over.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.errors import Fault, InputFaults
from passage.inputs.text import read_text
from passage.units import NUMBER, shown

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from numpy.typing import NDArray

COLUMNS = ("wind_speed_kn", "wind_angle_deg", "boat_speed_kn")
HIGHEST = {"wind_speed_kn": 80.0, "wind_angle_deg": 180.0, "boat_speed_kn": 40.0}
FASTEST = 2.5  # times hull speed; beyond it the figure is a slip of the pen for a boat with stores aboard
LEAST_WINDS, LEAST_ANGLES = 2, 3
WIDEST_FIRST_DEG, LEAST_LAST_DEG = 75.0, 150.0  # a table must reach from close-hauled to a run
REACHING_DEG, ENOUGH_WIND_KN = (60.0, 120.0), 4.0  # where a boat that stands still is a missing figure


@dataclass(frozen=True)
class PolarTable:
    """Boat speed by true wind speed and true wind angle; winds and angles ascending.

    wind_speed_kn: (n,); wind_angle_deg: (m,), 0 to 180; boat_speed_kn: (n, m) through the water.
    """

    wind_speed_kn: NDArray[np.float64]
    wind_angle_deg: NDArray[np.float64]
    boat_speed_kn: NDArray[np.float64]


class _Row(NamedTuple):
    line: int
    wind_kn: float
    angle_deg: float
    boat_kn: float


def read_polar(path: Path, hull_speed_kn: float) -> PolarTable:
    """Read a polar table for a hull of that hull speed. Raises InputFaults with everything wrong in it."""
    faults: list[Fault] = []
    rows = [row for line, cells in _lines(path) if (row := _row(path.name, line, cells, faults))]
    faults += [_fault(path, row.line, *said) for row in rows for said in _unlikely(row, hull_speed_kn)]
    faults += [_fault(path, line, *said) for line, *said in _gaps(rows)] if not faults else []
    if faults:
        raise InputFaults(faults)
    return _table(rows)


def read_pairs(path: Path) -> list[tuple[float, float, float]]:
    """Wind speed, wind angle and boat speed as a crew noted them, in the columns of a polar table, in any order and
    number. Raises InputFaults with everything wrong in it.
    """
    faults: list[Fault] = []
    rows = [row for line, cells in _lines(path) if (row := _row(path.name, line, cells, faults))]
    if not rows and not faults:
        faults.append(_fault(path, 0, "no pairs", "give a line for each: wind speed, wind angle, boat speed"))
    if faults:
        raise InputFaults(faults)
    return [(row.wind_kn, row.angle_deg, row.boat_kn) for row in rows]


def _table(rows: list[_Row]) -> PolarTable:
    winds = np.unique([row.wind_kn for row in rows])
    angles = np.unique([row.angle_deg for row in rows])
    speeds = np.array([row.boat_kn for row in sorted(rows, key=lambda row: row[1:3])])
    return PolarTable(winds, angles, speeds.reshape(winds.size, angles.size))


def _lines(path: Path) -> Iterator[tuple[int, list[str]]]:
    """The lines below the header, each with its number. Raises InputFaults where there is no such table."""
    lines = [(line, text.strip()) for line, text in enumerate(read_text(path).split("\n"), 1)]
    kept = [(line, [cell.strip() for cell in text.split(",")]) for line, text in lines if text and text[0] != "#"]
    if not kept:
        raise InputFaults([_fault(path, 0, "an empty table", f"begin it with the line {','.join(COLUMNS)}")])
    line, header = kept[0]
    if tuple(header) != COLUMNS:
        comma = "separate columns by commas and " if ";" in header[0] or "\t" in header[0] else ""
        wanted = f"{comma}begin the table with {','.join(COLUMNS)}"
        raise InputFaults([_fault(path, line, shown(",".join(header)), wanted)])
    yield from kept[1:]


def _row(file: str, line: int, cells: list[str], faults: list[Fault]) -> _Row | None:
    """The numbers of a line, or None and the faults added."""
    if len(cells) != len(COLUMNS):
        wanted = "write three numbers with a decimal point, separated by commas"
        faults.append(Fault(file, line, "", f"{len(cells)} cells", wanted))
        return None
    wrong = [
        Fault(
            file, line, column, shown(cell) if cell else "an empty cell", f"give a number from 0 to {HIGHEST[column]:g}"
        )
        for column, cell in zip(COLUMNS, cells, strict=True)
        if not NUMBER.fullmatch(cell) or not 0 <= float(cell) <= HIGHEST[column]
    ]
    faults += wrong
    return None if wrong else _Row(line, *map(float, cells))


def _unlikely(row: _Row, hull_speed_kn: float) -> Iterator[tuple[str, str, str]]:
    """Figures that are numbers but cannot be meant: key, found, wanted."""
    low, high = REACHING_DEG
    if row.boat_kn > FASTEST * hull_speed_kn:
        wanted = f"more than {FASTEST:g} times the hull speed of {hull_speed_kn:.1f} kn cannot be meant"
        yield "boat_speed_kn", f"{row.boat_kn:g}", wanted
    if row.boat_kn == 0 and low <= row.angle_deg <= high and row.wind_kn >= ENOUGH_WIND_KN:
        yield "boat_speed_kn", f"no speed on a reach in {row.wind_kn:g} kn of wind", "give the speed she makes there"


def _gaps(rows: list[_Row]) -> Iterator[tuple[int, str, str, str]]:
    """What is missing or given twice: line, key, found, wanted."""
    first: dict[tuple[float, float], int] = {}
    for row in rows:
        if (row.wind_kn, row.angle_deg) in first:
            yield (
                row.line,
                "",
                f"{_cell(row.wind_kn, row.angle_deg)} again",
                f"it stands on line {first[row[1:3]]} already",
            )
        first.setdefault((row.wind_kn, row.angle_deg), row.line)
    winds, angles = sorted({row.wind_kn for row in rows}), sorted({row.angle_deg for row in rows})
    for wind in winds:
        missing = [angle for angle in angles if (wind, angle) not in first]
        line = min(row.line for row in rows if row.wind_kn == wind)
        if missing:
            listed = ", ".join(f"{angle:g}" for angle in missing[:12])
            yield line, "", f"{wind:g} kn of wind lacks the angles {listed}", "give every wind the same angles"
    yield from _reach(winds, angles)


def _reach(winds: list[float], angles: list[float]) -> Iterator[tuple[int, str, str, str]]:
    if len(winds) < LEAST_WINDS:
        yield 0, "wind_speed_kn", f"{len(winds)} wind speeds", f"give at least {LEAST_WINDS}"
    if len(angles) < LEAST_ANGLES or angles[0] > WIDEST_FIRST_DEG or angles[-1] < LEAST_LAST_DEG:
        found = f"angles from {angles[0]:g} to {angles[-1]:g} degrees" if angles else "no angles"
        wanted = f"give at least {LEAST_ANGLES}, from close-hauled (at most {WIDEST_FIRST_DEG:g}) to a run"
        yield 0, "wind_angle_deg", found, f"{wanted} (at least {LEAST_LAST_DEG:g})"


def _cell(wind_kn: float, angle_deg: float) -> str:
    return f"{wind_kn:g} kn of wind at {angle_deg:g} degrees"


def _fault(path: Path, line: int, *said: str) -> Fault:
    key, found, wanted = said if len(said) == 3 else ("", *said)
    return Fault(path.name, line, key, found, wanted)
