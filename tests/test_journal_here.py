"""The facts from here: waypoints ahead, tanks, thirst, suppositions. The boat is the demonstration's; figures are D."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from passage.consequences.stores.water import daily_need_l
from passage.crossings.helm import rig_out
from passage.errors import InputFaults
from passage.ground import lay_ground
from passage.inputs.boat import Boat
from passage.inputs.folder import read_folder
from passage.inputs.position import parse_position
from passage.inputs.troubles import Refuge
from passage.inputs.voyage import Voyage, Waypoint
from passage.journal.here import ahead, boat_now, carried, drinking, drunk_from, sounded_h, supposing, way_back
from passage.journal.reckoning import Point
from passage.journal.record import Entry
from passage.positions import Position
from passage.sailings import geodesic
from passage.shipped import shipped

if TYPE_CHECKING:
    from passage.crossings.ground import Ground
    from passage.inputs.crew import Crew
    from passage.inputs.folder import Facts

START = datetime(2027, 2, 10, 12, tzinfo=UTC)
FACTS = read_folder(shipped("routes") / "cape-town-st-helena")
VOYAGE, BOAT, CREW = FACTS.voyage, FACTS.boat, FACTS.crew


def here(position: str) -> Point:
    return Point(START, *parse_position(position), True, 0.0, 1)


def entry(number: int, day: float, **body: Any) -> Entry:
    when = START + timedelta(days=day)
    return Entry(number, "noon", when, when, body)


def names(voyage: Voyage | None) -> list[str]:
    assert voyage is not None
    return [place.name for place in voyage.waypoints]


def test_where_she_came_from_is_a_refuge_once_she_has_left_it() -> None:
    first = FACTS.voyage.waypoints[0]
    there = Point(START, *first.position, True, 0.0, 1)
    assert FACTS.troubles == way_back(FACTS, there)
    away = way_back(FACTS, replace(there, lat_deg=-33.0)).refuges
    assert (*FACTS.troubles.refuges, Refuge(name=f"back to {first.name}", position=first.position)) == away


def test_at_the_departure_all_the_track_is_ahead() -> None:
    way = ahead(VOYAGE, here("33 52.5S 18 23.5E"))
    assert way.planned_nm == pytest.approx(way.to_go_nm, abs=0.01)
    assert ["here", "west of Robben Island", "north-east of St Helena", "off James Bay"] == names(way.voyage)


def test_waypoints_passed_are_left_behind_and_the_departure_is_now() -> None:
    way = ahead(VOYAGE, here("25S 5E"))
    assert ["here", "north-east of St Helena", "off James Bay"] == names(way.voyage)
    assert way.voyage and START == way.voyage.departure.depart
    corner, end = VOYAGE.waypoints[-2].position, VOYAGE.waypoints[-1].position
    expected = geodesic.inverse(-25.0, 5.0, *corner).distance_nm + geodesic.inverse(*corner, *end).distance_nm
    assert expected == pytest.approx(way.to_go_nm, abs=0.01)  # the last leg, a rhumb line, is 7 miles short


def test_far_off_the_track_the_way_ahead_is_from_where_she_is() -> None:
    way = ahead(VOYAGE, here("20S 10E"))
    assert ["here", "north-east of St Helena", "off James Bay"] == names(way.voyage)
    assert way.to_go_nm > 800.0


def test_within_a_mile_of_the_end_she_is_in() -> None:
    way = ahead(VOYAGE, here("15 53.6S 5 43.0W"))
    assert (None, 0.0) == (way.voyage, way.to_go_nm)


def test_beyond_the_limit_of_a_composite_leg_the_way_is_a_great_circle() -> None:
    places = (
        Waypoint(name="a", position=Position(-35.0, 20.0)),
        Waypoint(name="b", position=Position(-33.0, 110.0), sailing="composite", limit_latitude_deg=-40.0),
    )
    voyage = VOYAGE.model_copy(update={"waypoints": places})
    inside, beyond = (ahead(voyage, here(position)).voyage for position in ("39S 60E", "41S 60E"))
    assert inside and "composite" == inside.waypoints[1].sailing
    assert beyond and ("great circle", None) == (beyond.waypoints[1].sailing, beyond.waypoints[1].limit_latitude_deg)


def test_tanks_are_as_sounded() -> None:
    boat = boat_now(BOAT, [entry(1, 1, water_l={"keel tank": 45.0, "bow tank": 0.0})])
    assert 45.0 - 5.0 + 0.0 + 40.0 == pytest.approx(boat.usable_water_l)
    Boat.model_validate(boat.model_dump())  # the copy is a boat that a file could say


@pytest.mark.parametrize(
    ("fuel_l", "usable_l", "calms_l"),
    [(85.0, 80.0, 35.0), (68.0, 63.0, 18.0), (40.0, 35.0, 0.0), (20.0, 15.3, 0.0)],
)
def test_fuel_burnt_comes_off_the_allowance_and_never_off_the_reserve(
    fuel_l: float, usable_l: float, calms_l: float
) -> None:
    """85 L in the tanks, 5 of them unusable; 35 for calms, 20 for the landfall. Both tanks are taken as full alike, so
    that 20 L leave 15.3 - 5 in one and 4.7 in the other.
    """
    boat = boat_now(BOAT, [entry(1, 1, fuel_l=fuel_l)])
    assert usable_l == pytest.approx(boat.usable_fuel_l, abs=0.5)
    assert calms_l == pytest.approx(boat.fuel.calms_allowance_l, abs=0.01)
    assert 20.0 == boat.fuel.landfall_reserve_l


def test_gas_is_reckoned_and_the_battery_as_noted() -> None:
    bottle = FACTS.provisions.gas_kg
    now = carried(FACTS, [entry(1, 10, battery_share=0.6)], 240.0)
    assert bottle - 10 * 2 * FACTS.provisions.gas.use_kg == pytest.approx(now.provisions.gas_kg)
    assert now.electrics and 0.6 == now.electrics.departure.start_share
    assert 0.0 == carried(FACTS, [], 24.0 * 1000).provisions.gas_kg


@pytest.mark.parametrize("air_c", [12.0, 24.0, 30.0])
@pytest.mark.parametrize("factor", [0.5, 0.8, 1.0, 1.3])
def test_a_crew_that_drinks_another_amount_needs_just_that(factor: float, air_c: float) -> None:
    def need(crew: Crew) -> float:
        return float(daily_need_l(crew, np.array([air_c]))[0])

    assert factor * need(CREW) == pytest.approx(need(drinking(CREW, factor, air_c)), rel=1e-6)


@cache
def ground() -> Ground:
    return lay_ground(FACTS)


def supposed(what: str) -> tuple[Facts, str]:
    """The facts changed, the vessel rigged out anew from them, and the words."""
    found = supposing(FACTS, what)
    changed, there = found.change(FACTS, ground())
    fitted = rig_out(changed.boat, ground().polar)
    assert (fitted.helm, fitted.motor_hours) == (there.vessel.helm, there.vessel.motor_hours)
    return changed, found.words


def test_motoring_is_supposed_within_the_fuel_above_the_reserve() -> None:
    changed, said = supposed("motor 20 h")
    assert 30.0 == pytest.approx(changed.boat.fuel.calms_allowance_l)
    assert (
        "up to 20 hours under engine in calms: all of them take 30 L of fuel and leave 50, 20 of it kept for the "
        in said
    )
    with pytest.raises(InputFaults, match="above the landfall reserve gives 40 h"):
        supposing(FACTS, "motor 50 h")
    engineless = replace(FACTS, boat=BOAT.model_copy(update={"engine": None}))
    with pytest.raises(InputFaults, match="no engine"):
        supposing(engineless, "motor 5 h")


@pytest.mark.parametrize("text", ["ration 2 L", "ration 2 L/day"])
def test_a_ration_holds_in_any_heat(text: str) -> None:
    changed, _ = supposed(text)
    assert 4.0 == pytest.approx(float(daily_need_l(changed.crew, np.array([33.0]))[0]))
    assert changed.crew.water.survival_l_per_day <= 2.0


def test_a_speed_is_of_what_she_makes() -> None:
    changed, said = supposed("speed 80 %")
    assert 0.72 == pytest.approx(changed.boat.helm.performance_mean_share)
    assert "80 % of the speed she makes now" == said


@pytest.mark.parametrize(
    "text", ["", "motor", "fly home", "lost keel tank", "ration 2", "ration 50 L", "speed 5 %", "motor 3 nm"]
)
def test_what_cannot_be_supposed_is_a_sentence(text: str) -> None:
    with pytest.raises(InputFaults):
        supposing(FACTS, text)


def test_what_is_drunk_since_the_last_sounding_comes_off_all_tanks_alike() -> None:
    log = [entry(1, 0.0, water_l={"keel tank": 80.0}), entry(2, 1.0, lat_deg=-30.0, lon_deg=15.0)]
    later = replace(here("30 00S 15 00E"), time=START + timedelta(days=3))
    assert 72.0 == sounded_h(log, later)
    whole = sum(tank.capacity_l * tank.filled_share for tank in BOAT.water_tanks)
    left = drunk_from(BOAT, whole / 4.0)
    assert [0.75 * tank.filled_share for tank in BOAT.water_tanks] == pytest.approx(
        [tank.filled_share for tank in left.water_tanks]
    )
    assert 0.0 == sum(tank.filled_share for tank in drunk_from(BOAT, 2.0 * whole).water_tanks)


def test_land_on_the_straight_way_is_told_by_the_waypoint_it_leads_to() -> None:
    """From south of St Helena the straight way to the anchorage on its north side leads over the island."""
    (told,) = ahead(VOYAGE, here("16 04.0S 5 44.0W")).land_words()
    assert "way to off James Bay runs over" in told
    assert {} == ahead(VOYAGE, here("28 00.0S 13 00.0E")).land
