"""The bracket of the slow end."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from passage.crossings.bracket import Assumption, Used, bracket
from passage.crossings.ensemble import passage_time_h
from passage.crossings.simulate import sail
from passage.crossings.wind import Luck
from passage.inputs.current import along_the_course
from tests.crossing_cases import DEPART, laid, north_track, steady, vessel

TRACK = north_track(1200.0)
CLIMATE = steady(TRACK, 2.0, 6.0, 5.0)
BOAT = vessel(performance_sd_share=0.08)


def test_the_middle_of_the_bracket_is_the_crossings_themselves() -> None:
    luck = Luck(5, 200)
    arrival_h = sail(laid(TRACK, CLIMATE, BOAT), DEPART, luck).arrival_h
    found = bracket(laid(TRACK, CLIMATE, BOAT), DEPART, luck, 0.95)
    assert (passage_time_h(arrival_h, 0.5), passage_time_h(arrival_h, 0.95)) == (found.typical_h, found.slow_end_h)


def test_longer_weather_and_more_uneven_crews_make_the_slow_end_later() -> None:
    found = bracket(laid(TRACK, CLIMATE, BOAT), DEPART, Luck(5, 1000), 0.95)
    persistence, unevenness, current = (
        [line for line in found.lines if line.change.startswith(figure)] for figure in ("weather", "speed", "current")
    )
    assert ["18 h and 60 days", "72 h and 240 days"] == [line.to for line in persistence]
    assert ["4 %", "16 %"] == [line.to for line in unevenness]
    for half, twice in (persistence, unevenness):
        assert half.slow_end_h < found.slow_end_h < twice.slow_end_h
    with_her, against_her = current
    assert with_her.typical_h < found.typical_h < against_her.typical_h


def test_her_mean_speed_moves_all_by_itself() -> None:
    """5 kn in any wind from 10 kn up: a tenth slower takes 1 / 0.9 of the time (D)."""
    found = bracket(laid(TRACK, steady(TRACK, 0.0, 25.0), vessel()), DEPART, Luck(5, 20), 0.95)
    slower, quicker = (line for line in found.lines if line.change in (Assumption.SLOWER, Assumption.QUICKER))
    assert ["90 %", "110 %"] == [slower.to, quicker.to]
    times = [slower.typical_h, quicker.typical_h]
    assert [found.typical_h / 0.9, found.typical_h / 1.1] == pytest.approx(times, rel=1e-3)


def test_lighter_wind_is_slower_where_wind_is_what_she_lacks() -> None:
    found = bracket(laid(TRACK, steady(TRACK, 2.0, 6.0, 3.0), BOAT), DEPART, Luck(5, 200), 0.95)
    lighter, stronger = (line for line in found.lines if line.change.startswith("wind"))
    assert lighter.typical_h > found.typical_h > stronger.typical_h


def test_lighter_and_stronger_wind_are_the_same_crossings_in_a_tenth_less_and_more() -> None:
    luck = Luck(5, 60)
    lines = bracket(laid(TRACK, steady(TRACK, 2.0, 6.0, 3.0), BOAT), DEPART, luck, 0.95).lines
    for line, share in zip([line for line in lines if line.change.startswith("wind")], (0.9, 1.1), strict=True):
        climate = steady(TRACK, 2.0 * share, 6.0 * share, 3.0 * share)
        arrival_h = sail(laid(TRACK, climate, BOAT), DEPART, luck).arrival_h
        assert f"{100 * share:.0f} %" == line.to
        assert passage_time_h(arrival_h, 0.5) == pytest.approx(line.typical_h, rel=1e-4)


def test_shortages_follow_the_time_that_each_line_takes() -> None:
    """D: 5 kn, 240 h, and a store of 25 used by 0.1 an hour: enough as it stands, short when a tenth slower."""
    store = Used("water", np.full(20, 0.1 * TRACK.length_nm / 5.0), 0.1 * TRACK.length_nm / 5.0 * 1.05)
    plenty = store._replace(name="gas", usable=1e6)
    found = bracket(laid(TRACK, steady(TRACK, 0.0, 25.0), vessel()), DEPART, Luck(5, 20), 0.95, stores=(store, plenty))
    short = {line.change: [(row.store, row.short_in_100) for row in line.short] for line in found.lines}
    assert [("water", 100.0)] == short[Assumption.SLOWER] == short[Assumption.CURRENT_AGAINST]
    assert [] == short[Assumption.QUICKER] == short[Assumption.WEATHER_HALF]


def test_half_a_knot_changes_the_time_by_what_it_adds() -> None:
    """5 kn in any wind from 10 kn up: D."""
    found = bracket(laid(TRACK, steady(TRACK, 0.0, 25.0), vessel()), DEPART, Luck(5, 20), 0.95)
    times = [line.typical_h for line in found.lines if line.change.startswith("current")]
    assert [TRACK.length_nm / 5.5, TRACK.length_nm / 4.5] == pytest.approx(times, rel=1e-4)


def test_a_given_current_needs_no_guess() -> None:
    given = along_the_course(0.3, TRACK.course_deg)
    lines = bracket(laid(TRACK, CLIMATE, BOAT, current=given), DEPART, Luck(5, 20), 0.95).lines
    assert {"weather", "speed", "slower", "quicker", "wind"} == {line.change.split()[0] for line in lines}


def test_the_shipped_averages_are_tried_as_none_and_stronger() -> None:
    """5 kn in any wind from 10 kn up, and an invented current of half a knot with her, without eddies: D."""
    current = replace(along_the_course(0.5, TRACK.course_deg), eddy_kn=np.zeros(TRACK.nodes))
    ground = laid(TRACK, steady(TRACK, 0.0, 25.0), vessel(), current=current)
    lines = bracket(ground, DEPART, Luck(5, 20), 0.95).lines
    times = {line.to: line.typical_h for line in lines if line.change.startswith("current")}
    assert {"none": TRACK.length_nm / 5.0, "x 1.7": TRACK.length_nm / 5.85} == pytest.approx(times, rel=1e-4)


def test_half_a_knot_that_would_win_is_told_as_not_reached() -> None:
    airs = steady(TRACK, 0.0, 0.4, 0.2)
    lines = bracket(laid(TRACK, airs, vessel()), DEPART, Luck(5, 20), 0.95).lines
    assert np.isinf([line.slow_end_h for line in lines if line.to == "0.5 kn against her"]).all()
