"""Seasickness: dose of vertical motion, how many it makes sick, and what the first days take from each person's
strength.

Dose and percentage after ISO 2631-1 Annex D and BS 6841 (Lawther and Griffin): mixed, unadapted adults, 20 minutes to
six hours, up to about 40 %; not for a crew that has its sea legs. Medicines are out of scope.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

# Common practice, no source: low and high share of a person's usual strength on day 1, 2, 3 and later.
CAPACITY_BY_DAY = ((0.5, 0.75), (0.5, 0.75), (0.9, 0.9), (1.0, 1.0))


def dose(vertical_m_s2: ArrayLike, hours: ArrayLike) -> Floats:
    """Motion sickness dose value, m/s^1.5, from the frequency-weighted r.m.s. vertical acceleration."""
    return np.asarray(np.asarray(vertical_m_s2) * np.sqrt(np.asarray(hours) * 3600.0))


def vomiting_percent(dose_value: ArrayLike) -> Floats:
    """Share of mixed, unadapted adults that vomit, per cent."""
    return np.asarray(np.asarray(dose_value) / 3.0)


def illness_rating(dose_value: ArrayLike) -> Floats:
    """Mean illness: 0 well, 1 slightly, 2 quite ill, 3 dreadful."""
    return np.asarray(np.asarray(dose_value) / 50.0)


def capacity(day: int) -> tuple[float, float]:
    """(low, high) share of a person's usual strength on this day at sea, counted from 1."""
    return CAPACITY_BY_DAY[min(max(day, 1), len(CAPACITY_BY_DAY)) - 1]
