"""The rose of a point against scipy's Rice distribution, the published table, and wind drawn at random."""

from __future__ import annotations

import csv
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import rayleigh, rice

from passage.crossings.rose import CALM_KN, GALE_KN, SECTORS, STRONG_KN, rose_on, wind_rose
from tests.crossing_cases import north_track, steady

TABLE = Path(__file__).parent / "published" / "05_rice.csv"


def rows() -> list[dict[str, str]]:
    with TABLE.open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"nu {row['vector_mean_nu']}")
def test_mean_speed_of_the_published_table(row: dict[str, str]) -> None:
    """D: quadrature, Laguerre closed form and scipy agree in the table; half its last printed digit."""
    rose = wind_rose(0.0, -float(row["vector_mean_nu"]), float(row["sigma_each_component"]))
    assert float(row["mean_speed_Laguerre"]) == pytest.approx(rose.mean_wind_kn, abs=5.1e-7)


@given(st.floats(0.0, 25.0), st.floats(0.5, 12.0), st.floats(0.0, 360.0))
def test_calms_and_strong_winds_are_the_rice_distributions(nu: float, sigma: float, towards_deg: float) -> None:
    """T: scipy.stats.rice, 1e-9."""
    rose = wind_rose(nu * np.sin(np.radians(towards_deg)), nu * np.cos(np.radians(towards_deg)), sigma)
    law = rice(nu / sigma, scale=sigma)
    assert law.cdf(CALM_KN) == pytest.approx(rose.calm_share, abs=1e-9)
    assert law.sf(STRONG_KN) == pytest.approx(rose.strong_share, abs=1e-9)
    assert law.sf(GALE_KN) == pytest.approx(rose.gale_share, abs=1e-9)
    assert 1.0 == pytest.approx(rose.calm_share + sum(sector.share for sector in rose.sectors), abs=1e-9)


def test_without_a_mean_wind_the_rose_is_round_and_rayleighs() -> None:
    """D: every sector an eighth of exp(-v^2 / 2 s^2), with the mean of a Rayleigh law cut off below 4 kn (T)."""
    rose = wind_rose(0.0, 0.0, 7.0)
    share = np.exp(-((CALM_KN / 7.0) ** 2) / 2)
    assert [share / 8] * 8 == pytest.approx([sector.share for sector in rose.sectors], abs=1e-12)
    mean = rayleigh(scale=7.0).expect(lambda speed: speed, lb=CALM_KN, conditional=True)
    assert [mean] * 8 == pytest.approx([sector.mean_wind_kn for sector in rose.sectors], rel=1e-8)


@pytest.mark.parametrize(("east", "north", "sigma"), [(-5.0, 6.0, 5.0), (9.0, 1.0, 3.5), (0.0, -2.0, 8.0)])
def test_sectors_are_those_of_wind_drawn_at_random(east: float, north: float, sigma: float) -> None:
    """Four standard errors of 400,000 draws; the sector is where the wind is from."""
    draws = np.random.default_rng(1).normal(size=(2, 400_000)) * sigma + np.array([[east], [north]])
    speed = np.hypot(*draws)
    sector = np.round(np.degrees(np.arctan2(-draws[0], -draws[1])) / 45.0).astype(int) % 8
    for number, arm in enumerate(wind_rose(east, north, sigma).sectors):
        mine = speed[(sector == number) & (speed >= CALM_KN)]
        assert SECTORS[number] == arm.name
        assert mine.size / speed.size == pytest.approx(arm.share, abs=4 * np.sqrt(arm.share / speed.size))
        assert mine.mean() == pytest.approx(arm.mean_wind_kn, abs=4 * mine.std() / np.sqrt(mine.size))


def test_a_wind_from_the_south_east_stands_in_the_south_east() -> None:
    strongest = max(wind_rose(-9.0, 9.0, 4.0).sectors, key=lambda sector: sector.share)
    assert "SE" == strongest.name
    assert strongest.share > 0.7


@pytest.mark.parametrize("sigma", [0.0, 0.01, 0.05])
def test_the_steadiest_wind_blows_from_one_sector(sigma: float) -> None:
    rose = wind_rose(-12.0, 0.0, sigma)
    assert 1.0 == pytest.approx(rose.sectors[2].share)
    assert 12.0 == pytest.approx(rose.sectors[2].mean_wind_kn, rel=1e-3)
    assert 0.0 == pytest.approx(rose.calm_share, abs=1e-9)


def test_no_wind_at_all_is_calm() -> None:
    assert 1.0 == wind_rose(0.0, 0.0, 0.0).calm_share


def test_the_rose_of_a_day_lies_between_the_mid_months() -> None:
    """Mid-February to mid-March of 2027: 00 UTC on 1 March is 14 days of 29.5 after 15 February 00 UTC (D)."""
    track = north_track(60.0)
    climate = steady(track, 0.0, 0.0, 4.0)
    east = climate.wind_east_kn.copy()
    east[1], east[2] = 8.0, 14.0
    day = datetime(2027, 3, 1, tzinfo=UTC)
    expected = wind_rose(8.0 + 6.0 * 14.0 / 29.5, 0.0, 4.0)
    assert expected.mean_wind_kn == pytest.approx(rose_on(replace(climate, wind_east_kn=east), 3, day).mean_wind_kn)
