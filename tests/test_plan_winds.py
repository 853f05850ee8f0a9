"""The roses along the track: in figures what the closed form says, on paper what the figures say."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING
from xml.etree import ElementTree

import numpy as np
import pytest

from passage.crossings.rose import Rose, Sector, rose_on, wind_rose
from passage.plan.roses import HUB, draw_rose, rings_for
from passage.plan.sheet import Room
from passage.plan.sheets import winds
from passage.tell.terminal import blocks_text
from tests.plan_cases import ROUTES, endless_for_most, sailed

if TYPE_CHECKING:
    from passage.road import Outcome

SVG = "{http://www.w3.org/2000/svg}"
NAMES = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")


@pytest.mark.parametrize("route", ROUTES)
def test_calms_and_sectors_make_a_hundred_hours(route: str) -> None:
    table = winds.table(sailed(route)).to_json()
    assert 2 <= len(table["roses"]) <= 6
    for rose in table["roses"]:
        wind = rose["wind"]
        total = wind["calm_in_100"] + sum(sector["in_100"] for sector in wind["sectors"])
        assert total == pytest.approx(100.0, abs=4.5)  # nine figures rounded to a whole
        assert 0 <= wind["strong_in_100"] <= 100


def test_a_rose_is_for_the_place_and_the_day_the_middle_crossing_is_there() -> None:
    outcome = sailed(ROUTES[0])
    days = {day.day: day for day in outcome.by_day}
    for row in winds.table(outcome).to_json()["roses"]:
        before = days[row["day"] - 1].typical_run_nm if row["day"] > 1 else 0.0
        assert before - 1.0 <= row["run_nm"] <= days[row["day"]].typical_run_nm + 1.0
        node = int(np.abs(outcome.ground.track.distance_nm - row["run_nm"]).argmin())
        middle = outcome.crossings.depart + timedelta(days=row["day"] - 0.5)
        expected = rose_on(outcome.ground.climate, node, middle)
        assert expected.mean_wind_kn == pytest.approx(
            row["wind"]["mean_wind_kn"], abs=0.15
        )  # half a day's drift of the month
        strongest = max(row["wind"]["sectors"], key=lambda sector: sector["in_100"])["name"]
        assert strongest == max(expected.sectors, key=lambda sector: sector.share).name


def test_the_south_east_trade_blows_on_the_way_to_st_helena() -> None:
    # Sailing directions for the South Atlantic (M): the south-east trade, steady from SE to SSE, to the island.
    last = winds.table(sailed(ROUTES[0])).roses[-1].wind
    assert "SE" == max(last.sectors, key=lambda sector: sector.share).name
    assert last.sectors[3].in_100 > 50


def on_screen(told: winds.Winds) -> str:
    return blocks_text(winds.SHEET.blocks(told))


def few_on(outcome: Outcome, leg: int) -> Outcome:
    """The same crossings in a climate whose reports are few on one leg."""
    few = outcome.ground.climate.few_reports.copy()
    few[:] = False
    few[:, outcome.ground.track.leg == leg] = True
    return replace(outcome, ground=replace(outcome.ground, climate=replace(outcome.ground.climate, few_reports=few)))


def test_legs_that_rest_on_few_ship_reports_are_named_with_their_miles() -> None:
    outcome = sailed("opua-tonga")
    table = winds.table(few_on(outcome, 1))
    miles = re.search(r"leg 2 for about ([\d,]+) miles", winds.few_words(table))
    assert miles is not None
    # D: every node but the first of the leg, five miles apart.
    assert 1002.0 == pytest.approx(float(miles[1].replace(",", "")), abs=6.0)
    assert all(rose.few_reports for rose in table.roses)
    assert "few ship reports" in on_screen(table)


def test_few_reports_of_months_she_is_not_there_in_do_not_count() -> None:
    outcome = few_on(sailed("opua-tonga"), 1)
    few = outcome.ground.climate.few_reports.copy()
    few[3:5] = False  # she sails it from late April into May
    calm = replace(outcome, ground=replace(outcome.ground, climate=replace(outcome.ground.climate, few_reports=few)))
    assert "No leg rests" in winds.few_words(winds.table(calm))


def test_no_gale_is_given_a_figure_and_strong_wind_has_its_caution() -> None:
    for route in ROUTES:
        text = on_screen(winds.table(sailed(route)))
        assert all(len(line) <= 80 for line in text.splitlines())
        words = " ".join(text.split())
        assert "least sure of these figures" in words
        assert "gales are left out" in words
        assert "34" not in re.sub(r"[\d°.']+[NSEW]|\d+ nm|course \d+|E? ?[\d.]+ kn|[A-Z]{1,2} \d+", "", words)


def test_rare_strong_wind_is_not_called_none() -> None:
    rows = [row.wind for route in ROUTES for row in winds.table(sailed(route)).roses]
    assert {"under 1 hour in 100"} == {winds.strong_words(row) for row in rows if f"{row.strong_in_100}" == "0"}
    assert any(winds.strong_words(row) == "under 1 hour in 100" for row in rows)


def test_a_passage_that_most_never_finish_has_its_roses() -> None:
    assert 6 == len(winds.table(endless_for_most(sailed(ROUTES[1]))).roses)


# ---------------------------------------------------------------- the drawing


def arms(svg: str) -> list[np.ndarray]:
    paths = [path for path in ElementTree.fromstring(svg).iter(f"{SVG}path") if path.get("fill") == "#dcdcdc"]
    return [np.array([list(map(float, p.split())) for p in (path.get("d") or "M")[1:-1].split("L")]) for path in paths]


def test_an_arm_is_as_long_as_its_share_as_broad_as_its_wind_and_points_whence_it_blows() -> None:
    shares = (0.4, 0.0, 0.2, 0.0, 0.1, 0.0, 0.2, 0.0)
    sectors = tuple(Sector(name, share, 20.0 * (share > 0)) for name, share in zip(NAMES, shares, strict=True))
    rose = Rose(18.0, 0.1, 0.0, 0.0, sectors)
    rings, size = rings_for([rose]), 150.0
    north, east, south, west = arms(draw_rose(rose, 0.0, rings, size))
    reach = [np.hypot(*(arm - size / 2).T).max() - HUB for arm in (north, east, south)]
    breadth = 20.0 * 0.6 / 2.0
    assert reach[0] / reach[1] == pytest.approx(2.0, rel=0.02)
    assert reach[1] / reach[2] == pytest.approx(2.0, rel=0.05)  # the arm's corners stand out beside its middle
    assert np.ptp(north[:, 0]) == pytest.approx(2.0 * breadth, abs=0.02)
    assert north[:, 1].min() < size / 2 - HUB  # north is up
    assert east[:, 0].max() > size / 2 + HUB  # and east to the right
    assert west[:, 0].min() < size / 2 - HUB


@pytest.mark.parametrize("longest", [0.12, 0.34, 0.9])
def test_rings_hold_the_longest_arm_and_are_few(longest: float) -> None:
    sectors = tuple(Sector(name, longest if name == "N" else 0.0, 10.0) for name in NAMES)
    rings = rings_for([Rose(10.0, 0.1, 0.0, 0.0, sectors)])
    assert longest <= rings.step * rings.number + 1e-9 < longest + rings.step + 1e-9
    assert rings.number <= 5


def test_all_of_a_rose_stays_on_its_square() -> None:
    for rose in (wind_rose(0.0, 12.0, 1.0), wind_rose(0.0, 0.0, 8.0)):
        rings = rings_for([rose])
        for course in (0.0, 45.0, 137.0):
            for path in ElementTree.fromstring(draw_rose(rose, course, rings, 150.0)).iter(f"{SVG}path"):
                points = np.array(re.findall(r"(-?[\d.]+) (-?[\d.]+)", path.get("d") or ""), dtype=float)
                assert (points >= 0.0).all()
                assert (points <= 150.0).all()


def test_neither_her_dart_nor_the_n_stands_on_a_number() -> None:
    """A wind dead ahead has the longest arm and the dart in one direction, by north with the N as well."""
    sectors = tuple(Sector(name, 0.5 if name in ("N", "E") else 0.0, 20.0) for name in NAMES)
    rose = Rose(20.0, 0.0, 0.0, 0.0, sectors)
    for course in (0.0, 90.0):
        drawn = ElementTree.fromstring(draw_rose(rose, course, rings_for([rose]), 150.0))
        words = [(text.text, float(text.get("x") or 0), float(text.get("y") or 0)) for text in drawn.iter(f"{SVG}text")]
        black = [path for path in drawn.iter(f"{SVG}path") if path.get("fill") not in (None, "none", "#dcdcdc", "#fff")]
        dart = np.array([list(map(float, p.split())) for p in (black[-1].get("d") or "M")[1:-1].split("L")])
        for word, x, y in words:
            clear = (dart[:, 0] < x - 5.0) | (dart[:, 0] > x + 5.0) | (dart[:, 1] > y) | (dart[:, 1] < y - 6.0)
            assert clear.all(), (course, word)


def test_there_is_a_drawing_for_each_rose() -> None:
    outcome = sailed(ROUTES[1])
    drawn = winds.drawings(outcome, {}, Room(500.0, 700.0))
    assert [f"rose-{row.rose}" for row in winds.table(outcome).roses] == list(drawn)
