"""Refits beside one another: each sailed by the same crossings as the boat as she is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from passage.crossings.at_sea import sailing_polar
from passage.crossings.helm import rig_out
from passage.follows import fast_kn_of, noons_of, watches_of
from passage.ground import lay_ground
from passage.inputs.refits import refit, same_boat
from passage.road import Outcome, walk

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import datetime

    from passage.crossings.wind import Luck
    from passage.inputs.folder import Facts
    from passage.inputs.refits import Refit

AS_SHE_IS = "as she is"


@dataclass(frozen=True)
class Tried:
    """A refit and its crossings; None as the refit for the boat as she is."""

    refit: Refit | None
    outcome: Outcome

    @property
    def words(self) -> str:
        return self.refit.words if self.refit else AS_SHE_IS


def compare(
    facts: Facts,
    said: Sequence[str],
    luck: Luck,
    depart: datetime,
    progress: Callable[[float], None] | None = None,
) -> tuple[Tried, ...]:
    """The boat as she is, then each refit by itself. Raises InputFaults and RouteRefused, as the road does."""
    refits = [refit(facts, each) for each in said]
    first = replace(walk(facts, lay_ground(facts, depart), luck, depart), shopping=False)
    tried = [Tried(None, first)]
    for number, each in enumerate(refits, 2):
        tried.append(Tried(each, _sailed(first, each, luck, depart)))
        if progress:
            progress(number / (len(refits) + 1))
    return tuple(tried)


def _sailed(first: Outcome, refit: Refit, luck: Luck, depart: datetime) -> Outcome:
    """By the very crossings where she sails as before; on the same track in another boat; or another voyage's own."""
    facts = refit.facts
    if facts.voyage != first.facts.voyage:
        own = facts.voyage.departure.depart
        return replace(walk(facts, lay_ground(facts, own), luck, own), shopping=False)
    if same_boat(facts.boat, first.facts.boat) and facts.polar is first.facts.polar:
        beside = replace(first, facts=facts)
        if facts.watch == first.facts.watch:  # seconds of work, which hang on nothing else
            beside.expect([noons_of, fast_kn_of, watches_of], first.once)
        return beside
    polar = sailing_polar(facts.boat, facts.polar)
    ground = replace(first.ground, polar=polar, vessel=rig_out(facts.boat, polar))
    return replace(walk(facts, ground, luck, depart), shopping=False)
