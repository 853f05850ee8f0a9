"""The chart: Mercator's projection against closed forms, and labels that leave lines and each other alone."""

from __future__ import annotations

import re
from itertools import combinations
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from passage.consequences.times import Day
from passage.plan import mercator
from passage.plan.chart import BORDER, BROKEN, LEFT, TOP, Chart, Place, Way, draw_chart
from passage.plan.labels import LEADER_FROM, LINE_HEIGHT, Placed, nearest_point, overlap, within
from passage.sailings.rhumb import inverse
from passage.sailings.track import Leg, Track, lay_track
from tests.crossing_cases import DEPART
from tests.plan_cases import ROUTES, sailed

SVG = "{http://www.w3.org/2000/svg}"
SHEETS = [(504.0, 640.0), (521.0, 580.0)]


def chart_of(route: str, width: float = 504.0, height: float = 640.0) -> Chart:
    outcome = sailed(route)
    places = [Place(waypoint.name, *waypoint.position) for waypoint in outcome.facts.voyage.waypoints]
    return draw_chart(outcome.ground.track, places, outcome.by_day, width, height)


def run(track: Track, day: int, *least_typical_most_nm: float) -> Day:
    return Day(track, DEPART, day, *least_typical_most_nm, 0.0)


def invented(*legs: tuple[float, float, float, float], names: list[str] | None = None) -> Chart:
    """A chart of rhumb lines between invented places, with an invented run of crossings."""
    track = lay_track([Leg(*leg, "rhumb line") for leg in legs])
    ends = [legs[0][:2], *(leg[2:] for leg in legs)]
    words = names or [f"place {number}" for number in range(len(ends))]
    step = track.length_nm / 16
    days = [
        run(track, day, step * day * 0.8, step * day, min(step * day * 1.2, track.length_nm)) for day in range(1, 17)
    ]
    return draw_chart(track, [Place(word, *end) for word, end in zip(words, ends, strict=True)], days, 504.0, 640.0)


# ---------------------------------------------------------------- the projection


def test_meridional_parts_between_the_table_s_rows_are_those_of_rhumb_sailing() -> None:
    """To a hundredth of a minute up to 60 degrees: no pen draws that."""
    from passage.sailings.rhumb import meridional_parts

    for lat_deg in (-59.97, -33.333, 0.05, 17.77, 59.999):
        assert meridional_parts(lat_deg) == pytest.approx(float(mercator.parts(lat_deg)), abs=0.01)
        assert lat_deg == pytest.approx(float(mercator.latitude_deg(mercator.parts(lat_deg))), abs=1e-9)


def test_a_rhumb_line_is_straight_at_its_own_course_on_the_paper() -> None:
    track = lay_track([Leg(-34.0, 18.0, -16.0, -5.0, "rhumb line")])
    chart = mercator.fit(track.lat_deg, track.lon_deg, (0.0, 0.0, 500.0, 600.0))
    step = np.diff(chart.xy(track.lat_deg, track.lon_deg), axis=0)
    drawn_deg = np.degrees(np.arctan2(step[:, 0], -step[:, 1])) % 360.0
    assert drawn_deg == pytest.approx(inverse(-34.0, 18.0, -16.0, -5.0).initial_course_deg, abs=0.01)


@pytest.mark.parametrize("lat_deg", [0.0, -35.0, 62.0])
def test_a_mile_is_as_long_north_and_south_as_east_and_west(lat_deg: float) -> None:
    """Mercator is conformal; five miles either way, tolerance what the scale changes over them."""
    chart = mercator.fit(np.array([lat_deg - 5, lat_deg + 5]), np.array([0.0, 8.0]), (0.0, 0.0, 500.0, 500.0))
    dlat = 5.0 / inverse(lat_deg, 0.0, lat_deg + 1.0 / 60.0, 0.0).distance_nm / 60.0
    northwards = abs(float(np.diff(chart.xy([lat_deg, lat_deg + dlat], [4.0, 4.0])[:, 1])[0])) / 5.0
    assert chart.points_per_mile(lat_deg) == pytest.approx(northwards, rel=0.003)


def test_the_whole_track_lies_in_the_frame_with_room_about_it() -> None:
    frame = (40.0, 20.0, 440.0, 520.0)
    for lats, lons in (([10.0, 20.0], [0.0, 60.0]), ([-60.0, 60.0], [0.0, 1.0]), ([5.0, 5.01], [3.0, 3.01])):
        chart = mercator.fit(np.array(lats), np.array(lons), frame)
        points = chart.xy(lats, lons)
        assert (points > [frame[0] + 20, frame[1] + 20]).all()
        assert (points < [frame[2] - 20, frame[3] - 20]).all()


@pytest.mark.parametrize(
    ("minutes", "letters", "words"),
    [
        (1200, "NS", "20° N"),
        (-1230, "NS", "20°30′ S"),
        (0, "NS", "0°"),
        (10800, "EW", "180°"),
        (-10800, "EW", "180°"),
        (11100, "EW", "175° W"),
        (-11100, "EW", "175° E"),
    ],
)
def test_degrees_are_written_as_on_a_chart_s_border(minutes: int, letters: str, words: str) -> None:
    assert words == mercator.degree_words(minutes, letters)


# ---------------------------------------------------------------- labels


@pytest.mark.parametrize("sheet", SHEETS)
@pytest.mark.parametrize("route", ROUTES)
def test_no_label_lies_on_the_track_or_a_bracket_or_another_label(route: str, sheet: tuple[float, float]) -> None:
    assert_clear(chart_of(route, *sheet))


@pytest.mark.parametrize(
    "legs",
    [
        [(-44.0, 147.0, -46.0, 170.0), (-46.0, 170.0, -41.0, -175.0)],  # over 180 degrees in the Southern Ocean
        [(60.0, -45.0, 78.0, 15.0)],  # high latitudes
        [(28.0, -16.0, 13.0, -59.0)],
        [(2.0, 179.0, -2.0, -179.0), (-2.0, -179.0, 1.0, -178.0), (1.0, -178.0, 4.0, 179.5)],  # back over 180
        [(50.0, -5.0, 50.2, -5.3)],  # a day's sail
        [(10.0, -80.0, -10.0, 120.0)],  # a third of the way round
        [
            (64.2, -22.2, 64.8, -24.5),
            (64.8, -24.5, 66.7, -23.5),
            (66.7, -23.5, 69.9, 17.5),
        ],  # close waypoints at one end
    ],
)
def test_labels_keep_clear_on_charts_of_any_ocean(legs: list[tuple[float, float, float, float]]) -> None:
    assert_clear(invented(*legs))


def test_long_and_strange_names_keep_clear_too() -> None:
    names = ["W" * 80, "Nukuʻalofa, Ava Lahi, Motutapu i te Āʻaʻa, by the reef", "#1 <b>&amp;</b>"]
    chart = invented((-20.0, 10.0, -25.0, 14.0), (-25.0, 14.0, -24.0, 18.0), names=names)
    assert_clear(chart)
    assert "&lt;b&gt;&amp;amp;&lt;/b&gt;" in chart.svg


def assert_clear(chart: Chart) -> None:
    assert () == chart.unplaced
    assert len(chart.labels) > 1
    for label in chart.labels:
        assert not within(chart.lines, label.box, clear=0.0), label.wanted.words
        left, top, right, bottom = label.box
        assert chart.frame[0] <= left and right <= chart.frame[2]
        assert chart.frame[1] <= top and bottom <= chart.frame[3]
    if chart.scale is not None:
        assert not within(chart.lines, chart.scale, clear=0.0)
        assert not any(overlap(chart.scale, label.box, clear=0.0) for label in chart.labels)
    for one, other in combinations(chart.labels, 2):
        assert not overlap(one.box, other.box, clear=0.0), (one.wanted.words, other.wanted.words)
        assert not within(leader_of(one), other.box, clear=0.0), (one.wanted.words, other.wanted.words)
        assert not within(leader_of(other), one.box, clear=0.0), (other.wanted.words, one.wanted.words)


def leader_of(label: Placed) -> Any:
    """Points along the thin line from a label to its place; none where it stands close."""
    wanted = label.wanted
    start, end = np.array([wanted.x, wanted.y]), np.array(nearest_point(label.box, wanted.x, wanted.y))
    if np.hypot(*(end - start)) <= LEADER_FROM:
        return np.empty((0, 2))
    return start + (end - start) * np.linspace(0.0, 1.0, 200)[:, None]


def test_a_label_on_a_line_would_be_noticed() -> None:
    chart = chart_of(ROUTES[0])
    x, y = chart.lines[len(chart.lines) // 2]
    assert within(chart.lines, (x - 1, y - 1, x + 1, y + 1), clear=0.0)
    assert overlap(chart.labels[0].box, chart.labels[0].box)


def test_boxes_hold_the_words_as_drawn() -> None:
    """The widths that labels reckon with are the face's own advances."""
    from passage.plan.face import width_em

    for label in chart_of(ROUTES[2]).labels:
        widest = max(width_em(line, label.wanted.bold) for line in label.lines) * label.wanted.size
        assert widest == pytest.approx(label.box[2] - label.box[0])
        tall = len(label.lines) * LINE_HEIGHT * label.wanted.size
        assert tall == pytest.approx(label.box[3] - label.box[1])


def test_each_label_stands_near_what_it_names() -> None:
    for route in ROUTES:
        for label in chart_of(route).labels:
            x, y = nearest_point(label.box, label.wanted.x, label.wanted.y)
            assert np.hypot(x - label.wanted.x, y - label.wanted.y) < 60.0


# ---------------------------------------------------------------- what is drawn


def words_of(chart: Chart) -> list[str]:
    return [text.text or "" for text in ElementTree.fromstring(chart.svg).iter(f"{SVG}text")]


def test_the_border_names_degrees_over_180_from_both_sides() -> None:
    words = words_of(chart_of("opua-tonga"))
    assert {"175° E", "180°", "175° W", "25° S"} <= set(words)


def bracketed(chart: Chart) -> list[str]:
    return [label.wanted.words for label in chart.labels if "day" in label.wanted.words]


def test_brackets_stand_on_every_fifth_day_until_half_the_crossings_are_in() -> None:
    outcome = sailed(ROUTES[0])
    length_nm = outcome.ground.track.length_nm
    expected = [f"day {day.day}" for day in outcome.by_day if day.day % 5 == 0 and day.typical_run_nm < length_nm - 1.0]
    assert expected == bracketed(chart_of(ROUTES[0]))
    assert len(expected) >= 3


@pytest.mark.parametrize(
    ("days", "marked"), [(2, [1, 2]), (5, [1, 2, 3, 4, 5]), (9, [2, 4, 6, 8]), (56, [10, 20, 30, 40, 50])]
)
def test_a_short_passage_is_marked_oftener_and_a_long_one_less(days: int, marked: list[int]) -> None:
    track = lay_track([Leg(0.0, -20.0, 10.0, -20.0, "rhumb line")])
    step = track.length_nm / (days + 0.5)
    runs = [run(track, day, step * day * 0.95, step * day, step * day * 1.02) for day in range(1, days + 1)]
    chart = draw_chart(track, [Place("from", 0.0, -20.0), Place("to", 10.0, -20.0)], runs, 504.0, 640.0)
    assert [f"day {day}" for day in marked] == bracketed(chart)


def test_a_short_passage_is_drawn_through_its_waypoints() -> None:
    """Nodes stand some five miles apart; on a large scale a corner cut between them would be seen."""
    chart = invented((50.1, -5.02, 49.9, -5.13), (49.9, -5.13, 48.7, -4.83), (48.7, -4.83, 48.64, -4.67))
    for label in chart.labels:
        if label.wanted.words.startswith("place"):
            off = np.hypot(*(chart.lines - (label.wanted.x, label.wanted.y)).T)
            assert off.min() < 1.0, label.wanted.words


def strokes(chart: Chart, width: str = "0.8") -> int:
    paths = ElementTree.fromstring(chart.svg).iter(f"{SVG}path")
    return sum(path.get("stroke-width") == width and (path.get("d") or "").count("L") == 1 for path in paths)


def test_a_stroke_stands_across_the_track_for_every_day_at_sea() -> None:
    for route in ROUTES:
        outcome = sailed(route)
        length_nm = outcome.ground.track.length_nm
        at_sea = sum(day.typical_run_nm < length_nm - 1.0 for day in outcome.by_day)
        assert at_sea == strokes(chart_of(route)) >= 8


def beside(*turns: float) -> Chart:
    """Two invented tracks over 180 degrees, their longitudes written by different conventions."""
    drawn, found = (
        lay_track([Leg(-35.0, 174.0 + turn, bend, -179.0 + turn), Leg(bend, -179.0 + turn, -20.0, -174.0 + turn)])
        for bend, turn in zip((-28.0, -25.0), turns, strict=True)
    )
    ends = Place("from here", -35.0, 174.0), Place("to there", -20.0, -174.0)
    runs = [
        [run(track, day, 90.0 * day, 100.0 * day, 110.0 * day) for day in range(1, number)]
        for track, number in ((drawn, 11), (found, 10))
    ]
    return draw_chart(drawn, ends, runs[0], 504.0, 640.0, Way(found, [Place("found 1", -25.0, -179.0)], runs[1]))


@pytest.mark.parametrize("turns", [(0.0, 0.0), (0.0, 360.0), (360.0, 0.0)])
def test_a_second_track_is_broken_and_both_are_ticked_and_named(turns: tuple[float, float]) -> None:
    chart = beside(*turns)
    assert 1 == chart.svg.count(f'stroke-dasharray="{BROKEN}"')
    words = [label.wanted.words for label in chart.labels]
    assert {"day 4 drawn", "day 4 found", "found 1"} <= set(words)
    assert 19 == strokes(chart)
    assert_clear(chart)
    left, _, right, _ = chart.frame
    assert ((chart.lines[:, 0] > left) & (chart.lines[:, 0] < right)).all()


def test_the_scale_of_miles_agrees_with_the_graticule() -> None:
    """At the lowest latitude of the block its length is so many minutes of longitude as sailing makes of its miles."""
    chart = mercator.fit(np.array([-34.0, -16.0]), np.array([-6.0, 18.0]), (41.0, 19.0, 463.0, 600.0))
    lat_deg = -30.0
    minutes = 200.0 / inverse(lat_deg, 0.0, lat_deg, 1.0).distance_nm * 60.0
    across = float(np.diff(chart.xy([lat_deg, lat_deg], [0.0, minutes / 60.0])[:, 0])[0])
    assert across == pytest.approx(200.0 * chart.points_per_mile(lat_deg), rel=1e-6)


def test_there_is_a_scale_of_miles_on_each_demonstration_chart() -> None:
    assert all(chart_of(route).scale for route in ROUTES)


def test_a_chart_full_of_track_goes_without_a_scale() -> None:
    crossing = [(-8.0, -8.0, 8.0, 8.0), (8.0, 8.0, 8.0, -8.0), (8.0, -8.0, -8.0, 8.0), (-8.0, 8.0, -8.0, -7.9)]
    assert_clear(invented(*crossing))


def test_small_islands_do_not_vanish() -> None:
    """St Helena is ten miles long: on an ocean chart it is still drawn, outline or dot, where it lies (16 S 5.7 W)."""
    outcome = sailed(ROUTES[0])
    svg = ElementTree.fromstring(chart_of(ROUTES[0]).svg)
    end = chart_of(ROUTES[0]).lines[: len(chart_of(ROUTES[0]).lines)]
    assert outcome.ground.track.lat_deg[-1] == pytest.approx(-15.9, abs=0.2)
    land = next(path.get("d") or "" for path in svg.iter(f"{SVG}path") if path.get("clip-path"))
    islets = [path.get("d") or "" for path in svg.iter(f"{SVG}path") if "h.01" in (path.get("d") or "")]
    everything = np.array(
        [list(map(float, pair)) for pair in re.findall(r"([\d.]+) ([\d.]+)", "".join([land, *islets]))]
    )
    landfall = min(end, key=lambda point: float(point[0]))
    assert (np.hypot(*(everything - landfall).T) < 12.0).sum() >= 2


def test_the_drawing_is_the_same_each_time_and_small() -> None:
    assert chart_of(ROUTES[1]).svg == chart_of(ROUTES[1]).svg
    for route in ROUTES:
        assert len(chart_of(route).svg) < 150_000


def test_a_wide_sheet_is_used_to_its_width() -> None:
    chart = chart_of(ROUTES[0])
    assert chart.frame[0] == pytest.approx(LEFT + BORDER)
    assert chart.frame[1] == pytest.approx(TOP + BORDER)
    assert 504.0 - LEFT - BORDER == pytest.approx(chart.frame[2])


def test_a_chart_is_drawn_quickly(benchmark: Any) -> None:
    benchmark(lambda: chart_of(ROUTES[0]))
