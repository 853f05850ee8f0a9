"""Honest wind: how far it strays from the monthly mean, and for how long.

At a place and month the wind is an isotropic bivariate normal about its vector mean, so that its speed is Rice
distributed; the spread ``sigma`` comes from the vector and the scalar mean together (``inputs.rice``). A deviation
lasts: it is the sum of a fast part (weather, e-folding 36 h) and a slow one (the season's own character, e-folding
120 days), both first-order autoregressions of *standardised* deviations, so that a boat sailing from one climate into
another takes her luck with her. The water strays from its average in the same way: eddies (e-folding 12 h) and what a
season differs by (e-folding 60 days).
"""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from numpy.typing import NDArray

# Design figures: tropical moored buoys (variance of 20-day means) and month-to-month spread of monthly means.
FAST_EFOLDING_H = 36.0
SLOW_EFOLDING_H = 120.0 * 24.0
# Share of the variance that is slow, by latitude: from the spread of 132 real monthly means (benchmarks/real_months.py,
# guide/persistence.md), with the design's 0.03 as the least where the months show less.
SLOW_SHARES = {0.0: 0.20, 10.0: 0.15, 15.0: 0.13, 20.0: 0.06, 30.0: 0.03, 40.0: 0.03, 50.0: 0.06, 60.0: 0.08}
# The eastern Pacific poleward of 20 degrees: months there differ more from year to year than elsewhere so far from the
# equator. Fading out over 10 degrees of longitude on either side and 5 of latitude.
EASTERN_PACIFIC_SHARE = 0.12
_EASTERN_PACIFIC_E = (-170.0, -160.0, -85.0, -75.0)
_POLEWARD_OF = (15.0, 20.0)
CHUNK_H = 120
HARD_ON_THE_WIND_DEG = 60.0  # closer to the true wind than this, a course is hard on the wind
FLEET = 50  # members that share a stream of random numbers
SLOW_STEP_H = 24  # the slow part is renewed once a day: a step of 0.04 sigma, and half the random numbers

# A boat crosses the radius of an eddy, 50 nm or so (Chelton, Schlax and Samelson 2011: a mean of 90 km), in half a day.
# What lasts is our choice, no source: other years, and what the averages have wrong.
EDDY_EFOLDING_H = 12.0
EDDY_STEP_H = 6
EDDY_SLOW_EFOLDING_H = 60.0 * 24.0
EDDY_SLOW_SHARE = 0.2


def slow_share(lat_deg: NDArray[np.float64], lon_deg: NDArray[np.float64]) -> NDArray[np.float64]:
    """Share of the wind's variance that lasts for months, at places in degrees, by any longitudes; their shape."""
    off_deg = np.abs(lat_deg)
    by_latitude = np.interp(off_deg, list(SLOW_SHARES), list(SLOW_SHARES.values()))
    east_deg = (np.asarray(lon_deg) + 180.0) % 360.0 - 180.0
    there = np.interp(east_deg, _EASTERN_PACIFIC_E, [0.0, 1.0, 1.0, 0.0]) * np.interp(off_deg, _POLEWARD_OF, [0.0, 1.0])
    return np.asarray(by_latitude + there * np.maximum(EASTERN_PACIFIC_SHARE - by_latitude, 0.0))


class Deviation(NamedTuple):
    """Standardised deviations of one hour, each (2, members): towards east, towards north."""

    fast: NDArray[np.float32]
    slow: NDArray[np.float32]


@dataclass
class Luck:
    """The standardised deviations of wind and water and the performance draws of every crossing: a pure function of the
    seed.

    Fifty members at a time draw from a spawned stream of their own, always all fifty, so that a member has the same
    luck whatever the number of members, the date of departure or the track. Rows are made in chunks when first asked
    for and kept, so that other departures and troubles meet the same luck for nothing. Other e-foldings draw the same
    random numbers.
    """

    seed: int
    members: int
    fast_efolding_h: float = FAST_EFOLDING_H
    slow_efolding_h: float = SLOW_EFOLDING_H
    performance_z: NDArray[np.float64] = field(init=False)
    _series: _Series = field(init=False, repr=False)
    _eddies: _Eddies = field(init=False, repr=False)
    _delays: tuple[tuple[int, NDArray[np.bool_]], ...] = field(init=False, repr=False, default=())
    _chosen: NDArray[np.intp] | None = field(init=False, repr=False, default=None)
    _first: int = field(init=False, repr=False, default=0)

    def __post_init__(self) -> None:
        self._draw_first(range(-(-self.members // FLEET)))

    def _draw_first(self, fleets: range) -> None:
        """Draw what comes first of these fleets' streams."""
        seeds = [np.random.SeedSequence(self.seed, spawn_key=(fleet,)) for fleet in fleets]
        streams = [np.random.Generator(np.random.SFC64(fleet)) for fleet in seeds]
        first = _drawn(streams, (5,), self.members)
        self.performance_z = first[0].astype(np.float64)
        self._series = _Series(streams, first[1:], self.fast_efolding_h, self.slow_efolding_h)
        self._eddies = _Eddies([fleet.spawn(1)[0] for fleet in seeds], self.members)

    def hour(self, hour: int) -> Deviation:
        """Deviations of the wind at a whole hour after departure."""
        fast, slow = self._delayed_each(lambda later: self._of_chosen(self._series.hour(later)), hour)
        return Deviation(fast, slow)

    def eddy(self, hour: int) -> NDArray[np.float32]:
        """Standardised deviations of the water at a whole hour after departure, (2, members): along and across her
        course, for an eddy has no side that it likes better.
        """
        (found,) = self._delayed_each(lambda later: self._of_chosen((self._eddies.hour(later),)), hour)
        return found

    @property
    def numbers(self) -> NDArray[np.intp]:
        """Which of the seed's crossings these are, (members,)."""
        return self._first + self._columns

    @property
    def _columns(self) -> NDArray[np.intp]:
        """Where they stand among those who are drawn for."""
        return np.arange(self.members) if self._chosen is None else self._chosen

    def of(self, who: NDArray[np.intp]) -> Luck:
        """The luck of some of the members alone, by their places here in ascending order."""
        fewer = copy(self)
        fewer.members, fewer.performance_z = len(who), self.performance_z[who]
        fewer._chosen = self._columns[who]
        fewer._delays = tuple((delay_h, late[who]) for delay_h, late in self._delays)
        return fewer

    def part(self, who: slice) -> Luck:
        """The luck of neighbours alone, whole fleets but for the last: what is made for them is given up with them."""
        if who.stop - who.start == self.members:
            return self
        if who.start % FLEET:
            raise ValueError(f"a part begins with a whole fleet of {FLEET}, not at {who.start}")
        if self._chosen is not None:
            return self.of(np.arange(who.start, who.stop))
        fewer = copy(self)
        fewer.members = who.stop - who.start
        fewer._draw_first(range(who.start // FLEET, -(-who.stop // FLEET)))
        fewer._delays = tuple((delay_h, late[who]) for delay_h, late in self._delays)
        fewer._first = self._first + who.start
        return fewer

    def _of_chosen(self, rows: tuple[NDArray[np.float32], ...]) -> tuple[NDArray[np.float32], ...]:
        return rows if self._chosen is None else tuple(row.take(self._chosen, axis=1) for row in rows)

    def _delayed_each(
        self, series: Callable[[int], tuple[NDArray[np.float32], ...]], hour: int
    ) -> tuple[NDArray[np.float32], ...]:
        """What the series holds at the hour, for each member as late as she left."""
        if len(self._delays) <= 1:
            return series(hour + sum(delay_h for delay_h, _ in self._delays))
        found = [(who, series(hour + delay_h)) for delay_h, who in self._delays]
        mixed = tuple(np.empty_like(part) for part in found[0][1])
        for who, later in found:
            for part, values in zip(mixed, later, strict=True):
                part[:, who] = values[:, who]
        return mixed

    def delayed(self, delay_h: NDArray[np.int64]) -> Luck:
        """The same luck for boats that leave later still: member ``i`` by whole hours, (members,)."""
        later = copy(self)
        total_h = delay_h + sum(already_h * who for already_h, who in self._delays)
        later._delays = tuple((int(delay), total_h == delay) for delay in np.unique(total_h))
        return later


class KnownMonths(Luck):
    """The same luck where the months' means are known: weather whose own calendar months have no mean left, and no slow
    part, for that stands for years that differ. A member's weather is not that of ``Luck``: it begins on the first of
    the month, which is what makes the month's mean her own.
    """

    def from_day(self, depart: datetime) -> KnownMonths:
        """For departures on that day (UTC)."""
        self._begin = np.datetime64(depart.replace(tzinfo=None, day=1, hour=0, minute=0, second=0, microsecond=0), "h")
        self._skipped_h = int((np.datetime64(depart.replace(tzinfo=None), "h") - self._begin).astype(int))
        self._means: dict[int, NDArray[np.float32]] = {}
        return self

    def part(self, who: slice) -> Luck:
        fewer = super().part(who)
        if isinstance(fewer, KnownMonths) and fewer is not self:
            fewer._means = {}
        return fewer

    def hour(self, hour: int) -> Deviation:
        later = hour + self._skipped_h
        fast = super().hour(later).fast
        return Deviation(fast - self._mean(later), np.zeros_like(fast))

    def _mean(self, hour: int) -> NDArray[np.float32]:
        """Mean of the calendar month that holds the hour, (2, members)."""
        first_month = self._begin.astype("datetime64[M]")
        month = int(((self._begin + hour).astype("datetime64[M]") - first_month).astype(int))
        if month not in self._means:
            ends = [(first_month + each).astype("datetime64[h]") - self._begin for each in (month, month + 1)]
            first, beyond = (int(end.astype(int)) for end in ends)
            total = np.zeros((2, self.members))
            for each in range(first, beyond):
                total += Luck.hour(self, each).fast
            self._means[month] = (total / (beyond - first)).astype(np.float32)
        return self._means[month]


class _Series:
    """The deviations in chunks of five days, made when first asked for."""

    def __init__(
        self, streams: list[np.random.Generator], first: NDArray[np.float32], fast_h: float, slow_h: float
    ) -> None:
        self._streams = streams
        self._fast, self._slow = first[:2], first[2:]  # stationary start: unit variance from hour 0
        self._fast_keep = np.float32(np.exp(-1.0 / fast_h))
        self._slow_keep = np.float32(np.exp(-SLOW_STEP_H / slow_h))
        self._chunks: list[Deviation] = []

    def hour(self, hour: int) -> Deviation:
        while hour >= CHUNK_H * len(self._chunks):
            self._chunks.append(self._next_chunk())
        chunk, row = self._chunks[hour // CHUNK_H], hour % CHUNK_H
        return Deviation(chunk.fast[row], chunk.slow[row // SLOW_STEP_H])

    def _next_chunk(self) -> Deviation:
        members = self._fast.shape[1]
        rows = _drawn(self._streams, (CHUNK_H + CHUNK_H // SLOW_STEP_H, 2), members)
        self._fast = _autoregress(rows[:CHUNK_H], self._fast, self._fast_keep)
        self._slow = _autoregress(rows[CHUNK_H:], self._slow, self._slow_keep)
        return Deviation(rows[:CHUNK_H], rows[CHUNK_H:])


class _Eddies:
    """The water's deviations, (2, members) every six hours, in chunks of five days, made when first asked for."""

    def __init__(self, seeds: list[np.random.SeedSequence], members: int) -> None:
        self._seeds, self._members = seeds, members
        self._streams: list[np.random.Generator] = []
        self._chunks: list[NDArray[np.float32]] = []

    def hour(self, hour: int) -> NDArray[np.float32]:
        while hour >= CHUNK_H * len(self._chunks):
            self._chunks.append(self._next_chunk())
        chunk = self._chunks[hour // CHUNK_H]
        return np.asarray(chunk[hour % CHUNK_H // EDDY_STEP_H])

    def _next_chunk(self) -> NDArray[np.float32]:
        if not self._streams:
            self._streams = [np.random.Generator(np.random.SFC64(seed)) for seed in self._seeds]
            self._fast, self._slow = _drawn(self._streams, (2, 2), self._members)  # stationary from hour 0
        steps, days = CHUNK_H // EDDY_STEP_H, CHUNK_H // SLOW_STEP_H
        rows = _drawn(self._streams, (steps + days, 2), self._members)
        keep, slow_keep = np.exp(-EDDY_STEP_H / EDDY_EFOLDING_H), np.exp(-SLOW_STEP_H / EDDY_SLOW_EFOLDING_H)
        self._fast = _autoregress(rows[:steps], self._fast, np.float32(keep)).copy()
        self._slow = _autoregress(rows[steps:], self._slow, np.float32(slow_keep))
        fast = rows[:steps]
        slow = np.repeat(rows[steps:], steps // days, axis=0)
        fast *= np.float32(np.sqrt(1.0 - EDDY_SLOW_SHARE))
        fast += np.float32(np.sqrt(EDDY_SLOW_SHARE)) * slow
        return np.asarray(fast)


def _drawn(streams: list[np.random.Generator], shape: tuple[int, ...], members: int) -> NDArray[np.float32]:
    """Independent standard normal draws, (*shape, members)."""
    rows = np.empty((*shape, members), dtype=np.float32)
    for number, stream in enumerate(streams):
        fleet = rows[..., number * FLEET : (number + 1) * FLEET]
        fleet[:] = stream.standard_normal((*shape, FLEET), dtype=np.float32)[..., : fleet.shape[-1]]
    return rows


def _autoregress(rows: NDArray[np.float32], state: NDArray[np.float32], keep: np.float32) -> NDArray[np.float32]:
    """Turn rows of independent draws into a first-order autoregression in place; returns its last row."""
    rows *= np.sqrt(np.float32(1.0) - keep * keep)
    for row in rows:
        row += keep * state
        state = row
    return state
