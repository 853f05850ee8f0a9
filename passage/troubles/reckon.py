"""All troubles of a voyage and its refuges, from one outcome: the room's one entry."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from passage.consequences.times import Times
from passage.crossings.wind import Luck
from passage.steps import done
from passage.tell.records import Record, told
from passage.troubles import changes
from passage.troubles.catalogue import troubles_for, vane_by_hand
from passage.troubles.effects import BATTERY, Effect, aboard, effect_of, strike
from passage.troubles.refuges import fewer_of, refuges_of, sail_ways_out
from passage.troubles.ways import Refuges

if TYPE_CHECKING:
    from passage.inputs.folder import Facts
    from passage.road import Outcome

CAUTIONS = (
    "What a damaged boat still makes good is a guess until it is tried, and then your own figures belong here; the "
    "defaults are common practice without a source. Each trouble stands alone; two at once are worse.",
    "What to do first is common practice but where a rule is named (those from memory). Practise it ashore.",
)
NO_DRIFT = (
    "The set and drift of the legs are in the ways on and back; the ways to a refuge have the shipped averages instead."
)


class Troubled(Record):
    """Every trouble, and every way out."""

    times: Times = told("how long those crossings take without any of it")
    all_typical_days: float = told("typical days of all the crossings of the plan, of which these are the first")
    all_slow_end_days: float = told("slow end of all the crossings of the plan, of which these are the first")
    effects: tuple[Effect, ...] = told(
        "each trouble that fits the boat, the same crossings sailed again with that one thing changed"
    )
    refuges: Refuges = told("going on, turning back, or a refuge, each sailed from every few days out")
    cautions: tuple[str, ...] = told("what these figures cannot say")


def reckon_troubles(outcome: Outcome) -> Troubled:
    """Every trouble that fits the boat on the first of the same crossings, and every way out of every few days.

    Raises InputFaults for a refuge on land or behind it.
    """
    laid_in, fewer = outcome.stores, fewer_of(outcome)
    before = aboard(fewer, laid_in, fewer.facts, fewer.ground, fewer.crossings)
    luck = Luck(fewer.crossings.seed, fewer.crossings.members)
    troubles, effects = troubles_for(fewer.facts), []
    for number, one in enumerate(strike(troubles, fewer, luck, outcome.crossings)):
        done(number / len(troubles))
        effects.append(effect_of(one, fewer, before))
    effects = [_as_steered(each, effects, fewer.facts) for each in effects]
    refuges = refuges_of(fewer, before, outcome.once(sail_ways_out))
    return Troubled(
        times=fewer.times,
        all_typical_days=outcome.times.typical_days,
        all_slow_end_days=outcome.times.slow_end_days,
        effects=tuple(effects),
        refuges=refuges,
        cautions=(*CAUTIONS, *_without_drift(outcome.facts)),
    )


def _as_steered(effect: Effect, effects: list[Effect], facts: Facts) -> Effect:
    """A lost vane whose pilot would empty the battery is hand-steering: no crew lets the bank go flat for it."""
    battery = next((thing for thing in effect.running_out if thing.name == BATTERY), None)
    if effect.trouble.change is not changes.by_pilot or battery is None:
        return effect
    by_hand = next(each for each in effects if each.trouble.change is changes.by_hand)
    return replace(by_hand, trouble=vane_by_hand(effect.trouble, facts, f"{battery.gone_day}"))


def _without_drift(facts: Facts) -> list[str]:
    return [NO_DRIFT] if facts.voyage.set_by_leg and facts.troubles.refuges else []
