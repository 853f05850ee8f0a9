"""How long every trouble and every refuge of the demonstration voyage takes, on a thousand crossings.

Counted in processor time, for all of it runs on one core and a busy machine is nobody's trouble.
"""

from __future__ import annotations

from time import process_time
from typing import TYPE_CHECKING, Any

import pytest

from passage.crossings.wind import Luck
from passage.ground import lay_ground
from passage.inputs.folder import read_folder
from passage.road import Outcome, walk
from passage.shipped import shipped
from passage.troubles.catalogue import troubles_for
from passage.troubles.effects import aboard, effect_of, strike
from passage.troubles.reckon import reckon_troubles

if TYPE_CHECKING:
    from passage.troubles.effects import Effect

LONGEST_S = 10.0
pytestmark = pytest.mark.benchmark(timer=process_time)


def sailed() -> Outcome:
    facts = read_folder(shipped("routes") / "cape-town-st-helena")
    outcome = walk(facts, lay_ground(facts), Luck(1, 1000), facts.voyage.departure.depart)
    assert outcome.stores.provision is not None  # the shopping list is the stores' own second, not the troubles'
    return outcome


def test_every_trouble_and_refuge_in_under_ten_seconds(benchmark: Any) -> None:
    outcome = sailed()
    troubled = benchmark.pedantic(reckon_troubles, args=(outcome,), rounds=2, iterations=1)
    assert len(troubled.effects) >= 15
    assert benchmark.stats["min"] < LONGEST_S


def test_every_trouble_without_the_refuges(benchmark: Any) -> None:
    outcome = sailed()
    before = aboard(outcome, outcome.stores, outcome.facts, outcome.ground, outcome.crossings)

    def all_of_them() -> list[Effect]:
        luck = Luck(1, 1000)
        return [effect_of(struck, outcome, before) for struck in strike(troubles_for(outcome.facts), outcome, luck)]

    assert len(benchmark.pedantic(all_of_them, rounds=2, iterations=1)) >= 15
