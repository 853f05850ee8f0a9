"""Rows of different lengths laid end to end, as arrays like them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]


def counted(numbers: Ints) -> tuple[Ints, Ints]:
    """For numbers (2, 3): owners (0, 0, 1, 1, 1) and places within each (0, 1, 0, 1, 2)."""
    owner = np.repeat(np.arange(len(numbers)), numbers)
    return owner, np.arange(len(owner)) - np.repeat(np.cumsum(numbers) - numbers, numbers)
