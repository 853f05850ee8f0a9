"""Tonight's watch by the plan's rota, and the refuges as they are sailed to from where she is. Expected values: D."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from math import isinf
from typing import TYPE_CHECKING, Any

import pytest

from passage.crossings.wind import Luck
from passage.ground import lay_ground
from passage.inputs.folder import read_folder
from passage.journal.here import ahead
from passage.journal.now import planned
from passage.journal.reckoning import Point
from passage.journal.rota import tonight
from passage.plan.rota import stood
from passage.positions import Position
from passage.road import walk
from passage.sailings import geodesic
from passage.sailings.clock import carried_on_deg, ship_zone_h
from passage.shipped import shipped
from passage.troubles.refuges import Reach, within_reach
from tests.plan_cases import sailed

if TYPE_CHECKING:
    from passage.inputs.folder import Facts

FACTS = read_folder(shipped("routes") / "cape-town-st-helena")

# Invented: four hours about, in two days; a day of six hours about before.
ROTA: dict[str, Any] = {
    "watches": {
        "first_noon": "2027-02-10",
        "first_days": 1,
        "first": [[[12.0, 18.0, ["mate"]], [18.0, 0.0, ["skipper"]], [0.0, 6.0, ["mate"]], [6.0, 12.0, ["skipper"]]]],
        "settled": [
            [[16.0, 20.0, ["a"]], [20.0, 0.0, ["b"]], [0.0, 4.0, ["a"]], [4.0, 8.0, ["b"]], [8.0, 12.0, ["a"]]],
            [[16.0, 20.0, ["b"]], [20.0, 0.0, ["a"]], [0.0, 4.0, ["b"]], [4.0, 8.0, ["a"]], [8.0, 12.0, ["b"]]],
        ],
    }
}


def at(day: int, hour: int, lon_deg: float = 0.0) -> Point:
    return Point(datetime(2027, 2, day, hour, tzinfo=UTC), -20.0, lon_deg, True, 0.0, 1)


@pytest.mark.parametrize(
    ("here", "hours", "who"),
    [
        (at(10, 13), [18.0, 0.0], ["skipper", "mate"]),
        (at(11, 3), [18.0, 0.0], ["skipper", "mate"]),  # the night that holds three in the morning
        (at(11, 13), [16.0, 20.0, 0.0, 4.0], ["b", "a", "b", "a"]),
        (at(12, 13), [16.0, 20.0, 0.0, 4.0], ["a", "b", "a", "b"]),
        (at(11, 23, lon_deg=-178.0), [18.0, 0.0], ["skipper", "mate"]),  # eleven in the morning by ship's time
    ],
)
def test_the_night_s_watches_follow_the_rota_by_ship_s_time(here: Point, hours: list[float], who: list[str]) -> None:
    zone_h = ship_zone_h(here.lon_deg)
    turns = tonight(ROTA, here, zone_h)
    assert hours == [turn.ship_h for turn in turns]
    assert who == [turn.who[0] for turn in turns]
    zone = timedelta(hours=zone_h)
    assert hours == [(turn.begins + zone).hour + (turn.begins + zone).minute / 60.0 for turn in turns]


def test_without_a_rota_in_the_plan_there_is_none() -> None:
    assert () == tonight({}, at(11, 3), 0)
    assert () == tonight({"watches": {}}, at(11, 3), 0)


def test_east_of_the_dateline_the_log_names_whom_the_plan_names() -> None:
    """Every night from Opua to Tonga by the log, beside the calendar of the plan; ship's time goes on counting."""
    outcome = sailed("opua-tonga")
    plan, noons, watches = planned(outcome), outcome.noons, stood(outcome)
    run = [float(outcome.crossings.track.lon_deg[0])]
    assert any(noon.lon_deg < 0.0 < noon.zone_h for noon in noons), "she sails over 180 degrees"
    for noon in noons[:-1]:
        run.append(noon.lon_deg)
        zone_h = ship_zone_h(carried_on_deg(run))
        assert noon.zone_h == zone_h
        turns = tonight(plan, Point(noon.moment, noon.lat_deg, noon.lon_deg, True, 0.0, 1), zone_h)
        assert turns
        for turn in turns:
            moment = turn.begins + timedelta(minutes=15)
            (there,) = (watch.on_watch for watch in watches if watch.begins <= moment < watch.ends)
            assert there == turn.who, (noon.day, turn)


def refuges_from(lat_deg: float, lon_deg: float, facts: Facts = FACTS) -> tuple[Reach, ...]:
    way = ahead(facts.voyage, Point(facts.voyage.departure.depart, lat_deg, lon_deg, True, 0.0, 1))
    assert way.voyage is not None
    onward = replace(facts, voyage=way.voyage)
    return within_reach(walk(onward, lay_ground(onward), Luck(1, 60), onward.voyage.departure.depart))


def test_refuges_are_sailed_to_and_the_soonest_comes_first() -> None:
    found = refuges_from(-30.0, 14.0)
    assert {refuge.name for refuge in FACTS.troubles.refuges} == {reach.name for reach in found}
    assert sorted(found, key=lambda reach: reach.typical_h) == list(found)
    for reach in found:
        refuge = next(each for each in FACTS.troubles.refuges if each.name == reach.name)
        direct = geodesic.inverse(-30.0, 14.0, *refuge.position)
        assert direct.distance_nm - 0.1 <= reach.way_nm <= 1.2 * direct.distance_nm
        if reach.way_nm < direct.distance_nm + 0.1:  # straight there
            assert direct.initial_course_deg == pytest.approx(reach.way_course_deg, abs=0.5)
        assert 0.0 < reach.typical_h <= reach.slow_end_h


def test_a_refuge_behind_land_is_led_round_it() -> None:
    """From Table Bay the straight way to Saldanha Bay runs over the land between; the demonstration leads it round."""
    refuges = tuple(refuge.model_copy(update={"via": ()}) for refuge in FACTS.troubles.refuges)
    straight = replace(FACTS, troubles=FACTS.troubles.model_copy(update={"refuges": refuges}))
    alone = next(reach for reach in refuges_from(-33.875, 18.39, straight) if reach.name == "Saldanha Bay")
    led_round = next(reach for reach in refuges_from(-33.875, 18.39) if reach.name == "Saldanha Bay")
    assert ["", ""] == [led_round.barred, alone.barred]
    assert led_round.way_nm == pytest.approx(alone.way_nm, rel=0.15)


def test_a_refuge_that_no_way_leads_to_is_told_to_be_so() -> None:
    """An invented one, behind the Bosporus."""
    refuge = FACTS.troubles.refuges[0].model_copy(update={"via": (), "position": Position(43.0, 34.0)})
    shut_in = replace(FACTS, troubles=FACTS.troubles.model_copy(update={"refuges": (refuge,)}))
    (reach,) = refuges_from(-33.875, 18.39, shut_in)
    assert "land" in reach.barred
    assert isinf(reach.typical_h)
