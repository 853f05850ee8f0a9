"""A crew's own pairs against the tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.crossings.estimate import estimate_polar
from passage.crossings.pairs import Pair, SpeedRow, at_ten_metres_kn, fit, refuse_unlikely, sailed_kn
from passage.errors import InputFaults
from passage.inputs.polar import read_pairs
from tests.boat_cases import hull

if TYPE_CHECKING:
    from pathlib import Path

POLAR = estimate_polar(hull())


def test_pairs_read_off_the_table_fit_it() -> None:
    pairs = [
        Pair(wind, angle, sailed_kn(POLAR, wind, angle)) for wind in (6.0, 11.0, 21.0) for angle in (50.0, 95.0, 160.0)
    ]
    found = fit(pairs, POLAR)
    assert (9, 0, 1.0, 0.0) == pytest.approx((found.count, found.left_out, found.ratio, found.sd), abs=1e-9)


def test_the_tables_are_told_by_whole_knots_of_wind() -> None:
    assert {"wind_kn": "12", "speeds_kn": ["5.1"]} == SpeedRow(12.0, (5.12,)).printed()


def test_where_they_differ_is_told() -> None:
    pairs = [
        Pair(12.0, 50.0, 0.8 * sailed_kn(POLAR, 12.0, 50.0)),
        Pair(12.0, 150.0, 1.1 * sailed_kn(POLAR, 12.0, 150.0)),
    ]
    parts = {part.part: part.ratio for part in fit(pairs, POLAR).parts}
    assert {"close-hauled": 0.8, "running": 1.1, "8 to 16 kn": 0.95} == pytest.approx(parts)


def test_a_pair_where_the_table_promises_nothing_is_left_out() -> None:
    found = fit([Pair(0.0, 90.0, 1.0)], POLAR)
    assert (0, 1) == (found.count, found.left_out)
    assert np.isnan(found.ratio)


def test_wind_at_the_masthead_is_more_than_at_ten_metres() -> None:
    """Hsu, Meindl and Gilhousen 1994 (M): u ~ z^0.11 over open sea; 15 m gives 1.0456 of 10 m."""
    assert 20.0 == pytest.approx(at_ten_metres_kn(20.0 * 1.0456, 15.0), rel=1e-4)
    assert 20.0 == at_ten_metres_kn(20.0, 10.0)


def test_pairs_are_read_in_any_number_and_order(tmp_path: Path) -> None:
    path = tmp_path / "noted.csv"
    path.write_text("wind_speed_kn,wind_angle_deg,boat_speed_kn\n14,120,6.1\n9,60,4.4\n", encoding="utf-8")
    assert [(14.0, 120.0, 6.1), (9.0, 60.0, 4.4)] == read_pairs(path)


@pytest.mark.parametrize("lines", ["14,220,6.1\n", "14,120\n", ""])
def test_a_pair_that_cannot_be_is_refused(tmp_path: Path, lines: str) -> None:
    path = tmp_path / "noted.csv"
    path.write_text(f"wind_speed_kn,wind_angle_deg,boat_speed_kn\n{lines}", encoding="utf-8")
    with pytest.raises(InputFaults, match=r"noted\.csv"):
        read_pairs(path)


def test_a_pair_that_is_typed_is_refused_by_its_number() -> None:
    with pytest.raises(InputFaults, match=r"--pair.*2"):
        refuse_unlikely([(10.0, 90.0, 5.0), (10.0, 270.0, 5.0)])
