"""Gas, food and named things; the gas check of people.md section 1.6."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.consequences.stores.daily import food_to_landfall, gas_to_landfall, things_to_landfall
from passage.inputs.provisions import DailyThing, GasBottle, GasUse, Provisions
from tests.stores_cases import laden, steady_crossings

if TYPE_CHECKING:
    from passage.consequences.stores.drawdown import Store
    from passage.crossings.ensemble import Crossings


def test_gas_for_two_for_24_days() -> None:
    """P: 2 people, 24 days, 50 g, half as much again: 3.6 kg."""
    crossings = steady_crossings([600.0 / (24 * 24.0)] * 5)
    gas = gas_to_landfall(laden(crossings))
    days = crossings.arrival_h[0] / 24.0
    assert 3.6 * days / 24.0 == pytest.approx(gas.load.amount, rel=1e-6)
    assert "typical" in gas.load.governs


def test_baking_takes_half_as_much_again() -> None:
    assert pytest.approx(0.075) == GasUse(baking=True).use_kg


def test_survival_gas_boils_a_litre() -> None:
    """D: 4.186 kJ/(kg K) x 75 K through a stove of 0.5 on propane of 46.35 MJ/kg: 13.5 g; the default is more."""
    boiled_kg = 4.186 * 75.0 / 0.5 / 46_350.0
    assert pytest.approx(0.0135, abs=0.0001) == boiled_kg
    assert boiled_kg <= GasUse().survival_kg <= 1.2 * boiled_kg


def test_bottles_add_up() -> None:
    bottles = (GasBottle(name="a", content_kg=2.7, count=2), GasBottle(name="b", content_kg=3.0, filled_share=0.5))
    assert pytest.approx(6.9) == Provisions(gas_bottles=bottles).gas_kg


def drawn(crossings: Crossings, thing: DailyThing) -> Store:
    (store,) = things_to_landfall(laden(crossings, daily=(thing,)))
    return store


def test_tablets_go_by_the_day() -> None:
    crossings = steady_crossings([5.0, 10.0])
    tablets = drawn(crossings, DailyThing(name="tablets", unit="tablets", per_day=2, aboard=8))
    assert crossings.arrival_h / 12.0 == pytest.approx(tablets.used)
    assert 0.5 == tablets.short
    assert pytest.approx(96.0, abs=1.0) == tablets.ran_out_h[0]


def test_survival_takes_its_share_of_the_daily_use_for_all_the_days() -> None:
    """D: 2 a day, half of them to survive: one for each day."""
    crossings = steady_crossings([2.5])
    tablets = DailyThing(name="tablets", unit="tablets", per_day=2, aboard=50, survival_share=0.5)
    assert crossings.arrival_h[0] / 24.0 == pytest.approx(drawn(crossings, tablets).load.survival_in_all)


def test_what_can_be_gone_without_needs_nothing_to_survive() -> None:
    crossings = steady_crossings([5.0, 0.1], hours=140)
    airtime = DailyThing(name="airtime", unit="min", per_day=5, aboard=100, survival_share=0.0)
    assert 0.0 == drawn(crossings, airtime).load.survival_in_all


def test_rougher_weather_eats_more() -> None:
    calm, rough = (food_to_landfall(laden(steady_crossings([5.0], wind_kn=wind))) for wind in (12.0, 30.0))
    assert 2.1 / 1.6 == pytest.approx(rough.used[0] / calm.used[0], rel=1e-5)
    assert np.isfinite(calm.load.amount)
