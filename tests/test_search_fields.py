"""The search in a current and in a forecast, against closed forms and against the climate's own answers."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.crossings.forecast import lead_weight
from passage.crossings.helm import Vessel
from passage.crossings.search import expected
from passage.crossings.search.expected import ACROSS_STEP_KN, ExpectedSpeeds, speed_tables
from passage.crossings.search.fields import Places, between_nodes
from passage.crossings.search.find import find_track
from passage.crossings.search.lines import Steps
from passage.crossings.speed import speed_table
from passage.errors import RouteRefused
from passage.inputs.monthly import around
from passage.inputs.polar import PolarTable
from passage.inputs.rice import rice_mean
from passage.inputs.search import Prices, TrackLimits
from passage.sailings import geodesic
from passage.sailings.track import Leg, lay_track
from tests.crossing_cases import helm
from tests.search_cases import DEPART, area_forecast, even_climate, even_current, plane, question

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from passage.crossings.speed import Singles
    from passage.inputs.climate import Climate
    from passage.inputs.current import CurrentGrid
    from passage.inputs.forecast import AreaForecast

NO_PRICE = Prices(cyclone_season=0.0)
FREE = TrackLimits(prices=NO_PRICE)
WEST, EAST = (0.0, -40.0), (0.0, -28.0)


def round_vessel(speed_kn: float) -> Vessel:
    """So fast in 10 kn and more on every course to 45 degrees off the wind, less in proportion in less."""
    polar = PolarTable(np.array([10.0, 60.0]), np.array([45.0, 90.0, 180.0]), np.full((2, 3), speed_kn))
    return Vessel(speed_table(polar, tacking_loss=0.0), helm())


VESSEL = round_vessel(5.0)


def speeds(
    climate: Climate, current: CurrentGrid | None = None, forecast: AreaForecast | None = None
) -> ExpectedSpeeds:
    return ExpectedSpeeds(climate, VESSEL, DEPART, NO_PRICE, current, forecast)


@pytest.fixture(autouse=True, scope="module")
def tables_of_the_vessel() -> Iterator[None]:
    """They hang on the boat and on how many quarters of a knot the current has, not on the wind: made once for each."""

    @cache
    def of_the_vessel(quarters: int) -> Singles:
        return speed_tables(VESSEL, quarters * ACROSS_STEP_KN)

    def tables(vessel: Vessel, strongest_kn: float) -> Singles:
        if vessel is not VESSEL:
            return speed_tables(vessel, strongest_kn)
        return of_the_vessel(int(np.ceil(strongest_kn / ACROSS_STEP_KN)))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(expected, "speed_tables", tables)
        yield


def made_good_kn(speeds: ExpectedSpeeds, course_deg: float, hour: float = 0.0, lat: float = 0.0) -> float:
    course = np.radians([course_deg])
    steps = Steps(np.array([lat]), np.array([-30.0]), np.array([10.0]), np.sin(course), np.cos(course))
    return float(speeds.along(steps, np.array([hour])).speed_kn[0])


# ---------------------------------------------------------------- current


@pytest.mark.parametrize("course_deg", [0.0, 40.0, 135.0, 200.0, 300.0])
@pytest.mark.parametrize(("set_deg", "drift_kn"), [(30.0, 1.0), (110.0, 2.3), (250.0, 0.4)])
def test_a_current_is_stemmed_by_the_triangle(course_deg: float, set_deg: float, drift_kn: float) -> None:
    """D: as fast on every course off the wind, s = sqrt(v^2 - q^2) + p with the current's part p along and q across.
    0.2 %: the table is linear in half knots of what is made across, and the hull in degrees.
    """
    off = np.radians(set_deg - course_deg)
    along, across = drift_kn * np.cos(off), drift_kn * np.sin(off)
    wind = np.radians(course_deg)  # from right astern, for ever
    climate = even_climate(30.0 * np.sin(wind), 30.0 * np.cos(wind), 30.0)
    current = even_current(drift_kn * np.sin(np.radians(set_deg)), drift_kn * np.cos(np.radians(set_deg)))
    expected = np.sqrt(25.0 - across**2) + along
    assert expected == pytest.approx(made_good_kn(speeds(climate, current), course_deg), rel=2e-3)


@pytest.mark.parametrize(
    ("speed_kn", "miles", "along_kn", "across_kn", "expected_h"),
    [(5.0, 100.0, 0.0, 1.0, 20.41241), (6.0, 1000.0, 0.6, -0.8, 152.75507)],
)
def test_through_the_whole_chain_a_constant_current_takes_the_closed_form(
    speed_kn: float, miles: float, along_kn: float, across_kn: float, expected_h: float
) -> None:
    # Navigation memory, section 6.2, R1 (S, formula; values recomputed D): the published 0.1 %.
    climate, current = even_climate(30.0, 0.0, 30.0), even_current(along_kn, across_kn)
    sailed = ExpectedSpeeds(climate, round_vessel(speed_kn), DEPART, NO_PRICE, current)
    asked = question(plane(0.0, 0.0), plane(miles, 0.0), sailed, limits=FREE, spacing_nm=miles / 20)
    assert expected_h == pytest.approx(find_track(asked).hours, rel=1e-3)


def test_the_wind_is_taken_against_the_water() -> None:
    """D: 8 kn from astern less 2 of current with her are 6 over the water, 3 kn of boat by the table, 5 in all."""
    climate = even_climate(8.0, 0.0, 8.0)
    assert made_good_kn(speeds(climate, even_current(2.0, 0.0)), 90.0) == pytest.approx(5.0, abs=0.02)
    assert made_good_kn(speeds(climate), 90.0) == pytest.approx(4.0, abs=0.02)


def test_a_head_current_is_gone_round() -> None:
    lat = np.arange(-10.0, 10.1, 0.5)[:, None]
    current = even_current(np.where(np.abs(lat) < 1.6, -2.5, 0.0), 0.0)
    drawn = lay_track([Leg(*WEST, *EAST)], 10.0)
    climate = even_climate(0.0, 20.0, 20.0)
    found = find_track(question(WEST, EAST, speeds(climate, current), limits=FREE, drawn=drawn))
    blind = find_track(question(WEST, EAST, speeds(climate), limits=FREE, drawn=drawn))
    assert found.drawn_cost_h is not None
    assert found.drawn_cost_h == pytest.approx(geodesic.inverse(*WEST, *EAST).distance_nm / 2.5, rel=0.01)
    assert found.hours < 0.75 * found.drawn_cost_h
    assert np.abs(found.lat_deg).max() > 1.4
    assert blind.keeps_drawn


def test_a_current_that_wins_is_refused() -> None:
    climate, current = even_climate(0.0, 20.0, 20.0), even_current(-2.3, 0.0)
    sailed = ExpectedSpeeds(climate, round_vessel(2.0), DEPART, NO_PRICE, current)
    with pytest.raises(RouteRefused, match="current wins"):
        find_track(question(WEST, EAST, sailed, limits=FREE))


@pytest.mark.parametrize("lon_deg", [np.arange(-179.0, 180.0, 2.0), np.arange(-60.0, 1.0, 2.5)], ids=["ring", "gap"])
def test_places_on_a_grid_are_those_of_the_four_cells_round_them(lon_deg: NDArray[np.float64]) -> None:
    """The quick way and ``around``, which the crossings use, at random places."""
    lat_deg, random = np.arange(-20.0, 30.1, 2.0), np.random.default_rng(4)
    lat, lon = random.uniform(-40.0, 50.0, 4000), random.uniform(-180.0, 360.0, 4000)
    (_, rows, columns), weights, reached = around(lat_deg, lon_deg, lat, lon)
    row, column, ours = Places(lat_deg, lon_deg).of(lat, lon)
    assert reached.tolist() == ours.tolist()
    assert 0 < ours.sum() < 4000
    wave = random.uniform(size=(len(lat_deg), len(lon_deg)))
    expected = (wave[rows, columns] * weights).sum(axis=-1)
    got = between_nodes(np.pad(wave, ((0, 0), (0, 1)), mode="wrap"), np.stack([row, column]))
    assert expected[ours] == pytest.approx(got[ours], abs=1e-9)


def test_where_no_current_is_known_there_is_no_way() -> None:
    current = even_current(0.5, 0.0)
    current.east_kn[:, :, 50:70] = np.nan  # about 30 W
    sailed = speeds(even_climate(0.0, 20.0, 20.0), current)
    assert made_good_kn(sailed, 90.0) == 0.0
    assert made_good_kn(speeds(even_climate(0.0, 20.0, 20.0), even_current(0.5, 0.0)), 90.0) == pytest.approx(
        5.5, abs=0.01
    )


# ---------------------------------------------------------------- forecast


def test_a_fresh_forecast_is_sailed_by_the_polar() -> None:
    """The climate knows faint airs from anywhere, the forecast 12 knots on the beam for ever."""
    faint = even_climate(0.0, 0.0, 3.0)
    assert made_good_kn(speeds(faint), 90.0) < 2.0
    assert made_good_kn(speeds(faint, forecast=area_forecast((0.0, 12.0))), 90.0) == pytest.approx(5.0, rel=0.01)


@pytest.mark.parametrize(("aged_h", "hour"), [(0.0, 60.0), (12.0, 108.0), (0.0, 180.0)])
def test_with_lead_time_the_forecast_fades_into_the_climate(aged_h: float, hour: float) -> None:
    """A climate with the mean moved by w and the spread shrunk by sqrt(1 - w^2) must give the same speed: the wind of
    ``crossings.forecast``, in which the crossings are sailed.
    """
    east, north, sigma = -8.0, 3.0, 5.0
    climate = even_climate(east, north, float(rice_mean(np.hypot(east, north), sigma)))
    weight = lead_weight(aged_h + hour, 120.0, 240.0)
    assert 0.05 < weight < 0.95
    mean = east + weight * (2.0 - east), north + weight * (-9.0 - north)
    between = even_climate(*mean, float(rice_mean(np.hypot(*mean), sigma * np.sqrt(1.0 - weight**2))))
    forecast = area_forecast((2.0, -9.0), aged_h=aged_h)
    for course_deg in (0.0, 100.0, 250.0):
        expected = made_good_kn(speeds(between), course_deg)
        assert expected == pytest.approx(made_good_kn(speeds(climate, None, forecast), course_deg, hour), rel=1e-3)


def test_beyond_its_weight_and_its_box_the_climate_counts() -> None:
    climate, forecast = even_climate(-8.0, 3.0, 10.0), area_forecast((0.0, 25.0))
    plain, heard = speeds(climate), speeds(climate, forecast=forecast)
    for hour, lat in ((241.0, 0.0), (0.0, 12.0)):
        assert made_good_kn(plain, 90.0, hour, lat) == made_good_kn(heard, 90.0, hour, lat)
    assert made_good_kn(plain, 90.0) != made_good_kn(heard, 90.0)


def test_of_several_members_the_speeds_are_averaged_and_not_the_winds() -> None:
    """Twelve knots from astern or from ahead: 5 kn or a beat of 5 cos 45; their mean wind is a flat calm."""
    heard = speeds(even_climate(0.0, 0.0, 3.0), forecast=area_forecast((12.0, 0.0), (-12.0, 0.0)))
    expected = (5.0 + 5.0 * np.cos(np.radians(45.0))) / 2.0
    assert expected == pytest.approx(made_good_kn(heard, 90.0), rel=0.01)


def test_a_windy_lane_of_the_forecast_draws_the_track() -> None:
    """The climate is the same everywhere and would keep the direct track; the forecast blows only north of 1 N."""
    lat = np.arange(-10.0, 10.1, 0.5)[None, :, None]
    lane = area_forecast((0.0, np.where(lat >= 1.0, -14.0, -5.0)))
    climate, drawn = even_climate(0.0, -4.0, 7.0), lay_track([Leg(*WEST, *EAST)], 10.0)
    plain, heard = (
        find_track(question(WEST, EAST, speeds(climate, forecast=forecast), limits=FREE, drawn=drawn))
        for forecast in (None, lane)
    )
    assert plain.keeps_drawn
    assert heard.drawn_cost_h is not None
    assert heard.hours < 0.8 * heard.drawn_cost_h
    assert heard.lat_deg.max() > 0.9
    assert heard.lat_deg.min() > -0.5


def test_time_goes_forward_in_the_forecast() -> None:
    """The lane north of 1 N blows for a day and then dies; the one south of 1 S fills when she would be in it. A search
    in the winds of the first day goes north.
    """
    lat, step = np.arange(-10.0, 10.1, 0.5)[None, :, None], np.arange(41)[:, None, None]
    north = np.where((lat >= 1.0) & (step <= 3), -9.0, 0.0)
    south = np.where((lat <= -1.0) & (step > 3), -9.0, 0.0)
    turning = area_forecast((0.0, north + south - 5.0))
    frozen = area_forecast((0.0, north[:1] - 5.0 + 0.0 * step))
    climate = even_climate(0.0, -4.0, 7.0)
    later, first = (
        find_track(question(WEST, EAST, speeds(climate, forecast=forecast), limits=FREE))
        for forecast in (turning, frozen)
    )
    assert later.lat_deg.min() < -0.9
    assert first.lat_deg.max() > 0.9


def test_a_hole_in_the_forecast_is_filled_by_the_climate() -> None:
    forecast = area_forecast((0.0, 25.0))
    covered = forecast.cells.covered.copy().reshape(41, 121)
    covered[18:23] = False  # a degree about the equator
    holed = replace(forecast, cells=replace(forecast.cells, covered=covered.ravel()))
    climate = even_climate(-8.0, 3.0, 10.0)
    assert made_good_kn(speeds(climate), 90.0) == made_good_kn(speeds(climate, forecast=holed), 90.0)
    assert made_good_kn(speeds(climate), 90.0) != made_good_kn(speeds(climate, forecast=holed), 90.0, lat=5.0)
