"""All troubles of a voyage and its refuges, from one outcome: the room's one entry."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from passage.crossings.ensemble import first_of
from passage.crossings.wind import Luck
from passage.troubles.catalogue import troubles_for
from passage.troubles.effects import aboard, effect_of, strike
from passage.troubles.refuges import refuges_of, ways_out

if TYPE_CHECKING:
    from collections.abc import Callable

    from passage.consequences.times import Times
    from passage.road import Outcome
    from passage.troubles.effects import Aboard, Effect
    from passage.troubles.refuges import Refuges, WaysOut


CROSSINGS = 300  # enough to tell one trouble from another, and a third of the wait


@dataclass(frozen=True)
class Troubled:
    """before: what is drawn down without any trouble, in ``times``; effects: in the order of print."""

    times: Times
    before: Aboard
    effects: tuple[Effect, ...]
    refuges: Refuges


def reckon_troubles(outcome: Outcome, progress: Callable[[float], None] | None = None) -> Troubled:
    """Every trouble that fits the boat on the first of the same crossings, and every way out of every few days.

    ``progress`` is told the share of the troubles done. Raises InputFaults for a refuge on land or behind it.
    """
    laid_in, fewer = outcome.stores, _fewer(outcome)
    before = aboard(fewer, laid_in, fewer.facts, fewer.ground, fewer.crossings)
    luck = Luck(fewer.crossings.seed, fewer.crossings.members)
    struck, effects = strike(troubles_for(fewer.facts), fewer, luck), []
    for done, one in enumerate(struck):
        if progress is not None:
            progress(done / len(struck))
        effects.append(effect_of(one, fewer, before))
    refuges = refuges_of(fewer, before, outcome.once(sail_ways_out))
    return Troubled(fewer.times, before, tuple(effects), refuges)


def sail_ways_out(outcome: Outcome) -> WaysOut:
    """Every way out of every few days, which asks for nothing but the crossings."""
    return ways_out(_fewer(outcome))


def _fewer(outcome: Outcome) -> Outcome:
    return replace(outcome, crossings=first_of(outcome.crossings, CROSSINGS))
