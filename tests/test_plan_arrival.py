"""The arrival card: daylight at the landfall, when all are up, papers, food, the anchor; a line for what is unknown."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import time, timedelta
from io import BytesIO
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from pypdf import PdfReader

from passage.consequences.noons import SkyDay, ship_noons, sky_days
from passage.inputs.gear import Gear, Paper
from passage.plan.document import PAPERS_PT, PageHead, plan_drawings, plan_pdf, plan_tables, room_on, typeset
from passage.plan.editions import only
from passage.plan.sheets import arrival
from passage.plan.sheets.sky import ship_clock
from passage.sailings.sky import SunAllDay, sun_altitude_deg
from passage.tell.figures import in_print
from tests.plan_cases import ROUTES, endless_for_most, sailed

if TYPE_CHECKING:
    from passage.road import Outcome


def words_of(outcome: Outcome, paper: Any = "a4") -> str:
    reader = PdfReader(BytesIO(plan_pdf(outcome, paper, only("arrival"))))
    assert 1 == len(reader.pages)
    return " ".join(reader.pages[0].extract_text().replace("\u200b", "").split())


@pytest.mark.parametrize("paper", list(PAPERS_PT))
@pytest.mark.parametrize("route", ROUTES)
def test_it_is_one_page_and_says_what_decides(route: str, paper: str) -> None:
    words = words_of(sailed(route), paper)
    assert sailed(route).facts.voyage.waypoints[-1].name in words
    for asked in ("port of entry", "high water", "port control", "Q flag", "forbidden here", "Official charts"):
        assert asked in words


@pytest.mark.parametrize("route", ROUTES)
def test_a_ship_s_noon_is_twelve_o_clock_sharp_by_her_zone_and_one_for_each_day(route: str) -> None:
    noons = ship_noons(sailed(route).crossings)
    by_ship = [noon.moment + timedelta(hours=noon.zone_h) for noon in noons]
    assert {time(12)} == {moment.time() for moment in by_ship}
    assert {timedelta(days=1)} == {later - earlier for earlier, later in pairwise(by_ship)}


@pytest.mark.parametrize("route", ROUTES)
def test_the_sun_rises_and_sets_at_the_landfall_on_the_typical_and_the_slow_end_s_day(route: str) -> None:
    """T: the altitude of the sun's centre by another method (Astronomical Almanac, low precision, 0.02 degree) is at
    sunrise -50' to within what the sun climbs in the half minute of rounding, 0.13 degree at most.
    """
    outcome = sailed(route)
    track = outcome.ground.track
    rows = arrival.table(outcome).landfalls
    assert ["typical", "slow end"] == [row.which for row in rows]
    for row, hours in zip(rows, (outcome.times.typical_h, outcome.times.slow_end_h), strict=True):
        assert row.sky.day == math.ceil(hours / 24.0)
        for event, altitude_deg in (("sunrise", -50.0 / 60.0), ("civil_dawn", -6.0), ("nautical_dusk", -12.0)):
            moment = np.datetime64(getattr(row.sky, f"{event}_utc").replace(tzinfo=None))
            found = sun_altitude_deg(moment, track.lat_deg[-1], track.lon_deg[-1])
            assert altitude_deg == pytest.approx(float(found), abs=0.15)


def test_all_are_up_from_as_many_miles_off_as_one_night_runs() -> None:
    """D: hours from civil dusk to civil dawn times the speed that 1 hour in 10 exceeds, rounded up."""
    outcome = sailed(ROUTES[2])
    table = arrival.table(outcome)
    longest = max(dark_h(row.sky) for row in table.landfalls)
    assert longest == pytest.approx(table.dark_hours, abs=0.25)  # the hours are glanced at every ten minutes
    assert in_print(table.all_up_nm) == pytest.approx(longest * outcome.fast_kn, abs=0.25 * outcome.fast_kn + 1.0)
    assert f"All up in the dark from {table.all_up_nm} miles off" in words_of(outcome)


def test_a_landfall_without_a_night_is_told_so_and_a_sun_that_stays_up_too() -> None:
    """White nights: no miles that a night of no hours runs, no dash that might as well mean the sun stays down."""
    outcome = sailed(ROUTES[2])
    edition = only("arrival,sky")
    tables = plan_tables(outcome, edition)
    tables["arrival"] = replace(tables["arrival"], dark_hours=0.0)
    first, *others = tables["sky"].by_day
    tables["sky"] = replace(tables["sky"], by_day=(replace(first, sun_all_day=SunAllDay.UP), *others))
    printed = edition.filled(tables)
    drawings = plan_drawings(printed, outcome, tables, room_on("a4"))
    pages = PdfReader(
        BytesIO(typeset(printed, tables, drawings, PageHead(outcome.facts, outcome.crossings.depart), "a4"))
    ).pages
    sun, landfall = (" ".join(page.extract_text().split()) for page in pages)
    assert "It does not get dark there" in landfall and "All up in the dark" not in landfall
    assert "all day" in sun


def dark_h(day: SkyDay) -> float:
    clocks = (ship_clock(day, event) for event in ("civil_dawn", "civil_dusk"))
    dawn, dusk = (int(clock[:2]) + int(clock[2:4]) / 60.0 for clock in clocks)
    return 24.0 - dusk + dawn


def test_whether_she_stands_off_is_told_as_the_boat_file_has_it() -> None:
    outcome = sailed(ROUTES[1])
    helm = outcome.facts.boat.helm.model_copy(update={"stand_off": False})
    boat = outcome.facts.boat.model_copy(update={"helm": helm})
    bold = replace(outcome, facts=replace(outcome.facts, boat=boat))
    assert "stands off until daylight" in arrival.table(outcome).stand_off_words
    assert "goes in by night too" in arrival.table(bold).stand_off_words


def test_papers_wanted_on_arrival_stand_with_their_day_and_no_others() -> None:
    papers = (
        Paper(name="notice of arrival", in_hand=False, due="arrival", lead_h=72.0),
        Paper(name="outward clearance", in_hand=False, due="departure"),
    )
    outcome = sailed(ROUTES[1])
    told = arrival.table(replace(outcome, facts=replace(outcome.facts, gear=Gear(papers=papers)))).to_clear
    assert ["notice of arrival"] == [row.paper.name for row in told]
    assert told[0].paper.act_by is not None
    assert told[0].paper.act_by < arrival.table(outcome).landfalls[0].sky.ship_date
    assert f"by {told[0].paper.act_by}" == told[0].by
    assert () == arrival.table(outcome).to_clear


def test_the_anchorage_of_the_file_is_summed_up_and_without_one_there_are_lines() -> None:
    told, bare = words_of(sailed(ROUTES[0])), words_of(sailed(ROUTES[1]))
    assert "roadstead off Jamestown" in told
    assert "depth and bottom" not in told
    assert "depth and bottom" in bare


def test_what_may_not_be_landed_is_to_be_eaten_before() -> None:
    outcome = sailed(ROUTES[2])
    left = outcome.stores.provision.left  # type: ignore[union-attr]
    kept_back = [row.item for row in left if not row.ashore]
    assert kept_back
    assert all(item in words_of(outcome) for item in kept_back)


def test_where_too_many_never_arrive_no_day_is_given() -> None:
    outcome = endless_for_most(sailed(ROUTES[1]))
    assert () == arrival.table(outcome).landfalls
    assert () == sky_days(())
    assert "no day can be given" in words_of(outcome)
