"""Ways out of a passage: the nearest refuge of each day, when to turn back, and every way by miles and days."""

from __future__ import annotations

from itertools import groupby
from math import isfinite
from typing import TYPE_CHECKING, Any

from passage.plan.turns import out_words, turn_words
from passage.tell.blocks import Blocks, Head, Say, Title, Together, grid, note, on_screen, small, strong
from passage.tell.figures import in_print
from passage.troubles.turning import Turn
from passage.troubles.ways import Lasts

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.tell.blocks import Block
    from passage.troubles.effects import Effect
    from passage.troubles.nearest import Harbour, Nearest
    from passage.troubles.reckon import Troubled
    from passage.troubles.turning import Turning
    from passage.troubles.ways import Refuges, Way

STATES = {"whole": "all whole", "jury": "under jury rig, rigging it counted", "rudder": "rudder lost, steered by hand"}
IN_SHORT = {"whole": "All whole", "jury": "Under jury rig", "rudder": "Rudder lost"}
TANK_LOST = "Water lost: "
WATER = {Lasts.FULL_USE: "", Lasts.RATION: ", ration", Lasts.NEITHER: ", dry"}


def refuges_card(told: Troubled) -> Blocks:
    """The soonest harbour of each day with everything whole: for the night, the day in the first column."""
    ways = told.refuges
    return (
        Title("Nearest refuge, day by day"),
        Say(
            f"All whole, from where the middle crossing is after that {'hour' if ways.by_hour else 'day'}. Days: "
            f"typical – slow end, {strong('sailed')} there, upwind where it lies upwind."
        ),
        grid(
            ways.nearest,
            ("hour" if ways.by_hour else "day", lambda row: strong(row.hour if ways.by_hour else row.day)),
            ("date", lambda row: f"{row.ship_date:short}", "left"),
            *([("to go,\nmiles", lambda row: row.to_go_nm)] if ways.by_hour else []),
            ("soonest", lambda row: _named_way(ways, row.whole), "left 1fr"),
            ("course,\nmagnetic", lambda row: row.whole and strong(row.whole.magnetic_course_deg)),
            ("miles", lambda row: row.whole and strong(_miles(ways, row, row.whole))),
            ("days", lambda row: row.whole and _days(row.whole)),
            every=3,
            inset=1.4,
        ),
        on_screen(
            grid(
                ways.nearest,
                ("hour" if ways.by_hour else "day", lambda row: strong(row.hour if ways.by_hour else row.day)),
                ("to go, miles", lambda row: row.to_go_nm),
                ("course, true", lambda row: row.whole and row.whole.course_deg),
            )
        ),
        *(Say(words) for words in ways.left_out),
        note(
            f"On is {ways.ways[0].removeprefix('on to ')}; back is {ways.ways[1].removeprefix('back to ')}, by the way "
            "she came. Your own deviation is left out of the courses. With a lost rig or rudder: When to turn back. "
            "Ask the rescue services early; the chart and the port's rules decide on a refuge."
        ),
    )


def turn_back_card(told: Troubled) -> Blocks:
    """From which day going on is quicker than back, and which harbour is the soonest until then, for each state of the
    boat.
    """
    ways = told.refuges
    return (
        Title("When to turn back"),
        Say(f"Back: {ways.ways[1].removeprefix('back to ')}. Beneath: the soonest harbour."),
        *(
            Together(
                (
                    Head(f"{IN_SHORT[state]}: {_back_words(ways, getattr(ways, state)[0])}"),
                    grid(
                        _soonest_runs(ways, state),
                        ("", lambda row: row[0], "left"),
                        ("", lambda row: row[1], "left 1fr"),
                        every=9,
                    ),
                )
            )
            for state in IN_SHORT
        ),
        *_tanks(told),
        Say(strong(dry_words(ways.nearest))),
        note(
            "Harbours that the water reaches at the slow end, no engine counted; days typical – slow end, first day to "
            "last. Jury rig: with the time to set it. Rudder lost: steered by hand, lying to for sleep. Sea, lee "
            f"shore, shelter, repair and papers weigh too. {told.cautions[0]}"
        ),
    )


def _back_words(ways: Refuges, turning: Turning) -> str:
    """In the first hours out back is always the nearer."""
    if turning.typical is Turn.ALWAYS is turning.slow_end:
        return f"quicker on than back from {out_words(turning, turning.first_day)}, the first reckoned; not at once"
    words = turn_words(turning).replace("quicker to go on", "quicker on than back")
    words = words.replace("go on from ", "back is quicker only before ").replace(
        "at the slow end from", "at the slow end, on from"
    )
    if turning.by_hour and turning.typical is Turn.FROM_DAY:
        return f"{words}; {_to_go(ways, turning.typical_day)} miles are then to go"
    return words


def _to_go(ways: Refuges, day: float) -> str:
    """Miles to go by the track at that part of a day, straight between those that are told."""
    hour = min(24.0 * float(day), float(ways.nearest[-1].hour))
    after = next((row for row in ways.nearest if row.hour >= hour), ways.nearest[-1])
    before = next((row for row in reversed(ways.nearest) if row.hour <= hour), after)
    share = (hour - before.hour) / (after.hour - before.hour) if after.hour > before.hour else 0.0
    return f"{float(before.to_go_nm) + share * (float(after.to_go_nm) - float(before.to_go_nm)):.0f}"


def _soonest_runs(ways: Refuges, state: str) -> list[tuple[str, str]]:
    """Days in a row with the same soonest harbour, and it."""
    runs = [list(run) for _, run in groupby(ways.nearest, key=lambda day: _run_of(getattr(day, state)))]
    return [(_out_words(run), _run_words(ways, [getattr(day, state) for day in run])) for run in runs]


def _out_words(rows: Sequence[Nearest]) -> str:
    """Days in a row, or hours."""
    if not any(row.hour % 24 for row in rows):
        return f"day {_runs([row.day for row in rows])}"
    return f"hour {' to '.join(dict.fromkeys((f'{rows[0].hour}', f'{rows[-1].hour}')))}"


def _run_of(harbour: Harbour | None) -> tuple[str, bool, bool]:
    return (harbour.way, harbour.reached, isfinite(harbour.slow_end_h)) if harbour else ("", False, False)


def _run_words(ways: Refuges, harbours: Sequence[Harbour | None]) -> str:
    first, last = harbours[0], harbours[-1]
    if first is None or last is None:
        return "none is reached: call for help"
    spans = [_days(each) if isfinite(each.slow_end_h) else f"{each.typical_days}" for each in (first, last)]
    days = f"{spans[0]} days" if first is last else f"{spans[0]} to {spans[1]} days"
    return f"{_named_way(ways, first)}, {days}"


def _tanks(told: Troubled) -> Blocks:
    """What the loss of each tank leaves, and whether it asks for a refuge."""
    lost = [effect for effect in told.effects if effect.trouble.name.startswith(TANK_LOST)]
    if not lost:
        return ()
    rows = [(effect.trouble.name.removeprefix(TANK_LOST), _tank_words(effect)) for effect in lost]
    head = Head("Water lost at departure: ration at once")
    return (
        Together((head, grid(rows, ("", lambda row: row[0], "left"), ("", lambda row: row[1], "left 1fr"), every=9))),
    )


def _tank_words(effect: Effect) -> str:
    if effect.ration is None:
        return "the rest lasts at full use: go on"
    if not in_print(effect.ration.days):
        return f"{strong('nothing left to drink')}: soonest refuge, and call for help early"
    until = f"ration to day {effect.ration.days}"
    if effect.ration.lasts:
        return f"{until}, slow end {effect.times.slow_end_days}: go on"
    return f"{until}, {strong('too short')}: soonest refuge"


def ways_card(told: Troubled) -> Blocks:
    """What stands behind the two cards for the night: every way out by miles and days."""
    ways = told.refuges
    names = _way_names(ways)
    return (
        Title("Every way out"),
        Say(
            f"Days from where the middle crossing then is, typical – slow end. On is "
            f"{ways.ways[0].removeprefix('on to ')}; back is {ways.ways[1].removeprefix('back to ')}, by the way she "
            "came. A rig lost on one of these days is the same crossings as in If this breaks, counted from that day."
        ),
        Head("With the rig or the rudder lost: the soonest of each day"),
        _hurt(ways),
        on_screen(  # on paper When to turn back tells them, at night too
            Head("From when on to go on rather than to a refuge"),
            grid(
                zip(names[1:], ways.positions[1:], ways.whole, ways.jury, ways.rudder, strict=True),
                ("rather than", lambda row: f"{strong(row[0])}, {row[1]}", "left"),
                ("all whole", lambda row: strong(turn_words(row[2])), "left 1fr"),
                ("under jury rig", lambda row: turn_words(row[3]), "left 1fr"),
                ("rudder lost", lambda row: turn_words(row[4]), "left 1fr"),
                every=1,
            ),
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
            f"Bold: the quickest at the slow end. {ways.crossings} crossings each way from {len(ways.days)} of the "
            'days; the days between have their own miles, at a pace between. "And more": too few get there by then, '
            'at a knot good or in 45 days, whichever is later. "Ration": only the survival ration of water reaches '
            'it; "dry": not even that. '
            '"Food": at full use food or medicine is gone before. Courses are magnetic, your own deviation left out.'
        ),
    )


def _way_names(ways: Refuges) -> tuple[str, ...]:
    return ("on", "back", *ways.ways[2:])


def _named_way(ways: Refuges, harbour: Harbour | None) -> str:
    if harbour is None:
        return "none"
    name = dict(zip(ways.ways, _way_names(ways), strict=True))[harbour.way]
    if harbour.reached:
        return strong(name)
    return f"{strong('water too short' if isfinite(harbour.slow_end_h) else 'too few get there')}; {name}"


def _hurt(ways: Refuges) -> Block:
    def column(words: str, state: str) -> tuple[tuple[Any, ...], ...]:
        return (
            (words, lambda row: _named_way(ways, getattr(row, state)), "left 1fr"),
            ("course,\nmagnetic", lambda row: _course(getattr(row, state))),
            ("days", lambda row: (there := getattr(row, state)) and _close(_days(there)), "left"),
        )

    return grid(
        ways.nearest,
        ("hour" if ways.by_hour else "day", lambda row: strong(row.hour if ways.by_hour else row.day)),
        ("to go,\nmiles", lambda row: row.to_go_nm),
        *column("under jury rig", "jury"),
        *column("rudder lost", "rudder"),
        every=3,
        inset=1.4,
    )


def _miles(ways: Refuges, row: Nearest, harbour: Harbour) -> float:
    """On: as day by day tells them, to the mile and not from the nearest place from which ways are laid."""
    return row.to_go_nm if harbour.way == ways.ways[0] else harbour.distance_nm


def _course(harbour: Harbour | None) -> Any:
    return harbour and harbour.magnetic_course_deg


def _days(harbour: Harbour) -> str:
    slow_end = f"{harbour.slow_end_days}" if isfinite(harbour.slow_end_h) else "never"
    return f"{harbour.typical_days}\N{NO-BREAK SPACE}–\N{NO-BREAK SPACE}{slow_end}"


def _close(span: str) -> str:
    """Without room about the dash, so that two such columns go side by side on a screen."""
    return span.replace("\N{NO-BREAK SPACE}", "")


def dry_words(days: Sequence[Nearest]) -> str:
    """On which days a lost rig leaves no harbour in reach, for want of water or of speed, and what then; empty where
    there always is one.
    """
    slow = [day for day in days if day.jury is None or not isfinite(day.jury.slow_end_h)]
    dry = [day for day in days if day not in slow and day.jury and not day.jury.reached]
    because = [
        f"lost on {_out_words(which)}, {why}"
        for which, why in (
            (dry, "no harbour is reached on the water aboard, even at the survival ration"),
            (slow, "too few get to any harbour"),
        )
        if which
    ]
    what = "Ration, catch rain, call early."
    return f"The rig {'; '.join(because)}, at the slow end, by sail. {what}" if because else ""


def _runs(days: Sequence[int]) -> str:
    """Whole numbers in order, those that follow one another as one: ``2, 4 to 7``."""
    runs = [[day for _, day in run] for _, run in groupby(enumerate(days), key=lambda each: each[1] - each[0])]
    return ", ".join(f"{run[0]}" if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs)


def _ways(refuges: Refuges, names: Sequence[str], state: str) -> Block:
    return grid(
        refuges.days,
        *(
            [("after\nhour", lambda day: strong(day.hour))]
            if refuges.by_hour
            else [("after\nday", lambda day: strong(day.day))]
        ),
        ("water lasts,\ndays (ration)", lambda day: f"{day.water_days} ({day.ration_days})"),
        *((name, lambda day, at=at: _span(getattr(day, state)[at]), "left 1fr") for at, name in enumerate(names)),
        every=3,
        inset=1.4,
    )


def _span(way: Way) -> str:
    more = f"{way.given_up_days} and more"
    slow_end = way.slow_end_days if isfinite(way.slow_end_h) else more
    words = f"{way.typical_days} – {slow_end}" if isfinite(way.typical_h) else more
    food = ", food" if way.short_of and way.water is not Lasts.NEITHER else ""
    then = small(f"{WATER[way.water]}{food}")
    return f"{strong(words) if way.quickest else words}{then}"
