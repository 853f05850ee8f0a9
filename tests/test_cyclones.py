"""Cyclone seasons against the published table (standing beside each row there); edges of days and of 180 degrees."""

from __future__ import annotations

import csv
from datetime import date
from pathlib import Path

import pytest

from passage.sailings.cyclones import Basin, basins

PUBLISHED = Path(__file__).parent / "published" / "07_cyclone_seasons.csv"


def season_here(lat_deg: float, lon_deg: float, day: date) -> Basin | None:
    """The basin that holds the place and is in season, of which there is one at most."""
    return next((basin for basin in basins() if basin.holds(lat_deg, lon_deg) and basin.in_season(day)), None)


def published() -> dict[tuple[str, str], str]:
    with PUBLISHED.open(encoding="utf-8", newline="") as file:
        return {(row["start_mm_dd"], row["end_mm_dd"]): row["basin"] for row in csv.DictReader(file)}


def test_every_season_but_the_north_indian_has_the_published_days() -> None:
    """The table gives the North Indian no bounds and the words 'broadly Apr-Dec'."""
    days = {(f"{b.first_day[0]:02}-{b.first_day[1]:02}", f"{b.last_day[0]:02}-{b.last_day[1]:02}") for b in basins()}
    assert {("04-01", "12-31")} == days - set(published())
    assert {("", "")} == set(published()) - days


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        (date(2027, 4, 30), "South Pacific"),
        (date(2027, 5, 1), None),
        (date(2027, 10, 31), None),
        (date(2027, 11, 1), "South Pacific"),
        (date(2027, 12, 31), "South Pacific"),
        (date(2028, 2, 29), "South Pacific"),
    ],
)
def test_a_southern_season_wraps_the_year(day: date, expected: str | None) -> None:
    basin = season_here(-20.0, -175.0, day)
    assert expected == (basin.name if basin else None)


@pytest.mark.parametrize("lon_deg", [179.9, 180.0, -180.0, -179.9, 185.0])
def test_180_degrees_is_no_edge(lon_deg: float) -> None:
    basin = season_here(-18.0, lon_deg, date(2027, 1, 15))
    assert basin is not None
    assert "South Pacific" == basin.name


def test_places_without_cyclones_have_no_season() -> None:
    """The South Atlantic has none (M); St Helena in February."""
    assert season_here(-16.0, -5.7, date(2027, 2, 10)) is None
    assert season_here(50.0, -20.0, date(2027, 9, 10)) is None


@pytest.mark.parametrize(
    ("place", "lat_deg", "lon_deg", "day", "expected"),
    [
        ("Lagos", 37.1, -8.7, date(2027, 6, 5), None),
        ("Horta", 38.5, -28.6, date(2027, 9, 10), None),
        ("Las Palmas", 28.1, -15.4, date(2027, 9, 10), None),
        ("Cape Verde", 15.0, -23.0, date(2027, 9, 10), "North Atlantic, Caribbean and Gulf"),
        ("Bermuda", 32.3, -64.8, date(2027, 9, 10), "North Atlantic, Caribbean and Gulf"),
        ("Halifax", 44.6, -63.5, date(2027, 9, 10), "North Atlantic, Caribbean and Gulf"),
        ("San Diego", 32.7, -117.2, date(2027, 9, 10), None),
        ("Cabo San Lucas", 22.9, -109.9, date(2027, 9, 10), "Eastern North Pacific"),
        ("Honolulu", 21.3, -157.9, date(2027, 9, 10), "Central North Pacific"),
        ("Tokyo", 35.6, 139.8, date(2027, 9, 10), "Western North Pacific"),
        ("Opua", -35.3, 174.1, date(2027, 2, 10), None),
        ("Noumea", -22.3, 166.4, date(2027, 2, 10), "South Pacific"),
        ("Brisbane", -27.4, 153.2, date(2027, 2, 10), "Australian region"),
        ("Sydney", -33.9, 151.3, date(2027, 2, 10), None),
        ("Mauritius", -20.2, 57.5, date(2027, 2, 10), "South-West Indian Ocean"),
        ("Durban", -29.9, 31.0, date(2027, 2, 10), None),
    ],
)
def test_harbours_in_season_are_those_that_crews_leave(
    place: str, lat_deg: float, lon_deg: float, day: date, expected: str | None
) -> None:
    """Common practice, no source (P): where boats are laid up out of reach of cyclones, and where they are not."""
    basin = season_here(lat_deg, lon_deg, day)
    assert expected == (basin.name if basin else None), place


def test_the_basins_do_not_overlap() -> None:
    for lat in range(-60, 61, 5):
        for lon in range(-180, 180, 5):
            assert sum(basin.holds(lat, lon) for basin in basins()) <= 1
