"""The crossings struck at random: drawn, sailed on, and what follows beside those in which nothing breaks."""

from __future__ import annotations

from dataclasses import replace
from math import inf, nan
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.consequences.stores.together import Share, share
from passage.consequences.times import passage_times
from passage.crossings.ensemble import Crossings, first_of, passage_time_h
from passage.crossings.simulate import given_up_h
from passage.crossings.wind import Luck
from passage.troubles.breakage import AsBoatsBreak, Breakage, Breaks, Level, Often, ShortOf
from passage.troubles.catalogue import troubles_for
from passage.troubles.hurt import Moving, sail_hurt
from passage.troubles.losses import Drawn, drawn_as_boats_break
from passage.troubles.strikes import Hazard, Strikes, draw_strikes, hazards_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.crossings.ground import Ground
    from passage.inputs.folder import Facts
    from passage.road import Outcome


MOST = 4000  # crossings in which things break: more would say no more, and fill a small computer


class Struck(NamedTuple):
    """strikes: by level of ``Often``, of each hazard; left: the facts that each leaves; moves: whether it changes how
    she sails; hurt: the crossings with all of them, by level.
    """

    hazards: Sequence[Hazard]
    strikes: list[list[Strikes]]
    left: list[Facts]
    moves: list[bool]
    hurt: list[Crossings]


def strike(outcome: Outcome) -> Struck | None:
    """Draw what breaks and sail the crossings with it; None where the troubles file says that nothing breaks."""
    hazards = hazards_of(outcome.facts, troubles_for(outcome.facts))
    if not any(hazard.rates.high for hazard in hazards):
        return None
    whole = outcome.crossings
    until_h = given_up_h(whole.track)
    strikes = [
        [draw_strikes(hazard, hazard.rates[level], whole.seed, whole.members, until_h) for hazard in hazards]
        for level in range(len(Often))
    ]
    left = [hazard.trouble.change(outcome.facts, outcome.ground) for hazard in hazards]
    moves = [each.trouble.hold_h > 0 or now[1] is not outcome.ground for each, now in zip(hazards, left, strict=True)]
    hurt = _sailed(outcome, hazards, [ground for _, ground in left], moves, strikes)
    return Struck(hazards, strikes, [facts for facts, _ in left], moves, hurt)


def reckon_breakage(outcome: Outcome) -> Breakage | None:
    """On as many of the crossings as ``MOST``; None where the troubles file says that nothing breaks."""
    if outcome.crossings.members > MOST:
        outcome = replace(outcome, crossings=first_of(outcome.crossings, MOST))
    struck = strike(outcome)
    if struck is None:
        return None
    hazards, strikes, left, moves, hurt = struck
    drawn = [drawn_as_boats_break(outcome, left, *pair) for pair in zip(strikes, hurt, strict=True)]
    levels = tuple(_level(outcome, *row) for row in zip(Often, strikes, hurt, drawn, strict=True))
    troubles = tuple(_breaks(*row, outcome.crossings, hurt[1]) for row in zip(hazards, strikes[1], moves, strict=True))
    return Breakage(_answer(outcome, hurt[1], drawn[1], levels[1]), troubles, levels)


def _sailed(
    outcome: Outcome,
    hazards: Sequence[Hazard],
    left: Sequence[Ground],
    moves: Sequence[bool],
    each: Sequence[Sequence[Strikes]],
) -> list[Crossings]:
    """The crossings at each set of rates. left: the ground that each leaves; moves: whether it changes how she sails,
    for only that is sailed.
    """
    whole, numbers = outcome.crossings, np.flatnonzero(moves).tolist()
    moving = [Moving(left[number].vessel, hazards[number].trouble.hold_h) for number in numbers]
    sets = [[strikes[number] for number in numbers] for strikes in each]
    return sail_hurt(outcome.ground, whole, Luck(whole.seed, whole.members), moving, sets)


def _level(
    outcome: Outcome, often: Often, strikes: Sequence[Strikes], hurt: Crossings, drawn: Sequence[Drawn]
) -> Level:
    return Level(
        often=often,
        typical_h=passage_time_h(hurt.arrival_h, 0.5),
        slow_end_h=passage_time_h(hurt.arrival_h, outcome.slow_share),
        struck=_share(np.any([_reached(struck, hurt) for struck in strikes], axis=0)),
        any_short=_any_short(drawn, hurt.members),
        water_short=_share(next((each.short for each in drawn if each.store == "water"), _none(hurt.members))),
    )


def _answer(outcome: Outcome, hurt: Crossings, drawn: Sequence[Drawn], likely: Level) -> AsBoatsBreak:
    whole, worry = outcome.crossings, outcome.float_plan.worry_utc
    old_rule_h = outcome.facts.voyage.reserve.typical_factor * outcome.times.typical_h
    worry_h = (worry - whole.depart).total_seconds() / 3600.0 if worry else inf
    return AsBoatsBreak(
        times=passage_times(hurt, outcome.slow_share),
        struck=likely.struck,
        any_short_before=outcome.stores.together.any_short,
        any_short=likely.any_short,
        stores=tuple(ShortOf(each.store, _share(each.short_before), _share(each.short)) for each in drawn),
        old_rule_days=old_rule_h / 24.0,
        beyond_old_rule_before=_share(whole.arrival_h > old_rule_h),
        beyond_old_rule=_share(hurt.arrival_h > old_rule_h),
        worry_utc=worry,
        at_sea_then_before=_share(whole.arrival_h > worry_h) if worry else None,
        at_sea_then=_share(hurt.arrival_h > worry_h) if worry else None,
    )


def _breaks(hazard: Hazard, strikes: Strikes, moves: bool, whole: Crossings, hurt: Crossings) -> Breaks:
    reached = _reached(strikes, hurt)
    in_both = reached & np.isfinite(whole.arrival_h) & np.isfinite(hurt.arrival_h) & moves
    later_h = (hurt.arrival_h[in_both] - whole.arrival_h[in_both]).mean() if in_both.any() else nan
    return Breaks(
        name=hazard.trouble.name,
        low_strikes=hazard.rates.low,
        strikes=hazard.rates.middle,
        high_strikes=hazard.rates.high,
        mended_in_100=100.0 * hazard.mended_share,
        mending_h=hazard.mending_h,
        struck=_share(reached),
        later_days=float(later_h) / 24.0,
    )


def _reached(strikes: Strikes, hurt: Crossings) -> NDArray[np.bool_]:
    """Which crossings are still at sea when one of them comes, (members,)."""
    at_sea = strikes.begin_h < hurt.arrival_h[strikes.member]
    return np.bincount(strikes.member[at_sea], minlength=hurt.members) > 0


def _any_short(drawn: Sequence[Drawn], members: int) -> Share:
    return _share(np.any([each.short for each in drawn], axis=0) if drawn else _none(members))


def _none(members: int) -> NDArray[np.bool_]:
    return np.zeros(members, dtype=bool)


def _share(which: NDArray[np.bool_]) -> Share:
    return share(int(which.sum()), len(which))
