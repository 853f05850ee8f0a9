"""Does the battery come back? Facts of the trade, and what must hold between one boat and another."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import timedelta
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.consequences.power.balance import account_of, plant_of
from passage.consequences.power.power import (
    BACK_SHARE,
    Power,
    charging_fuel_l,
    first_noon,
    power_at_anchor,
    power_to_landfall,
)
from passage.consequences.power.scene import scene_at_anchor, scene_under_way
from passage.inputs.boat import Boat
from passage.inputs.electrics import Battery, Departure, Electrics, Load, Panel
from tests.power_cases import CALIFORNIA, MIDSUMMER, electrics, sailed, still_climate

if TYPE_CHECKING:
    from passage.consequences.power.cloud import Case

WEEKS = 3


@cache
def crossing() -> Power:
    crossings, climate = sailed()
    return power_to_landfall(crossings, climate, electrics(), fuel_l=20.0)


@pytest.mark.parametrize(("hour", "noon_h"), [(20, 0), (15, 5), (21, 23), (8, 12)])
def test_the_first_noon_is_the_suns(hour: int, noon_h: int) -> None:
    """At 120 W the sun bears north or south at 20:02 UTC on 21 June: the equation of time is then two minutes (M)."""
    start = MIDSUMMER.replace(hour=hour)
    assert noon_h == first_noon(scene_at_anchor(CALIFORNIA, still_climate(0.0), start, 2, 3, seed=1))


def lying(night_ah: float, day_ah: float = 0.0, panels_w: float = 250.0) -> Electrics:
    """A 200 Ah lead bank, full at noon, unplugged."""
    return Electrics(
        battery=Battery(chemistry="lead", capacity_ah=200.0, voltage_v=12.0),
        departure=Departure(shore_power=True),
        panels=(Panel(name="deck", power_w=panels_w),),
        loads=(
            Load(name="night", power_w=night_ah * 12.0 / 9.6, when="night"),
            Load(name="round the clock", power_w=day_ah * 12.0 / 24.0),
        ),
    )


def at_anchor(cloud: float, night_ah: float, day_ah: float = 0.0) -> Power:
    """For three weeks of June at 34N."""
    boat = lying(night_ah, day_ah)
    return power_at_anchor(CALIFORNIA, still_climate(cloud), boat, MIDSUMMER, days=7 * WEEKS, members=2)


def charge(cloud: float, case: Case, **given: float) -> np.ndarray:
    """Charge hour by hour of such a boat, (hours + 1, members)."""
    scene = scene_at_anchor(CALIFORNIA, still_climate(cloud), MIDSUMMER, 7 * WEEKS, 2, 1)
    return account_of(plant_of(scene, lying(**given), case)).run.soc


def charge_at(cloud: float, night_ah: float, solar_hour: int) -> np.ndarray:
    """At that hour of ship's time every day, little sun; MIDSUMMER is noon there."""
    return charge(cloud, "low", night_ah=night_ah)[(solar_hour - 12) % 24 :: 24, 0]


@pytest.mark.parametrize("night_ah", [15.0, 20.0, 25.0])
def test_250_w_refill_a_lead_bank_by_ten_on_clear_summer_mornings_for_weeks(night_ah: float) -> None:
    # P, common practice, no source: 250 W and 200 Ah at 34N, a night's use of 15 to 25 Ah, back by about ten.
    # "Back" is 97 per cent: the last part of a lead battery's charge has no end.
    outlook = at_anchor(0.0, night_ah).low
    assert charge_at(0.0, night_ah, 5)[1:].max() < 0.93
    assert charge_at(0.0, night_ah, 10)[1:].min() > 0.97
    back = [night.to_json()["back_in_100"] for night in outlook.nights]
    assert [100] * (7 * WEEKS - 1) + [None] == back  # the last day is not whole
    assert 100.0 == outlook.back_in_100
    assert all(night.below_in_100 == 0.0 for night in outlook.nights)


@pytest.mark.parametrize("night_ah", [15.0, 20.0, 25.0])
def test_under_lasting_cloud_they_do_not(night_ah: float) -> None:
    assert charge_at(1.0, night_ah, 10)[1:].max() < 0.97


def test_under_lasting_cloud_an_ordinary_use_at_anchor_empties_what_clear_skies_hold() -> None:
    # P: 70 Ah a day, a refrigerator and the evenings.
    clear, covered = (at_anchor(cloud, 20.0, 50.0).low for cloud in (0.0, 1.0))
    assert (0.0, 1.0) == (clear.below_floor, covered.below_floor)


def test_in_an_always_clear_sky_the_two_cases_agree() -> None:
    high, low = (charge(0.0, case, night_ah=20.0) for case in ("high", "low"))
    assert np.array_equal(high, low)


def test_the_fan_goes_on_while_one_boat_in_twenty_is_at_sea() -> None:
    arrival_h = np.sort(sailed()[0].arrival_h)
    assert 40 == len(arrival_h)
    assert int(arrival_h[-2]) == crossing().low.fan[-1].hour, "two of forty"


def test_the_fan_is_ordered_and_the_low_case_lies_below_the_high_one() -> None:
    power = crossing()
    for row in (*power.low.fan, *power.high.fan):
        assert 0.0 <= row.low <= row.typical <= row.good <= 1.0
    assert np.mean([row.typical for row in power.low.fan]) < np.mean([row.typical for row in power.high.fan])


def test_the_worst_hour_is_the_lowest_of_the_fan() -> None:
    outlook = crossing().low
    assert 100.0 * min(row.low for row in outlook.fan if row.at_sea >= 0.2) == outlook.worst.lowest_in_100
    assert 0.0 <= outlook.worst.solar_hour < 24.0


def test_a_night_is_told_once_midnight_is_reached() -> None:
    """D: at 120 W it is midnight at 08 UTC: the rest of that night, a whole one, and one from noon to midnight."""
    start = MIDSUMMER.replace(hour=8)
    power = power_at_anchor(CALIFORNIA, still_climate(0.0), electrics(), start, days=2, members=2)
    assert [0, 12, 36] == [night.begins_hour for night in power.low.nights]


def test_nights_follow_each_other_and_end_with_the_boats() -> None:
    nights = crossing().low.nights
    assert list(range(1, len(nights) + 1)) == [night.night for night in nights]
    assert {24} == set(np.diff([night.begins_hour for night in nights][1:]))
    assert all(night.lowest_in_100 <= night.lowest_typical_in_100 for night in nights)
    shares = [night.still_at_sea_in_100 for night in nights]
    assert shares == sorted(shares, reverse=True)


def test_a_boat_that_falls_below_her_floor_on_any_night_is_counted_once() -> None:
    outlook = crossing().low
    worst = max(night.below_in_100 * night.still_at_sea_in_100 for night in outlook.nights) / 1e4
    assert worst <= outlook.below_floor <= 1.0


def test_nights_come_back_where_the_fan_says_so() -> None:
    assert {0.0} == {night.back_in_100 for night in at_anchor(1.0, 20.0, 50.0).low.nights[3:-1]}
    assert at_anchor(0.0, 20.0).low.fan[24].typical > BACK_SHARE  # noon of the next day


def test_the_daily_table_balances() -> None:
    for outlook in (crossing().low, crossing().high):
        come = sum(row.wh_per_day for row in outlook.energy if row.kind == "source")
        gone = sum(row.wh_per_day for row in outlook.energy if row.kind == "load")
        other = {row.what: row.wh_per_day for row in outlook.energy if row.kind == "other"}
        come += other.pop("not taken by a full battery")
        assert come == pytest.approx(gone + sum(other.values()), abs=1e-3)


def test_charging_costs_litres_and_never_more_than_there_are() -> None:
    outlook = crossing().low
    assert outlook.charging_h * 1.2 == pytest.approx(outlook.charging_l)
    assert 0.0 < outlook.charging_l.max() <= 20.0 + 1e-9


@pytest.mark.parametrize("more", [{"panels_w": 400.0}, {"night_ah": 10.0}])
def test_more_sun_or_less_use_never_leaves_less(more: dict[str, float]) -> None:
    plain = {"night_ah": 30.0, "panels_w": 150.0}
    less, better = (charge(0.9, "low", **given) for given in (plain, plain | more))
    assert (better >= less - 1e-6).all()


def test_more_members_never_alter_earlier_ones() -> None:
    few, many = (
        account_of(plant_of(scene_under_way(*sailed(members)), electrics(), "low", mean_w={"all": 40.0})).run.soc
        for members in (5, 12)
    )
    hours = min(len(few), len(many))
    assert np.array_equal(few[:hours], many[:hours, :5])


def test_block_by_block_is_as_all_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    at_once = power_to_landfall(*sailed(24), electrics(), 20.0)
    monkeypatch.setattr("passage.crossings.ensemble.BLOCK_H", 5 * sailed(24)[0].hours)
    in_blocks = power_to_landfall(*sailed(24), electrics(), 20.0)
    for one, other in ((at_once.low, in_blocks.low), (at_once.high, in_blocks.high)):
        assert np.array_equal(one.ended, other.ended)
        assert one.fan == other.fan
        assert [night.to_json() for night in one.nights] == [night.to_json() for night in other.nights]
    assert [each.to_json() for each in at_once.remedies] == [each.to_json() for each in in_blocks.remedies]


def test_reckoning_the_battery_changes_no_crossing() -> None:
    crossings, climate = sailed(6)
    before = replace(crossings, speed_kn=crossings.speed_kn.copy(), state=crossings.state.copy())
    power_to_landfall(crossings, climate, electrics())
    for field in fields(crossings):
        if isinstance(getattr(crossings, field.name), np.ndarray):
            assert np.array_equal(getattr(before, field.name), getattr(crossings, field.name)), field.name


def test_departure_by_night_counts_that_night() -> None:
    boat = electrics(charging=None, alternator=None)
    late = power_at_anchor(CALIFORNIA, still_climate(0.3), boat, MIDSUMMER + timedelta(hours=12), days=3, members=2)
    assert 0 == late.low.nights[0].begins_hour  # midnight by ship's time


def test_charging_fuel_is_what_nothing_else_was_promised() -> None:
    boat = Boat.model_validate(
        {
            "hull": {
                "name": "invented",
                "length_overall_m": 9.0,
                "waterline_length_m": 7.5,
                "beam_m": 2.9,
                "displacement_kg": 5000.0,
                "sail_area_m2": 40.0,
            },
            "polar": {"estimate": True},
            "engine": {"cruising_speed_kn": 5.0, "consumption_l_h": 1.5},
            "fuel_tanks": ({"name": "tank", "capacity_l": 80.0},),
            "fuel": {"calms_allowance_l": 40.0, "landfall_reserve_l": 15.0},
            "water_tanks": ({"name": "tank", "capacity_l": 100.0},),
        }
    )
    assert 25.0 == charging_fuel_l(boat)


def test_notes_speak_of_frost_and_of_hard_drawn_banks() -> None:
    small = electrics(
        battery=Battery(chemistry="lithium", capacity_ah=20.0, voltage_v=12.8), loads=(Load(name="one", power_w=60.0),)
    )
    power = power_at_anchor(CALIFORNIA, still_climate(0.5, air_c=4.0), small, MIDSUMMER, days=1, members=2)
    assert ["freezing" in " ".join(power.notes), "Peukert" in " ".join(power.notes)] == [True, True]
    assert "no forecast" in power.notes[0]
