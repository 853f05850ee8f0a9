"""When things break: counts come back from their own rates, and a member's strikes are her own."""

from __future__ import annotations

from dataclasses import replace
from math import exp, sqrt
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.inputs.reliability import STANDINGS, SURVEYED, Rates, Reliability
from passage.troubles import changes
from passage.troubles.catalogue import Trouble, troubles_for
from passage.troubles.strikes import NEVER_H, Hazard, Strikes, draw_strikes, hazards_of
from tests.plan_cases import sailed

if TYPE_CHECKING:
    from passage.inputs.folder import Facts

MEMBERS = 20_000
PASSAGE_H = 480  # the twenty days that the survey's counts are taken over


def hazard(rate: float, mended_share: float = 1.0, mending_h: float = 1.0, name: str = "invented") -> Hazard:
    trouble = Trouble(name, "", (), changes.nothing, wear="rudder_lost")
    return Hazard(trouble, Rates(rate, rate, rate), mended_share, mending_h)


def drawn(case: Hazard, members: int = MEMBERS, seed: int = 1, until_h: int = PASSAGE_H) -> Strikes:
    return draw_strikes(case, case.rates.middle, seed, members, until_h)


@pytest.mark.parametrize("name", [name for name, standing in STANDINGS.items() if standing.counted])
def test_the_survey_s_counts_are_recovered_from_their_own_rates(name: str) -> None:
    """As many of 290 yachts in 20 days as reported it, within three binomial errors of the yachts simulated; what
    breaks twice in one passage counts as in the survey, once for each.
    """
    rate = getattr(Reliability(), name).rate.middle
    struck = drawn(hazard(rate, name=name))
    count = STANDINGS[name].counted
    share = count / SURVEYED
    rounding = 0.0005  # rates have three places
    assert abs(len(struck.member) / MEMBERS - share) < 3.0 * sqrt(share / MEMBERS) + rounding
    boats = 1.0 - exp(-rate)  # with one or more, for strikes that know nothing of one another
    assert abs(len(set(struck.member)) / MEMBERS - boats) < 3.0 * sqrt(boats * (1.0 - boats) / MEMBERS)


def test_strikes_are_spread_evenly_over_the_passage() -> None:
    begin_h = drawn(hazard(0.5)).begin_h
    counts = np.histogram(begin_h, bins=8, range=(0, PASSAGE_H))[0]
    even = len(begin_h) / 8
    assert (np.abs(counts - even) < 4.0 * sqrt(even)).all()


def test_so_many_are_mended_and_after_so_long() -> None:
    struck = drawn(hazard(0.5, mended_share=0.7, mending_h=12.0))
    mended = struck.end_h < NEVER_H
    assert abs(0.7 - mended.mean()) < 3.0 * sqrt(0.7 * 0.3 / len(mended))
    assert (12 == (struck.end_h - struck.begin_h)[mended]).all()


def test_what_is_broken_does_not_break_again_and_what_is_mended_may() -> None:
    lost = drawn(hazard(8.0, mended_share=0.0), 500)
    assert len(lost.member) == len(set(lost.member.tolist()))
    often = drawn(hazard(8.0, mended_share=1.0, mending_h=24.0), 500)
    assert len(often.member) > len(set(often.member.tolist()))
    for member in range(20):
        mine = often.member == member
        assert (often.begin_h[mine][1:] >= often.end_h[mine][:-1]).all()


def test_a_member_is_struck_alike_however_many_are_sailed_and_troubles_do_not_strike_together() -> None:
    many, few = drawn(hazard(2.0), 400), drawn(hazard(2.0), 70)
    for one, other in zip(few, many, strict=True):
        kept = other[many.member < 70]
        assert np.array_equal(np.sort(one), np.sort(kept))
    other = drawn(hazard(2.0, name="another"), 400)
    assert not np.array_equal(other.begin_h, many.begin_h)
    assert not np.array_equal(drawn(hazard(2.0), 400, seed=2).begin_h, many.begin_h)


def test_a_greater_rate_brings_the_same_strikes_sooner() -> None:
    first = [drawn(hazard(rate, mended_share=0.0), 300, until_h=4000) for rate in (0.5, 2.0)]
    seldom, often = (dict(zip(each.member.tolist(), each.begin_h.tolist(), strict=True)) for each in first)
    assert set(seldom) <= set(often)
    assert all(often[member] <= seldom[member] for member in seldom)


def test_at_no_rate_nothing_strikes() -> None:
    assert 0 == len(drawn(hazard(0.0), 300).member)


def facts() -> Facts:
    return sailed("cape-town-st-helena").facts


def test_every_trouble_but_the_weather_s_strikes_and_none_where_none_is_to_count() -> None:
    troubles = troubles_for(facts())
    assert [each.name for each in troubles if "becalmed" not in each.name] == [
        each.trouble.name for each in hazards_of(facts(), troubles)
    ]
    still = facts().troubles.model_copy(update={"reliability": Reliability(count=False)})
    assert () == hazards_of(replace(facts(), troubles=still), troubles)


def test_with_a_pilot_behind_the_vane_both_must_go() -> None:
    rates = {each.trouble.wear: each.rates for each in hazards_of(facts(), troubles_for(facts()))}
    both = Reliability().self_steering_lost.rate.middle * Reliability().wind_vane_lost.rate.middle
    assert both == rates["self_steering_lost"].middle
    alone = [each for each in troubles_for(facts()) if each.wear != "wind_vane_lost"]
    assert Reliability().self_steering_lost.rate == hazards_of(facts(), alone)[0].rates
