"""As boats break, beside the same crossings in which nothing does."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.api import unbreakable
from passage.crossings.wind import FLEET
from passage.inputs.changes import changed
from passage.inputs.reliability import STANDINGS
from passage.troubles.breakage import AsBoatsBreak, Breakage, Often, breakage_of
from tests.plan_cases import UNTOUCHED, sailed

if TYPE_CHECKING:
    from passage.road import Outcome


def at_rates(route: str, **rates: object) -> Outcome:
    """The same crossings with other rates of some troubles."""
    outcome = sailed(route)
    facts = changed(outcome.facts, **{f"{name}__rate": rate for name, rate in rates.items()})
    again = replace(outcome, facts=facts)
    again.expect(UNTOUCHED, outcome.once)
    return again


@cache
def broken(route: str) -> Breakage:
    found = breakage_of(sailed(route))
    assert found is not None
    return found


def test_a_part_of_the_crossings_at_a_time_is_as_all_of_them_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    outcome, at_once = sailed("cape-town-st-helena"), broken("cape-town-st-helena")
    monkeypatch.setattr("passage.crossings.simulate.ABREAST", 6 * FLEET)
    again = replace(outcome)
    again.expect(UNTOUCHED, outcome.once)
    in_parts = breakage_of(again)
    assert outcome.crossings.members > FLEET
    assert in_parts is not None
    assert at_once.to_json() == in_parts.to_json()


def test_with_all_rates_nil_nothing_is_sailed_again() -> None:
    assert breakage_of(at_rates("lagos-azores", **dict.fromkeys(STANDINGS, 0.0))) is None
    outcome = sailed("lagos-azores")
    assert breakage_of(replace(outcome, facts=unbreakable(outcome.facts))) is None


def test_at_likely_rates_of_nil_every_figure_is_that_of_before() -> None:
    """Only the high rates are not nil, so that all is worked out; the likely crossings are then those of the plan."""
    outcome = at_rates("lagos-azores", **dict.fromkeys(STANDINGS, (0.0, 0.0, 2.0)))
    found = breakage_of(outcome)
    assert found is not None
    answer = found.answer
    assert outcome.times == answer.times
    assert 0 == answer.struck.count
    assert answer.any_short_before == answer.any_short
    assert answer.beyond_old_rule_before == answer.beyond_old_rule
    assert answer.at_sea_then_before == answer.at_sea_then
    assert {row.store: row.short for row in answer.stores} == {
        row.name: row.short for row in outcome.stores.together.shortages
    }
    for row in answer.stores:
        assert row.before == row.short
    assert found.levels[2].slow_end_h > found.levels[1].slow_end_h == outcome.times.slow_end_h


@pytest.mark.parametrize("route", ["cape-town-st-helena", "lagos-azores"])
def test_low_likely_and_high_are_ordered_and_nothing_is_quicker_for_breaking(route: str) -> None:
    outcome, found = sailed(route), broken(route)
    assert list(Often) == [level.often for level in found.levels]
    low, likely, high = found.levels
    assert outcome.times.slow_end_h <= low.slow_end_h <= likely.slow_end_h <= high.slow_end_h
    assert 0 < low.struck.count < likely.struck.count < high.struck.count
    assert found.answer.any_short_before.count <= likely.any_short.count <= high.any_short.count
    assert likely.slow_end_h == found.answer.times.slow_end_h


def test_a_late_boat_counts_against_the_old_rule_and_the_worrying_day() -> None:
    outcome, answer = sailed("lagos-azores"), broken("lagos-azores").answer
    arrival_h, reserve = outcome.crossings.arrival_h, outcome.facts.voyage.reserve
    assert (
        int((arrival_h > reserve.typical_factor * outcome.times.typical_h).sum()) == answer.beyond_old_rule_before.count
    )
    worry_h = outcome.times.slow_end_h + outcome.facts.gear.float_plan.late(outcome.times.slow_end_h).worry_h
    assert answer.at_sea_then_before is not None
    assert answer.at_sea_then is not None
    assert int((arrival_h > worry_h).sum()) == answer.at_sea_then_before.count <= answer.at_sea_then.count


def test_a_trouble_that_strikes_everybody_at_once_is_the_trouble_alone() -> None:
    """A rate of one a day, never mended, in the first days: later than unhurt, as the trouble at departure is."""
    names = dict.fromkeys(STANDINGS, 0.0) | {"headsail_jammed": 20.0}
    facts = changed(at_rates("lagos-azores", **names).facts, headsail_jammed__mended_share=0.0)
    outcome = replace(sailed("lagos-azores"), facts=facts)
    outcome.expect(UNTOUCHED, sailed("lagos-azores").once)
    found = breakage_of(outcome)
    assert found is not None
    assert found.answer.struck.count == found.answer.struck.members == 200
    assert found.answer.times.typical_h > outcome.times.typical_h
    (row,) = (each for each in found.troubles if each.name == "Headsail jammed")
    assert row.later_days > 0.5
    assert np.isnan([each.later_days for each in found.troubles if each is not row]).all()


def test_told_in_words_and_numbers() -> None:
    answer = broken("cape-town-st-helena").answer
    assert isinstance(answer, AsBoatsBreak)
    assert answer.water is not None
    assert set(answer.to_json()) >= {"times", "struck", "any_short", "beyond_old_rule", "at_sea_then", "worry_utc"}
