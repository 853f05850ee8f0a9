"""Fuel: Gerr's formula and consumption against published and derived figures (people.md section 3)."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.consequences.stores.fuel import (
    FT_PER_M,
    KW_PER_HP,
    LB_PER_KG,
    consumption_l_h,
    fuel_to_landfall,
    motoring_table,
    shaft_power_kw,
)
from passage.crossings.ensemble import MOTORING
from passage.inputs.boat import Engine
from passage.inputs.provisions import Motor
from tests.stores_cases import boat, laden, steady_crossings

if TYPE_CHECKING:
    from passage.consequences.stores.drawdown import Laden
    from passage.crossings.ensemble import Crossings
    from passage.inputs.boat import Boat


ENGINE = Engine(cruising_speed_kn=4.5, consumption_l_h=1.5, full_speed_kn=6.5)


def power_hp(pounds: float, feet: float, knots: float) -> float:
    return shaft_power_kw(pounds / LB_PER_KG, feet / FT_PER_M, knots) / KW_PER_HP


def test_power_is_gerrs_published_sheet() -> None:
    """R2: 10 000 lb, 27 ft, 42 shp reach a speed-length ratio of 1.72, printed to two decimals."""
    ratio = 1.72
    assert pytest.approx(42.0, rel=3 * 0.005 / ratio) == power_hp(10_000, 27.0, ratio * 27.0**0.5)


def test_fuel_at_five_and_a_half_knots() -> None:
    """D from Gerr: 9.78 shp, 7.29 kW, 2.17 L/h, 0.394 L a mile at 250 g/kWh; half the last digit."""
    power = shaft_power_kw(10_000 / LB_PER_KG, 27.0 / FT_PER_M, 5.5)
    burnt = consumption_l_h(power, 250.0)
    assert pytest.approx(9.78, abs=0.005) == power / KW_PER_HP
    assert pytest.approx(7.29, abs=0.005) == power
    assert pytest.approx(2.17, abs=0.005) == burnt
    assert pytest.approx(0.394, abs=0.001) == burnt / 5.5


@pytest.mark.parametrize(("hp", "pounds", "feet", "knots"), [(19.83, 10_000, 27.0, 6.963), (6.90, 11_000, 30.0, 5.0)])
def test_more_derived_powers(hp: float, pounds: float, feet: float, knots: float) -> None:
    assert pytest.approx(hp, abs=0.01) == power_hp(pounds, feet, knots)  # D


def test_ten_kilowatts_burn_three_litres() -> None:
    assert pytest.approx(2.976, abs=0.0005) == consumption_l_h(10.0, 250.0)  # D


def test_the_handbook_rule_of_a_gallon_for_18_horsepower() -> None:
    """R2 rule 0.055 US gal/h for each hp used, as 234.5 g/kWh (D); the rule has two figures."""
    assert pytest.approx(0.055 * 3.785411784, rel=0.01) == consumption_l_h(KW_PER_HP, 234.5)


def test_power_goes_with_the_cube_and_a_mile_with_the_square() -> None:
    table = motoring_table(boat().hull, ENGINE, Motor(), 40.0)
    slow, fast = table[0], table[2]
    assert (fast.speed_kn / slow.speed_kn) ** 3 == pytest.approx(fast.power_kw / slow.power_kw)
    assert (fast.speed_kn / slow.speed_kn) ** 2 == pytest.approx(fast.per_mile_l / slow.per_mile_l)


def test_the_range_uses_what_it_is_given_and_shortens_in_a_sea() -> None:
    for row in motoring_table(boat().hull, ENGINE, Motor(sea_factor=2.0), 40.0):
        assert 40.0 == pytest.approx(row.range_nm * row.per_mile_l)
        assert row.range_nm == pytest.approx(2.0 * row.range_in_a_sea_nm)
    assert row.speed_kn <= 1.34 * (7.3 * FT_PER_M) ** 0.5


@pytest.mark.parametrize("litres", [0.9, 1.9, 4.0])
def test_at_cruising_speed_the_table_says_what_the_boat_file_says(litres: float) -> None:
    """Whatever Gerr makes of her hull; and so does the range."""
    engine = Engine(cruising_speed_kn=4.8, consumption_l_h=litres)
    rows = {row.speed_kn: row for row in motoring_table(boat().hull, engine, Motor(), 40.0)}
    assert litres == pytest.approx(rows[4.8].consumption_l_h)
    assert 40.0 / litres * 4.8 == pytest.approx(rows[4.8].range_nm)
    assert litres * (3.0 / 4.8) ** 3 == pytest.approx(rows[3.0].consumption_l_h)


def test_no_speed_is_told_that_the_engine_is_not_said_to_make() -> None:
    def fastest(**engine: float) -> float:
        return motoring_table(boat().hull, Engine(consumption_l_h=1.5, **engine), Motor(), 40.0)[-1].speed_kn

    assert 4.5 == fastest(cruising_speed_kn=4.5)
    assert 5.5 == fastest(cruising_speed_kn=4.5, full_speed_kn=5.8)
    assert 6.5 == fastest(cruising_speed_kn=4.5, full_speed_kn=9.0), "never beyond hull speed, 6.56 kn"


def charging(crossings: Crossings, her: Boat) -> Laden:
    """An hour a day for the battery."""
    return replace(laden(crossings, her=her), charging_h_per_day=1.0)


def test_thirds_leave_100_litres_of_150() -> None:
    """P, the rule of thirds: 150 L with a third kept back."""
    thirds = {"calms_allowance": "20 L", "landfall_reserve": "50 L"}
    fuel = fuel_to_landfall(laden(steady_crossings([5.0]), her=boat(fuel_l=150.0, fuel=thirds)))
    assert fuel is not None
    assert 100.0 == fuel.usable


def test_motoring_and_charging_are_burnt_and_the_reserve_is_not() -> None:
    """D: 10 h under engine at 1.5 L/h and 5 days with an hour's charging at 1 L/h."""
    crossings = steady_crossings([5.0], miles=600.0)
    crossings.state[0, 10:20] = MOTORING
    days = float(crossings.arrival_h[0]) / 24.0
    fuel = fuel_to_landfall(charging(crossings, boat(fuel_l=60.0)))
    assert fuel is not None
    assert 15.0 + days == pytest.approx(fuel.used[0])
    assert 0.0 == fuel.short
    assert 60.0 == pytest.approx(fuel.left[0] + fuel.used[0])
    tight = fuel_to_landfall(charging(crossings, boat(fuel_l=39.5, fuel={"landfall_reserve": "20 L"})))
    assert tight is not None
    assert 1.0 == tight.short, "19.5 L above the reserve do not give 20 L"
    assert np.isfinite(tight.ran_out_h[0])
    assert fuel.load.amount + 20.0 == fuel.load_amount, "the reserve comes on top and is not multiplied"


def test_a_boat_without_engine_has_no_fuel_store() -> None:
    crossings = steady_crossings([5.0])
    plain = boat(engine=None, fuel={"landfall_reserve": "0 L"})
    assert fuel_to_landfall(laden(crossings, her=plain)) is None


def test_no_speed_is_offered_that_the_boat_file_does_not_say_the_engine_makes() -> None:
    engine = Engine(cruising_speed_kn=4.8, consumption_l_h=1.9)
    assert 4.8 == max(row.speed_kn for row in motoring_table(boat().hull, engine, Motor(), 40.0))
    faster = engine.model_copy(update={"full_speed_kn": 5.6})
    assert 4.8 < max(row.speed_kn for row in motoring_table(boat().hull, faster, Motor(), 40.0)) <= 5.6
