"""Depth lines and walls on the chart, held against depths that any chart of the place gives and against the basins."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
import shapely

from passage.draw.chart import Besides, Chart, Place, Way, draw_chart
from passage.draw.waters import Wall, depth_lines
from passage.inputs.search import Box
from passage.plan.charts import _all, way_of
from passage.plan.sheets.chart import SHEET, chart_card
from passage.sailings.track import Leg, lay_track
from passage.tell.terminal import blocks_text
from tests.plan_cases import sailed

# Depths of well-known waters, in round figures that atlases agree on (M)
SHELVES = {"Agulhas Bank": (-35.5, 21.0), "Grand Banks": (45.5, -51.0), "Celtic Sea": (50.0, -8.0)}
DEEPS = {"Cape Basin": (-32.0, 5.0), "Iberian abyssal plain": (41.0, -15.0), "South Fiji Basin": (-26.0, 175.5)}
GORRINGE = 36.53, -11.57  # some 25 m (M)


def miles_to_line(depth_m: int, lat_deg: float, lon_deg: float) -> float:
    """Roughly: degrees of latitude, longitude shrunk."""
    points = np.concatenate(depth_lines(depth_m)) - (lat_deg, lon_deg)
    return 60.0 * float(np.hypot(points[:, 0], points[:, 1] * np.cos(np.radians(lat_deg))).min())


def within(depth_m: int, lat_deg: float, lon_deg: float) -> bool:
    """Whether closed lines of that depth run round the place, one more than none: shoaler than it, or deeper."""
    rings = [shapely.Polygon(line) for line in depth_lines(depth_m) if len(line) > 3 and (line[0] == line[-1]).all()]
    return bool(sum(ring.contains(shapely.Point(lat_deg, lon_deg)) for ring in rings) % 2)


@pytest.mark.parametrize("place", [*SHELVES.values(), *DEEPS.values()], ids=[*SHELVES, *DEEPS])
def test_shelves_and_deeps_lie_well_off_the_lines(place: tuple[float, float]) -> None:
    assert miles_to_line(200, *place) > 15.0


def test_the_edge_of_a_shelf_lies_where_it_is() -> None:
    """South of Cape Agulhas the bank ends some 130 miles out, near 36 50 S on 21 E (M; a mesh of 5 miles)."""
    line = np.concatenate(depth_lines(200))
    near = line[(np.abs(line[:, 1] - 21.0) < 0.3) & (line[:, 0] < -35.0) & (line[:, 0] > -38.0)]
    assert -36.8 == pytest.approx(float(near[:, 0].mean()), abs=0.4)


def test_a_steep_bank_is_missing_and_the_chart_says_that_banks_are() -> None:
    assert miles_to_line(200, *GORRINGE) > 20.0
    told = blocks_text(chart_card(SHEET.table(sailed("lagos-azores"))))
    assert "misses banks: no line is no promise of depth" in " ".join(told.split())


def edges(chart: Chart) -> list[shapely.Geometry]:
    """What bears ticks, on the paper."""
    patches = [patch for patch in chart.paper.axis.patches if patch.get_path_effects()]
    return [shapely.LineString(patch.get_path().vertices) for patch in patches]


def test_the_season_that_a_passage_meets_is_walled_off_with_its_days() -> None:
    """From Opua on 24 April into the South Pacific's season, which ends on 30 April and begins at 30 S."""
    outcome = sailed("opua-tonga")
    chart = draw_chart([way_of(outcome)], 504.0, 450.0, _all(outcome)._replace(roses=()))
    assert "cyclone season, 1 November to 30 April" in {label.words for label in chart.placed}
    (edge,) = edges(chart)
    height = chart.paper.at(np.array([-30.0]), np.array([178.0]))[0, 1]
    assert [height, height] == pytest.approx([edge.bounds[1], edge.bounds[3]], abs=0.2)


def test_out_of_season_nothing_is_walled_off() -> None:
    outcome = sailed("cape-town-st-helena")
    chart = draw_chart([way_of(outcome)], 504.0, 450.0, _all(outcome)._replace(roses=()))
    assert [] == edges(chart)
    assert not [label for label in chart.placed if "cyclone" in label.words]


def test_a_box_of_the_track_file_is_walled_off_on_its_days() -> None:
    outcome = sailed("opua-tonga")
    met, later = (outcome.crossings.depart.date() + timedelta(days=days) for days in (2, 200))
    for day, expected in ((met, True), (later, False)):
        ice = Box(name="ice", south="90 S", north="60 S", **{"from": f"{day:%d %B}", "until": f"{day:%d %B}"})  # type: ignore[arg-type]
        limits = outcome.facts.limits.model_copy(update={"boxes": (ice,)})
        changed = replace(outcome, facts=replace(outcome.facts, limits=limits))
        assert expected is (Wall("ice", [(-180.0, -90.0, 180.0, -60.0)]) in _all(changed).walls)


def test_walls_over_180_degrees_lie_on_the_charts_own_turn() -> None:
    track = lay_track([Leg(-20.0, 175.0, -20.0, -175.0, "rhumb line")])
    chart = draw_chart(
        [Way(track, [Place("a", -20.0, 175.0)])],
        504.0,
        450.0,
        Besides(walls=[Wall("wall", [(-178.0, -40.0, -100.0, 0.0)])]),
    )
    (edge,) = edges(chart)
    x = chart.paper.at(np.array([-20.0]), np.array([182.0]))[0, 0]
    assert [x, x] == pytest.approx([edge.bounds[0], edge.bounds[2]], abs=0.2)
