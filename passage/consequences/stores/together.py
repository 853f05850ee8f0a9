"""All stores in the same crossings: what ran out, when, which first, and the least that mends it."""

from __future__ import annotations

import heapq
from dataclasses import dataclass
from math import nan
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from passage.tell.figures import Side, whole
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.consequences.stores.drawdown import Store

Z_95 = 1.959963984540054  # normal deviate that 95 per cent of the mass lies within
MOST_PIECES = 60  # of one kind in a remedy; beyond it the plan is wrong, not the stores
MOST_TRIED = 20_000


class Share(Record):
    """A share of the crossings with its 95 per cent interval (Wilson's score interval, no continuity correction)."""

    count: int = told("how many crossings")
    members: int = told("of so many")
    low: float
    high: float

    @reckoned("crossings in a hundred", Side.UP)
    def in_100(self) -> float:
        return 100.0 * self.value

    @reckoned("as many of a hundred it may be, upper end of the 95 per cent interval", Side.UP)
    def at_most_in_100(self) -> float:
        return 100.0 * self.high

    @property
    def value(self) -> float:
        return self.count / self.members


class Shortage(Record):
    """One store over all crossings. gone_days: days from departure when it runs out in the middle one of those in which
    it does, NaN where it never does.
    """

    name: str = told("its name")
    short: Share = told("crossings that run out of it before landfall or never arrive")
    first: Share = told("crossings in which it is the first to run out")
    gone_days: float

    @reckoned("day out on which it runs out, half earlier and half later, of the crossings in which it does")
    def typical_day(self) -> float:
        return nan if np.isnan(self.gone_days) else whole(self.gone_days, Side.DOWN) + 1


@dataclass(frozen=True)
class Piece:
    """What a remedy is made of: so much more of a store, the mass it adds, and its price, nan where nobody said."""

    store: str
    words: str
    amount: float
    mass_kg: float
    price: float = nan


class Remedy(Record):
    """The lightest set of pieces that brings the crossings with any shortage down to the target; empty where none is
    needed. pieces: (how many, which).
    """

    pieces: tuple[tuple[int, Piece], ...]
    mass_kg: float = told("its mass, kg")
    after: Share = told("crossings that are then still short of anything")

    @reckoned("its price, where stores.toml says that of every piece; null else", places=0)
    def price(self) -> float:
        return sum(count * piece.price for count, piece in self.pieces) if self.pieces else nan

    @reckoned("what to add; empty where nothing need be")
    def parts(self) -> tuple[str, ...]:
        return tuple(f"{count} x {piece.words}" for count, piece in self.pieces)


class Together(Record):
    """All stores in the same crossings. first_out: (members,) name of the first store to go, '' where nothing does."""

    shortages: tuple[Shortage, ...] = told("one row for each store that is counted, the likeliest to run out first")
    any_short: Share = told("crossings short of anything")
    first_out: tuple[str, ...]
    first_out_h: NDArray[np.float64]
    never: int
    remedy: Remedy | None = told("the lightest that mends it; null where no number of pieces does")
    not_counted: tuple[str, ...] = told("stores of which no file says how much is aboard")

    @property
    def first(self) -> Shortage | None:
        """The store that is first to run out in most crossings; None where nothing does."""
        likeliest = max(self.shortages, key=lambda row: row.first.count)
        return likeliest if likeliest.first.count else None


def share(count: int, members: int) -> Share:
    """``count`` of ``members`` with Wilson's score interval (Wilson 1927). Raises ValueError for no members."""
    if not 0 <= count <= members or members == 0:
        raise ValueError(f"{count} of {members} is not a share")
    p, z2 = count / members, Z_95 * Z_95
    middle = (p + z2 / (2 * members)) / (1 + z2 / members)
    half = Z_95 / (1 + z2 / members) * (p * (1 - p) / members + z2 / (4 * members * members)) ** 0.5
    low = 0.0 if count == 0 else middle - half
    return Share(count, members, low, 1.0 if count == members else middle + half)


def together(every: Sequence[Store], target_share: float) -> Together:
    """Put the stores of the same crossings side by side and search the lightest remedy. Nothing aboard of a store that
    no file speaks of is not known, rather than none: it is not counted.
    """
    stores = [store for store in every if store.said]
    members = len(stores[0].used)
    went = np.array([store.ran_out_h for store in stores])
    short = np.array([_short(store, 0.0) for store in stores])
    first = np.where(np.isfinite(went.min(axis=0)), went.argmin(axis=0), -1)
    shortages = [
        Shortage(
            name=store.name,
            short=share(int(short[n].sum()), members),
            first=share(int((first == n).sum()), members),
            gone_days=float(np.median(gone)) / 24.0 if (gone := went[n][np.isfinite(went[n])]).size else nan,
        )
        for n, store in enumerate(stores)
    ]
    return Together(
        shortages=tuple(sorted(shortages, key=lambda row: -row.short.count)),
        any_short=share(int(short.any(axis=0).sum()), members),
        first_out=tuple("" if n < 0 else stores[n].name for n in first),
        first_out_h=went.min(axis=0),
        never=int(np.isinf(stores[0].used).sum()),
        remedy=lightest_remedy(stores, target_share),
        not_counted=tuple(store.name for store in every if not store.said),
    )


def _short(store: Store, extra: float) -> NDArray[np.bool_]:
    """Which crossings run out of the store with so much more of it aboard, (members,)."""
    return store.net_used > store.usable + extra + 1e-6


def lightest_remedy(stores: Sequence[Store], target_share: float) -> Remedy | None:
    """The least mass of whole pieces that leaves at most ``target_share`` of the crossings short of anything.

    A shortest-path search over numbers of pieces, from the least that each store needs by itself: adding a piece never
    makes a crossing short, so the first set met that is good enough is the lightest. None where no set is.
    """
    named = {store.name: store for store in stores}
    usable = [store.piece for store in stores if store.piece and store.piece.amount > 0]
    fixed = [_short(store, 0.0) for store in stores if store.name not in {piece.store for piece in usable}]
    shorts = [_by_number(named[piece.store], piece) for piece in usable]
    start = [_enough(rows, target_share) for rows in shorts]
    if any(number is None for number in start):
        return None
    base = np.any(fixed, axis=0) if fixed else np.zeros(len(stores[0].used), dtype=bool)
    queue = [(_mass(usable, tuple(n or 0 for n in start)), tuple(n or 0 for n in start))]
    seen = {queue[0][1]}
    while queue and len(seen) < MOST_TRIED:
        mass, numbers = heapq.heappop(queue)
        out = np.any([base, *(rows[n] for rows, n in zip(shorts, numbers, strict=True))], axis=0)
        if out.mean() <= target_share:
            chosen = tuple((n, piece) for n, piece in zip(numbers, usable, strict=True) if n)
            return Remedy(chosen, mass, share(int(out.sum()), len(out)))
        for more in _one_more(numbers, shorts, seen):
            heapq.heappush(queue, (_mass(usable, more), more))
    return None


def _by_number(store: Store, piece: Piece) -> list[NDArray[np.bool_]]:
    """Which crossings are short with 0, 1, 2 ... pieces more, until none is that can be helped."""
    rows = [_short(store, 0.0)]
    helpless = np.isinf(store.used).sum()
    while rows[-1].sum() > helpless and len(rows) <= MOST_PIECES:
        rows.append(_short(store, len(rows) * piece.amount))
    return rows


def _enough(rows: list[NDArray[np.bool_]], target_share: float) -> int | None:
    return next((n for n, row in enumerate(rows) if row.mean() <= target_share), None)


def _one_more(
    numbers: tuple[int, ...], shorts: list[list[NDArray[np.bool_]]], seen: set[tuple[int, ...]]
) -> list[tuple[int, ...]]:
    """The neighbours with one piece more of one kind, not met before."""
    grown = [(*numbers[:i], n + 1, *numbers[i + 1 :]) for i, n in enumerate(numbers) if n + 1 < len(shorts[i])]
    new = [each for each in grown if each not in seen]
    seen.update(new)
    return new


def _mass(pieces: Sequence[Piece], numbers: tuple[int, ...]) -> float:
    return sum(n * piece.mass_kg for n, piece in zip(numbers, pieces, strict=True))
