"""How long a thousand batteries take, beside pvlib doing the solar geometry that they share.

Goal: 1,000 crossings of 20 days, hour by hour, in under a second once they are sailed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
import pytest

from passage.consequences.power.power import power_to_landfall
from passage.consequences.power.scene import scene_under_way
from passage.consequences.power.sun import sun_at
from tests.power_cases import electrics, sailed

if TYPE_CHECKING:
    from pytest_benchmark.fixture import BenchmarkFixture

pytestmark = pytest.mark.filterwarnings("ignore:DatetimeIndex.dayofyear")
MILES = 2160.0  # some 20 days in this invented trade wind


@pytest.fixture(scope="module")
def thousand():
    crossings, climate = sailed(1000, MILES, motor_hours=80.0)
    assert crossings.hours >= 24 * 20
    return crossings, climate


def test_bench_thousand_batteries_with_remedies(benchmark: BenchmarkFixture, thousand) -> None:
    power = benchmark.pedantic(power_to_landfall, args=(*thousand, electrics()), rounds=5, warmup_rounds=1)
    assert 1000 == power.low.charging_h.size
    assert benchmark.stats.stats.median < 1.0


def test_bench_solar_geometry_ours(benchmark: BenchmarkFixture, thousand) -> None:
    scene = scene_under_way(*thousand)
    sun = benchmark(lambda: sun_at(scene.middles[:, None], scene.lat_deg[None, :], scene.lon_deg[None, :]))
    assert sun.up.shape == (scene.hours, len(scene.lat_deg))


def test_bench_solar_geometry_peer_pvlib_on_arrays(benchmark: BenchmarkFixture, thousand) -> None:
    """All times and places in one call of its own formulas of our precision."""
    pvlib = pytest.importorskip("pvlib")
    scene = scene_under_way(*thousand)
    times = pd.DatetimeIndex(scene.middles.repeat(len(scene.lat_deg)), tz="UTC")
    places = np.tile(scene.lat_deg, scene.hours), np.tile(scene.lon_deg, scene.hours)
    found = benchmark.pedantic(pvlib.solarposition.ephemeris, args=(times, *places), rounds=5)
    assert scene.hours * len(scene.lat_deg) == len(found)


def test_bench_solar_geometry_peer_pvlib_place_by_place(benchmark: BenchmarkFixture, thousand) -> None:
    pvlib = pytest.importorskip("pvlib")
    scene = scene_under_way(*thousand)
    times = pd.DatetimeIndex(scene.middles, tz="UTC")

    def table() -> int:
        places = zip(scene.lat_deg, scene.lon_deg, strict=True)
        found = [pvlib.solarposition.get_solarposition(times, lat, lon) for lat, lon in places]
        return len(found)

    assert len(scene.lat_deg) == benchmark.pedantic(table, rounds=3)
