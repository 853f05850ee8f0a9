"""The choice between tracks, sailed by the same crossings; and a first track where there is none."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.choosing import choose, first_track
from passage.crossings.at_sea import sailing_polar
from passage.crossings.helm import rig_out
from passage.crossings.wind import Luck
from passage.errors import RouteRefused
from passage.inputs.folder import Facts, read_folder
from passage.inputs.search import TrackLimits
from passage.positions import Position
from passage.sailings.geodesic import inverse
from passage.sailings.land import on_land
from passage.tracks import open_sea
from tests.shared import shared

if TYPE_CHECKING:
    from passage.offered import Offered

ROUTES = Path(__file__).parents[1] / "routes"


@cache
def facts() -> Facts:
    return read_folder(ROUTES / "lagos-azores")


@cache
def chosen() -> tuple[Offered, ...]:
    limits, depart = facts().limits, facts().voyage.departure.depart
    return shared("tracks to choose between", lambda: choose(facts(), limits, Luck(1, 60), depart))


def test_every_choice_is_sailed_by_the_same_crossings() -> None:
    seeds = {(one.outcome.crossings.seed, one.outcome.crossings.members) for one in chosen()}
    assert {(1, 60)} == seeds
    first = chosen()[0].outcome.crossings.performance.tolist()
    assert all(first == one.outcome.crossings.performance.tolist() for one in chosen())


def test_the_drawn_track_is_one_of_them_compared_alike() -> None:
    (drawn,) = [one for one in chosen() if "as drawn" in one.kinds]
    assert facts().voyage.waypoints == drawn.voyage.waypoints


def test_what_was_sailed_is_told_of_each() -> None:
    for one in chosen():
        assert one.outcome.times.typical_h / 24.0 == one.typical_days
        assert 0.0 <= one.hard_on_the_wind_h <= one.slow_end_days * 24.0
        assert one.water_used_l > 0.0
        assert one.farthest_nm > 100.0
        assert np.isnan(one.storms)
        assert one.why.endswith(".")
        assert len(one.purposes) == len(one.voyage.waypoints)


def test_pilotage_stays_the_skippers_in_every_choice() -> None:
    first, _ = open_sea(facts().voyage)
    for one in chosen():
        assert facts().voyage.waypoints[: first + 1] == one.voyage.waypoints[: first + 1]
        assert facts().voyage.waypoints[-1] == one.voyage.waypoints[-1]


VESSEL = rig_out(facts().boat, sailing_polar(facts().boat, facts().polar))
DEPART = datetime(2027, 5, 10, tzinfo=UTC)


def test_a_first_track_is_laid_between_two_harbours() -> None:
    places, told = first_track(Position(-36.84, 174.78), Position(-18.13, 178.42), VESSEL, TrackLimits(), DEPART)
    assert len(places) == len(told)
    at_sea = [place for place in places if 40.0 < inverse(*places[0], *place).distance_nm < 1050.0]
    assert len(at_sea) <= 6  # among the islands of the Hauraki Gulf there are more of them
    # Auckland and Suva (M): the quays themselves lie on this coastline's land or within a mile of it.
    assert np.hypot(places[0][0] + 36.84, places[0][1] - 174.78) < 0.1


def test_an_end_on_land_by_the_water_is_moved_and_said() -> None:
    """Bergen lies up a fjord (M): 60 24N 5 19E is a quay, and land by this coastline."""
    places, told = first_track(Position(60.393, 5.324), Position(64.2, -22.1), VESSEL, TrackLimits(), DEPART)
    assert inverse(60.393, 5.324, *places[0]).distance_nm < 20.0
    assert not on_land(*places[0])
    assert "this coastline has land at the start" in told[0]
    assert "pilotage by the chart" in told[0]


def test_an_end_behind_a_narrow_gate_is_moved_to_the_offing_and_said() -> None:
    """San Francisco Bay opens to the sea by a gate of a mile (M)."""
    places, told = first_track(Position(37.86, -122.39), Position(34.0, -121.5), VESSEL, TrackLimits(), DEPART)
    assert places[0].longitude_deg < -122.5
    assert "no way out from the start" in told[0]


def test_an_end_far_inland_is_refused() -> None:
    with pytest.raises(RouteRefused, match="nm off"):
        first_track(Position(47.0, 8.0), Position(28.0, -16.0), VESSEL, TrackLimits(), DEPART)
