"""Figures that print themselves: places by the unit of the name, the side as declared, one home for rounding."""

from __future__ import annotations

import json
import math
import pickle
from datetime import UTC, date, datetime
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from passage.tell.figures import (
    Count,
    Figure,
    Moment,
    PrintedDate,
    Side,
    Telling,
    figured,
    in_print,
    in_words,
    measure_of,
    rounded,
)


def told(name: str, side: Side = Side.NEAR) -> Telling:
    return Telling("", side, measure=measure_of(name))


@pytest.mark.parametrize(
    ("name", "value", "number", "words"),
    [
        ("typical_days", 18.04, 18.0, "18.0"),
        ("distance_nm", 1694.49, 1694, "1,694"),
        ("left_l", -3.2, -3, "−3"),
        ("initial_true_course_deg", 7.4, 7, "007°"),
        ("initial_true_course_deg", 359.7, 0, "000°"),
        ("initial_magnetic_course_deg", 272.6, 273, "273°"),
        ("initial_variation_deg", -24.36, -24.4, "24.4° W"),
        ("variation_deg", 19.3, 19.3, "19.3° E"),
        ("variation_change_deg", 12.21, 12.2, "12.2° E"),
        ("variation_change_deg", -0.04, 0.0, "0.0°"),
        ("daily_l_per_day", 6.04, 6.0, "6.0"),
        ("variation_year", 2027.0, 2027, "2027"),
        ("typical_days", math.inf, None, "–"),
        ("left_l", math.nan, None, "–"),
    ],
)
def test_each_unit_has_its_places_and_its_words(name: str, value: float, number: float | None, words: str) -> None:
    figure = Figure(value, told(name))
    assert number == figure.number
    assert words == f"{figure}" == str(figure)
    assert math.isnan(value) or figure == value, "reckoning goes on with what was found out"


@pytest.mark.parametrize(
    ("value", "side", "expected"),
    [
        (100.0 * 0.07, Side.UP, 7.0),  # 7.000000000000001 in binary
        (200.0 * 0.58, Side.DOWN, 116.0),  # 115.99999999999999
        (0.1 + 0.2, Side.UP, 1.0),
        (170.2, Side.UP, 171.0),
        (170.9, Side.DOWN, 170.0),
        (-0.4, Side.NEAR, 0.0),
        (2.5, Side.NEAR, 2.0),  # half to even, as statistics has it
    ],
)
def test_rounding_takes_a_float_for_what_it_means(value: float, side: Side, expected: float) -> None:
    assert expected == rounded(value, 0, side)
    assert "-" not in str(rounded(-0.4))


@given(st.decimals(0, 10_000, places=3), st.integers(0, 2))
def test_up_is_never_less_and_down_never_more(value: Decimal, places: int) -> None:
    """Held against the decimal itself: what it is to the last digit given, not what binary makes of it."""
    up, down = (rounded(float(value), places, side) for side in (Side.UP, Side.DOWN))
    step = Decimal(1).scaleb(-places)
    assert Decimal(str(down)) <= value <= Decimal(str(up))
    assert Decimal(str(up)) - value < step
    assert value - Decimal(str(down)) < step


def test_a_unit_stands_behind_its_figure_where_it_is_asked_for() -> None:
    assert "171 litres" == f"{Figure(170.2, told('load_l', Side.UP)):u}"
    assert "1,000" == f"{Count(1000, told('crossings'))}"
    assert "0.50" == f"{Figure(0.5, told('load_l')):.2f}"


def test_the_longest_ending_of_a_name_says_the_unit() -> None:
    assert ("litres a day", 1) == (measure_of("water_l_per_day").unit, measure_of("water_l_per_day").places)
    assert "" == measure_of("first", unit="").unit
    with pytest.raises(KeyError):
        measure_of("first")


def test_figures_are_numbers_to_numpy_json_and_pickle() -> None:
    figure = Figure(2.5, told("typical_days"))
    assert [5.0] == (np.array([figure]) * 2.0).tolist()
    assert "2.5" == json.dumps(figure)
    back = pickle.loads(pickle.dumps(figure))
    assert (2.5, "2.5 days") == (back, f"{back:u}")


def test_days_and_moments_print_themselves() -> None:
    telling = Telling("when she sails")
    assert "Wed 10 Feb 2027" == f"{figured(date(2027, 2, 10), telling)}"
    assert "Wed 10 Feb" == f"{PrintedDate(2027, 2, 10):short}"
    moment = figured(datetime(2027, 2, 10, 8, 5, tzinfo=UTC), telling)
    assert isinstance(moment, Moment)
    assert "Wed 10 Feb 2027, 0805 UTC" == f"{moment}"
    assert "0805" == f"{moment:%H%M}"


def test_words_of_whatever_stands_in_a_cell() -> None:
    assert ["–", "yes", "no", "a; b", "12"] == [in_words(value) for value in (None, True, False, ("a", "b"), 12)]


def test_sums_on_paper_are_of_what_is_printed() -> None:
    assert 171.0 == in_print(Figure(170.2, told("load_l", Side.UP)))
    assert math.inf == in_print(Figure(math.inf, told("load_l", Side.UP)))


def test_figures_beyond_a_scale_are_told_as_its_end_and_reckoned_as_they_are() -> None:
    """The Karolinska scale has nine steps; a model runs on."""
    telling = Telling("sleepiness", measure=measure_of("worst_kss"))
    beyond = Figure(9.6, telling)
    assert ("9.0", 9.0, 9.6) == (f"{beyond}", beyond.number, float(beyond))
    assert "1.0" == f"{Figure(0.2, telling)}"


def test_figures_side_by_side_are_each_a_figure() -> None:
    telling = Telling("of each person", places=1, measure=measure_of("", None, 1))
    assert ["12.0", "6.5"] == [f"{each}" for each in figured((12.0, 6.49), telling)]
    assert ("a", "b") == figured(("a", "b"), telling)
