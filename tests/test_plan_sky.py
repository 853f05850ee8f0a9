"""Sun and moon on paper: which date it is where the clock aboard has been carried on past 180 degrees."""

from __future__ import annotations

import pytest

from passage.plan.sheets.sky import date_line_words


@pytest.mark.parametrize(
    ("aboard_h", "lon_deg", "said"),
    [
        (13, -171.8, "UTC+13 at the landfall, and no date is sailed twice or left out. By longitude it is UTC−11"),
        (-12, 179.0, "UTC−12 at the landfall, and no date is sailed twice or left out. By longitude it is UTC+12"),
    ],
)
def test_a_clock_carried_on_past_180_degrees_says_which_date_it_is_ashore(
    aboard_h: int, lon_deg: float, said: str
) -> None:
    """A zone is the longitude by 15, to the nearest hour (D): 188.2 counted on is 13, 171.8 W is -11."""
    words = date_line_words(aboard_h, lon_deg)
    assert said in words
    assert ("one day earlier" if aboard_h > 0 else "one day later") in words


@pytest.mark.parametrize(("aboard_h", "lon_deg"), [(1, 18.4), (0, -5.7), (12, 179.9), (-12, -179.0)])
def test_elsewhere_it_says_nothing(aboard_h: int, lon_deg: float) -> None:
    assert "" == date_line_words(aboard_h, lon_deg)
