"""How much of a store to load: the largest of three, and which of them governs.

Full use to the slow end; the typical passage and half as much again (the trade's old rule: most delays are breakages,
and nothing breaks in a simulated crossing); survival use in every crossing. What is to be kept back for good
(landfall fuel, emergency water) is never multiplied: it comes on top, or lies apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from passage.crossings.ensemble import passage_time_h
from passage.tell.records import Record, told, up

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


class LoadingRule(StrEnum):
    """The three loading rules, as they are named in print."""

    TO_SLOW_END = "full use to the slow end"
    TYPICAL_AND_HALF = "the typical passage and half as much again"
    SURVIVAL_IN_ALL = "survival use in every crossing"


class Verdict(StrEnum):
    """Whether something lasts, by what ran out and by what was to be loaded."""

    YES = "yes"
    NEARLY_ALWAYS = "nearly always"
    LITTLE_IN_HAND = "too little in hand"
    NOT_ALWAYS = "not always"
    NOT_KNOWN = "not known"

    @property
    def words(self) -> str:
        return {
            Verdict.YES: "Yes",
            Verdict.NEARLY_ALWAYS: "Yes, nearly always",
            Verdict.LITTLE_IN_HAND: "Yes, with too little in hand",
            Verdict.NOT_ALWAYS: "Not always",
            Verdict.NOT_KNOWN: "Not known",
        }[self]


def verdict(short: float, loaded: float, load: float) -> Verdict:
    """short: crossings that run out; loaded, load: what is aboard and what the rules ask, in one unit."""
    if loaded >= load:
        return Verdict.NEARLY_ALWAYS if short else Verdict.YES
    return Verdict.NOT_ALWAYS if short else Verdict.LITTLE_IN_HAND


class RuleTold(Record):
    """What one of the three loading rules asks for."""

    rule: LoadingRule = told("its words")
    load: float = up("to load by it, nothing kept back")
    governs: bool = told("whether it is the one that decides")


@dataclass(frozen=True)
class Load:
    """Three answers to "how much to load" in the store's own unit, and the rule that governs; infinite where a
    crossing that decides never arrives."""

    to_slow_end: float
    typical_and_half: float
    survival_in_all: float

    @property
    def by_rule(self) -> dict[LoadingRule, float]:
        return dict(zip(LoadingRule, (self.to_slow_end, self.typical_and_half, self.survival_in_all), strict=True))

    @property
    def amount(self) -> float:
        return max(self.by_rule.values())

    @property
    def governs(self) -> LoadingRule:
        amounts = self.by_rule
        return max(amounts, key=lambda rule: amounts[rule])


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
