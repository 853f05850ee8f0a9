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
from passage.inputs.position import Position
from passage.journal.here import ahead
from passage.journal.reckoning import Point
from passage.journal.rota import tonight
from passage.road import walk
from passage.sailings import geodesic
from passage.shipped import shipped
from passage.troubles.refuges import Reach, within_reach

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
    turns = tonight(ROTA, here)
    assert hours == [turn.ship_h for turn in turns]
    assert who == [turn.who[0] for turn in turns]
    zone = timedelta(hours=round(here.lon_deg / 15.0))
    assert hours == [(turn.begins + zone).hour + (turn.begins + zone).minute / 60.0 for turn in turns]


def test_without_a_rota_in_the_plan_there_is_none() -> None:
    assert () == tonight({}, at(11, 3))
    assert () == tonight({"watches": {}}, at(11, 3))


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
        assert direct.distance_nm - 0.1 <= reach.distance_nm <= 1.2 * direct.distance_nm
        if reach.distance_nm < direct.distance_nm + 0.1:  # straight there
            assert direct.initial_course_deg == pytest.approx(reach.course_deg, abs=0.5)
        assert 0.0 < reach.typical_h <= reach.slow_end_h


def test_a_refuge_behind_land_is_led_round_it() -> None:
    """From Table Bay the straight way to Saldanha Bay runs over the land between; the demonstration leads it round."""
    refuges = tuple(refuge.model_copy(update={"via": ()}) for refuge in FACTS.troubles.refuges)
    straight = replace(FACTS, troubles=FACTS.troubles.model_copy(update={"refuges": refuges}))
    alone = next(reach for reach in refuges_from(-33.875, 18.39, straight) if reach.name == "Saldanha Bay")
    led_round = next(reach for reach in refuges_from(-33.875, 18.39) if reach.name == "Saldanha Bay")
    assert ["", ""] == [led_round.barred, alone.barred]
    assert led_round.distance_nm == pytest.approx(alone.distance_nm, rel=0.15)


def test_a_refuge_that_no_way_leads_to_is_told_to_be_so() -> None:
    """An invented one, behind the Bosporus."""
    refuge = FACTS.troubles.refuges[0].model_copy(update={"via": (), "position": Position(43.0, 34.0)})
    shut_in = replace(FACTS, troubles=FACTS.troubles.model_copy(update={"refuges": (refuge,)}))
    (reach,) = refuges_from(-33.875, 18.39, shut_in)
    assert "land" in reach.barred
    assert isinf(reach.typical_h)
