"""Seasickness: the allowance of the first days."""

from __future__ import annotations

from passage.consequences.watches.seasickness import capacity


def test_strength_comes_back_by_the_fourth_day() -> None:
    """Common practice, no source."""
    assert [(0.5, 0.75), (0.5, 0.75), (0.9, 0.9), (1.0, 1.0), (1.0, 1.0)] == [capacity(day) for day in (1, 2, 3, 4, 20)]
