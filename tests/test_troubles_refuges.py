"""Refuges are sailed to; turning points; refuges on land and behind it are faults of the file."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise
from math import inf, isnan
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.crossings.simulate import arrivals_h, given_up_h
from passage.crossings.wind import Luck
from passage.errors import InputFaults
from passage.ground import lay_ground
from passage.inputs.folder import read_folder
from passage.inputs.position import parse_position
from passage.inputs.troubles import Refuge, Troubles
from passage.plan.turns import turn_words
from passage.positions import Position
from passage.road import Outcome, walk
from passage.sailings.geodesic import inverse
from passage.sailings.land import land_hits
from passage.shipped import shipped
from passage.troubles.damage import slowed_vessel
from passage.troubles.effects import aboard
from passage.troubles.nearest import DayOut, Harbour, soonest_harbour
from passage.troubles.refuges import (
    lay_with_refuges,
    refuges_of,
    sail_ways_out,
    sail_whole_ways,
    tracks_to_refuges,
    ways_out,
    within_reach,
)
from passage.troubles.resail import GIVEN_UP_H, days_out, hours_out, lane_from, later, onwards, strike_at
from passage.troubles.turning import Turn, turning_points
from tests.voyage_cases import whole

if TYPE_CHECKING:
    from pathlib import Path

    from passage.inputs.folder import Facts
    from passage.sailings.track import Track
    from passage.troubles.ways import Refuges

CROSSINGS = 60


@cache
def demo() -> Outcome:
    facts = read_folder(shipped("routes") / "cape-town-st-helena")
    return walk(facts, lay_ground(facts), Luck(1, CROSSINGS), facts.voyage.departure.depart)


@cache
def found() -> Refuges:
    outcome = demo()
    return refuges_of(
        outcome, aboard(outcome, outcome.stores, outcome.facts, outcome.ground, outcome.crossings), ways_out(outcome)
    )


def refuge(position: str, *via: str) -> Refuge:
    return Refuge(name="a refuge", position=parse_position(position), via=tuple(parse_position(at) for at in via))


# ---------------------------------------------------------------- the ways


def test_the_whole_boat_alone_is_sailed_as_beside_the_damaged() -> None:
    every, whole = sail_ways_out(demo()), sail_whole_ways(demo())
    assert (every.to, every.whole) == (whole.to, whole.whole)
    assert [strike.hour for strike in every.strikes] == [strike.hour for strike in whole.strikes]


def test_the_ways_are_on_back_and_the_refuges_of_the_file() -> None:
    assert found().ways == (
        "on to off James Bay",
        "back to off Green Point, Table Bay",
        "Saldanha Bay",
        "Lüderitz",
        "Walvis Bay",
    )
    assert all(len(day.whole) == len(day.jury) == 5 for day in found().days)


def test_days_stand_every_few_days_while_the_middle_crossing_is_at_sea() -> None:
    days = days_out(demo().crossings)
    assert 3 <= len(days) <= 9
    assert days[-1] * 24.0 < demo().times.typical_h
    assert len({later - earlier for earlier, later in pairwise(days)}) == 1


@cache
def hop() -> Outcome:
    """A hundred miles of the demonstration, which the middle crossing sails in a day."""
    facts = demo().facts
    ends = facts.voyage.waypoints[0], facts.voyage.waypoints[1].model_copy(update={"position": Position(-32.2, 17.2)})
    short = replace(facts, voyage=facts.voyage.model_copy(update={"waypoints": ends}))
    return walk(short, lay_ground(short), Luck(1, CROSSINGS), facts.voyage.departure.depart)


def test_a_passage_of_under_two_days_is_told_by_the_hour_and_turns_about_halfway() -> None:
    outcome = hop()
    hours, every = hours_out(outcome.crossings)
    assert 1 == every
    assert 2 <= len(hours) <= 9
    assert hours[0] <= 6
    assert hours[-1] <= outcome.times.typical_h < 48.0
    before = aboard(outcome, outcome.stores, outcome.facts, outcome.ground, outcome.crossings)
    ways = refuges_of(outcome, before, ways_out(outcome))
    assert ways.by_hour
    assert hours == [row.hour for row in ways.nearest]
    assert ways.nearest[0].whole is not None
    assert ways.nearest[0].whole.way.startswith("back to")
    back = ways.whole[0]
    assert Turn.FROM_DAY is back.typical  # and never that on is always the quicker: it is not, a mile out
    assert 0.0 < float(back.typical_day) * 24.0 < outcome.times.typical_h
    assert "from hour " in turn_words(back)


def test_on_a_passage_of_two_days_and_more_a_harbour_is_told_by_the_day() -> None:
    hours, every = hours_out(demo().crossings)
    assert [24 * day for day in range(1, len(hours) + 1)] == hours
    assert [24 * day for day in days_out(demo().crossings)] == hours[every - 1 :: every]


def test_on_shortens_and_back_lengthens_day_by_day() -> None:
    on, back = ([day.whole[at].typical_h for day in found().days] for at in (0, 1))
    assert on == sorted(on, reverse=True)
    assert back == sorted(back)


def test_miles_on_and_back_make_the_track() -> None:
    for day in found().days:
        assert demo().ground.track.length_nm == pytest.approx(day.whole[0].distance_nm + day.whole[1].distance_nm)


def test_a_refuge_is_as_far_as_the_great_circle_to_it() -> None:
    walvis = demo().facts.troubles.refuges[2].position
    for day in found().days:
        assert inverse(day.lat_deg, day.lon_deg, *walvis).distance_nm == pytest.approx(
            day.whole[4].distance_nm, abs=0.1
        )


def test_upwind_takes_longer_than_the_same_miles_downwind() -> None:
    """Back to the Cape against the south-easterlies, on to the island before them."""
    middle = min(found().days, key=lambda day: abs(day.whole[0].distance_nm - day.whole[1].distance_nm))
    on, back = middle.whole[0], middle.whole[1]
    assert back.typical_h / back.distance_nm > 1.1 * on.typical_h / on.distance_nm


def test_a_jury_rig_that_cannot_point_does_not_get_back() -> None:
    assert all(day.jury[1].typical_h == inf for day in found().days[1:])
    assert found().days[-1].jury[0].typical_h < inf  # the slow ones, at under a knot in eddies, are given up


def test_what_lasts_is_held_against_the_slow_end_of_the_way() -> None:
    for day in found().days:
        assert day.water_days < day.ration_days
        for way in (*day.whole, *day.jury):
            days = way.slow_end_h / 24.0
            expected = "full use" if days <= day.water_days else "ration" if days <= day.ration_days else "neither"
            assert expected == way.water


def test_the_soonest_harbour_of_a_day_is_its_quickest_way_and_lies_by_the_great_circle() -> None:
    """Beside geographiclib's inverse from that place; a sailed day has its own hours, and one between lies between."""
    by_day = {row.day: row for row in found().nearest}
    for day in found().days:
        for state in ("whole", "jury", "rudder"):
            ways, harbour = getattr(day, state), getattr(by_day[day.day], state)
            (quickest,) = [at for at, way in enumerate(ways) if way.quickest] or [None]
            if quickest is not None:
                assert (found().ways[quickest], ways[quickest].slow_end_h) == (
                    harbour.way,
                    pytest.approx(harbour.slow_end_h),
                )
    day = found().days[0]
    harbour = by_day[day.day].whole
    assert harbour is not None
    there = demo().facts.troubles.refuges[found().ways.index(harbour.way) - 2].position
    way = inverse(day.lat_deg, day.lon_deg, *there)
    assert way.distance_nm == pytest.approx(harbour.distance_nm, abs=0.1)
    assert way.initial_course_deg == pytest.approx(harbour.course_deg, abs=0.1)


def test_a_lost_rudder_is_slower_than_a_whole_boat_on_every_way() -> None:
    for day in found().days:
        assert all(hurt.typical_h >= way.typical_h for way, hurt in zip(day.whole, day.rudder, strict=True))


# ---------------------------------------------------------------- turning points


def way(typical_h: float, slow_end_h: float) -> tuple[float, float]:
    return typical_h, slow_end_h


def test_the_turning_point_lies_where_the_times_cross() -> None:
    days = [(2, (way(100.0, inf), way(60.0, 80.0))), (4, (way(70.0, 90.0), way(80.0, 100.0)))]
    (turning,) = turning_points(("on", "back"), days)
    # D: 40 h behind on day 2 and 10 h ahead on day 4: four fifths of the way. A slow end that is not known turns late.
    assert 2.0 + 0.8 * 2.0 == pytest.approx(turning.typical_day)
    assert 4.0 == turning.slow_end_day


def test_going_on_is_never_quicker_or_always() -> None:
    never = [(1, (way(90.0, inf), way(60.0, inf))), (2, (way(80.0, inf), way(70.0, inf)))]
    always = [(1, (way(50.0, 60.0), way(60.0, 70.0)))]
    assert inf == turning_points(("on", "back"), never)[0].typical_day
    assert isnan(turning_points(("on", "back"), never)[0].slow_end_day)  # neither gets there
    assert 0.0 == turning_points(("on", "back"), always)[0].typical_day


def test_that_going_on_is_never_quicker_is_not_said_where_the_last_days_are_not_known() -> None:
    days = [(2, (way(90.0, 99.0), way(60.0, 70.0))), (4, (way(inf, inf), way(inf, inf)))]
    (turning,) = turning_points(("on", "back"), days)
    assert (Turn.NOT_KNOWN, Turn.NOT_KNOWN) == (turning.typical, turning.slow_end)


def test_days_on_which_neither_gets_there_decide_nothing() -> None:
    days = [
        (1, (way(inf, inf), way(60.0, 70.0))),
        (2, (way(inf, inf), way(inf, inf))),
        (3, (way(20.0, inf), way(inf, inf))),
    ]
    (turning,) = turning_points(("on", "back"), days)
    assert 3.0 == turning.typical_day
    assert Turn.NOT_KNOWN == turning.slow_end  # neither gets there on the last days
    (later,) = turning_points(("on", "back"), days[1:])
    assert 3.0 == later.typical_day  # and not from the start


def test_a_refuge_that_is_quicker_again_later_moves_the_turning_point() -> None:
    days = [
        (1, (way(50.0, 1.0), way(60.0, 1.0))),
        (2, (way(40.0, 1.0), way(10.0, 1.0))),
        (3, (way(5.0, 1.0), way(35.0, 1.0))),
    ]
    assert 2.5 == pytest.approx(turning_points(("on", "by"), days)[0].typical_day)


# ---------------------------------------------------------------- land


def test_a_refuge_on_land_is_told_with_its_line(tmp_path: Path) -> None:
    facts = with_refuges(tmp_path, '[[refuge]]\nname = "up country"\nposition = "33 00S 20 00E"\n')
    with pytest.raises(InputFaults) as told:
        ways_out(replace(demo(), facts=facts))
    (on_land,) = told.value.faults
    assert ("troubles.toml", 3, "refuge[1].position") == (on_land.file, on_land.line, on_land.key)
    assert "lies on land" in on_land.found
    with pytest.raises(InputFaults) as before_sailing:
        lay_with_refuges(facts)
    assert [on_land.key] == [fault.key for fault in before_sailing.value.faults]


def test_a_refuge_that_cannot_be_sailed_to_is_left_out_and_the_others_are_not(tmp_path: Path) -> None:
    text = (
        '[[refuge]]\nname = "Sinop"\nposition = "43N 34E"\n\n'  # behind the Bosporus
        '[[refuge]]\nname = "Walvis Bay"\nposition = "22 50.0S 14 22.0E"\n'
    )
    facts = with_refuges(tmp_path, text)
    out = tracks_to_refuges(facts, demo().ground.track, [strike_at(demo().crossings, 72).node])
    assert ("Walvis Bay",) == out.to
    assert "Sinop is left out: no track reaches the destination" in out.left_out[0]
    assert lay_with_refuges(facts).track.nodes > 2


def with_refuges(tmp_path: Path, text: str) -> Facts:
    folder = tmp_path / "voyage"
    whole(demo().facts.folder, folder)
    (folder / "troubles.toml").write_text(text, encoding="utf-8")
    return read_folder(folder)


def test_land_on_the_way_is_gone_round_when_no_place_is_given() -> None:
    """Durban round the Cape of Good Hope and Cape Agulhas, shorter than past places that stand well off."""
    round_the_cape = ("35 30.0S 18 00.0E", "35 45.0S 20 30.0E", "33 30.0S 29 30.0E")
    given, found = (track_to(refuge("30 00.0S 31 20.0E", *via)) for via in (round_the_cape, ()))
    assert 0.9 * given.length_nm < found.length_nm < given.length_nm
    assert found.lat_deg.min() < -34.9  # Cape Agulhas
    assert [] == land_hits(found.lat_deg, found.lon_deg)


def test_land_across_the_track_and_refuges_on_land_are_told_together(tmp_path: Path) -> None:
    folder = tmp_path / "voyage"
    whole(demo().facts.folder, folder)
    (folder / "troubles.toml").write_text('[[refuge]]\nname = "up country"\nposition = "33 00S 20 00E"\n')
    voyage = (folder / "voyage.toml").read_text(encoding="utf-8")
    turned = voyage.replace('"33 46.0S 18 10.0E"', '"32 00.0S 20 00.0E"')  # up country
    assert turned != voyage
    (folder / "voyage.toml").write_text(turned, encoding="utf-8")
    with pytest.raises(InputFaults) as told:
        lay_with_refuges(read_folder(folder))
    assert {"troubles.toml", "voyage.toml"} == {fault.file for fault in told.value.faults}


@pytest.mark.parametrize("route", ["cape-town-st-helena", "lagos-azores", "opua-tonga"])
def test_the_refuges_of_the_demonstrations_are_open_from_all_along_the_track(route: str) -> None:
    facts = read_folder(shipped("routes") / route)
    assert lay_with_refuges(facts).track.nodes > 2


def test_a_forecast_blows_on_the_way_to_a_refuge_too(tmp_path: Path) -> None:
    pytest.importorskip("eccodes")
    from tests.grib_cases import write

    outcome = demo()
    depart = outcome.crossings.depart
    file = write(tmp_path / "f.grib", lambda step_h, member: (7.0, 0.0), issued=(int(f"{depart:%Y%m%d}"), 0), wide=True)
    rules = outcome.facts.voyage.forecast.model_copy(update={"file": file})
    voyage = outcome.facts.voyage.model_copy(update={"forecast": rules})
    where = refuge("22 50.0S 14 22.0E", "33 46.0S 18 10.0E", "26 00.0S 13 50.0E")
    facts = replace(outcome.facts, voyage=voyage, troubles=Troubles(refuges=(where,)))
    ground = lay_ground(facts)
    assert ground.forecast is not None
    aboard_of, blind = replace(outcome, facts=facts, ground=ground), replace(outcome, facts=facts)
    (with_it,), (without,) = within_reach(aboard_of), within_reach(blind)
    assert with_it.way_nm == without.way_nm
    assert with_it.typical_h != without.typical_h


def test_places_given_lead_round_the_land() -> None:
    """Durban round the Cape of Good Hope and Cape Agulhas."""
    round_the_cape = ("35 30.0S 18 00.0E", "35 45.0S 20 30.0E", "33 30.0S 29 30.0E")
    track = track_to(refuge("30 00.0S 31 20.0E", *round_the_cape))
    direct_nm = inverse(float(track.lat_deg[0]), float(track.lon_deg[0]), -30.0, 31.0 + 20 / 60).distance_nm
    assert track.length_nm > 1.1 * direct_nm
    assert track.lat_deg.min() < -35.5


def test_a_place_that_need_not_be_passed_is_not() -> None:
    direct, past = (track_to(refuge("22 50.0S 14 22.0E", *via)) for via in ((), ("20 00.0S 0 00.0E",)))
    assert direct.length_nm == past.length_nm


def track_to(where: Refuge) -> Track:
    changed = replace(demo(), facts=replace(demo().facts, troubles=Troubles(refuges=(where,))))
    node = strike_at(changed.crossings, 72).node
    ((track,),) = tracks_to_refuges(changed.facts, changed.ground.track, [node]).tracks
    return track


# ---------------------------------------------------------------- a short way against the wind


def test_a_boat_that_makes_half_a_knot_is_not_given_up_on_a_short_way() -> None:
    """At a tenth of her speed the last of the way takes weeks, and she is there all the same."""
    outcome = demo()
    strike = strike_at(outcome.crossings, 24 * days_out(outcome.crossings)[-1])
    left, luck = onwards(outcome.ground, strike), later(Luck(1, 20), strike)
    lane = lane_from(left, slowed_vessel(outcome.ground.vessel, 0.1), outcome.crossings, strike, luck)
    (arrived_h,) = arrivals_h([lane])
    assert given_up_h(left.track) < np.median(arrived_h) < GIVEN_UP_H


def by_way(*hours_a_mile: tuple[float, float]) -> Harbour | None:
    out = DayOut(hour=216, to_go_nm=60.0, lengths_nm=(60.0, 816.0), courses_deg=(150.0, 252.0), variation_deg=12.0)
    return soonest_harbour(("on", "back"), out, hours_a_mile, ration_days=30.0)


def test_nobody_is_sent_past_a_harbour_near_by_to_one_that_the_slow_end_never_reaches() -> None:
    assert by_way((inf, inf), (0.9, inf)) is None
    uncertain = by_way((0.9, inf), (0.9, inf))
    assert uncertain is not None
    assert "on" == uncertain.way
    reached = by_way((inf, inf), (0.5, 0.7))
    assert reached is not None
    assert "back" == reached.way
