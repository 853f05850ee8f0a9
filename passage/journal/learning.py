"""One Bayesian step, in closed form: how many times what was expected is it really?

What is learned is a factor: miles made good for each mile the polar promised, litres drunk for each litre planned.
Belief in it is normal before, what each day shows is the factor times what was expected plus normal scatter, and so
belief in it is normal after: the conjugate step of every textbook (D. V. Lindley, *Introduction to Probability and
Statistics*, from memory):

    1 / sd_after^2  =  1 / sd_before^2  +  sum( expected^2 / scatter^2 )
    mean_after      =  sd_after^2 ( mean_before / sd_before^2  +  sum( expected seen / scatter^2 ) )

A calm day expects little and so says little; nothing is divided by a speed that may be zero. Two guards stand before
it: a day four scatters off the line through most days is left out and named, and the scatter itself is the stated one
pooled with what the days show (the stated one counts for four days).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from statistics import fmean, median
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

ABSURD = 4.0
SCATTER_COUNTS_DAYS = 4.0
NORMAL_MAD = 1.4826  # standard deviations in a median absolute deviation, of a normal distribution
# Days that scatter as stated, so that two absurd ones at the beginning do not vouch for each other.
AS_STATED = (1.0 / NORMAL_MAD,) * int(SCATTER_COUNTS_DAYS)
BOATS_OWN_SHARE = 0.5


@dataclass(frozen=True)
class Belief:
    """A normal distribution: mean and standard deviation."""

    mean: float
    sd: float


@dataclass(frozen=True)
class Seen:
    """One day's evidence: what was expected at a factor of one, what was seen, the standard deviation of its scatter,
    all in one unit; number: of the entry that ends the day.
    """

    expected: float
    seen: float
    scatter: float
    number: int


@dataclass(frozen=True)
class Learned:
    """Belief before and after; days: how many were counted; left_out: entries whose day was not believed."""

    before: Belief
    after: Belief
    days: int
    left_out: tuple[int, ...]


def learn(before: Belief, seen: Sequence[Seen], common_sd: float = 0.0) -> Learned:
    """The step. No evidence leaves belief as it was; ``before.sd`` of zero is a belief that nothing shakes.

    common_sd: standard deviation of an error of the factor that all the days share, which no number of days wears off.
    """
    told = [day for day in seen if day.expected > 0]
    if not told or before.sd <= 0:
        return Learned(before, before, 0, ())
    line = _most_days(before, told)
    offs = [abs(day.seen - line * day.expected) / day.scatter for day in told]
    limit = ABSURD * max(1.0, NORMAL_MAD * median([*offs, *AS_STATED]))
    kept = [day for day, off in zip(told, offs, strict=True) if off <= limit]
    left_out = tuple(day.number for day, off in zip(told, offs, strict=True) if off > limit)
    if not kept:
        return Learned(before, before, 0, left_out)
    spread = _pooled(line, kept)
    weight = sum((day.expected / day.scatter) ** 2 for day in kept) / spread
    factor = sum(day.expected * day.seen / day.scatter**2 for day in kept) / spread / weight
    return Learned(before, _joined(before, Belief(factor, sqrt(1.0 / weight + common_sd**2))), len(kept), left_out)


def _joined(before: Belief, seen: Belief) -> Belief:
    """Two normal beliefs in one thing, each weighed by its precision."""
    precision = 1.0 / before.sd**2 + 1.0 / seen.sd**2
    return Belief((before.mean / before.sd**2 + seen.mean / seen.sd**2) / precision, 1.0 / sqrt(precision))


def _most_days(before: Belief, told: Sequence[Seen]) -> float:
    """The factor with the least sum of absolute misses, the belief before counted as the stated scatter is, for four
    days at least: a weighted median.
    """
    slopes = [(day.seen / day.expected, day.expected / day.scatter) for day in told]
    days = SCATTER_COUNTS_DAYS * fmean(weight for _, weight in slopes)
    slopes = sorted([*slopes, (before.mean, max(days, 1.0 / before.sd))])
    half = sum(weight for _, weight in slopes) / 2.0
    passed = 0.0
    for slope, weight in slopes:
        passed += weight
        if passed >= half:
            return slope
    return before.mean


def _pooled(line: float, kept: Sequence[Seen]) -> float:
    """The variance of the scatter as a multiple of what was stated, the stated counting for four days."""
    misses = sum(((day.seen - line * day.expected) / day.scatter) ** 2 for day in kept)
    return (SCATTER_COUNTS_DAYS + misses) / (SCATTER_COUNTS_DAYS + len(kept))


def next_time(learned: Learned) -> Belief:
    """What one passage teaches for the next. Half the variance of the belief before is taken as the boat's own, which
    lasts, and half as the passage's, which does not (our choice, no source): the boat's own is learned from the
    passage's factor as seen, the passage's spread is there again next time.
    """
    before, after = learned.before, learned.after
    if after.sd >= before.sd or before.sd <= 0:
        return before
    seen_variance = 1.0 / (1.0 / after.sd**2 - 1.0 / before.sd**2)
    seen_mean = seen_variance * (after.mean / after.sd**2 - before.mean / before.sd**2)
    own = BOATS_OWN_SHARE * before.sd**2
    weight = own / (before.sd**2 + seen_variance)
    return Belief(before.mean + weight * (seen_mean - before.mean), sqrt(before.sd**2 - weight * own))
