"""Water against TB MED 507 (R2), planning rule checks (D), and properties."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest
from scipy.optimize import brentq

from passage.consequences.stores.drawdown import Laden
from passage.consequences.stores.loading import to_load
from passage.consequences.stores.water import (
    EASY_WORK,
    ORDINARY,
    SHADED,
    air_words,
    daily_need_l,
    heat_l_per_hour,
    saturation_hpa,
    vapour_pressure_hpa,
    water_aboard,
    water_to_landfall,
    wbgt_c,
    wet_bulb_c,
)
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
    [(65.0, 0.0), (80.0, 0.5), (83.5, 0.5), (86.5, 0.75), (89.0, 0.75), (92.0, 1.0), (99.0, 1.0)],
)
def test_heat_follows_the_army_table_for_easy_work(wbgt_f: float, quarts_h: float) -> None:
    """TB MED 507 fluid replacement, easy work, acclimatised; R2; the middles of its bands, to an eighth of a quart:
    half of what the table itself allows for differences between people. 1 qt = 0.94635 L.
    """
    found = float(heat_l_per_hour(np.array((wbgt_f - 32.0) / 1.8)))
    assert quarts_h * 0.94635 == pytest.approx(found, abs=0.94635 / 8)


def test_in_no_step_is_the_published_table_missed_by_more_than_a_quarter() -> None:
    """TB MED 507 (R2), over all of its bands, edges included: 1/4 qt an hour is its own allowance for people."""
    wbgt_f = np.arange(78.0, 95.0, 0.1)
    table = np.array([0.5, 0.5, 0.75, 0.75, 1.0])[np.searchsorted([82.0, 85.0, 88.0, 90.0], wbgt_f, side="right")]
    assert np.abs(heat_l_per_hour((wbgt_f - 32.0) / 1.8) / 0.94635 - table).max() < 0.25


@pytest.mark.parametrize(("air_c", "humidity", "wet_c"), [(20.0, 0.5, 13.7)])
def test_the_wet_bulb_is_stulls(air_c: float, humidity: float, wet_c: float) -> None:
    """Stull 2011, the worked value of the paper (M); half its last digit."""
    assert wet_c == pytest.approx(float(wet_bulb_c(np.array(air_c), np.array(humidity))), abs=0.05)


def test_quarts_for_easy_work_are_those_of_the_armys_bulletin() -> None:
    """TB MED 507, its table of fluid replacement, easy work, heat categories 1 to 5 (M): their feet, F, and quarts."""
    feet, quarts = (78.0, 82.0, 85.0, 88.0, 90.0, 94.0), (0.5, 0.5, 0.75, 0.75, 1.0)
    assert quarts == tuple(EASY_WORK.values())
    assert [(low + high) / 2.0 for low, high in pairwise(feet)] == pytest.approx(list(EASY_WORK), abs=0.1)


def test_the_wet_bulb_agrees_with_the_psychrometers_equation() -> None:
    """D: e = e_s(T_w) - 6.62e-4 p (T - T_w) (WMO Guide No. 8, from memory); Stull states 1 C at the worst (M)."""

    def off_hpa(wet_c: float, air_c: float, humidity: float) -> float:
        drawn = 6.62e-4 * 1013.25 * (air_c - wet_c)
        return float(saturation_hpa(np.array(wet_c)) - drawn - humidity * saturation_hpa(np.array(air_c)))

    for air_c in (10.0, 20.0, 27.0, 35.0):
        for humidity in (0.4, 0.6, 0.8, 0.95):
            found = float(wet_bulb_c(np.array(air_c), np.array(humidity)))
            assert brentq(off_hpa, -20.0, air_c, args=(air_c, humidity)) == pytest.approx(found, abs=1.0)


def test_saturated_air_holds_what_steam_tables_say() -> None:
    """Vapour pressure of water, 10 and 30 C: 12.28 and 42.47 hPa (steam tables, M), Magnus being good to 4 in
    1,000; and 27.2 g/kg at 30 C (D)."""
    assert [12.28, 42.47] == pytest.approx(saturation_hpa(np.array([10.0, 30.0])), rel=0.004)
    share = 0.622 * 42.47 / (1013.25 - 0.378 * 42.47)
    assert 42.47 == pytest.approx(float(vapour_pressure_hpa(np.array(1000.0 * share))), rel=1e-9)


def need_l(air_c: float, vapour_g_kg: float | None = None, **use: object) -> float:
    vapour = None if vapour_g_kg is None else np.array([vapour_g_kg])
    return float(daily_need_l(crew(**use), np.array([air_c]), vapour)[0])


def test_there_is_no_cliff() -> None:
    """A tenth of a degree moves what two people drink by less than a quarter of a litre a day, and so the load for a
    passage of 19 days, half as much again, by less than 7 L; the same for a tenth of a gram of vapour.
    """
    warm = daily_need_l(crew(), np.arange(10.0, 40.0, 0.1))
    humid = daily_need_l(crew(), np.full(150, 27.0), np.arange(5.0, 20.0, 0.1))
    for row in (warm, humid):
        assert np.abs(np.diff(row)).max() < 0.25
        assert (np.diff(row) >= 0.0).all()


def test_humid_air_sun_and_no_awning_all_make_thirsty() -> None:
    assert need_l(27.0, 14.0) < need_l(27.0, 20.0)
    assert need_l(27.0, sun_share=0.0) < need_l(27.0, sun_share=0.5) < need_l(27.0, sun_share=1.0)
    assert need_l(27.0, sun_share=0.0) == need_l(27.0, sun_share=1.0, awning=True)
    assert need_l(27.0) == pytest.approx(
        need_l(27.0, 1000 * 0.622 * 0.8 * 35.6 / (1013.25 - 0.378 * 0.8 * 35.6)), rel=0.01
    )


def test_in_thirty_degrees_a_person_needs_what_the_institute_of_medicine_tells() -> None:
    """IOM 2005, Dietary Reference Intakes for Water, page 129 (R), after Brown 1947: at a daily mean of 30 C 4.5 L a
    day resting in the shade, 9.5 L with hard work for 8 hours. A watch-keeper lies between.
    """
    assert 4.5 < need_l(30.0) / 2 < 9.5
    assert 4.0 < need_l(30.0, awning=True) / 2 < need_l(30.0) / 2


def test_beside_the_heats_rule_stands_the_ordinary_ration_and_the_bracket(crossings: Crossings) -> None:
    hot = replace(crossings, air_by_day_c=np.full_like(crossings.air_by_day_c, 26.0))
    result = water(hot)
    uses = {other.way: other for other in result.otherwise}
    assert 6.0 == pytest.approx(uses[ORDINARY].daily_l_per_day)
    assert 6.0 * 1.5 * np.sort(hot.arrival_h)[149] / 24.0 == pytest.approx(uses[ORDINARY].load_l, rel=1e-4)
    assert uses[air_words("cooler")].daily_l_per_day < result.store.daily < uses[air_words("warmer")].daily_l_per_day
    assert uses[SHADED].daily_l_per_day < result.store.daily
    assert (
        uses[air_words("warmer")].short_in_100 >= 100.0 * result.store.short >= uses[air_words("cooler")].short_in_100
    )
    unheated = water(hot, crew=crew(heat=False))
    assert [ORDINARY] == [other.way for other in unheated.otherwise]
    assert unheated.store.load.amount == pytest.approx(unheated.otherwise[0].load_l, rel=1e-5)


def test_hours_on_deck_in_the_heat_replace_their_share_of_the_base() -> None:
    """Six hours on deck: 2 people x (18/24 x 3 + 6 x what an hour of that heat asks) L, D."""
    hot = daily_need_l(crew(drink_and_cook_l_per_day=3.0, deck_hours_h=6.0), np.array([28.0]))
    an_hour_l = float(heat_l_per_hour(wbgt_c(np.array(28.0), None, 0.5)))
    assert 2 * (18 / 24 * 3 + 6 * an_hour_l) == pytest.approx(float(hot[0]))


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
