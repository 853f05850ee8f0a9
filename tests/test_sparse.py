"""Mending of thinly reported cells, on small invented fields."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from passage.inputs import sparse
from passage.inputs.rice import rice_mean, sigma_from_means

Floats = NDArray[np.float64]
LAT = np.arange(-9.0, 10.0, 2.0)
SHAPE = (12, len(LAT), 180)
AT = (5, 4, 90)  # month, row, column of the odd cell
SIGMA = 6.0


def even(value: float) -> Floats:
    return np.full(SHAPE, value)


def trade_wind() -> tuple[Floats, Floats, Floats]:
    """The same wind everywhere: east -12 kn, north 5 kn, spread 6 kn."""
    return even(-12.0), even(5.0), even(float(rice_mean(13, SIGMA)))


@pytest.mark.parametrize(
    ("east", "north", "speed", "wrong"),
    [
        (9.86, 0.0, 10.0, True),
        (9.84, 0.0, 10.0, False),
        (0.0, -10.5, 10.0, True),
        (1.0, 1.0, 2.9, True),
        (1.0, 1.0, 3.1, False),
        (5.0, 5.0, 29.9, False),
        (5.0, 5.0, 30.1, True),
        (0.0, 0.0, 0.0, True),
    ],
)
def test_what_cannot_be_a_months_wind(east: float, north: float, speed: float, wrong: bool) -> None:
    # limits of the design: steadiness 0.985, mean speed 3-30 kn
    assert wrong is bool(sparse.implausible(np.array(east), np.array(north), np.array(speed)))


def odd_cell(reports_of_it: float, off_kn: float) -> bool:
    east, north, variance = even(-12.0), even(5.0), even(SIGMA**2)
    east[AT] += off_kn
    reports = even(200.0)
    reports[AT] = reports_of_it
    odd = sparse.disagrees(east, north, variance, reports)
    assert odd.sum() == odd[AT]
    return bool(odd[AT])


def test_a_thinly_reported_cell_is_held_against_its_neighbours() -> None:
    # 5 * 6 kn * sqrt(2.7 (1/60 + 1/1600) + 0.006) = 6.902 kn, worked by hand
    assert not odd_cell(60, 6.8)
    assert odd_cell(60, 7.0)


def test_the_allowance_is_never_under_four_knots() -> None:
    # 5 * 1 kn * sqrt(2.7 (1/100 + 1/1600) + 0.006) = 0.93 kn: the four knots rule
    east, north, variance, reports = even(-12.0), even(5.0), even(1.0), even(200.0)
    reports[AT] = 100
    east[AT] += 3.9
    assert not sparse.disagrees(east, north, variance, reports).any()
    east[AT] += 0.2
    assert 1 == sparse.disagrees(east, north, variance, reports).sum()


def test_a_well_reported_cell_is_believed() -> None:
    assert not odd_cell(120, 30.0)
    assert odd_cell(119, 30.0)


def test_a_cell_without_neighbours_is_not_judged() -> None:
    east, north, variance, reports = even(-12.0), even(5.0), even(SIGMA**2), even(0.0)
    reports[AT] = 40
    assert not sparse.disagrees(east, north, variance, reports).any()


def test_enough_reports_leave_a_field_untouched() -> None:
    field = np.random.default_rng(1).normal(size=SHAPE)
    assert (field == sparse.smooth(field, even(300.0), LAT)).all()


@pytest.mark.parametrize("reports", [0.5, 20.0, 100.0, 299.0])
def test_an_even_field_stays_even(reports: float) -> None:
    np.testing.assert_allclose(sparse.smooth(even(7.0), even(reports), LAT), 7.0, rtol=1e-12)


def test_smoothing_weighs_by_reports_and_distance() -> None:
    """Two cells only, on the equator's row 1 N and two degrees of longitude apart: D, the formula by hand."""
    field, reports = even(np.nan), even(0.0)
    here, there = (0, 5, 90), (0, 5, 91)
    field[here], field[there] = 10.0, 20.0
    reports[here], reports[there] = 40.0, 100.0
    apart_km = np.radians(2) * 6371 * np.cos(np.radians(1))
    weight = 100 * np.exp(-0.5 * (apart_km / 150) ** 2)
    expected = (40 * 10 + weight * 20) / (40 + weight)
    # parallel against great circle: 1e-7 of the distance
    assert expected == pytest.approx(sparse.smooth(field, reports, LAT)[here], rel=1e-5)


def test_the_fewer_the_reports_the_wider_the_smoothing() -> None:
    field = even(0.0)
    field[:, :, 90] = 10.0
    at = (0, 5, 91)
    drawn = []
    for own in (299.0, 100.0, 29.0):
        reports = even(100.0)
        reports[at] = own
        drawn.append(float(sparse.smooth(field, reports, LAT)[at]))
    assert drawn[0] < drawn[1] < drawn[2]


def test_adjacent_months_help_below_fifteen_reports_over_the_turn_of_the_year() -> None:
    field = np.broadcast_to(np.arange(12.0)[:, None, None], SHAPE).copy()
    np.testing.assert_allclose(sparse.smooth(field, even(15.0), LAT), field, rtol=1e-12)
    helped = sparse.smooth(field, even(14.0), LAT)
    np.testing.assert_allclose(
        helped[:, 3, 3], [4, *range(1, 11), 7], rtol=1e-12
    )  # (11 + 0 + 1) / 3 ... (10 + 11 + 0) / 3


def test_water_near_coasts_is_filled_and_deep_land_is_not() -> None:
    field, reports = even(np.nan), even(0.0)
    field[:, :, :90], reports[:, :, :90] = 8.0, 500.0
    filled = sparse.smooth(field, reports, LAT)
    assert (filled[:, :, :90] == 8).all()
    np.testing.assert_allclose(filled[:, :, 90:92], 8.0)  # two cells out: up to 445 km
    assert np.isnan(filled[:, :, 92:178]).all()
    np.testing.assert_allclose(filled[:, :, 178:], 8.0)  # over the seam of the ring


def test_a_month_without_ships_is_filled_from_farther_away() -> None:
    """Ships in January everywhere; in July only far to the west: July is drawn from there, not left empty."""
    field, reports = even(np.nan), even(0.0)
    field[0], reports[0] = 5.0, 50.0
    field[6, :, 84:87], reports[6, :, 84:87] = 9.0, 50.0
    filled = sparse.smooth(field, reports, LAT)
    assert 9.0 == pytest.approx(filled[6, 5, 90])  # 4 columns, 890 km, within twice 500 km
    assert np.isnan(filled[6, 5, 95])


def test_a_dropped_cell_takes_the_wind_of_its_neighbours_and_is_flagged() -> None:
    east, north, speed = trade_wind()
    east[AT], north[AT], speed[AT] = 20.0, 0.0, 20.1
    mended = sparse.mend_wind(east, north, speed, even(100.0), LAT)
    assert mended.dropped[AT]
    assert 1 == mended.dropped.sum()
    assert mended.few_reports[AT]
    assert 1 == mended.few_reports.sum()
    assert (-12.0, 5.0) == pytest.approx((mended.east_kn[AT], mended.north_kn[AT]), rel=1e-9)


def test_mean_speed_is_rebuilt_so_that_unlike_winds_do_not_widen_the_spread() -> None:
    """Winds that oppose each other either side of a line, same spread: after smoothing the spread is still that."""
    east, north, speed = trade_wind()
    east[:, :, :90] *= -1
    mended = sparse.mend_wind(east, north, speed, even(200.0), LAT)
    spread = sigma_from_means(np.hypot(mended.east_kn, mended.north_kn), mended.speed_kn)
    np.testing.assert_allclose(spread, SIGMA, rtol=1e-5)
    assert abs(mended.east_kn[0, 5, 90]) < 11.0  # and smoothing did happen there


def test_few_reports_are_flagged_below_thirty() -> None:
    reports = even(30.0)
    reports[AT] = 29.0
    assert 1 == sparse.mend_wind(*trade_wind(), reports, LAT).few_reports.sum()


def test_nothing_is_known_where_nothing_was() -> None:
    nowhere = even(np.nan)
    mended = sparse.mend_wind(nowhere, nowhere, nowhere, even(0.0), LAT)
    assert np.isnan(mended.speed_kn).all()
    assert not mended.few_reports.any()
