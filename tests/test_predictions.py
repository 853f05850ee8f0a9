"""The smooth-water estimate against published velocity predictions (tests/published/hull_velocity_predictions.csv:
rating certificates, standing S and T), in the half of the fit and in the half held back.
"""

from __future__ import annotations

import csv
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from passage.crossings.estimate import ANGLES_DEG, WINDS_KN, estimate_polar, form_of
from passage.crossings.predictions import WATERLINE_SHARE, half, ours_kn, read
from tests.boat_cases import hull

TABLE = Path(__file__).parent / "published" / "hull_velocity_predictions.csv"


@cache
def ratios(fitted: bool) -> np.ndarray[tuple[int, int, int], np.dtype[np.float64]]:
    """Ours over theirs, (hulls, winds, cells): the beat, eight angles, the run."""
    kept = half(read(TABLE), fitted)
    found: np.ndarray[tuple[int, int, int], np.dtype[np.float64]] = ours_kn(kept) / kept.speed_kn
    return found


@pytest.mark.parametrize("fitted", [True, False])
def test_the_median_is_within_four_per_cent_at_every_published_wind_and_angle(fitted: bool) -> None:
    assert np.median(ratios(fitted), axis=0) == pytest.approx(1.0, abs=0.04)


@pytest.mark.parametrize("fitted", [True, False])
def test_the_spread_is_under_five_per_cent_at_the_published_angles_and_on_the_run(fitted: bool) -> None:
    """The worst of 81 cells is 0.049. Made good on the beat it is 0.053 in two cells of 18: 4 kn and 24 kn."""
    spread = ratios(fitted).std(axis=0)
    assert spread[:, 1:].max() < 0.05
    assert spread.max() < 0.054
    assert (spread > 0.05).sum() <= 1
    assert ratios(fitted).std() < 0.04


def test_the_wetted_surface_is_the_published_one_by_the_waterline_and_a_tenth_more_under_way() -> None:
    with TABLE.open(encoding="utf-8", newline="") as file:
        hulls = {row["hull"]: float(row["wetted_m2"]) for row in csv.DictReader(file)}
    published_m2 = np.array(list(hulls.values()))
    form = read(TABLE).form
    by_waterline = np.ravel(replace(form, length_m=form.waterline_m).wetted_m2) / published_m2
    assert 1.0 == pytest.approx(np.median(by_waterline), abs=0.03)
    assert 0.055 > by_waterline.std()
    assert 1.1 == pytest.approx(np.median(np.ravel(form.wetted_m2) / published_m2), abs=0.02)


def test_the_halves_have_no_hull_in_common() -> None:
    table = read(TABLE)
    assert set() == set(half(table, True).hulls) & set(half(table, False).hulls)
    assert 125 == len(table.hulls)


def test_the_boat_file_gives_the_speeds_that_the_benchmark_gives() -> None:
    """Through ``Hull`` and through the table's columns alike: the check is of what a crew is given."""
    table = read(TABLE)
    first = {name: float(np.ravel(value)[0]) for name, value in vars(table.form).items()}
    built = hull(
        length_overall_m=7.04,
        waterline_length_m=WATERLINE_SHARE * 7.04,
        beam_m=2.43,
        draught_m=1.32,
        displacement_kg=1610.0,
        sail_area_m2=12.52 + 16.53,
        headsail_area_m2=16.53,
        spinnaker_area_m2=39.5,
    )
    assert first == pytest.approx(vars(form_of(built)))
    polar = estimate_polar(built)
    ours = polar.boat_speed_kn[WINDS_KN == 10.0][0, ANGLES_DEG == 90.0][0]
    assert ours_kn(table)[0, 3, 4] == pytest.approx(ours, abs=0.006)
