"""The wind's sea against the published heights, and what it adds to a hull's resistance."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from passage.crossings.seaway import added_resistance_n, heading_share, spectrum

PUBLISHED = Path(__file__).parent / "published"


def heights_m() -> list[tuple[float, float]]:
    with (PUBLISHED / "05_pierson_moskowitz.csv").open(encoding="utf-8") as file:
        return [(float(row["U10_ms"]), float(row["0.0246 U10^2"])) for row in csv.DictReader(file)]


@pytest.mark.parametrize(("wind_ms", "height_m"), heights_m())
def test_the_sea_is_as_high_as_pierson_and_moskowitzs(wind_ms: float, height_m: float) -> None:
    """Derived from their spectrum (D); one per cent: the level has three figures."""
    waves = np.geomspace(0.1, 40.0, 4000)
    energy = np.trapezoid(spectrum(np.array(wind_ms), waves), waves)
    assert height_m == pytest.approx(4.0 * energy**0.5, rel=0.01)


def test_spreading_about_the_wind_has_its_closed_form() -> None:
    """D: cosine squared over the half circle gives 8 / (3 pi) of the long-crested ahead, 2 / (3 pi) on the beam."""
    assert 8.0 / (3.0 * np.pi) == pytest.approx(float(heading_share(np.array(0.0))), rel=2e-3)
    assert 2.0 / (3.0 * np.pi) == pytest.approx(float(heading_share(np.array(np.pi / 2.0))), rel=2e-2)
    assert float(heading_share(np.array(np.pi))) < 1e-6


def added_n(speed_kn: float = 4.8, wind_kn: float = 14.0, off_deg: float = 46.0, length_m: float = 8.7) -> float:
    speed_ms, wind_ms = (np.array(knots * 0.514444) for knots in (speed_kn, wind_kn))
    return float(added_resistance_n(speed_ms, wind_ms, np.radians(off_deg), length_m, 7.0))


def test_a_calm_or_a_boat_at_rest_meets_nothing() -> None:
    assert [0.0, 0.0] == pytest.approx([added_n(wind_kn=0.0), added_n(speed_kn=0.0)], abs=1e-6)


def test_more_wind_adds_more_and_a_free_course_less() -> None:
    assert sorted(found := [added_n(wind_kn=wind) for wind in (4.0, 8.0, 14.0, 20.0, 30.0)]) == found
    assert sorted(found := [added_n(off_deg=off) for off in (170.0, 120.0, 90.0, 60.0, 40.0)]) == found


def test_close_hauled_in_force_four_it_is_of_the_size_that_towing_tanks_find() -> None:
    """M: textbooks of yacht design show a tenth to a third of all; she has some 850 N of all at 4.8 kn (D)."""
    assert 0.1 < added_n() / 850.0 < 0.4
