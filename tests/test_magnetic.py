"""Magnetic variation against the official test values of the World Magnetic Model 2025."""

from __future__ import annotations

import csv
import math
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path

import pytest

from passage.errors import OutOfRange
from passage.sailings.magnetic import decimal_year, magnetic_course_deg, variation

OFFICIAL = list(
    csv.DictReader(
        (Path(__file__).parent / "published" / "04_wmm2025_official.csv").read_text(encoding="utf-8").splitlines()
    )
)


@pytest.mark.parametrize("row", OFFICIAL, ids=lambda row: f"{row['decimal_year']} {row['lat']} {row['lon']}")
def test_official_values(row: dict[str, str]) -> None:
    # NOAA, WMM2025_TEST_VALUES.txt [S]: D printed to 0.01 degree, H to 1e-6 nT and reproduced by the port to 0.0007.
    found = variation(float(row["lat"]), float(row["lon"]), float(row["decimal_year"]), float(row["alt_km"]))
    assert pytest.approx(float(row["D_deg"]), abs=0.0051) == found.variation_deg
    assert pytest.approx(float(row["H_nT"]), abs=1e-3) == found.horizontal_nt


@pytest.mark.parametrize(
    ("where", "expected", "uncertainty"),
    # pygeomag on WMM2025 at 2026.5 [T], its error model [S]: Horta, Cape Town, Honolulu, Bridgetown, printed to 0.01;
    # positions good to half a minute of arc add as much again where variation changes by 0.6 degree in a degree.
    [
        ((38.533333, -28.616667), -7.89, 0.33),
        ((-33.9, 18.433333), -26.72, 0.57),
        ((21.308333, -157.870833), 9.28, None),
        ((13.083333, -59.616667), -15.99, None),
    ],
)
def test_variation_at_ports(where: tuple[float, float], expected: float, uncertainty: float | None) -> None:
    found = variation(*where, 2026.5)
    assert pytest.approx(expected, abs=0.01) == found.variation_deg
    assert uncertainty is None or pytest.approx(uncertainty, abs=0.005) == found.uncertainty_deg


def test_variation_changes_by_the_official_yearly_rate() -> None:
    # NOAA test values [S]: dD/dt, at 2027.5 and 0 km, -0.1737 degrees a year; the model is linear in its coefficients.
    before, after = variation(-13.0, -59.0, 2027.0), variation(-13.0, -59.0, 2028.0)
    assert pytest.approx(-0.1737, abs=5e-4) == after.variation_deg - before.variation_deg


def test_uncertainty_grows_towards_the_magnetic_pole() -> None:
    # sqrt(0.26^2 + (5417 / H)^2) [S]; 30,000 nT is the tropics, 3,000 the arctic.
    tropics, arctic = variation(10.0, -40.0, 2026.0), variation(80.0, -100.0, 2026.0)
    assert tropics.uncertainty_deg < 0.4 < arctic.uncertainty_deg
    assert pytest.approx(tropics.uncertainty_deg**2 - 0.26**2) == (5417 / tropics.horizontal_nt) ** 2


@pytest.mark.parametrize("year", [2024.9, 2030.5, 1990.0, math.nan])
def test_years_outside_the_model_are_refused(year: float) -> None:
    with pytest.raises(OutOfRange, match="holds from 2025 to 2030"):
        variation(10.0, 10.0, year)


def test_the_limits_of_the_model_belong_to_it() -> None:
    assert variation(10.0, 10.0, 2025.0).variation_deg != variation(10.0, 10.0, 2030.0).variation_deg


@pytest.mark.parametrize(("lat", "lon"), [(95.0, 0.0), (math.nan, 0.0), (0.0, math.inf)])
def test_what_is_no_position_is_refused(lat: float, lon: float) -> None:
    with pytest.raises(OutOfRange):
        variation(lat, lon, 2026.0)


def test_a_turn_of_longitude_changes_nothing() -> None:
    for lon in (-180.0, -17.3, 179.9):
        assert pytest.approx(variation(-18.0, lon, 2026.0)) == variation(-18.0, lon + 360.0, 2026.0)


@pytest.mark.parametrize(
    ("true", "east", "magnetic"), [(90.0, 10.0, 80.0), (90.0, -10.0, 100.0), (5.0, 10.0, 355.0), (355.0, -8.0, 3.0)]
)
def test_variation_east_magnetic_least(true: float, east: float, magnetic: float) -> None:
    # T = M + D, D east positive [S].
    assert pytest.approx(magnetic) == magnetic_course_deg(true, east)


def test_decimal_years() -> None:
    assert decimal_year(datetime(2026, 1, 1, tzinfo=UTC)) == 2026.0
    assert decimal_year(datetime(2026, 7, 2, 12, tzinfo=UTC)) == 2026.5
    # A leap year has its middle at the beginning of 2 July.
    assert decimal_year(datetime(2028, 7, 2, tzinfo=UTC)) == 2028.5
    west = timezone(timedelta(hours=-10))
    assert decimal_year(datetime(2027, 1, 1, 5, tzinfo=UTC)) == decimal_year(datetime(2026, 12, 31, 19, tzinfo=west))


def test_decimal_years_agree_with_the_library_of_the_model() -> None:
    from pygeomag import decimal_year_from_date

    for day in (date(2025, 1, 1), date(2026, 3, 17), date(2028, 2, 29), date(2029, 12, 31)):
        expected = decimal_year_from_date(day)
        assert pytest.approx(expected, abs=1e-12) == decimal_year(datetime(day.year, day.month, day.day, tzinfo=UTC))
