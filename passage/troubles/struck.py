"""The crossings struck at random: drawn, sailed on, and what follows beside those in which nothing breaks."""

from __future__ import annotations

from dataclasses import replace
from math import inf, nan
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.consequences.stores.together import Share, share
from passage.consequences.times import Tally, tally_of, times_from
from passage.crossings.ensemble import first_of, passage_time_h, some_of
from passage.crossings.simulate import given_up_h, most_abreast
from passage.crossings.wind import FLEET, Luck
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


MOST = 4000  # crossings in which things break: more would say no more
KEPT = 1.5  # logs at a time: all three sets of rates as sailed, and one of them among those that are not struck


class Struck(NamedTuple):
    """What breaks. strikes: by level of ``Often``, of each hazard; left: the facts and the ground that each leaves;
    moves: whether it changes how she sails.
    """

    hazards: Sequence[Hazard]
    strikes: list[list[Strikes]]
    left: list[tuple[Facts, Ground]]
    moves: list[bool]


class Ends(NamedTuple):
    """Of some crossings with what strikes them: landfalls, (members,), hours added up, and which run short."""

    arrival_h: NDArray[np.float64]
    tally: Tally
    drawn: tuple[Drawn, ...]


def strike(outcome: Outcome) -> Struck | None:
    """Draw what breaks; None where the troubles file says that nothing does."""
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
    return Struck(hazards, strikes, left, moves)


def ends_of(outcome: Outcome, struck: Struck) -> list[Ends]:
    """Sail the crossings with what strikes them, by level of ``Often``."""
    members, boats = outcome.crossings.members, most_abreast(outcome.ground.track)
    size = FLEET * max(int(boats / (KEPT * len(Often) * FLEET)), 1)
    parts = [_part(outcome, struck, slice(first, min(first + size, members))) for first in range(0, members, size)]
    return [_together(level) for level in zip(*parts, strict=True)]


def _part(outcome: Outcome, struck: Struck, who: slice) -> list[Ends]:
    """Only what changes how she sails is sailed."""
    whole, strikes = outcome.crossings, [[each.of(who) for each in level] for level in struck.strikes]
    numbers = np.flatnonzero(struck.moves).tolist()
    moving = [Moving(struck.left[number][1].vessel, struck.hazards[number].trouble.hold_h) for number in numbers]
    sets = [[level[number] for number in numbers] for level in strikes]
    luck, facts = Luck(whole.seed, whole.members).part(who), [facts for facts, _ in struck.left]
    sailed = sail_hurt(outcome.ground, some_of(whole, who), luck, moving, sets)
    return [
        Ends(hurt.arrival_h, tally_of(hurt), drawn_as_boats_break(outcome, facts, level, hurt, who))
        for level, hurt in zip(strikes, sailed, strict=True)
    ]


def _together(parts: Sequence[Ends]) -> Ends:
    """Parts of the crossings as one."""
    drawn = tuple(
        Drawn(each[0].store, *(np.concatenate([getattr(row, name) for row in each]) for name in Drawn._fields[1:]))
        for each in zip(*(part.drawn for part in parts), strict=True)
    )
    tally = sum((part.tally for part in parts), Tally())
    return Ends(np.concatenate([part.arrival_h for part in parts]), tally, drawn)


def reckon_breakage(outcome: Outcome) -> Breakage | None:
    """On as many of the crossings as ``MOST``; None where the troubles file says that nothing breaks."""
    if outcome.crossings.members > MOST:
        outcome = replace(outcome, crossings=first_of(outcome.crossings, MOST))
    struck = strike(outcome)
    if struck is None:
        return None
    ends = ends_of(outcome, struck)
    levels = tuple(_level(*row, outcome.slow_share) for row in zip(Often, struck.strikes, ends, strict=True))
    rows = zip(struck.hazards, struck.strikes[1], struck.moves, strict=True)
    troubles = tuple(_breaks(*row, outcome.crossings.arrival_h, ends[1].arrival_h) for row in rows)
    return Breakage(_answer(outcome, ends[1], levels[1]), troubles, levels)


def _level(often: Often, strikes: Sequence[Strikes], hurt: Ends, slow_share: float) -> Level:
    members = len(hurt.arrival_h)
    return Level(
        often=often,
        typical_h=passage_time_h(hurt.arrival_h, 0.5),
        slow_end_h=passage_time_h(hurt.arrival_h, slow_share),
        struck=_share(np.any([_reached(struck, hurt.arrival_h) for struck in strikes], axis=0)),
        any_short=_any_short(hurt.drawn, members),
        water_short=_share(next((each.short for each in hurt.drawn if each.store == "water"), _none(members))),
    )


def _answer(outcome: Outcome, hurt: Ends, likely: Level) -> AsBoatsBreak:
    whole, worry = outcome.crossings, outcome.float_plan.worry_utc
    old_rule_h = outcome.facts.voyage.reserve.typical_factor * outcome.times.typical_h
    worry_h = (worry - whole.depart).total_seconds() / 3600.0 if worry else inf
    return AsBoatsBreak(
        times=times_from(whole.depart, hurt.arrival_h, hurt.tally, outcome.slow_share),
        struck=likely.struck,
        any_short_before=outcome.stores.together.any_short,
        any_short=likely.any_short,
        stores=tuple(ShortOf(each.store, _share(each.short_before), _share(each.short)) for each in hurt.drawn),
        old_rule_days=old_rule_h / 24.0,
        beyond_old_rule_before=_share(whole.arrival_h > old_rule_h),
        beyond_old_rule=_share(hurt.arrival_h > old_rule_h),
        worry_utc=worry,
        at_sea_then_before=_share(whole.arrival_h > worry_h) if worry else None,
        at_sea_then=_share(hurt.arrival_h > worry_h) if worry else None,
    )


def _breaks(
    hazard: Hazard, strikes: Strikes, moves: bool, whole_h: NDArray[np.float64], hurt_h: NDArray[np.float64]
) -> Breaks:
    """whole_h, hurt_h: landfalls without the strikes and with them, (members,)."""
    reached = _reached(strikes, hurt_h)
    in_both = reached & np.isfinite(whole_h) & np.isfinite(hurt_h) & moves
    later_h = (hurt_h[in_both] - whole_h[in_both]).mean() if in_both.any() else nan
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


def _reached(strikes: Strikes, arrival_h: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which crossings are still at sea when one of them comes, (members,)."""
    at_sea = strikes.begin_h < arrival_h[strikes.member]
    return np.bincount(strikes.member[at_sea], minlength=len(arrival_h)) > 0


def _any_short(drawn: Sequence[Drawn], members: int) -> Share:
    return _share(np.any([each.short for each in drawn], axis=0) if drawn else _none(members))


def _none(members: int) -> NDArray[np.bool_]:
    return np.zeros(members, dtype=bool)


def _share(which: NDArray[np.bool_]) -> Share:
    return share(int(which.sum()), len(which))
