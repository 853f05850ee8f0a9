"""The expected speed: against an independent quadrature, month by month, and where nothing is known."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.crossings.estimate import estimate_polar
from passage.crossings.helm import Vessel
from passage.crossings.search.expected import ExpectedSpeeds
from passage.crossings.search.find import find_track
from passage.crossings.search.lines import Steps
from passage.crossings.speed import hull_radius, speed_table
from passage.inputs.polar import PolarTable
from passage.inputs.rice import rice_mean
from passage.inputs.search import Prices, TrackLimits
from passage.sailings.track import Leg, lay_track
from tests.boat_cases import hull
from tests.crossing_cases import helm
from tests.search_cases import DEPART, even_climate, question

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.inputs.climate import Climate

NO_PRICE = Prices(cyclone_season=0.0)
FREE = TrackLimits(prices=NO_PRICE)
ROUND = PolarTable(np.array([10.0, 60.0]), np.array([45.0, 90.0, 180.0]), np.full((2, 3), 5.0))


ROUND_SPEEDS = speed_table(ROUND, tacking_loss=0.0)
ESTIMATED = Vessel(speed_table(estimate_polar(hull(9.6))), helm())


def vessel(**changes: object) -> Vessel:
    return Vessel(ROUND_SPEEDS, helm(**changes))


def steps(course_deg: float, lat: float = 0.0, lon: float = -30.0) -> Steps:
    course = np.radians([course_deg])
    return Steps(np.array([lat]), np.array([lon]), np.array([10.0]), np.sin(course), np.cos(course))


def expected_kn(climate: Climate, boat: Vessel, course_deg: float, depart: datetime = DEPART) -> float:
    return float(ExpectedSpeeds(climate, boat, depart, NO_PRICE).along(steps(course_deg), np.zeros(1)).speed_kn[0])


@pytest.mark.parametrize("course_deg", [0.0, 50.0, 135.0, 270.0])
def test_the_expected_speed_is_the_mean_over_the_whole_distribution(course_deg: float) -> None:
    """Gauss and Legendre's quadrature in polar coordinates of the hull itself: no table, no grid, no matrices."""
    east, north, sigma = -9.0, 4.0, 4.5
    climate = even_climate(east, north, float(rice_mean(np.hypot(east, north), sigma)))
    points, weights = np.polynomial.legendre.leggauss(200)
    wind, toward = (points[:, None] + 1.0) * 20.0, (points + 1.0) * np.pi  # up to 40 kn, all round
    away_squared = (wind * np.sin(toward) - east) ** 2 + (wind * np.cos(toward) - north) ** 2
    share = np.exp(-away_squared / (2.0 * sigma**2)) / (2.0 * np.pi * sigma**2) * wind
    angle = np.abs((course_deg - np.degrees(toward) + 360.0) % 360.0 - 180.0)  # off where the wind is from
    radius = hull_radius(ROUND.wind_angle_deg, np.full(3, 5.0), angle) * np.minimum(wind / 10.0, 1.0)
    measure = weights[:, None] * weights * 20.0 * np.pi
    assert (share * measure).sum() == pytest.approx(1.0, abs=1e-6)
    # 0.3 %: sigma recovered from the means, and a table that is linear in steps of one knot.
    exact = float((radius * share * measure).sum())
    assert exact == pytest.approx(expected_kn(climate, vessel(), course_deg), rel=3e-3)


def test_a_wind_that_never_changes_is_sailed_by_the_polar() -> None:
    climate = even_climate(-20.0, 0.0, 20.0)  # from the east for ever, sigma 0
    for course_deg, expected in ((0.0, 5.0), (270.0, 5.0), (90.0, 5.0 * np.cos(np.radians(45.0)))):
        # 0.5 %: at a table wind the only error is that of the corner of the hull between two table rows.
        assert expected == pytest.approx(expected_kn(climate, vessel(), course_deg), rel=5e-3)


def test_the_mean_wind_alone_would_be_useless() -> None:
    """Ten knots from anywhere, mean vector nothing: a boat that sails in that is not becalmed."""
    climate = even_climate(0.0, 0.0, 10.0)
    assert 3.0 < expected_kn(climate, vessel(), 0.0) < 5.0


def test_gales_past_the_crews_limit_bring_no_ground() -> None:
    climate = even_climate(25.0, 0.0, 26.0)
    bold, timid = (expected_kn(climate, vessel(gust_limit_kn=x, gust_resume_kn=14.0), 270.0) for x in (80.0, 20.0))
    assert bold > 3.0
    assert timid < 0.0


def test_the_month_is_that_of_the_hour_she_is_there() -> None:
    east = np.where(np.arange(12) < 6, -20.0, -2.0)[:, None, None]  # strong until June, faint from July
    climate = even_climate(east, 0.0, 20.0)
    climate.wind_speed_kn[6:] = 2.5
    speeds = ExpectedSpeeds(climate, vessel(), datetime(2027, 3, 15, tzinfo=UTC), NO_PRICE)
    now, later = (float(speeds.along(steps(270.0), np.array([hour])).speed_kn[0]) for hour in (0.0, 24.0 * 150))
    assert now == pytest.approx(5.0, rel=0.01)
    assert later < 2.0


def test_prices_are_shares_of_the_hours() -> None:
    """A wind that never changes: always rough, always a beat, never calm."""
    climate = even_climate(-30.0, 0.0, 30.0)
    speeds = ExpectedSpeeds(climate, vessel(), DEPART, Prices(rough=2.0, hard_on_the_wind=0.5, calm=4.0))
    beat, run = (float(speeds.along(steps(course), np.zeros(1)).price[0]) for course in (90.0, 270.0))
    assert (2.5, 2.0) == (pytest.approx(beat, abs=1e-3), pytest.approx(run, abs=1e-3))


def test_where_no_wind_is_known_there_is_no_way() -> None:
    climate = even_climate(-15.0, 0.0, 16.0)
    climate.wind_speed_kn[:, :, 70:80] = np.nan
    speeds = ExpectedSpeeds(climate, vessel(), DEPART, NO_PRICE)
    assert speeds.along(steps(270.0, lon=-30.0), np.zeros(1)).speed_kn[0] == 0.0
    assert speeds.along(steps(270.0, lon=-60.0), np.zeros(1)).speed_kn[0] > 0.0


def trades_and_calms() -> Climate:
    """Faint airs along the direct line, a fresh beam wind six degrees north of it."""
    climate = even_climate(0.0, -14.0, 15.0)
    rows = np.abs(climate.lat_deg - 1.0) < 3.0
    north: NDArray[np.float64] = climate.wind_north_kn
    north[:, rows], climate.wind_speed_kn[:, rows] = -1.0, 3.0
    return climate


def test_through_the_whole_chain_the_search_goes_round_the_calms() -> None:
    start, goal = (0.0, -40.0), (0.0, -20.0)
    drawn = lay_track([Leg(*start, *goal)], 10.0)
    speeds = ExpectedSpeeds(trades_and_calms(), ESTIMATED, DEPART, NO_PRICE)
    found = find_track(question(start, goal, speeds, limits=FREE, drawn=drawn))
    assert found.drawn_cost_h is not None
    assert found.hours < 0.8 * found.drawn_cost_h
    assert np.abs(found.lat_deg).max() > 2.0


def test_a_price_on_calms_is_worth_a_longer_way() -> None:
    start, goal = (0.0, -40.0), (0.0, -28.0)
    plain, kinder = (
        find_track(question(start, goal, ExpectedSpeeds(trades_and_calms(), ESTIMATED, DEPART, prices), limits=FREE))
        for prices in (NO_PRICE, Prices(calm=5.0, cyclone_season=0.0))
    )
    assert kinder.hours >= plain.hours * (1.0 - 2e-3)
    assert kinder.distance_nm > plain.distance_nm
    assert kinder.cost_h > kinder.hours
