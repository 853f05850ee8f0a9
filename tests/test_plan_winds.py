"""The roses along the track: in figures what the closed form says, on paper what the figures say."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np
import pytest
from matplotlib.lines import Line2D

from passage.crossings.rose import Rose, Sector, rose_on
from passage.draw.paper import blank
from passage.draw.roses import HUB_PT, ROSE_PT, draw_rose, longest_share
from passage.plan.sheets import winds
from passage.tell.blocks import Grid, Medium, shown_on
from passage.tell.terminal import blocks_text
from tests.plan_cases import ROUTES, endless_for_most, sailed

if TYPE_CHECKING:
    from passage.road import Outcome

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


def strokes(rose: Rose, longest: float) -> list[np.ndarray]:
    """Every line of a rose drawn in the middle of a sheet, from there."""
    paper = blank(np.array([0.0, 10.0]), np.array([0.0, 10.0]), 300.0, 300.0)
    before = set(paper.figure.get_children())
    draw_rose(paper, rose, (150.0, 150.0), longest)
    drawn = [child for child in paper.figure.get_children() if child not in before and isinstance(child, Line2D)]
    return [np.asarray(line.get_xydata()) - 150.0 for line in drawn if len(line.get_xydata()) == 2]


def test_an_arm_is_as_long_as_its_share_barbed_by_its_wind_and_points_whence_it_blows() -> None:
    sectors = tuple(
        Sector(name, share, 20.0) for name, share in zip(NAMES, (0.4, 0, 0.2, 0, 0, 0, 0.1, 0), strict=True)
    )
    lines = strokes(Rose(20.0, 0.3, 0.0, 0.0, sectors), 0.4)
    arms = [line for line in lines if np.hypot(*line[0]) == pytest.approx(HUB_PT)]
    north, east, west = (line[1] for line in arms)
    reach = ROSE_PT - HUB_PT
    assert list(north) == pytest.approx([0.0, ROSE_PT], abs=1e-9)
    assert list(east) == pytest.approx([HUB_PT + reach / 2, 0.0], abs=1e-9)
    assert list(west) == pytest.approx([-HUB_PT - reach / 4, 0.0], abs=1e-9)
    assert 3 * 4 == len(lines) - len(arms)  # 20 knots: four barbs of five each


def test_the_longest_arm_of_all_roses_is_the_scale() -> None:
    roses = [there.wind for there in winds.table(sailed(ROUTES[0])).roses]
    assert max(sector.share for rose in roses for sector in rose.sectors) == longest_share(roses)
    assert all(
        np.hypot(*line.T).max() <= ROSE_PT + 4.0 for rose in roses for line in strokes(rose, longest_share(roses))
    )


def test_the_table_on_paper_gives_every_direction_of_every_rose() -> None:
    told = winds.table(sailed(ROUTES[1]))
    table = next(block for block in shown_on(Medium.PAPER, winds.SHEET.blocks(told)) if isinstance(block, Grid))
    assert len(told.roses) == len(table.rows)
    assert [str(there.wind.calm_in_100) for there in told.roses] == [row[11] for row in table.rows]
