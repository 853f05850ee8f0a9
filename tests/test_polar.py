"""Polar tables from tidy CSV; what is refused stands in the corpus of broken voyages."""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.errors import InputFaults
from passage.inputs.polar import read_polar

if TYPE_CHECKING:
    from pathlib import Path

HEADER = "wind_speed_kn,wind_angle_deg,boat_speed_kn"
ROWS = ["6,50,2.3", "6,90,2.9", "6,180,1.7", "12,50,4.2", "12,90,5.0", "12,180,3.4"]


def written(tmp_path: Path, lines: list[str], head: str = "") -> Path:
    path = tmp_path / "polar.csv"
    path.write_text(head + "\n".join(lines) + "\n", encoding="utf-8")
    return path


def test_the_table_stands_wind_by_angle(tmp_path: Path) -> None:
    table = read_polar(written(tmp_path, [HEADER, *ROWS]), 6.6)
    assert [6.0, 12.0] == table.wind_speed_kn.tolist()
    assert [50.0, 90.0, 180.0] == table.wind_angle_deg.tolist()
    assert [[2.3, 2.9, 1.7], [4.2, 5.0, 3.4]] == table.boat_speed_kn.tolist()


def test_the_order_of_the_lines_changes_nothing(tmp_path: Path) -> None:
    expected = read_polar(written(tmp_path, [HEADER, *ROWS]), 6.6)
    found = read_polar(written(tmp_path, [HEADER, *reversed(ROWS)]), 6.6)
    assert np.array_equal(expected.boat_speed_kn, found.boat_speed_kn)
    assert np.array_equal(expected.wind_angle_deg, found.wind_angle_deg)


def test_comments_blanks_spaces_and_a_byte_order_mark_are_passed_over(tmp_path: Path) -> None:
    lines = [
        "# hers",
        "",
        " wind_speed_kn , wind_angle_deg , boat_speed_kn\r",
        *[f" {row.replace(',', ' , ')}\r" for row in ROWS],
    ]
    assert 5.0 == read_polar(written(tmp_path, lines, "\ufeff"), 6.6).boat_speed_kn[1, 1]


def test_no_wind_may_make_no_speed(tmp_path: Path) -> None:
    table = read_polar(written(tmp_path, [HEADER, "0,50,0", "0,90,0", "0,180,0", *ROWS]), 6.6)
    assert not table.boat_speed_kn[0].any()


def test_every_bad_line_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputFaults) as told:
        read_polar(written(tmp_path, [HEADER, "6,50", "6,x,2.9", "6,180,99", *ROWS[3:]]), 6.6)
    assert [(2, ""), (3, "wind_angle_deg"), (4, "boat_speed_kn")] == [(f.line, f.key) for f in told.value.faults]


def test_the_limit_of_speed_is_that_of_the_hull(tmp_path: Path) -> None:
    path = written(tmp_path, [HEADER, *ROWS])
    assert 5.0 == read_polar(path, 2.0).boat_speed_kn.max()
    assert 5.0 == read_polar(path, inf).boat_speed_kn.max()
    with pytest.raises(InputFaults, match="hull speed"):
        read_polar(path, 1.99)
