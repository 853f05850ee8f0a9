"""One store drawn down hour by hour along every crossing: the arithmetic that water, food, fuel and gas share."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import nan
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from passage.consequences.stores.loading import Load, LoadingRule, RuleTold, to_load
from passage.consequences.stores.together import Piece, Shortage
from passage.crossings.ensemble import DAY_H, Crossings, blocks, some_of
from passage.tell.customary import per_metric, unit_words
from passage.tell.figures import Side, in_print
from passage.tell.records import Record, down, reckoned, told

if TYPE_CHECKING:
    from passage.inputs.boat import Boat
    from passage.inputs.crew import Crew
    from passage.inputs.provisions import Provisions

CAN_KG_PER_L = 0.06  # an empty can weighs some 60 g for each litre (common practice)
ROUNDING = 1e-6  # of a litre, a kilocalorie, a pill: nobody runs short of that


@dataclass(frozen=True)
class Rules:
    """How safe is safe. slow_share: share of crossings that full use must cover (0.95); typical_factor: multiple of the
    typical use that is loaded at least (1.5).
    """

    slow_share: float
    typical_factor: float


@dataclass(frozen=True)
class Laden:
    """All that the law of a store may ask: the crossings, who and what is aboard, and how safe is safe.

    charging_h_per_day: engine hours for the battery, a number or (members,); food_kcal: energy in the food aboard.
    """

    crossings: Crossings
    crew: Crew
    boat: Boat
    provisions: Provisions
    rules: Rules
    charging_h_per_day: NDArray[np.floating] | float = 0.0
    food_kcal: float = 0.0


class Left(Record):
    """What is left of a store at the end of a day out; a boat in port keeps what she had."""

    day: int = told("day out")
    slow_left: float = down("left, 1 crossing in 10 has less")
    typical_left: float = down("left in the middle one")
    quick_left: float = down("left, 1 crossing in 10 has more")


Hourly = Callable[[Crossings], NDArray[np.floating]] | float


@dataclass(frozen=True)
class Use:
    """How a store is used. hourly: full use by the hour at sea, a number or what makes (members, hours) of some of the
    crossings; supply: made or caught in an hour at most, never more than is used in it, so that no tank runs over;
    survival: use to landfall at the survival ration, (members,); always: in each hour at sea besides, (members,).
    """

    hourly: Hourly
    survival: NDArray[np.float64]
    supply: float = 0.0
    always: NDArray[np.float64] | None = None


Who = slice | NDArray[np.intp]


class Drawing(NamedTuple):
    """A use along crossings, reckoned of some of them at a time, for all of them hour by hour would fill a computer."""

    use: Use
    crossings: Crossings

    def needed(self, who: Who) -> NDArray[np.float64]:
        """Cumulative full use at the end of each hour, (members, hours)."""
        return np.cumsum(self._hourly(who), axis=1)

    def drawn(self, who: Who) -> NDArray[np.float64]:
        """The same less what was made or caught."""
        return self.both(who)[1]

    def both(self, who: Who) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Needed and drawn."""
        hourly, supply = self._hourly(who), self.use.supply
        needed = np.cumsum(hourly, axis=1)
        return needed, np.cumsum(np.maximum(hourly - supply, 0.0), axis=1) if supply > 0 else needed

    def blocks(self) -> Iterator[slice]:
        return blocks(self.crossings.members, self.crossings.hours)

    def needed_before(self, hours: NDArray[np.integer]) -> NDArray[np.float64]:
        """Full use in the hours before these, which are of every crossing or (members, hours); of such a shape."""
        each = np.broadcast_to(hours, (self.crossings.members, hours.shape[-1]))
        return np.concatenate([_before(self.needed(who), each[who]) for who in self.blocks()])

    def drawn_before(self, hour: int) -> NDArray[np.float64]:
        """What has been taken out in the hours before this one, (members,)."""
        return np.concatenate([_before(self.drawn(who), np.array([[hour]]))[:, 0] for who in self.blocks()])

    def _hourly(self, who: Who) -> NDArray[np.float64]:
        some, use = some_of(self.crossings, who), self.use
        hourly = use.hourly(some) if callable(use.hourly) else use.hourly
        if use.always is not None:
            hourly = hourly + use.always[who][:, None]
        return np.asarray(hourly * some.at_sea)


def _before(cumulative: NDArray[np.float64], hours: NDArray[np.integer]) -> NDArray[np.float64]:
    """What had come together when these hours began, (members, hours), of (members, hours) at the end of each."""
    shape = len(cumulative), hours.shape[-1]
    hours = np.minimum(np.broadcast_to(hours, shape), cumulative.shape[1])
    ended: NDArray[np.float64] = np.take_along_axis(cumulative, np.maximum(hours - 1, 0), axis=1)
    return np.where(hours > 0, ended, 0.0)


class Store(Record):
    """One store in every crossing, reckoned in its own unit, told in one that a person can measure. Arrays (members,)
    unless said.

    own_unit: of all that is not told; per_own: how many of ``unit`` one of them makes; loaded: at departure; now: the
    same with nothing bought; kept_back: never to be used before landfall, and short without it; drawing: how it goes
    down hour by hour; used, supplied: to landfall, used infinite where she never arrives; survival: use to landfall at
    the survival ration; left = loaded + supplied - used, negative is short; ran_out_h: hours from departure when what
    may be used is gone, infinite where it lasts; short: share of crossings that run out; by_day: (days, 3) left at the
    end of each day out in the slowest, the typical and the thriftiest of 8 crossings in 10; daily: mean use a day at
    sea; kg_per_unit: its mass, for stowage; piece: what may be added of it.
    """

    name: str = told("its name")
    unit: str = told("its unit: food in days of full meals for all, gas in grams")
    said: bool = told("whether a file says how much is aboard; else it is not counted")
    own_unit: str
    per_own: float
    loaded: float
    now: float
    kept_back: float
    drawing: Drawing
    used: NDArray[np.float64]
    supplied: NDArray[np.float64]
    survival: NDArray[np.float64]
    left: NDArray[np.float64]
    ran_out_h: NDArray[np.float64]
    short: float
    load: Load
    by_day: NDArray[np.float64]
    daily: float
    kg_per_unit: float
    piece: Piece | None
    shortage: Shortage | None = told("how often it runs out, and when; null where it is not counted", default=None)

    @property
    def usable(self) -> float:
        return self.loaded - self.kept_back

    @property
    def net_used(self) -> NDArray[np.float64]:
        """What the crossing takes out of the store itself, (members,)."""
        return self.used - self.supplied

    @property
    def load_amount(self) -> float:
        """What to load by the rule that governs, and what is kept back on top."""
        return self.load.amount + self.kept_back

    @reckoned("to load, what is kept back included; null where a deciding crossing never arrives", Side.UP)
    def to_load(self) -> float:
        return self.load_amount * self.per_own

    @reckoned("which of the three loading rules decides")
    def governs(self) -> LoadingRule:
        return self.load.governs

    @reckoned("the three loading rules")
    def rules(self) -> tuple[RuleTold, ...]:
        asked = self.load.by_rule.items()
        return tuple(RuleTold(rule, amount * self.per_own, rule == self.load.governs) for rule, amount in asked)

    @reckoned("kept for the landfall on top of the rules", Side.UP)
    def reserve(self) -> float:
        return self.kept_back * self.per_own

    @reckoned("aboard as it stands, nothing bought; null where no file says", Side.DOWN)
    def aboard_now(self) -> float:
        return min(self.now, self.loaded) * self.per_own if self.said else nan

    @reckoned("aboard at departure, food with the shopping list; null where not counted", Side.DOWN)
    def aboard(self) -> float:
        return self.loaded * self.per_own if self.said else nan

    @reckoned("too little aboard by so much; null where not counted or not to be said")
    def lacking(self) -> float:
        """Of the figures as they are printed, so that they add up on paper."""
        return max(in_print(self.to_load) - in_print(self.aboard), 0.0) if self.said else nan

    @reckoned("what is left at the end of each day out")
    def left_by_day(self) -> tuple[Left, ...]:
        return tuple(Left(day, *left) for day, left in enumerate((self.by_day * self.per_own).tolist(), start=1))


def draw_down(
    name: str,
    own_unit: str,
    loaded: float,
    use: Use,
    crossings: Crossings,
    rules: Rules,
    *,
    kept_back: float = 0.0,
    kg_per_unit: float = 0.0,
    said: bool = True,
    piece: Piece | None = None,
    told_in: tuple[str, float] | None = None,
) -> Store:
    """Draw ``loaded`` down along every crossing. told_in: the unit for print, and how many of it one of its own makes,
    where they differ. What to load is reckoned from full use as if nothing were made or caught: a watermaker fails, and
    the sky promises nothing.
    """
    drawing, full = Drawing(use, crossings), loaded - kept_back + ROUNDING
    ends = [_ends(*drawing.both(who), full) for who in drawing.blocks()]
    needed, drawn, ran_out_h, by_day = (np.concatenate(part) for part in zip(*ends, strict=True))
    used = np.where(np.isfinite(crossings.arrival_h), needed, np.inf)
    supplied = needed - drawn
    litres = unit_words("litres"), per_metric("litres")
    unit, per_own = told_in or (litres if own_unit == "L" else (own_unit, 1.0))
    return Store(
        name=name,
        unit=unit,
        said=said,
        own_unit=own_unit,
        per_own=per_own,
        loaded=loaded,
        now=loaded,
        kept_back=kept_back,
        drawing=drawing,
        used=used,
        supplied=supplied,
        survival=use.survival,
        left=loaded + supplied - used,
        ran_out_h=ran_out_h,
        short=float((used - supplied > full).mean()),
        load=to_load(used, use.survival, rules.slow_share, rules.typical_factor),
        by_day=loaded - np.quantile(by_day, [0.9, 0.5, 0.1], axis=0, method="inverted_cdf").T,
        daily=float(needed.sum() / (np.minimum(crossings.arrival_h, crossings.hours).sum() / 24.0)),
        kg_per_unit=kg_per_unit,
        piece=piece,
    )


def _ends(
    needed: NDArray[np.float64], drawn: NDArray[np.float64], full: float
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Of what is cumulative at the end of each hour, (members, hours): needed and drawn in all, the hour in which more
    than ``full`` is drawn, (members,) each, and what is drawn at the end of each day, (members, days).
    """
    out = drawn > full
    ran_out_h = np.where(out.any(axis=1), out.argmax(axis=1), np.inf)
    return needed[:, -1].copy(), drawn[:, -1].copy(), ran_out_h, drawn[:, DAY_H - 1 :: DAY_H].copy()
