"""What runs short as boats break: later landfalls, and what a trouble takes out of the stores or adds to their use.

A trouble's own use and stock are those of its facts, from the strike until it is mended. What is lost of a stock is
lost of what is then left, for tanks are drawn alike, and no mending brings it back.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.consequences.stores.drawdown import ROUNDING
from passage.crossings.ensemble import blocks, some_of
from passage.troubles.effects import stores_aboard

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from passage.consequences.stores.drawdown import Store
    from passage.crossings.ensemble import Crossings
    from passage.inputs.folder import Facts
    from passage.road import Outcome
    from passage.troubles.strikes import Strikes

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]


class Drawn(NamedTuple):
    """Which crossings are short of a store, (members,): as boats break, and where nothing does."""

    store: str
    short: Bools
    short_before: Bools


class _Struck(NamedTuple):
    """What one trouble makes of the stores of those whom it reaches, a row for each of ``who``. member, row: of each
    strike; begin_h, end_h: within the hours sailed.
    """

    who: NDArray[np.intp]
    member: NDArray[np.intp]
    row: NDArray[np.intp]
    begin_h: NDArray[np.int64]
    end_h: NDArray[np.int64]
    stores: dict[str, Store]


class _Touch(NamedTuple):
    """A strike at one store: lost is the share of the stock at departure; use: by the hour while it stands, or none."""

    begin_h: int
    end_h: int
    lost: float
    use: Floats | None


def drawn_as_boats_break(
    outcome: Outcome,
    left: Sequence[Facts],
    strikes: Sequence[Strikes],
    hurt: Crossings,
    who: slice = slice(None),
) -> tuple[Drawn, ...]:
    """Every store that is counted, in some of the crossings. left: the facts that each trouble leaves; hurt: those
    crossings with its strikes.
    """
    whole = outcome.crossings
    charging_h = outcome.power.low.charging_h if outcome.power else np.zeros(whole.members)
    by_hour = (charging_h / np.minimum(whole.arrival_h, whole.hours))[who]
    base = _stores(outcome, outcome.facts, hurt, by_hour)
    struck = [_struck(outcome, *pair, hurt, by_hour) for pair in zip(left, strikes, strict=True)]
    before = {store.name: _runs_out(store)[who] for store in outcome.stores.all}
    return tuple(
        Drawn(name, _short(store, [each for each in struck if each]), before[name])
        for name, store in base.items()
        if store.said
    )


def _stores(outcome: Outcome, facts: Facts, crossings: Crossings, charging_by_hour: Floats) -> dict[str, Store]:
    """Under these facts along these crossings, by name; charging_by_hour: engine hours for the battery, (members,)."""
    charging_h = charging_by_hour * np.minimum(crossings.arrival_h, crossings.hours)
    return {store.name: store for store in stores_aboard(outcome, outcome.stores, facts, crossings, charging_h)}


def _runs_out(store: Store) -> Bools:
    return np.asarray(store.net_used > store.usable + ROUNDING)


def _struck(
    outcome: Outcome, facts: Facts, strikes: Strikes, hurt: Crossings, charging_by_hour: Floats
) -> _Struck | None:
    """None where it reaches nobody, or leaves what the stores hang on as it was."""
    at_sea = strikes.begin_h < np.minimum(hurt.arrival_h, hurt.hours)[strikes.member]
    same = all(getattr(facts, part) is getattr(outcome.facts, part) for part in ("crew", "boat", "provisions"))
    if same or not at_sea.any():
        return None
    member, begin_h, end_h = (row[at_sea] for row in strikes)
    who, row = np.unique(member, return_inverse=True)
    stores = _stores(outcome, facts, some_of(hurt, who), charging_by_hour[who])
    return _Struck(who, member, row, begin_h, np.minimum(end_h, hurt.hours), stores)


def _short(store: Store, struck: Sequence[_Struck]) -> Bools:
    """Which crossings run out of the store, (members,)."""
    short, touches = _runs_out(store), defaultdict(list)
    for each in struck:
        for member, touch in _touching(each, store):
            touches[member].append(touch)
    struck_members = np.array(sorted(touches), dtype=np.intp)
    for some in blocks(len(struck_members), store.drawing.crossings.hours):
        who = struck_members[some]
        for member, drawn in zip(who.tolist(), store.drawing.drawn(who), strict=True):
            short[member] |= _runs_out_of(store, drawn, touches[member])
    return short


def _touching(struck: _Struck, store: Store) -> Iterator[tuple[int, _Touch]]:
    """The strikes that leave another stock or another use, by member. Without an engine nobody is short of fuel."""
    other = struck.stores.get(store.name)
    if other is None and store.name == "fuel":
        return
    lost = 1.0 - (other.loaded / store.loaded if other else 0.0)
    by_row = np.argsort(struck.row, kind="stable")
    for some in blocks(len(struck.who), store.drawing.crossings.hours):
        drawn = None if other is None else other.drawing.drawn(some)
        if drawn is not None and np.array_equal(drawn, store.drawing.drawn(struck.who[some])):
            drawn = None
        if lost <= 0.0 and drawn is None:
            continue
        rows = by_row[np.searchsorted(struck.row[by_row], some.start) : np.searchsorted(struck.row[by_row], some.stop)]
        for member, row, begin_h, end_h in zip(*(part[rows].tolist() for part in struck[1:5]), strict=True):
            use = None if drawn is None else np.diff(drawn[row - some.start], prepend=0.0)[begin_h:end_h].copy()
            yield member, _Touch(begin_h, end_h, lost, use)


def _runs_out_of(store: Store, drawn: Floats, touches: list[_Touch]) -> bool:
    """Whether one crossing does, under all that strikes her; drawn: by the end of each hour with none of it."""
    use = np.diff(drawn, prepend=0.0)
    for touch in touches:
        if touch.use is not None:
            use[touch.begin_h : touch.end_h] = np.maximum(use[touch.begin_h : touch.end_h], touch.use)
    drawn = np.cumsum(use)
    lost, whole = 0.0, 1.0  # of the stock, and the share of it that no strike has taken yet
    for touch in sorted(touches, key=lambda each: each.begin_h):
        gone = min(touch.lost, whole)
        if gone > 0.0:
            left = store.loaded - lost - (drawn[touch.begin_h - 1] if touch.begin_h else 0.0)
            lost += max(left, 0.0) * gone / whole
            whole -= gone
    return bool(drawn[-1] + lost > store.usable + ROUNDING)
