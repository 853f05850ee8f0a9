"""Benchmarks of the crossings (``make bench``): the demonstration voyage, and the wind's lookup beside scipy's."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np
import pytest
from scipy.interpolate import RegularGridInterpolator

from passage.crossings.simulate import sail
from passage.crossings.weather import EAST, FAST, NORTH, SLOW, Weather
from passage.crossings.wind import Luck
from passage.departures import scan, weekly
from passage.ground import lay_ground
from passage.inputs.climate import read_climate
from passage.inputs.folder import read_folder
from passage.inputs.months import month_weights
from passage.inputs.rice import sigma_from_means
from passage.sailings.track import at_distance
from passage.shipped import shipped

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from pytest_benchmark.fixture import BenchmarkFixture

    from passage.crossings.ensemble import Crossings
    from passage.crossings.ground import Ground
    from passage.inputs.folder import Facts

MEMBERS, HOURS = 1000, 240


@pytest.fixture(scope="module")
def road() -> tuple[Facts, Ground]:
    facts = read_folder(shipped("routes") / "cape-town-st-helena")
    return facts, lay_ground(facts)


def rated(benchmark: BenchmarkFixture, crossings: Crossings) -> None:
    """Note the hours under way sailed in a second of the best round; hours in port do not count."""
    pace = float(crossings.under_way.sum()) / benchmark.stats.stats.min / 1e6
    benchmark.extra_info["million member-hours under way a second"] = round(pace, 2)


def test_sail_a_thousand_with_luck_already_drawn(road: tuple[Facts, Ground], benchmark: BenchmarkFixture) -> None:
    facts, ground = road
    luck = Luck(1, MEMBERS)
    sailed = ground, facts.voyage.departure.depart, luck
    rated(benchmark, benchmark.pedantic(sail, sailed, rounds=15, warmup_rounds=2))


def test_sail_a_thousand_from_the_seed(road: tuple[Facts, Ground], benchmark: BenchmarkFixture) -> None:
    facts, ground = road

    def fresh() -> Crossings:
        luck = Luck(1, MEMBERS)
        return sail(ground, facts.voyage.departure.depart, luck)

    rated(benchmark, benchmark.pedantic(fresh, rounds=15, warmup_rounds=2))


def test_scan_a_year_of_weeks(road: tuple[Facts, Ground], benchmark: BenchmarkFixture) -> None:
    weeks = weekly(datetime(2027, 1, 3, 8, tzinfo=UTC))
    starts = benchmark.pedantic(lambda: scan(*road, Luck(1, 500), weeks), rounds=2)
    assert 52 == len(starts)


# ---------------------------------------------------------------- the lookup beside its peer


@pytest.fixture(scope="module")
def places(road: tuple[Facts, Ground]) -> NDArray[np.float64]:
    """Miles run of every member at every hour, (hours, members): invented, spread as crossings are."""
    pace_kn = np.random.default_rng(1).normal(4.0, 0.5, MEMBERS)
    return np.minimum(np.arange(HOURS)[:, None] * pace_kn, road[1].track.length_nm)


def by_table(weather: Weather, spacing_nm: float, places: NDArray[np.float64]) -> NDArray[np.float32]:
    """East, north, and variance of the wind, (hours, 3, members)."""
    found = np.empty((len(places), 3, places.shape[1]), dtype=np.float32)
    for hour, miles in enumerate(places):
        east, north, fast, slow = weather.table(hour)[[EAST, NORTH, FAST, SLOW]].take(
            (miles / spacing_nm + 0.5).astype(np.intp), axis=1, mode="clip"
        )
        found[hour] = east, north, fast**2 + slow**2
    return found


def test_wind_lookup_along_the_track(
    road: tuple[Facts, Ground], places: NDArray[np.float64], benchmark: BenchmarkFixture
) -> None:
    facts, ground = road

    def lookup() -> NDArray[np.float32]:
        weather = Weather(ground.track, ground.climate, facts.voyage.departure.depart, 1.0)
        return by_table(weather, ground.track.spacing_nm, places)

    benchmark.pedantic(lookup, rounds=5, warmup_rounds=1)


def test_wind_lookup_by_scipy_on_the_same_work(
    road: tuple[Facts, Ground], places: NDArray[np.float64], benchmark: BenchmarkFixture
) -> None:
    """The peer: linear in time, latitude and longitude on the grid itself; its winds are those of the table."""
    facts, ground = road
    depart = facts.voyage.departure.depart
    peer, months = _peer(), _months(depart, len(places))

    def lookup() -> NDArray[np.float64]:
        found = np.empty((len(places), 3, places.shape[1]))
        for hour, miles in enumerate(places):
            lat, lon, _ = at_distance(ground.track, miles)
            found[hour] = peer(np.column_stack((np.full(len(miles), months[hour]), lat, lon))).T
        return found

    found = benchmark.pedantic(lookup, rounds=3)
    weather = Weather(ground.track, ground.climate, depart, 1.0)
    # Half a spacing of the nodes, 2.5 miles, is 2 per cent of a cell of 2 degrees: 0.1 kn of what changes in one.
    offshore = places > 300.0
    apart = np.abs(found - by_table(weather, ground.track.spacing_nm, places))[:, :2].transpose(0, 2, 1)[offshore]
    assert apart.max() < 0.15


def _months(depart: datetime, hours: int) -> NDArray[np.float64]:
    """Hours as mid-months and parts of them, 0 January."""
    times = np.datetime64(depart.replace(tzinfo=None), "s") + np.arange(hours) * np.timedelta64(1, "h")
    first, _, part = month_weights(times)
    return first + part


def _peer() -> RegularGridInterpolator:
    climate = read_climate()
    vector = np.hypot(climate.wind_east_kn, climate.wind_north_kn)
    variance = sigma_from_means(vector, climate.wind_speed_kn) ** 2
    fields = np.nan_to_num(np.stack((climate.wind_east_kn, climate.wind_north_kn, variance), axis=-1))
    axes = np.arange(13.0), climate.lat_deg, climate.lon_deg
    return RegularGridInterpolator(axes, np.concatenate((fields, fields[:1])), bounds_error=False, fill_value=None)
