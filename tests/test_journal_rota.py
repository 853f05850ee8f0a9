"""Tonight's watch by the plan's rota, and the refuges as they are sailed to from where she is. Expected values: D."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from passage.crossings.wind import Luck
from passage.inputs.folder import read_folder
from passage.journal.reckoning import Point
from passage.journal.rota import tonight
from passage.road import lay_ground, walk
from passage.sailings import geodesic
from passage.shipped import shipped
from passage.troubles.refuges import within_reach

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


def test_refuges_are_sailed_to_the_soonest_first_and_what_land_bars_last() -> None:
    """From Table Bay the straight way to Saldanha Bay runs over the land between."""
    facts = read_folder(shipped("routes") / "cape-town-st-helena")
    outcome = walk(facts, lay_ground(facts), Luck(1, 60), facts.voyage.departure.depart)
    found = within_reach(outcome)
    assert {refuge.name for refuge in facts.troubles.refuges} == {reach.name for reach in found}
    *clear, barred = found
    assert "Saldanha Bay" == barred.name
    assert "land lie on the way" in barred.barred
    assert sorted(clear, key=lambda reach: reach.typical_h) == clear
    start = facts.voyage.waypoints[0].position
    for reach in clear:
        refuge = next(each for each in facts.troubles.refuges if each.name == reach.name)
        direct = geodesic.inverse(*start, *refuge.position).distance_nm
        assert direct - 0.1 <= reach.distance_nm <= 1.2 * direct
        assert reach.typical_h <= reach.slow_end_h
