"""Water and the drawdown that every store shares; published figures as people.md section 2 gives them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passage.consequences.stores.drawdown import Use, draw_down
from passage.consequences.stores.water import (
    QUART_L,
    daily_need_l,
    raft_endurance_days,
    water_aboard,
    water_to_landfall,
)
from passage.inputs.boat import Tank
from passage.inputs.crew import Crew, WaterUse
from passage.inputs.provisions import Rain, Watermaker
from tests.stores_cases import MATE, RULES, SKIPPER, boat, laden, steady_crossings

if TYPE_CHECKING:
    from passage.consequences.stores.water import Water
    from passage.crossings.ensemble import Crossings
    from passage.inputs.boat import Boat


def water(crossings: Crossings, crew: Crew | None = None, her: Boat | None = None, **facts: object) -> Water:
    drawn_on = laden(crossings, crew, her, **facts)
    return water_aboard(drawn_on, water_to_landfall(drawn_on))


def test_half_a_litre_a_day_after_the_first_lasts_four_days() -> None:
    """D, agrees with training text (R2): a liferaft's 1.5 L for each person."""
    assert 4.0 == raft_endurance_days(1.5, 1) == raft_endurance_days(6.0, 4)


def test_24_days_for_two_with_half_in_reserve() -> None:
    """D: 2 x 24 x 3 L x 1.5 = 216 L, when all boats take 24 days; with a litre more for the heat 288 L."""
    speed = 600.0 / (24 * 24.0)
    crossings = steady_crossings([speed] * 20, miles=600.0)
    days = crossings.arrival_h[0] / 24.0
    plain = water(crossings)
    assert 216.0 * days / 24.0 == pytest.approx(plain.store.load.amount, rel=1e-6)
    hot = Crew(people=(SKIPPER, MATE), water=WaterUse(drink_and_cook_l_per_day=4.0, heat=False))
    assert 288.0 * days / 24.0 == pytest.approx(water(crossings, hot).store.load.amount, rel=1e-6)
    assert 24.0 == pytest.approx(days, rel=0.01)


def test_heat_replaces_the_base_of_the_hours_on_deck() -> None:
    """D: 18 h at 3/24 L and 6 h at a quart, the table's most, for two."""
    crew = Crew(people=(SKIPPER, MATE), water=WaterUse())
    assert 2 * (18 * 3 / 24 + 6 * QUART_L) == pytest.approx(float(daily_need_l(crew, np.array(38.0))))


def test_a_watermaker_gives_no_more_than_is_drunk_and_loading_trusts_it_not() -> None:
    crossings = steady_crossings([5.0])
    dry = water(crossings, her=boat((12.0, 6.0)))
    made = water(crossings, her=boat((12.0, 6.0)), watermaker=Watermaker(output_l_h=4.0, run_h=1.0))
    much = water(crossings, her=boat((12.0, 6.0)), watermaker=Watermaker(output_l_h=9.0, run_h=24.0))
    assert (1.0, 0.0, 0.0) == (dry.store.short, made.store.short, much.store.short)
    assert len(made.store.used) == made.watermaking.fails_short_crossings == much.watermaking.fails_short_crossings
    assert dry.store.load == made.store.load == much.store.load
    assert 18.0 == pytest.approx(much.store.left[0])
    assert 18.0 + made.store.supplied[0] == pytest.approx(made.store.left[0] + made.store.used[0])


def test_rain_is_not_the_watermaker() -> None:
    rain = water(steady_crossings([5.0]), her=boat((12.0, 6.0)), rain=Rain(claimed_l_per_day=24.0))
    assert rain.store.short == rain.watermaking.fails_short_crossings == 0


def test_default_energy_is_a_small_unit_without_recovery() -> None:
    """D: 55 bar, a tenth recovered, pump and motor 0.6: 25.5 Wh a litre; the default is that to two figures."""
    joules_per_litre = 55e5 / (0.1 * 0.6) / 1000.0
    assert (
        pytest.approx(joules_per_litre / 3600.0, abs=0.5) == Watermaker(output_l_h=5.0, run_h=2.0).energy_per_litre_wh
    )


def test_the_loss_of_the_large_tank_is_told() -> None:
    """D: 60 L left give two people 4 L a day for 15 days."""
    slow = water(steady_crossings([600.0 / (16 * 24)]), her=boat((90.0, 60.0)))
    large, small = slow.tanks_lost
    assert (60.0, 15.0, False) == (large.left_l, large.survival_ration_days, large.reaches_slow_end)
    assert (90.0, 22.5, True) == (small.left_l, small.survival_ration_days, small.reaches_slow_end)


def test_a_tank_partly_filled_is_told_with_its_litres() -> None:
    """D: 200 L at 58 % hold 116 L, of which 6 cannot be drawn."""
    tank = Tank(name="keel", capacity_l=200.0, filled_share=0.58, unusable_l=6.0)
    (told,) = water(steady_crossings([5.0]), her=boat(water_tanks=(tank,))).tanks
    assert ("keel", 200.0, 6.0) == (told.tank, told.capacity_l, told.unusable_l)
    assert (pytest.approx(116.0), pytest.approx(110.0)) == (told.filled_l, told.usable_l)


speeds = st.lists(st.floats(1.5, 9.0), min_size=1, max_size=12)


@settings(max_examples=40)
@given(speeds, st.floats(0.0, 900.0), st.floats(0.0, 60.0), st.floats(0.0, 0.2))
def test_loaded_and_supplied_are_used_and_left(
    all_speeds: list[float], loaded: float, daily: float, supply: float
) -> None:
    crossings = steady_crossings(all_speeds, miles=200.0)
    use = Use(daily / 24.0, np.zeros(crossings.members), supply)
    store = draw_down("x", "L", loaded, use, crossings, RULES)
    assert loaded + store.supplied == pytest.approx(store.used + store.left, abs=1e-9)
    assert daily / 24.0 * crossings.arrival_h == pytest.approx(store.used, abs=1e-6)
    assert (store.supplied <= store.used + 1e-9).all()
    assert store.short == np.isfinite(store.ran_out_h).mean()


def test_the_hour_it_runs_out_is_the_hour_it_runs_out() -> None:
    """D: 10 L at 1 L an hour are gone in the eleventh hour, which begins 10 h after departure."""
    crossings = steady_crossings([5.0, 30.0], miles=100.0)
    store = draw_down("x", "L", 10.0, Use(1.0, np.zeros(2)), crossings, RULES)
    assert [10.0, np.inf] == store.ran_out_h.tolist()
    assert 0.5 == store.short


def test_a_crossing_that_never_arrives_is_short_of_everything() -> None:
    crossings = steady_crossings([5.0, 0.5], miles=100.0, hours=48)
    store = draw_down("x", "L", 1e6, Use(1.0, np.zeros(2)), crossings, RULES)
    assert [False, True] == np.isinf(store.used).tolist()
    assert 0.5 == store.short
    assert np.inf == store.load.to_slow_end
