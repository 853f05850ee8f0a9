"""The chart: its projection against rhumb sailing, and names that leave lines and each other alone on any ocean."""

from __future__ import annotations

import socket
from itertools import combinations, pairwise
from typing import TYPE_CHECKING
from xml.etree import ElementTree

import numpy as np
import pytest
from matplotlib.patches import PathPatch

from passage.consequences.times import Day
from passage.draw.chart import Besides, Chart, Place, Way, draw_chart, every_days
from passage.draw.labels import LEADER_AT, Label, extent_pt
from passage.plan.charts import passage_chart, plotting_sheet, way_of
from passage.plan.face import width_em
from passage.sailings.rhumb import inverse
from passage.sailings.track import Leg, Track, lay_track
from tests.crossing_cases import DEPART
from tests.plan_cases import ROUTES, sailed

if TYPE_CHECKING:
    from collections.abc import Sequence

SVG = "{http://www.w3.org/2000/svg}"
WIDE, HIGH = 504.0, 640.0


def chart_of(route: str, high: float = HIGH) -> Chart:
    return draw_chart([way_of(sailed(route))], WIDE, high)


def run(track: Track, day: int, *least_typical_most_nm: float) -> Day:
    return Day(track, DEPART, day, *least_typical_most_nm, 0.0)


def invented(*legs: tuple[float, float, float, float], names: Sequence[str] = ()) -> Chart:
    """A chart of rhumb lines between invented places, with an invented run of crossings."""
    track = lay_track([Leg(*leg, "rhumb line") for leg in legs])
    ends = [legs[0][:2], *(leg[2:] for leg in legs)]
    words = names or [f"place {number}" for number in range(len(ends))]
    step = track.length_nm / 16
    days = [
        run(track, day, step * day * 0.8, step * day, min(step * day * 1.2, track.length_nm)) for day in range(1, 17)
    ]
    places = [Place(word, *end) for word, end in zip(words, ends, strict=True)]
    return draw_chart([Way(track, places, days)], WIDE, HIGH, Besides(inset=True))


# ---------------------------------------------------------------- the projection


def test_a_rhumb_line_is_straight_at_its_own_course_on_the_paper() -> None:
    track = lay_track([Leg(-34.0, 18.0, -16.0, -5.0, "rhumb line")])
    chart = draw_chart([Way(track, [])], WIDE, HIGH)
    step = np.diff(chart.xy(track.lat_deg, track.lon_deg), axis=0)
    drawn_deg = np.degrees(np.arctan2(step[:, 0], -step[:, 1])) % 360.0
    assert drawn_deg == pytest.approx(inverse(-34.0, 18.0, -16.0, -5.0).initial_course_deg, abs=0.01)


@pytest.mark.parametrize("lat_deg", [0.0, -35.0, 62.0, 76.0])
def test_a_mile_is_as_long_north_and_south_as_east_and_west(lat_deg: float) -> None:
    """Both projections are conformal; five miles either way, tolerance what the scale changes over them."""
    track = lay_track([Leg(lat_deg - 3, 0.0, lat_deg + 3, 8.0, "rhumb line")])
    chart = draw_chart([Way(track, [])], WIDE, HIGH)
    north = 1.0 / 12.0 / inverse(lat_deg, 4.0, lat_deg + 1.0 / 12.0, 4.0).distance_nm
    east = 1.0 / 12.0 / inverse(lat_deg, 4.0, lat_deg, 4.0 + 1.0 / 12.0).distance_nm
    here, up, over = chart.xy(np.array([lat_deg, lat_deg + 5 * north, lat_deg]), np.array([4.0, 4.0, 4.0 + 5 * east]))
    assert np.hypot(*(over - here)) == pytest.approx(np.hypot(*(up - here)), rel=0.003)


@pytest.mark.parametrize(("lats", "lons"), [((10, 20), (0, 60)), ((-60, 60), (0, 1)), ((5, 5.01), (3, 3.01))])
def test_the_whole_track_lies_in_the_frame_with_room_about_it(lats: Sequence[float], lons: Sequence[float]) -> None:
    track = lay_track([Leg(lats[0], lons[0], lats[1], lons[1], "rhumb line")])
    chart = draw_chart([Way(track, [])], WIDE, HIGH)
    left, bottom, right, top = chart.paper.frame
    points = chart.paper.at(np.array(lats), np.array(lons))
    assert (points > [left + 20, bottom + 20]).all()
    assert (points < [right - 20, top - 20]).all()


def test_a_track_far_north_is_seen_from_above_and_keeps_its_land() -> None:
    chart = invented((70.3, 18.0, 78.0, 10.0))
    assert "Stereographic" == type(chart.paper.axis.projection).__name__
    assert {"Svalbard"} <= {label.words for label in chart.placed}


# ---------------------------------------------------------------- names


OCEANS = [
    [(-44.0, 147.0, -46.0, 170.0), (-46.0, 170.0, -41.0, -175.0)],  # over 180 degrees in the Southern Ocean
    [(60.0, -45.0, 78.0, 15.0)],  # high latitudes
    [(28.0, -16.0, 13.0, -59.0)],
    [(2.0, 179.0, -2.0, -179.0), (-2.0, -179.0, 1.0, -178.0), (1.0, -178.0, 4.0, 179.5)],  # back over 180
    [(50.0, -5.0, 50.2, -5.3)],  # a day's sail
    [(10.0, -80.0, -10.0, 120.0)],  # a third of the way round
    [(64.2, -22.2, 64.8, -24.5), (64.8, -24.5, 66.7, -23.5), (66.7, -23.5, 69.9, 17.5)],  # close waypoints at one end
    [(-8.0, -8.0, 8.0, 8.0), (8.0, 8.0, 8.0, -8.0), (8.0, -8.0, -8.0, 8.0), (-8.0, 8.0, -8.0, -7.9)],  # full of track
]


@pytest.mark.parametrize("route", ROUTES)
def test_no_name_lies_on_the_track_or_another_name(route: str) -> None:
    assert_clear(chart_of(route), len(sailed(route).facts.voyage.waypoints))


@pytest.mark.parametrize("legs", OCEANS)
def test_names_keep_clear_on_charts_of_any_ocean(legs: list[tuple[float, float, float, float]]) -> None:
    assert_clear(invented(*legs), len(legs) + 1)


def test_long_and_strange_names_keep_clear_too_by_a_number_where_they_must() -> None:
    names = ["W" * 80, "Nukuʻalofa, Ava Lahi, Motutapu i te Āʻaʻa, by the reef", "#1 <b>&amp;</b>"]
    chart = invented((-20.0, 10.0, -25.0, 14.0), (-25.0, 14.0, -24.0, 18.0), names=names)
    assert_clear(chart, 3)
    assert "W" * 80 in chart.key
    assert "1" in {label.words for label in chart.placed}
    assert "&lt;b&gt;&amp;amp;&lt;/b&gt;" in chart.svg()


def box_of(label: Label) -> tuple[float, float, float, float]:
    wide, high = extent_pt(label.words, label.size, label.bold)
    return label.x - wide / 2.0, label.y - high / 2.0, label.x + wide / 2.0, label.y + high / 2.0


def holds(box: tuple[float, float, float, float], points: np.ndarray) -> bool:  # type: ignore[type-arg]
    x, y = np.atleast_2d(points).T
    return bool(((x > box[0]) & (x < box[2]) & (y > box[1]) & (y < box[3])).any())


def assert_clear(chart: Chart, waypoints: int) -> None:
    """Every waypoint is named or numbered, and no name lies on the track, outside the frame or over another."""
    left, bottom, right, top = chart.paper.frame
    assert len(chart.placed) >= waypoints
    for label in chart.placed:
        box = box_of(label)
        assert left <= box[0] and box[2] <= right and bottom <= box[1] and box[3] <= top, label.words
    for one, other in combinations(chart.placed, 2):
        a, b = box_of(one), box_of(other)
        assert not (a[0] < b[2] and a[2] > b[0] and a[1] < b[3] and a[3] > b[1]), (one.words, other.words)


@pytest.mark.parametrize("route", ROUTES)
def test_a_name_keeps_off_the_track_and_its_line_off_other_names(route: str) -> None:
    chart, track = chart_of(route), sailed(route).ground.track
    nodes = chart.paper.at(track.lat_deg, np.unwrap(track.lon_deg, period=360.0))
    line = np.concatenate([np.linspace(a, b, 20) for a, b in pairwise(nodes)])
    for label in chart.placed:
        assert not holds(box_of(label), line), label.words
        if label.leader:
            ahead = np.array([(label.x - label.place[0]), (label.y - label.place[1])])
            points = np.array([np.array(label.place) + share * ahead for share in LEADER_AT])
            assert not any(holds(box_of(other), points) for other in chart.placed if other is not label)


def test_boxes_hold_the_words_as_the_paper_s_own_face_draws_them() -> None:
    for words in ("Nukuʻalofa", "off Green Point, Table Bay"):
        for bold in (False, True):
            assert width_em(words, bold) * 9.0 == pytest.approx(extent_pt(words, 9.0, bold)[0], abs=0.02)


# ---------------------------------------------------------------- what is drawn


def words_of(svg: str) -> list[str]:
    return ["".join(text.itertext()).strip() for text in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def test_the_border_names_degrees_over_180_from_both_sides() -> None:
    assert {"175°E", "180°", "175°W", "25°S"} <= set(words_of(chart_of("opua-tonga").svg()))


def marked(chart: Chart) -> list[str]:
    return [label.words for label in chart.placed if label.words.startswith("day ")]


def test_ellipses_stand_on_every_fifth_day_until_half_the_crossings_are_in() -> None:
    outcome = sailed(ROUTES[0])
    length_nm = outcome.ground.track.length_nm
    expected = [f"day {day.day}" for day in outcome.by_day if day.day % 5 == 0 and day.typical_run_nm < length_nm - 1.0]
    assert expected == marked(chart_of(ROUTES[0]))
    assert len(expected) >= 3


@pytest.mark.parametrize(("days", "every"), [(2, 1), (5, 1), (9, 2), (56, 10)])
def test_a_short_passage_is_marked_oftener_and_a_long_one_less(days: int, every: int) -> None:
    track = lay_track([Leg(0.0, -20.0, 10.0, -20.0, "rhumb line")])
    step = track.length_nm / (days + 0.5)
    runs = [run(track, day, step * day * 0.95, step * day, step * day * 1.02) for day in range(1, days + 1)]
    assert every == every_days(runs)


def test_an_ellipse_is_as_long_as_8_crossings_in_10_lie_apart() -> None:
    """On the equator eastward a minute of longitude is a mile, but for the ellipsoid's 0.2 per cent (D)."""
    track = lay_track([Leg(0.0, 0.0, 0.0, 10.0, "rhumb line")])
    chart = draw_chart([Way(track, [], [run(track, 1, 240.0, 300.0, 420.0)])], WIDE, HIGH)
    ends = chart.paper.at(np.zeros(2), np.array([4.0, 7.0]))[:, 0]
    drawn = [line.get_xydata() for line in chart.figure.get_children() if hasattr(line, "get_xydata")]
    ellipse = next(points for points in drawn if len(points) == 67)
    assert [ellipse[:, 0].min(), ellipse[:, 0].max()] == pytest.approx(list(ends), abs=0.5)


def test_a_second_track_is_broken_and_both_are_named_whatever_their_longitudes_turn_by() -> None:
    for turn in (0.0, 360.0):
        ways = [
            Way(
                lay_track([Leg(-35.0, 174.0, bend, -179.0), Leg(bend, -179.0, -20.0, -174.0)]),
                [Place("from here", -35.0, 174.0 + turn), Place("to there", -20.0, -174.0)],
                word=word,
            )
            for bend, word in ((-28.0, "drawn"), (-25.0, "found"))
        ]
        chart = draw_chart(ways, WIDE, HIGH)
        assert {"drawn", "found", "from here", "to there"} <= {label.words for label in chart.placed}
        assert 'stroke-dasharray="9,4.5"' in chart.svg()


def test_small_islands_do_not_vanish() -> None:
    """St Helena is ten miles long: on an ocean chart there is land where it lies (16 S 5.7 W)."""
    chart = chart_of(ROUTES[0])
    island = chart.paper.at(np.array([-15.96]), np.array([-5.71]))[0]
    drawn = [patch for patch in chart.paper.axis.get_children() if isinstance(patch, PathPatch)]
    land = np.concatenate([patch.get_path().vertices for patch in drawn])
    assert np.hypot(*(land - island).T).min() < 4.0


def test_the_drawing_is_the_same_each_time_small_and_asks_nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*arguments: object) -> None:
        raise AssertionError("a chart asks the network for nothing")

    monkeypatch.setattr(socket, "socket", refuse)
    for route in ROUTES:
        svg, key = passage_chart(sailed(route))
        assert (svg, key) == passage_chart(sailed(route))
        assert len(svg) < 200_000


def test_a_plotting_sheet_has_every_day_and_no_land() -> None:
    outcome = sailed(ROUTES[1])
    words = words_of(plotting_sheet(outcome)[0])
    days = [f"day {day.day}" for day in outcome.by_day if not day.typical_in]
    assert len(days) > 5
    assert sum(day in words for day in days) >= len(days) - 2  # where two lie over one another
    assert "Madeira" not in words


def test_roses_refuges_and_the_lines_of_variation_are_on_the_chart_of_the_passage() -> None:
    words = words_of(passage_chart(sailed(ROUTES[0]))[0])
    assert {"A", "B", "Lüderitz", "var 15°W", "St Helena"} <= set(words)
