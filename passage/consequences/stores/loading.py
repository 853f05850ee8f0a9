"""How much of a store to load: the largest of three, and which of them governs.

Full use to the slow end; the typical passage and half as much again (the trade's old rule: most delays are breakages,
and nothing breaks in a simulated crossing); survival use in every crossing. What is to be kept back for good
(landfall fuel, emergency water) is never multiplied: it comes on top, or lies apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.ensemble import passage_time_h

if TYPE_CHECKING:
    from numpy.typing import NDArray


@dataclass(frozen=True)
class Load:
    """Three answers to "how much to load" in the store's own unit, and the rule that governs; infinite where a
    crossing that decides never arrives."""

    to_slow_end: float
    typical_and_half: float
    survival_in_all: float
    rules: tuple[str, str, str] = (
        "full use to the slow end",
        "the typical passage and half as much again",
        "survival use in every crossing",
    )

    @property
    def amount(self) -> float:
        return max(self.to_slow_end, self.typical_and_half, self.survival_in_all)

    @property
    def governs(self) -> str:
        amounts = (self.to_slow_end, self.typical_and_half, self.survival_in_all)
        return self.rules[int(np.argmax(amounts))]


def to_load(
    full_use: NDArray[np.float64], survival_use: NDArray[np.float64], slow_share: float, typical_factor: float
) -> Load:
    """Load from what each crossing uses to landfall, (members,) each, infinite where she never arrives.

    slow_share: share of crossings that full use must cover (0.95); typical_factor: multiple of the typical use (1.5).
    """
    return Load(
        to_slow_end=passage_time_h(full_use, slow_share),
        typical_and_half=typical_factor * passage_time_h(full_use, 0.5),
        survival_in_all=float(survival_use.max()),
    )
