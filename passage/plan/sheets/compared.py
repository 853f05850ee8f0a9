"""Refits side by side: what each does to days, stores, battery and watches, what it weighs and what it costs."""

from __future__ import annotations

from datetime import datetime
from math import isfinite, nan
from typing import TYPE_CHECKING

import numpy as np

from passage.consequences.watches.phases import fares
from passage.tell.blocks import Blocks, Head, Points, Say, grid, strong
from passage.tell.customary import unit_words
from passage.tell.records import Record, reckoned, told, up

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.comparing import Tried
    from passage.consequences.stores.landfall import Stores
    from passage.consequences.watches.phases import WatchPlan

BY_ITSELF = (
    "Each is tried by itself, not on top of the others; food is left out, for it can still be bought. What comes "
    "aboard is weighed, and does not slow her here. In a hundred crossings, one or two more or less may be luck."
)


class Refitted(Record):
    """One refit, and the answers with it."""

    number: int = told("its number, the boat as she is first")
    refit: str = told("what is otherwise")
    counted: bool = told("whether anything in the crossings hangs on it")
    typical_days: float = told("days: half the crossings are quicker")
    slow_end_days: float = up("days to the slow end")
    water_load_l: float = up("litres of water to load")
    short_in_100: float = up("of 100 crossings, those in which any store but food runs out")
    first_out: str = told("the store that runs out in most of them; empty where none does")
    battery_low_in_100: float = up(
        "of 100 crossings, those whose battery falls below its floor, little sun; null: none"
    )
    battery_flat_in_100: float = up("of 100 crossings, those whose battery is emptied, little sun; null without one")
    sleep_h: float = told("hours of sleep a day that the rota leaves the one it leaves least; null without a rota")
    aboard_kg: float = told("what comes aboard, as far as it is known")
    price: float = told("what it costs, as said; null where nothing was said")
    saved_in_100: float = told("fewer crossings of 100 short of a store, food apart, than as she is")
    held_in_100: float = told("fewer crossings of 100 with a battery below its floor than as she is")

    @reckoned("for a hundred of money, fewer crossings of 100 short or with a low battery; null without a price")
    def for_100_in_100(self) -> float:
        gained = self.saved_in_100 + (self.held_in_100 if isfinite(self.held_in_100) else 0.0)
        return 100.0 * gained / self.price if self.price > 0.0 else nan


class RefitsCompared(Record):
    """Refits beside the boat as she is, all sailed by the same crossings."""

    voyage: str = told("name of the voyage")
    depart_utc: datetime = told("departure, UTC")
    crossings: int = told("how many crossings were sailed")
    refits: tuple[Refitted, ...] = told("the boat as she is, then each refit in the order asked")


def table(tried: Sequence[Tried]) -> RefitsCompared:
    first = tried[0].outcome
    rows: list[Refitted] = []
    for number, one in enumerate(tried, 1):
        rows.append(_row(number, one, rows[0] if rows else None))
    return RefitsCompared(
        first.facts.voyage.departure.name, first.crossings.depart, first.crossings.members, tuple(rows)
    )


def _row(number: int, one: Tried, first: Refitted | None) -> Refitted:
    outcome, refit = one.outcome, one.refit
    battery = outcome.power.answer if outcome.power else None
    out = _runs_out(outcome.stores)
    short = 100.0 * float(np.any(list(out.values()), axis=0).mean()) if out else 0.0
    low = battery.below_in_100 if battery else nan
    return Refitted(
        number=number,
        refit=one.words,
        counted=refit.reckoned if refit else True,
        typical_days=outcome.times.typical_days,
        slow_end_days=outcome.times.slow_end_days,
        water_load_l=outcome.stores.water.answer.load_l,
        short_in_100=short,
        first_out=max(out, key=lambda name: out[name].sum()) if short else "",
        battery_low_in_100=low,
        battery_flat_in_100=battery.emptied_in_100 if battery else nan,
        sleep_h=least_sleep_h(outcome.watches),
        aboard_kg=refit.mass_kg if refit else 0.0,
        price=refit.price if refit and refit.price else nan,
        saved_in_100=first.short_in_100 - short if first else 0.0,
        held_in_100=first.battery_low_in_100 - low if first else 0.0,
    )


def _runs_out(stores: Stores) -> dict[str, NDArray[np.bool_]]:
    """By store, in which crossings; food apart, which is still to be bought."""
    return {store.name: np.isfinite(store.ran_out_h) for store in stores.all if store.said and store.name != "food"}


def least_sleep_h(watches: WatchPlan | None) -> float:
    """Of the settled days, for the one whom the rota leaves least."""
    choice = (watches.settled.own or watches.settled.choice) if watches else None
    if watches is None or choice is None:
        return nan
    return min(row.room_sleep_h for row in fares(watches.settled, choice))


ROWS = (
    ("Typical, days", "typical_days"),
    ("Slow end, days", "slow_end_days"),
    ("Water to load, {L}", "water_load_l"),
    ("Short of a store, in 100", "short_in_100"),
    ("most often of", "first_out"),
    ("Battery low, in 100", "battery_low_in_100"),
    ("emptied, in 100", "battery_flat_in_100"),
    ("Sleep a day, h", "sleep_h"),
    ("Comes aboard, {kg}", "aboard_kg"),
    ("Price", "price"),
    ("Fewer for 100 of it", "for_100_in_100"),
)


def _rows() -> list[tuple[str, str]]:
    return [(title.format(L=unit_words("L"), kg=unit_words("kg")), name) for title, name in ROWS]


def compared_card(told: RefitsCompared) -> Blocks:
    refits = told.refits
    idle = [row.refit for row in refits if not row.counted]
    return (
        Head(told.voyage),
        Say(f"sails {told.depart_utc}; {told.crossings} crossings, the same luck on all"),
        Head("Tried"),
        Points(tuple(row.refit for row in refits), numbered=True),
        grid(
            [(title, *(f"{getattr(row, name)}" for row in refits)) for title, name in _rows()],
            ("", lambda row: row[0], "left 1fr"),
            *((strong(row.number), lambda cells, at=at: cells[at]) for at, row in enumerate(refits, 1)),
        ),
        Head("Mind"),
        Say(BY_ITSELF),
        *(Say(f"Nothing in these crossings hangs on: {each}. Its worth is told by no figure here.") for each in idle),
    )
