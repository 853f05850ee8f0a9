"""Rounding and wording for print."""

from __future__ import annotations

import math
from typing import Any

import pytest

from passage.plan.printed import rounded, shown


@pytest.mark.parametrize(
    ("key", "value", "kept", "words"),
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
        ("variation_year", 2027, 2027, "2027"),
        ("depart_utc", "2027-02-10T08:00+00:00", "2027-02-10T08:00+00:00", "Wed 10 Feb 2027, 0800 UTC"),
        ("typical_landfall_utc", "2027-03-01", "2027-03-01", "Mon 1 Mar 2027"),
        ("governs", True, True, True),
        ("typical_days", math.inf, None, "–"),
        ("name", "2027-02-10", "2027-02-10", "2027-02-10"),
    ],
)
def test_each_unit_has_its_places_and_its_words(key: str, value: Any, kept: Any, words: Any) -> None:
    assert {key: kept} == rounded({key: value})
    assert {key: words} == shown(rounded({key: value}))


def test_rounding_reaches_all_the_way_down_and_is_done_once() -> None:
    table = {"rows": [{"left_l": 1.6, "inner": {"slow_end_days": 2.26}}]}
    assert {"rows": [{"left_l": 2, "inner": {"slow_end_days": 2.3}}]} == rounded(table)
    assert rounded(table) == rounded(rounded(table))
