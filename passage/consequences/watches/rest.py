"""Hours of rest against STCW A-VIII/1 and MLC 2006 A2.3: a benchmark. Neither binds a private yacht.

Hours are counted in *every* window, exactly: the rest in a sliding window changes slope only where an edge of the
window meets an edge of a rest, so those places are enough. Periods are another matter. A window that slides cuts
rests in two and so seems to hold a third; periods are therefore counted from the moment work starts after a long
rest, as the conventions are applied. Hours of the clock, floats; a record is a list of rests (begins, ends) in rising
order.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

REST_IN_DAY_H, REST_IN_WEEK_H, LONG_REST_H, APART_H, MOST_PERIODS = 10.0, 77.0, 6.0, 14.0, 2
WORK_IN_DAY_H, WORK_IN_WEEK_H = 14.0, 72.0
DAY_H, WEEK_H = 24.0, 168.0
_GRAIN = 1e-9  # hours, against rounding where an edge is the sum of many lengths

Rests = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class RestVerdict:
    """One person's rest. least_*: the worst window, hours; periods: the most rests in the 24 h after work starts;
    failures: in words.
    """

    least_in_day_h: float
    least_in_week_h: float
    longest_h: float
    least_longest_in_day_h: float
    longest_apart_h: float
    most_periods: int
    failures: tuple[str, ...]
    mlc_by_work: bool

    @property
    def passes(self) -> bool:
        return not self.failures


def merged(rests: Rests) -> Rests:
    """The same rests with those that touch joined and empty ones dropped."""
    joined: list[tuple[float, float]] = []
    for begins, ends in sorted(rests):
        if joined and begins <= joined[-1][1] + _GRAIN:
            joined[-1] = (joined[-1][0], max(ends, joined[-1][1]))
        elif ends > begins:
            joined.append((begins, ends))
    return tuple(joined)


def repeated(rests: Rests, period_h: float, span_h: float) -> Rests:
    """A pattern that repeats every period_h, written out until span_h at least."""
    times = int(np.ceil(span_h / period_h))
    return merged(tuple((a + k * period_h, b + k * period_h) for k in range(times) for a, b in rests))


def least_in_window_h(rests: Rests, window_h: float, span_h: float) -> float:
    """Least rest in any window of this length lying wholly within 0 to span_h; the span itself where the window is
    longer.
    """
    edges = np.array([edge for rest in rests for edge in rest] or [0.0])
    window_h = min(window_h, span_h)
    starts = np.clip(np.concatenate([edges, edges - window_h, [0.0]]), 0.0, span_h - window_h)
    begins, ends = np.array(rests, dtype=float).reshape(-1, 2).T
    overlap = np.minimum(ends, starts[:, None] + window_h) - np.maximum(begins, starts[:, None])
    return float(np.clip(overlap, 0.0, None).sum(axis=1).min())


def least_longest_h(rests: Rests, window_h: float, span_h: float) -> float:
    """Of any window's longest rest, cut by the window's edges, the least."""
    edges = np.array([edge for rest in rests for edge in rest] or [0.0])
    begins, ends = np.array(rests, dtype=float).reshape(-1, 2).T
    between = (edges[:, None] + edges) / 2.0  # the longest of two cut rests is least where they are even
    starts = np.concatenate([edges, edges - window_h, (between - window_h / 2.0).ravel(), [0.0, span_h - window_h]])
    starts = starts[(starts >= 0.0) & (starts <= span_h - window_h)]
    overlap = np.minimum(ends, starts[:, None] + window_h) - np.maximum(begins, starts[:, None])
    return float(overlap.max(axis=1, initial=0.0).min())


def most_periods(rests: Rests, span_h: float) -> int:
    """Most rests begun within 24 h of work starting after a rest of six hours; without such a rest, of any work
    starting.
    """
    work_starts = [b for a, b in rests if b - a >= LONG_REST_H - _GRAIN] or [b for _, b in rests]
    whole = [start for start in work_starts if start + DAY_H <= span_h + _GRAIN]
    return max(
        (sum(start - _GRAIN <= a < start + DAY_H - _GRAIN for a, _ in rests) for start in whole), default=len(rests)
    )


def judge(rests: Rests, span_h: float) -> RestVerdict:
    """A record of span_h hours, starting at 0, against STCW A-VIII/1 (10 h, 77 h, two periods, six hours, 14 h apart).

    A week shorter than seven days is not judged by its weekly hours. A rest that the record's edges cut counts as it
    stands.
    """
    rests = merged(rests)
    in_day, in_week = least_in_window_h(rests, DAY_H, span_h), least_in_window_h(rests, WEEK_H, span_h)
    longest = max((b - a for a, b in rests), default=0.0)
    apart = max((later[0] - earlier[1] for earlier, later in pairwise(rests)), default=0.0 if rests else span_h)
    periods = most_periods(rests, span_h)
    whole_week = span_h >= WEEK_H - _GRAIN
    found = {
        f"{in_day:g} h rest in the worst 24 h, {REST_IN_DAY_H:g} asked": in_day < REST_IN_DAY_H - _GRAIN,
        f"{in_week:g} h rest in the worst 7 days, {REST_IN_WEEK_H:g} asked": whole_week
        and in_week < REST_IN_WEEK_H - _GRAIN,
        f"longest rest {longest:g} h, {LONG_REST_H:g} asked": longest < LONG_REST_H - _GRAIN,
        f"{periods} rests in 24 h, {MOST_PERIODS} allowed": periods > MOST_PERIODS,
        f"{apart:g} h between rests, {APART_H:g} allowed": apart > APART_H + _GRAIN,
    }
    return RestVerdict(
        least_in_day_h=in_day,
        least_in_week_h=in_week,
        longest_h=longest,
        least_longest_in_day_h=least_longest_h(rests, DAY_H, span_h),
        longest_apart_h=apart,
        most_periods=periods,
        failures=tuple(said for said, failed in found.items() if failed),
        mlc_by_work=_mlc_by_work(in_day, in_week, span_h),
    )


def _mlc_by_work(in_day_h: float, in_week_h: float, span_h: float) -> bool:
    """Whether the other leg of MLC A2.3 holds: at most 14 h work in any 24 h and 72 h in any 7 days."""
    week_holds = span_h < WEEK_H or WEEK_H - in_week_h <= WORK_IN_WEEK_H + _GRAIN
    return DAY_H - in_day_h <= WORK_IN_DAY_H + _GRAIN and week_holds


def judge_pattern(rests: Rests, period_h: float) -> RestVerdict:
    """A pattern kept for ever: a week and two periods of it, from the start of a whole rest to the end of one."""
    written = repeated(rests, period_h, WEEK_H + 4.0 * period_h)
    whole = written[1:-1]
    if not whole:  # never works, or never rests
        return judge(written, WEEK_H)
    origin = whole[0][0]
    return judge(tuple((a - origin, b - origin) for a, b in whole), whole[-1][1] - origin)
