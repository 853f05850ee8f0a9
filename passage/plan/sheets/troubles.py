"""If this breaks, then: what runs out, when, what is left, what to do first; going on, turning back or a refuge."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from passage.plan.sheet import Sheet
from passage.plan.sheets.ways_out import refuges_card, turn_back_card, ways_card
from passage.tell.blocks import (
    SMALL_PT,
    Blocks,
    Head,
    Newspaper,
    Points,
    Say,
    Title,
    Together,
    grid,
    note,
    on_paper,
    on_screen,
    small,
    strong,
)
from passage.tell.customary import unit_words
from passage.tell.figures import in_print
from passage.troubles.catalogue import COMMON, When
from passage.troubles.hands import Keeping
from passage.troubles.reckon import Troubled, reckon_troubles
from passage.troubles.refuges import sail_ways_out

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.road import Outcome
    from passage.tell.blocks import Grid
    from passage.troubles.catalogue import Step
    from passage.troubles.effects import Effect, Lasting, Ration
    from passage.troubles.flooding import Flooding
    from passage.troubles.hands import Hands


def table(outcome: Outcome) -> Troubled:
    """Every trouble that fits the boat, and every way out of every few days."""
    return outcome.once(reckon_troubles)


# ---------------------------------------------------------------- what follows


def effects_card(told: Troubled) -> Blocks:
    times = told.times
    return (
        Title("If this breaks, then"),
        Say(
            f"The first {times.crossings} of the same crossings sailed again, each time with one thing changed. It "
            f"happens {strong('at departure')}, when stores have furthest to go, or at the end of the day named, where "
            f"the middle crossing then is. Without any of it: typical {times.typical_days} days, slow end "
            f"{strong(f'{times.slow_end_days:u}')}; 1 crossing in {times.slow_end_in} is slower "
            f"(of all crossings, as on page one: {told.all_typical_days} and {told.all_slow_end_days})."
        ),
        on_paper(
            grid(
                told.effects,
                ("what, and what is then reckoned", _what, "left 1.5fr"),
                ("slow end,\ndays", lambda effect: _slow_end(effect, times.crossings)),
                ("more,\ndays", lambda effect: effect.more_days),
                (f"runs out, in 1 crossing of {times.slow_end_in}", _gone, "left 1.5fr"),
                ("if not:\nleast to spare", _spare, "left 0.75fr"),
                every=1,
            ),
            note(
                f'"runs out": gone on that day in the crossing that 1 in {times.slow_end_in} fares worse than, and in '
                'so many of 100 at all. "least to spare": days of full use left at landfall in that crossing. '
                '"ration": water on the survival ration lasts to that day. "not reached": so many make less than a '
                "knot good, are not there in 45 days, and are given up."
            ),
        ),
        on_screen(*(block for effect in told.effects for block in _in_words(effect, times.crossings))),
        *_leaks(told),
    )


def _leaks(told: Troubled) -> Blocks:
    """Which leak pumps and crew hold."""
    leaks = [effect.flooding for effect in told.effects if effect.flooding]
    return tuple(Together((Head("Taking water"), Say(leak_words(leak)), _holes(leak))) for leak in leaks)


def troubles_short(told: Troubled) -> Blocks:
    """A line for each, and which of them the water does not outlast even on the survival ration."""
    never = [effect.trouble.name.lower() for effect in told.effects if effect.ration and not effect.ration.lasts]
    dry = f"{strong('Water does not last, rationed,')} with {', '.join(never)}." if never else ""
    return (
        Head("If this breaks"),
        Say(
            f"{dry or 'On the survival ration water lasts in all of them.'} Without any of it the slow end is "
            f"{strong(f'{told.times.slow_end_days:u}')}. It happens at departure, or on the day named."
        ),
        grid(
            told.effects,
            ("", lambda effect: f"{effect.trouble.name}{_on_day(effect, ', day')}", "left"),
            ("slow end, days", lambda effect: strong(effect.times.slow_end_days) if effect.reached else "never"),
            ("first to run out, in 1 of 20", _first_gone, "left"),
        ),
        Head("Then"),
        Say("name one, as 'rudder', for what to do first; 'refuge' tells when to turn back."),
    )


def _first_gone(effect: Effect) -> str:
    if not effect.running_out:
        return "nothing"
    first = min(effect.running_out, key=lambda thing: float(thing.gone_day))
    others = f", and {len(effect.running_out) - 1} more" if len(effect.running_out) > 1 else ""
    return f"{strong(first.name)}, day {first.gone_day} ({first.short_in_100} in 100){others}"


def _what(effect: Effect) -> str:
    return f"{strong(effect.trouble.name)}{_on_day(effect, ', day')}\n{small(effect.trouble.changed)}"


def _on_day(effect: Effect, words: str) -> str:
    return "" if effect.trouble.when is When.DEPARTURE else f"{words} {effect.strike_day}"


def _slow_end(effect: Effect, crossings: int) -> str:
    if effect.reached:
        then = f"\n{small(f'{effect.days_left} from then')}" if effect.strike_day else ""
        return f"{strong(effect.times.slow_end_days)}{then}"
    return f"{strong('not reached')}\n{small(f'by {effect.times.never_crossings} of {crossings}')}"


def _gone(effect: Effect) -> str:
    return small("; ".join(map(_gone_words, effect.running_out))) if effect.running_out else "nothing"


def _gone_words(thing: Lasting) -> str:
    without = f"; {thing.short_before_in_100} without it" if thing.short_before else ""
    return f"{strong(f'{thing.name}, day {thing.gone_day}')} ({thing.short_in_100} in 100{without})"


def _spare(effect: Effect) -> str | None:
    if effect.running_out:
        return _ration(effect.ration) if effect.ration else None
    return f"{effect.tightest.name}, {effect.tightest.spare_days:u}" if effect.tightest else None


def _ration(ration: Ration) -> str:
    if not in_print(ration.days):
        return strong("nothing left to drink")
    short = "" if ration.lasts else f", {strong('too short')}"
    return f"ration to day {ration.days}{short}"


def _in_words(effect: Effect, crossings: int) -> Blocks:
    """A trouble in the terminal."""
    slow_end = (
        f"Slow end {effect.times.slow_end_days:u}, {effect.more_days} more."
        if effect.reached
        else f"{effect.times.never_crossings} of {crossings} crossings are given up, at a knot good or in 45 days."
    )
    return (
        Head(f"{effect.trouble.name.upper()}{_on_day(effect, ', on day')}"),
        Say(f"{effect.trouble.changed} {slow_end} {runs_out_words(effect)}"),
        Say(ration_words(effect.ration) if effect.ration else ""),
    )


def runs_out_words(effect: Effect) -> str:
    if effect.running_out:
        return f"Runs out: {', '.join(map(_gone_words, effect.running_out))}."
    least = effect.tightest
    return f"Nothing runs out.{f' Least to spare: {least.name}, {least.spare_days:u}.' if least else ''}"


def ration_words(ration: Ration) -> str:
    if not in_print(ration.days):
        return "NOTHING IS LEFT TO DRINK."
    enough = "as long as it takes" if ration.lasts else "NOT LONG ENOUGH"
    return f"On the survival ration water lasts to day {ration.days}, {enough}."


# ---------------------------------------------------------------- what to do first


def first_steps_card(told: Troubled) -> Blocks:
    """Steps stand once for those that share them."""
    first = [next(sharing) for _, sharing in groupby(told.effects, key=lambda effect: effect.trouble.first)]
    return (
        Title("What to do first"),
        Newspaper(
            tuple(
                Together(_steps(effect, told_before)) for effect, told_before in zip(first, _told(first), strict=True)
            )
        ),
        on_screen(Head("Mind")),
        note(" ".join(told.cautions[1:])),
    )


def _told(effects: Sequence[Effect]) -> list[bool]:
    """Whether what it asks of people is the same as of one before."""
    said = [people_words(effect.hands) if effect.hands else "" for effect in effects]
    return [words in said[:at] for at, words in enumerate(said)]


def _steps(effect: Effect, told_before: bool) -> Blocks:
    return (
        Head(effect.trouble.name.split(":")[0]),
        Points(tuple(map(_step, effect.trouble.first)), numbered=True),
        Say(people_words(effect.hands) if effect.hands and not told_before else ""),
    )


def _step(step: Step) -> str:
    return step.words if step.source == COMMON else f"{step.words} {small(f'({step.source})')}"


def people_words(hands: Hands) -> str:
    if hands.keeping is Keeping.IN_TURN:
        return (
            f"Tricks of {hands.trick_h:u}, {hands.watch_h:u} a day each, hours lying to not taken off. With "
            f"{hands.sleep_h:u} of sleep: {hands.sleepy_h:u} a day too sleepy (7 or more of 9)."
        )
    if hands.keeping is Keeping.AWAKE:
        return strong("One alone: no day of naps between looks so close gives that much sleep.")
    return (
        f"One alone: a look every {hands.interval_min:u}, {hands.sleep_h:u} of sleep in naps; sleepiest "
        f"{hands.worst_kss:u}."
    )


def leak_words(leak: Flooding) -> str:
    holds = "pumps and crew hold it" if leak.held else strong("pumps and crew DO NOT HOLD it")
    pump = f"Electric pump {leak.electric_l_h:u}, hands" if leak.electric_l_h else "Hands"
    by_hand = f" By hand {leak.by_hand_min:u} in every hour." if leak.by_hand_min else ""
    return f"A leak of {leak.rate_l_h:u}: {holds}. {pump} {leak.by_hand_l_h:u}, day and night.{by_hand}"


def _holes(leak: Flooding) -> Grid:
    return grid(
        leak.holes,
        (f"hole, {unit_words('mm')}", lambda hole: hole.bore_mm),
        (unit_words("litres a minute"), lambda hole: hole.inflow_l_per_minute),
        ("held by", lambda hole: hole.held_by, "left 1fr"),
        every=9,
        size=SMALL_PT,
        inset=1.8,
    )


SHEET = Sheet(
    "troubles",
    table,
    record=Troubled,
    cards={
        "refuges": refuges_card,
        "turn-back": turn_back_card,
        "first-steps": first_steps_card,
        "effects": effects_card,
        "ways": ways_card,
    },
    for_mate=(sail_ways_out,),
    for_disk=(reckon_troubles,),
    short=troubles_short,
)
