"""Seasickness: what the first days take from each person's strength."""

from __future__ import annotations

# Common practice, no source: low and high share of a person's usual strength on day 1, 2, 3 and later.
CAPACITY_BY_DAY = ((0.5, 0.75), (0.5, 0.75), (0.9, 0.9), (1.0, 1.0))


def capacity(day: int) -> tuple[float, float]:
    """(low, high) share of a person's usual strength on this day at sea, counted from 1."""
    return CAPACITY_BY_DAY[min(max(day, 1), len(CAPACITY_BY_DAY)) - 1]
