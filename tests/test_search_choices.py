"""Tracks worth choosing between: distinct, not much slower, and said what they are."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from passage.crossings.search.choices import APART_NM, LONGER_SHARE, apart_nm, find_choices
from passage.crossings.search.lines import normals
from passage.crossings.search.purposes import purposes
from passage.errors import RouteRefused
from passage.inputs.climate import read_climate
from tests.search_cases import Steady, plane, question
from tests.test_search import Patchy


def test_other_lanes_are_choices_and_the_best_comes_first() -> None:
    asked = question((0.5, -40.0), (0.5, -20.0), Patchy())
    found = find_choices(asked, lambda _: Patchy())
    assert "quickest" in found[0].kinds
    assert 3 <= len(found) <= 5
    assert min(found, key=lambda choice: choice.hours) is found[0]
    assert all(choice.hours <= LONGER_SHARE * found[0].hours for choice in found)
    tracks = [normals(choice.found.lat_deg, choice.found.lon_deg) for choice in found]
    assert all(apart_nm(one, other) >= 0.9 * APART_NM for one, other in combinations(tracks, 2))


def test_where_the_direct_track_is_best_in_every_respect_it_is_all_of_them() -> None:
    (first, *_) = find_choices(question((0.0, -40.0), (0.0, -30.0), Steady(5.0)), lambda _: Steady(5.0))
    assert {"quickest", "kindest", "fewest calms", "shortest"} <= set(first.kinds)


def test_where_there_is_no_way_it_is_refused() -> None:
    with pytest.raises(RouteRefused, match="too close"):
        find_choices(question(plane(0.0, 0.0), plane(10.0, 0.0), Steady(5.0)), lambda _: Steady(5.0))


def test_a_waypoint_says_what_it_is_for() -> None:
    """Las Palmas to Salvador in November: the doldrums lie about 5N in the Atlantic then (M, pilot charts)."""
    lat, lon = np.array([28.0, 17.5, 6.0, -12.8, -13.0]), np.array([-15.0, -27.0, -27.0, -38.0, -38.5])
    told = purposes(lat, lon, read_climate(), 10)
    assert ["", ""] == [told[0], told[-1]]
    assert "cross the doldrums here" == told[2]
    assert "clear of land" in told[3]
    assert purposes(lat[:2], lon[:2], read_climate(), 10) == ("", "")
