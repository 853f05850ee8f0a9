"""Look-out: published minutes to close, the intervals derived, and what never lengthens them."""

from __future__ import annotations

import csv
from math import inf
from pathlib import Path
from typing import Literal

import pytest

from passage.consequences.watches.lookout import (
    BY_DAY,
    BY_NIGHT,
    CAUTION,
    Sight,
    approach,
    longest_interval_min,
    ship_interval_min,
    table,
    visibility_words,
    worst_interval_min,
)
from passage.inputs.watch import LookOut

with (Path(__file__).parent / "published" / "02_time_to_close.csv").open(encoding="utf-8") as file:
    CLOSE = list(csv.DictReader(file))
CASES = {"end-on": "end_on_min", "beam-on crossing (90 deg)": "crossing_min", "overtaking from astern": "astern_min"}


def test_every_published_time_to_close() -> None:
    """Derived table with the constant 2.12; ranges printed to 0.01 nm and minutes to 0.1, speeds to 0.01 kn."""
    assert len(CLOSE) > 30
    for row in CLOSE:
        look = LookOut(eye_height_m=float(row["eye_height_m"]), ship_speed_kn=float(row["ship_kn"]), visibility_nm=30.0)
        line = approach(Sight("ship", float(row["ship_height_m"])), look, float(row["own_kn"]))
        minutes = float(row["minutes_from_geographic_range"])
        assert float(row["range_nm"]) == pytest.approx(line.range_nm, abs=0.011)
        assert minutes == pytest.approx(getattr(line, CASES[row["case"]]), abs=0.06 + 0.0006 * minutes)


# Derived (D) at 6 and 20 knots, 1 nm and 3 minutes kept: range, minutes to close, most between looks. Half a digit.
@pytest.mark.parametrize(
    ("range_nm", "close", "interval"),
    [(12.59, 29.1, 23.7), (6.0, 13.8, 8.5), (3.0, 6.9, 1.6), (8.0, 18.5, 13.2)],
)
def test_the_derived_intervals(range_nm: float, close: float, interval: float) -> None:
    look = LookOut(visibility_nm=range_nm, ship_speed_kn=20.0)
    line = approach(Sight("tower", 500.0), look, 6.0)
    assert close == pytest.approx(line.end_on_min, abs=0.05)
    assert interval == pytest.approx(line.interval_min, abs=0.05)
    assert "visibility" == line.limited_by


@pytest.mark.parametrize("ais", ["none", "receiver"])
def test_in_fog_no_interval_is_short_enough_whatever_the_ais_says(ais: Literal["none", "receiver"]) -> None:
    """Derived (D) at 6 and 20 knots: 2 nm close in 4.6 minutes and 0.5 nm in 1.2, of which 3 are to get clear."""
    *_, thick, dense = table(LookOut(ais=ais), 6.0)
    assert ("any ship, in visibility of 2 miles", "any ship, in visibility of 0.5 miles") == (thick.what, dense.what)
    assert (4.6, 1.2) == pytest.approx((thick.end_on_min, dense.end_on_min), abs=0.05)
    assert thick.all_the_time
    assert dense.all_the_time


def test_visibility_is_said_not_to_be_known() -> None:
    assert "10 nm is a default and is not what one sees" in visibility_words(LookOut())
    own = visibility_words(LookOut(visibility_nm=1.0))
    assert "1 nm is the watch file's own" in own
    assert "looks and listens all the time" in own


def test_what_is_inside_the_margin_leaves_no_interval() -> None:
    assert 0.0 == longest_interval_min(0.8, 26.0, 1.0, 3.0)


def test_a_ship_of_our_own_speed_never_comes_up_from_astern() -> None:
    assert inf == approach(BY_DAY[0], LookOut(ship_speed_kn=6.0), 6.0).astern_min


def test_lights_limit_the_night_and_haze_everything() -> None:
    lines = {line.what: line for line in table(LookOut(), 6.0)}
    assert ("light", 6.0) == (
        lines["masthead light, 50 m and over"].limited_by,
        lines["masthead light, 50 m and over"].range_nm,
    )
    assert {"visibility"} == {line.limited_by for line in table(LookOut(visibility_nm=1.0), 6.0)}


def test_how_high_a_ship_carries_what_is_seen_of_her() -> None:
    """Light ranges by length: COLREG Rule 22 (R). Heights are a pin: common practice, no source."""
    heights = {sight.what: (sight.height_m, sight.light_nm) for sight in (*BY_DAY, *BY_NIGHT)}
    assert {
        "large ship's upper works": (35.0, inf),
        "coaster's upper works": (20.0, inf),
        "fishing vessel": (10.0, inf),
        "anything no higher than the horizon": (0.0, inf),
        "masthead light, 50 m and over": (20.0, 6.0),
        "masthead light, 20 to 50 m": (12.0, 5.0),
        "masthead light, 12 to 20 m": (8.0, 3.0),
        "sidelight, 50 m and over": (10.0, 3.0),
        "sidelight, 12 to 50 m": (5.0, 2.0),
        "sailing vessel under 12 m": (3.0, 2.0),
    } == heights


def test_ais_adds_a_line_and_never_lengthens_the_worst() -> None:
    blind, heard = LookOut(), LookOut(ais="receiver", ais_range_nm=20.0)
    assert len(table(blind, 6.0)) + 1 == len(table(heard, 6.0))
    assert worst_interval_min(blind, 6.0) == worst_interval_min(heard, 6.0)
    assert ship_interval_min(blind, 6.0) < ship_interval_min(heard, 6.0)


def test_a_transceiver_shows_no_ship_earlier_than_a_receiver() -> None:
    assert table(LookOut(ais="receiver"), 6.0) == table(LookOut(ais="transceiver"), 6.0)


def test_the_caution_names_the_rule() -> None:
    assert "Rule 5" in CAUTION
