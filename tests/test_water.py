"""Water against TB MED 507 (R2), planning rule checks (D), and properties."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.consequences.stores.drawdown import Laden
from passage.consequences.stores.loading import to_load
from passage.consequences.stores.water import daily_need_l, heat_l_per_hour, water_aboard, water_to_landfall
from passage.crossings.simulate import sail
from passage.crossings.wind import Luck
from passage.inputs.boat import Boat, EmergencyWater, Hull, PolarChoice, Tank
from passage.inputs.crew import Crew, Person, WaterUse
from passage.inputs.provisions import Provisions
from tests.crossing_cases import DEPART, laid, north_track, steady, vessel
from tests.stores_cases import RULES

if TYPE_CHECKING:
    from passage.crossings.ensemble import Crossings

CREW = Crew(
    people=(
        Person(role="skipper", mass_kg=80.0, age_years=50, sex="M"),
        Person(role="mate", mass_kg=60.0, age_years=48, sex="F"),
    )
)
BOAT = Boat(
    hull=Hull(
        name="Invented",
        length_overall_m=9.2,
        waterline_length_m=7.4,
        beam_m=3.0,
        displacement_kg=4800.0,
        sail_area_m2=38.0,
    ),
    polar=PolarChoice(estimate=True),
    water_tanks=(Tank(name="port", capacity_l=60.0, unusable_l=3.0), Tank(name="starboard", capacity_l=40.0)),
    emergency_water=EmergencyWater(volume_l=18.0),
)


def crew(**use: object) -> Crew:
    return CREW.model_copy(update={"water": WaterUse(**use)})


@pytest.fixture(scope="module")
def crossings() -> Crossings:
    track = north_track(900.0)
    return sail(laid(track, steady(track, 2.0, 11.0, 5.0), vessel(performance_sd_share=0.08)), DEPART, Luck(1, 300))


def water(crossings: Crossings, crew: Crew = CREW, boat: Boat = BOAT):  # type: ignore[no-untyped-def]
    drawn_on = Laden(crossings, crew, boat, Provisions(), RULES)
    return water_aboard(drawn_on, water_to_landfall(drawn_on))


@pytest.mark.parametrize(
    ("wbgt_f", "quarts_h"),
    [
        (70.0, 0.0),
        (77.9, 0.0),
        (78.0, 0.5),
        (82.0, 0.5),
        (84.9, 0.5),
        (85.0, 0.75),
        (88.0, 0.75),
        (89.9, 0.75),
        (90.0, 1.0),
    ],
)
def test_heat_follows_the_army_table_for_easy_work(wbgt_f: float, quarts_h: float) -> None:
    """TB MED 507 fluid replacement, easy work, acclimatised; R2 ; exact, 1 qt = 0.94635 L."""
    assert quarts_h * 0.94635 == pytest.approx(float(heat_l_per_hour(np.array((wbgt_f - 32.0) / 1.8))), rel=1e-9)


def test_four_hours_of_easy_work_at_86_f_ask_for_the_published_amount() -> None:
    """4 h easy at 86 F = 2.84 L (D from R2), tolerance half the last digit."""
    assert 2.84 == pytest.approx(4 * float(heat_l_per_hour(np.array(30.0))), abs=0.005)


def test_base_use_of_two_people_for_24_days_half_again_is_216_litres() -> None:
    """2 x 24 d x 3 L x 1.5 = 216 L (planning rule, D); cool air, so no heat."""
    cool = daily_need_l(crew(drink_and_cook_l_per_day=3.0), np.array([15.0]))
    assert 216.0 == pytest.approx(float(cool[0]) * 24 * 1.5)


def test_hours_on_deck_in_the_heat_replace_their_share_of_the_base() -> None:
    """At 28 C (82.4 F: half a quart an hour) six hours on deck: 2 people x (18/24 x 3 + 6 x 0.4732) L, D."""
    hot = daily_need_l(crew(drink_and_cook_l_per_day=3.0, deck_hours_h=6.0), np.array([28.0]))
    assert 2 * (18 / 24 * 3 + 6 * 0.473175) == pytest.approx(float(hot[0]))


def test_heat_can_be_switched_off() -> None:
    assert 6.0 == pytest.approx(
        float(daily_need_l(crew(heat=False, drink_and_cook_l_per_day=3.0), np.array([35.0]))[0])
    )


def test_no_one_is_told_to_drink_more_than_is_safe() -> None:
    """TB MED 507's daily cap of 12 qt a person (R2)."""
    hottest = daily_need_l(crew(deck_hours_h=16.0, drink_and_cook_l_per_day=12.0), np.array([45.0]))
    assert 2 * 12 * 0.94635 == pytest.approx(float(hottest[0]))


def test_loaded_is_used_and_left_in_every_crossing(crossings: Crossings) -> None:
    result = water(crossings)
    assert 97.0 == pytest.approx(result.store.loaded)
    assert result.store.loaded == pytest.approx(result.store.used + result.store.left)


def test_in_cool_air_use_is_the_ration_times_the_days(crossings: Crossings) -> None:
    assert 6.0 * crossings.arrival_h / 24.0 == pytest.approx(water(crossings).store.used, rel=1e-4)


def test_emergency_water_is_never_counted(crossings: Crossings) -> None:
    without = BOAT.model_copy(update={"emergency_water": EmergencyWater()})
    assert water(crossings, boat=without).store.loaded == water(crossings).store.loaded


def test_it_runs_out_exactly_in_the_crossings_that_use_more_than_is_loaded(crossings: Crossings) -> None:
    small = BOAT.model_copy(update={"water_tanks": (Tank(name="only", capacity_l=50.0),)})
    result = water(crossings, boat=small)
    assert 0.0 < result.store.short < 1.0
    assert np.array_equal(np.isfinite(result.store.ran_out_h), result.store.used > 50.0)
    assert (result.store.ran_out_h[result.store.left < 0] <= crossings.arrival_h[result.store.left < 0]).all()


def test_more_crew_or_a_slower_boat_never_needs_less(crossings: Crossings) -> None:
    three = CREW.model_copy(update={"people": (*CREW.people, Person(role="hand", mass_kg=70.0, age_years=30, sex="F"))})
    assert (water(crossings, crew=three).store.used > water(crossings).store.used).all()
    track = crossings.track
    slower = sail(laid(track, steady(track, 2.0, 11.0, 5.0), vessel(performance_mean_share=0.8)), DEPART, Luck(1, 300))
    quicker = sail(laid(track, steady(track, 2.0, 11.0, 5.0), vessel(performance_mean_share=1.0)), DEPART, Luck(1, 300))
    assert (water(slower).store.used >= water(quicker).store.used).all()


def test_a_crossing_that_never_arrives_is_a_shortage_and_the_load_is_infinite() -> None:
    track = north_track(60.0)
    result = water(sail(laid(track, steady(track, 0.0, 0.0), vessel()), DEPART, Luck(1, 20)))
    assert 1.0 == result.store.short
    assert np.inf == result.store.load.amount


@pytest.mark.parametrize(
    ("full", "survival", "amount", "governs"),
    [
        ([100.0] * 90 + [300.0] * 10, [90.0] * 100, 300.0, "full use to the slow end"),
        ([100.0] * 100, [90.0] * 100, 150.0, "the typical passage and half as much again"),
        ([100.0] * 100, [90.0] * 99 + [200.0], 200.0, "survival use in every crossing"),
    ],
)
def test_the_largest_of_three_governs(full: list[float], survival: list[float], amount: float, governs: str) -> None:
    load = to_load(np.array(full), np.array(survival), 0.95, 1.5)
    assert (amount, governs) == (load.amount, load.governs)


def test_the_loss_of_a_tank_is_held_against_the_survival_ration(crossings: Crossings) -> None:
    port, starboard = water(crossings).tanks_lost
    assert (40.0, 57.0) == (port.left_l, starboard.left_l)
    assert 10.0 == pytest.approx(port.survival_ration_days)  # 40 L for two at 2 L a day
    slow_end_days = float(np.sort(crossings.arrival_h)[284]) / 24.0  # the 285th of 300
    assert (port.reaches_slow_end, starboard.reaches_slow_end) == (10.0 >= slow_end_days, 14.25 >= slow_end_days)
