"""The calendar months: their names, and between which two middles of theirs a time lies."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]
    Indices = NDArray[np.intp]

MONTHS: tuple[str, ...] = ("January", "February", "March", "April", "May", "June", "July")
MONTHS += ("August", "September", "October", "November", "December")
A_MONTH = np.timedelta64(1, "M")


def month_weights(time_utc: ArrayLike) -> tuple[Indices, Indices, Floats]:
    """Which two mid-months a time lies between: (month0, month1, weight1), months 0-11, weight1 in [0, 1).

    time_utc: array of numpy datetime64, any shape. The value then is month0's * (1 - weight1) + month1's *
    weight1: linear between the middles of calendar months, continuous over December-January, leap years
    included.
    """
    time = np.asarray(time_utc, dtype="datetime64[s]")
    month: NDArray[np.datetime64] = time.astype("datetime64[M]")
    month -= (time < _middle(month)).astype(np.int64) * A_MONTH
    begin = _middle(month)
    weight = (time - begin) / (_middle(month + A_MONTH) - begin)
    first = month.astype(np.intp) % 12  # datetime64[M] counts months from January 1970
    return first, (first + 1) % 12, np.asarray(weight, float)


def _middle(month: NDArray[np.datetime64]) -> NDArray[np.datetime64]:
    begin = month.astype("datetime64[s]")
    half: NDArray[np.timedelta64] = ((month + A_MONTH).astype("datetime64[s]") - begin) // 2
    return np.asarray(begin + half)
