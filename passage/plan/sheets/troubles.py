"""If this breaks, then: what runs out, when, what is left, what to do first; going on, turning back or a refuge."""

from __future__ import annotations

from itertools import groupby
from math import isfinite
from typing import TYPE_CHECKING

from passage.plan.sheet import Sheet
from passage.plan.turns import turn_words
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
from passage.troubles.catalogue import COMMON, When
from passage.troubles.hands import Keeping
from passage.troubles.reckon import Troubled, reckon_troubles
from passage.troubles.refuges import sail_ways_out
from passage.troubles.ways import Lasts

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.road import Outcome
    from passage.tell.blocks import Block, Grid
    from passage.troubles.catalogue import Step
    from passage.troubles.effects import Effect, Lasting, Ration
    from passage.troubles.flooding import Flooding
    from passage.troubles.hands import Hands
    from passage.troubles.nearest import Harbour, Nearest
    from passage.troubles.ways import Refuges, Way

MARKS = {Lasts.FULL_USE: "", Lasts.RATION: " r", Lasts.NEITHER: " !"}


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
            f"happens {strong('at departure')}, when stores have furthest to go, or on the day named. Without any of "
            f"it: typical {times.typical_days} days, slow end {strong(f'{times.slow_end_days:u}')}; 1 crossing in "
            f"{times.slow_end_in} is slower (of all crossings, as on page one: {told.all_slow_end_days})."
        ),
        on_paper(
            grid(
                told.effects,
                ("what, and what is then reckoned", _what, "left 1.35fr"),
                ("slow end,\ndays", lambda effect: _slow_end(effect, times.crossings)),
                ("more,\ndays", lambda effect: effect.more_days),
                (f"runs out, in 1 crossing of {times.slow_end_in}", _gone, "left 1.35fr"),
                ("if not:\nleast to spare", _spare, "left 0.75fr"),
                every=1,
            ),
            note(
                f'"runs out": gone on that day in the crossing that 1 in {times.slow_end_in} fares worse than, and in '
                'so many of 100 at all. "least to spare": days of full use left at landfall in that crossing. '
                '"ration": water on the survival ration lasts to that day. "under a knot": so many never get there, '
                "for they make less good than that."
            ),
        ),
        on_screen(*(block for effect in told.effects for block in _in_words(effect, times.crossings))),
    )


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
        return strong(effect.times.slow_end_days)
    return f"{strong('under a knot')}\n{small(f'{effect.times.never_crossings} of {crossings}')}"


def _gone(effect: Effect) -> str:
    return small("\n".join(map(_gone_words, effect.running_out))) if effect.running_out else "nothing"


def _gone_words(thing: Lasting) -> str:
    without = f"; {thing.short_before_in_100} without it" if thing.short_before else ""
    return f"{strong(f'{thing.name}, day {thing.gone_day}')} ({thing.short_in_100} in 100{without})"


def _spare(effect: Effect) -> str | None:
    if effect.running_out:
        return f"ration to\nday {effect.ration.days}{_too_short(effect.ration)}" if effect.ration else None
    return f"{effect.tightest.name},\n{effect.tightest.spare_days:u}" if effect.tightest else None


def _too_short(ration: Ration) -> str:
    return "" if ration.lasts else f",\n{strong('too short')}"


def _in_words(effect: Effect, crossings: int) -> Blocks:
    """A trouble in the terminal."""
    slow_end = (
        f"Slow end {effect.times.slow_end_days:u}, {effect.more_days} more."
        if effect.reached
        else f"{effect.times.never_crossings} of {crossings} crossings make less than a knot good and are given up."
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
    enough = "as long as it takes" if ration.lasts else "NOT LONG ENOUGH"
    return f"On the survival ration water lasts to day {ration.days}, {enough}."


# ---------------------------------------------------------------- what to do first


def first_steps_card(told: Troubled) -> Blocks:
    """Steps stand once for those that share them."""
    first = [next(sharing) for _, sharing in groupby(told.effects, key=lambda effect: effect.trouble.first)]
    return (
        Title("What to do first"),
        Newspaper(
            (
                *(
                    Together(_steps(effect, told_before))
                    for effect, told_before in zip(first, _told(first), strict=True)
                ),
                on_screen(Head("Mind")),
                note(" ".join(told.cautions[1:])),
            ),
            size=SMALL_PT,
        ),
    )


def _told(effects: Sequence[Effect]) -> list[bool]:
    """Whether what it asks of people is the same as of one before."""
    said = [people_words(effect.hands) if effect.hands else "" for effect in effects]
    return [words in said[:at] for at, words in enumerate(said)]


def _steps(effect: Effect, told_before: bool) -> Blocks:
    flooding = effect.flooding
    return (
        Head(effect.trouble.name.split(":")[0]),
        Points(tuple(map(_step, effect.trouble.first)), numbered=True),
        Say(people_words(effect.hands) if effect.hands and not told_before else ""),
        *((Say(leak_words(flooding)), _holes(flooding)) if flooding else ()),
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


# ---------------------------------------------------------------- ways out


STATES = {"whole": "all whole", "jury": "under jury rig, rigging it counted", "rudder": "rudder lost, steered by hand"}


def refuges_card(told: Troubled) -> Blocks:
    ways = told.refuges
    names = ("on", "back", *ways.ways[2:])
    return (
        Title("Go on, turn back, or a refuge?"),
        Say(
            f"Days from where the middle crossing is after that day, typical – slow end, {strong('sailed')} there, "
            f"upwind where it lies upwind. On is {ways.ways[0].removeprefix('on to ')}; back is "
            f"{ways.ways[1].removeprefix('back to ')}, by the way she came."
            f"{''.join(f' {words}' for words in ways.left_out)}"
        ),
        Head("The soonest refuge on each day, and its course"),
        *_nearest(ways, names),
        Say(strong(dry_words(ways.nearest))),
        Head("From when on to go on rather than to a refuge"),
        grid(
            zip(names[1:], ways.positions[1:], ways.whole, ways.jury, ways.rudder, strict=True),
            ("rather than", lambda row: f"{strong(row[0])}, {row[1]}", "left"),
            ("all whole", lambda row: strong(turn_words(row[2])), "left 1fr"),
            ("under jury rig", lambda row: turn_words(row[3]), "left 1fr"),
            ("rudder lost", lambda row: turn_words(row[4]), "left 1fr"),
            every=1,
        ),
        Together((Head(f"Days to each refuge: {STATES['whole']}"), _ways(ways, names, "whole"))),
        on_screen(  # most of them are not reached by a boat that is hurt; on paper the soonest of each day is enough
            *(
                block
                for state in ("jury", "rudder")
                for block in (Head(f"Days to each refuge: {STATES[state]}"), _ways(ways, names, state))
            )
        ),
        on_screen(Head("Mind")),
        note(
            f"Bold: the quickest at the slow end of those that the water reaches. r: only the survival ration of water "
            "reaches it; !: not even that, or too few get there, and it counts as no way. f: at full use food or "
            'medicine is gone before. "Over": too few get there in that time, which is a knot made good. '
            "Courses are magnetic, your own deviation left out, from where the middle crossing is. "
            f"{ways.crossings} crossings each way from {len(ways.days)} of the days; the days between have their own "
            "miles, at a pace between. Sea state, a lee shore, shelter, repair and papers weigh too. "
            f"{told.cautions[0]} Ask the rescue services early; the chart and the port's rules decide on a refuge."
        ),
    )


def _nearest(refuges: Refuges, names: Sequence[str]) -> Blocks:
    short = dict(zip(refuges.ways, names, strict=True))

    def damaged(harbour: Harbour | None) -> str:
        if harbour is None:
            return "none"
        by_compass = (
            f"{harbour.magnetic_course_deg} M" if isfinite(harbour.magnetic_course_deg) else f"{harbour.course_deg} T"
        )
        where = "" if short[harbour.way] == names[0] else f" {by_compass}"
        if not harbour.reached:
            return small(f"{strong('water too short')}; {short[harbour.way]}{where} {_days(harbour)}")
        return small(f"{strong(short[harbour.way])}{where}, {_days(harbour)}")

    def named(harbour: Harbour | None) -> str:
        if harbour is None:
            return "none"
        return strong(short[harbour.way]) if harbour.reached else f"{strong('water too short')}; {short[harbour.way]}"

    when = (
        ("day", lambda row: strong(row.day)),
        ("date", lambda row: f"{row.ship_date:short}", "left"),
    )
    whole = (
        ("all whole", lambda row: named(row.whole), "left 1.25fr"),
        ("course,\nmagnetic", lambda row: row.whole and strong(row.whole.magnetic_course_deg)),
        ("miles", lambda row: row.whole and strong(row.whole.distance_nm)),
        ("days", lambda row: row.whole and _days(row.whole), "left"),
    )
    hurt = (
        ("under jury rig", lambda row: damaged(row.jury), "left 1.7fr"),
        ("rudder lost", lambda row: damaged(row.rudder), "left 1.7fr"),
    )
    true = (("true", lambda row: row.whole and row.whole.course_deg),)
    to_go = (("to go,\nmiles", lambda row: row.to_go_nm),)
    days = refuges.nearest
    return (
        on_paper(grid(days, *when, *to_go, *whole, *hurt, every=3, inset=1.4)),
        on_screen(grid(days, *when, *whole, *true), grid(days, *when, *hurt)),
    )


def _days(harbour: Harbour) -> str:
    slow_end = f"{harbour.slow_end_days}" if isfinite(harbour.slow_end_h) else "never"
    return f"{harbour.typical_days}\N{NO-BREAK SPACE}–\N{NO-BREAK SPACE}{slow_end}{'' if harbour.reached else ' !'}"


def dry_words(days: Sequence[Nearest]) -> str:
    """After which days no harbour is reached under jury rig, for want of water or of speed, and what then; empty where
    there always is one.
    """
    slow = [day.day for day in days if day.jury is None or not isfinite(day.jury.slow_end_h)]
    dry = [day.day for day in days if day.day not in slow and day.jury and not day.jury.reached]
    because = [
        f"after day {_runs(which)} {why}"
        for which, why in (
            (dry, "no way here is reached on the water aboard, even at the survival ration"),
            (slow, "too few get to any harbour here"),
        )
        if which
    ]
    return (
        f"Under jury rig, at its slow end, {'; '.join(because)}. Ration at once, catch rain, call early."
        if because
        else ""
    )


def _runs(days: Sequence[int]) -> str:
    """Whole numbers in order, those that follow one another as one: ``2, 4 to 7``."""
    runs = [[day for _, day in run] for _, run in groupby(enumerate(days), key=lambda each: each[1] - each[0])]
    return ", ".join(f"{run[0]}" if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs)


def _ways(refuges: Refuges, names: Sequence[str], state: str) -> Block:
    return grid(
        refuges.days,
        ("after\nday", lambda day: strong(day.day)),
        ("water lasts,\ndays (ration)", lambda day: f"{day.water_days} ({day.ration_days})"),
        *((name, lambda day, at=at: _span(getattr(day, state)[at]), "left 1fr") for at, name in enumerate(names)),
        every=3,
        inset=1.4,
    )


def _span(way: Way) -> str:
    more = f"over {way.given_up_days}"
    slow_end = way.slow_end_days if isfinite(way.slow_end_h) else more
    words = f"{way.typical_days} – {slow_end}" if isfinite(way.typical_h) else more
    marks = MARKS[way.water] + (" f" if way.short_of and way.water is not Lasts.NEITHER else "")
    return strong(words + marks) if way.quickest else words + marks


SHEET = Sheet(
    "troubles",
    table,
    record=Troubled,
    cards={"effects": effects_card, "first-steps": first_steps_card, "refuges": refuges_card},
    for_mate=(sail_ways_out,),
    for_disk=(reckon_troubles,),
    short=troubles_short,
)
