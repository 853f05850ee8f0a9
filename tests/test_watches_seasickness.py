"""Seasickness: dose and percentage, and the allowance of the first days."""

from __future__ import annotations

import pytest

from passage.consequences.watches.seasickness import capacity, dose, illness_rating, vomiting_percent


# Derived (D) from ISO 2631-1 Annex D and BS 6841 (M), to the digits printed.
@pytest.mark.parametrize(
    ("acceleration", "hours", "msdv", "vomiting", "rating"),
    [(0.5, 4, 60.0, 20.0, 1.20), (1.0, 2, 84.85, 28.3, 1.70), (0.3, 8, 50.91, 17.0, 1.02)],
)
def test_dose_percentage_and_rating(
    acceleration: float, hours: float, msdv: float, vomiting: float, rating: float
) -> None:
    found = dose(acceleration, hours)
    assert msdv == pytest.approx(found, abs=0.005)
    assert vomiting == pytest.approx(vomiting_percent(found), abs=0.05)
    assert rating == pytest.approx(illness_rating(found), abs=0.005)


def test_strength_comes_back_by_the_fourth_day() -> None:
    """Common practice, no source."""
    assert [(0.5, 0.75), (0.5, 0.75), (0.9, 0.9), (1.0, 1.0), (1.0, 1.0)] == [capacity(day) for day in (1, 2, 3, 4, 20)]
