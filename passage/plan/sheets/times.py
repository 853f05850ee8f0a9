"""How long: the spread of passage times, what the boat did in them, and the run day by day."""

from __future__ import annotations

import math
from datetime import date, timedelta
from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.consequences.times import Day, Times, until_in
from passage.consequences.windsea import SeaState, WindSea
from passage.crossings.bracket import Bracket, BracketLine
from passage.follows import bracket_of
from passage.plan import figures
from passage.plan.figures import FAN_HIGH_PT
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.plan.sheets.basis import current_words, forecast_counts, forecast_words
from passage.plan.spans import WIDE, Span, draw_spans
from passage.tell.blocks import (
    GUTTER_PT,
    SMALL_PT,
    Beside,
    Blocks,
    Column,
    Drawing,
    Grid,
    Head,
    Say,
    Sketch,
    Title,
    Together,
    grid,
    note,
    on_paper,
    on_screen,
    picture,
    small,
    strong,
)
from passage.tell.customary import unit_words
from passage.tell.figures import DASH, amount, day_words
from passage.tell.records import Record, told
from passage.tell.sketch import columns
from passage.troubles.breakage import AsBoatsBreak, Breakage, Breaks, breakage_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.road import Outcome

NOT_REACHED = "too many of these crossings never arrive"
RUNS_SHORT_WIDE_PT = 110
HALF_IN_100 = 50.0
HALF_HIGH_PT = 124.0  # of the two figures side by side
BY_DAYS = "Landfall waits for daylight, and so these go by steps of a day."
GALE_SEA = (
    "Very rough is the least sure. Higher seas need a gale, and of gales these averages know too little: no hours are "
    "given, expect to meet them."
)


class HowLong(Record):
    """The spread of passage times, what it hangs on, the sea, and where 8 crossings in 10 are day by day."""

    distance_nm: float = told("length of the track, nautical miles")
    passage: Times = told("how long: typical, quick end and slow end, and what happens on the way")
    bracket: Bracket = told("what the slow end hangs on, nothing broken")
    breakage: Breakage | None = told("as boats break; null where it is told that nothing does")
    wind_sea: WindSea = told("the sea that the wind itself raises; no swell")
    forecast_counts: bool = told("whether a forecast is in the numbers")
    forecast_words: str = told("which forecast is aboard, its age, and whether it counts")
    current_words: str = told("which current is in the numbers")
    sails_ship: date = told("date on which she sails, ship's time: day 0")
    by_day: tuple[Day, ...] = told("day by day, until 99 crossings in 100 are in")


def table(outcome: Outcome) -> HowLong:
    return HowLong(
        distance_nm=outcome.ground.track.length_nm,
        passage=outcome.times,
        bracket=outcome.bracket,
        breakage=outcome.once(breakage_of),
        wind_sea=outcome.wind_sea,
        forecast_counts=forecast_counts(outcome),
        forecast_words=forecast_words(outcome),
        current_words=current_words(outcome),
        sails_ship=outcome.noons[0].ship_date,
        by_day=until_in(outcome.by_day),
    )


def sail_short(told: HowLong) -> Blocks:
    """How long, on which days she is in, and what the slow end hangs on."""
    times, ends = told.passage, [line for line in told.bracket.lines if math.isfinite(line.slow_end_days)]
    worst = max(told.bracket.lines, key=lambda line: line.slow_end_days, default=None)
    best = min(ends, key=lambda line: line.slow_end_days, default=None)
    return (
        grid(
            _ends_short(told),
            ("", lambda end: end[0], "left"),
            ("", lambda end: strong(_reached(end[1]))),
            ("", lambda end: end[2], "left"),
            ("", lambda end: end[3], "left"),
        ),
        Say(f"{times.never_crossings} of {times.crossings} never arrived." if times.never_crossings else ""),
        Sketch(partial(_landfalls, told)),
        Head("Hangs on"),
        Say(
            f"slow end {strong(_reached(worst.slow_end_days))} {worst.change.words}; {_reached(best.slow_end_days)} "
            f"{best.change.words}."
            if worst and best
            else ""
        ),
        Head("On the way"),
        Say(
            f"An average crossing has {times.calm_h:u} of calm, {times.motoring_h:u} under engine and "
            f"{times.strong_h:u} of 28 kn and more, the least sure of these; force 8 seen in {times.gale_seen}."
        ),
        Say(stop_words(times)),
        Head("Plan with"),
        Say(
            "the slow end, and no other. "
            + ("A forecast counts in it." if told.forecast_counts else "Monthly averages: no forecast is in it.")
        ),
    )


def _ends_short(told: HowLong) -> tuple[tuple[str, float, object, str], ...]:
    """The ends of ``times_blocks``, each in a line of its own."""
    times, broken = told.passage, told.breakage.answer.times if told.breakage else None
    by_number = f"{times.slow_end_least_days} to {times.slow_end_most_days} by the number sailed"
    slow = f"1 in {times.slow_end_in} is slower; {by_number}"
    then = [("as boats break", broken.slow_end_days, broken.slow_end_landfall_utc, "its slow end")] if broken else []
    return (
        ("Typical", times.typical_days, times.typical_landfall_utc, "half are quicker"),
        ("Slow end", times.slow_end_days, times.slow_end_landfall_utc, slow),
        *then,
        ("Quick end", times.quick_days, times.quick_landfall_utc, "1 in 10 is quicker"),
    )


def _landfalls(told: HowLong, wide: int) -> tuple[str, ...]:
    """In how many crossings of 100 she is in on each day out, from the first to the last that has any."""
    arrived = [0.0, *(float(day.arrived_in_100) for day in told.by_day)]
    share = [later - before for before, later in pairwise(arrived)]
    first = next((number for number, height in enumerate(share) if height > 0), 0)
    feet = [f"{day.day}" for day in told.by_day[first:]]
    return columns(share[first:], feet, "Landfalls in 100 crossings, by day out", wide)


def days_card(told: HowLong) -> Blocks:
    times = told.passage
    return (
        Title("How long"),
        on_screen(*times_blocks(times, told.breakage.answer.times if told.breakage else None)),
        on_paper(
            Say(
                f"Half of the crossings take less than {strong(f'{times.typical_days:u}')}; 1 in {times.slow_end_in} "
                f"takes longer than {strong(times.slow_end_days)}."
            ),
            Beside(
                (
                    (
                        note("So many of 100 crossings make landfall on each day out."),
                        Drawing("times", "Bars: landfalls in 100 crossings on each day out."),
                    ),
                    (
                        note("Miles to go: 8 crossings in 10 between the light lines, the heavy one the middle."),
                        Drawing("to_go", "Miles to go by days out; the table by day gives the figures."),
                    ),
                )
            ),
        ),
        Head("What she does in an average crossing"),
        grid(
            (times,),
            ("calm, under 4 kn", lambda row: f"{row.calm_h:u}"),
            ("strong wind, 28 kn and more", lambda row: f"{row.strong_h:u}"),
            ("under engine", lambda row: f"{row.motoring_h:u}"),
            ("hove to", lambda row: f"{row.hove_to_h:u}"),
            ("running off", lambda row: f"{row.running_off_h:u}"),
            ("standing off for daylight", lambda row: f"{row.standing_off_h:u}"),
        ),
        on_paper(Say(stop_words(times))),
        note(
            "Hours of strong wind are the least sure figures here: ship reports and monthly averages smooth the storms "
            f"away. Force 8, 34 knots, was seen in {times.gale_seen} of these crossings; expect to meet it all the "
            "same."
        ),
    )


def times_blocks(times: Times, broken: Times | None = None) -> Blocks:
    """Typical, slow and quick end as a screen has them; broken: as boats break."""
    nothing = ", nothing broken" if broken else ""
    ends = [
        ("Typical passage", times.typical_days, times.typical_landfall_utc, "half are quicker, half slower"),
        (
            f"Slow end{nothing}",
            times.slow_end_days,
            times.slow_end_landfall_utc,
            f"1 crossing in {times.slow_end_in} is slower still; {times.slow_end_least_days} to "
            f"{times.slow_end_most_days} by the number sailed",
        ),
        ("Quick end", times.quick_days, times.quick_landfall_utc, "1 crossing in 10 is quicker"),
    ]
    if broken:
        late = f"typical passage {broken.typical_days}"
        ends.insert(2, ("Slow end, as boats break", broken.slow_end_days, broken.slow_end_landfall_utc, late))
    never = f"{times.never_crossings} of {times.crossings} crossings never arrived." if times.never_crossings else ""
    missed = f"Not reached: {NOT_REACHED}." if not math.isfinite(max(end[1] for end in ends)) else ""
    return (
        grid(
            ends,
            ("", lambda end: end[0], "left"),
            ("", lambda end: strong(_reached(end[1]))),
            ("", lambda end: end[2], "left"),
            ("", lambda end: end[3], "left"),
        ),
        Say(" ".join(filter(None, (missed, never, stop_words(times))))),
    )


def stop_words(times: Times) -> str:
    """What stops on the way are taken for; empty where there is none."""
    if times.at_anchor_h <= 0.0:
        return ""
    return (
        f"With {strong(f'{times.at_anchor_h / 24.0:.1f} days')} of stops on the way: there the clock runs on and she "
        "makes no miles; the crew eat and drink, nothing is restocked; the battery runs as at anchor, in no wind; she "
        "comes and goes at any hour; the watches are for the days at sea."
    )


def _reached(days: float) -> str:
    return f"{days:u}" if math.isfinite(days) else "not reached"


def slow_end_card(told: HowLong) -> Blocks:
    times, bracket, sea = told.passage, told.bracket, told.wind_sea
    return (
        Title("What the slow end hangs on"),
        Say(
            f"As it stands, 1 crossing in {times.slow_end_in} takes longer than {strong(f'{times.slow_end_days:u}')}. "
            f"So many crossings alone leave that open from {times.slow_end_least_days} to {times.slow_end_most_days}. "
            "What it hangs on is not known well: each line is the same crossings sailed again with one thing changed, "
            "each using her stores by the day as before. "
            f"{BY_DAYS if bracket.by_days else ''}"
        ),
        on_screen(_hangs_on(bracket)),
        on_paper(
            _hangs_on(bracket, drawn=True),
            note(
                "From a stroke, the typical passage, to a dot, the slow end; broken line: the slow end as it stands. "
                f"{bracket.crossings} crossings for each line."
            ),
        ),
        Head("Sea: wind sea only, no swell"),
        Say(
            f"Half of the hours under way over {strong(f'{sea.typical_wave_m:u}')}, 1 in 10 over "
            f"{strong(f'{sea.high_wave_m:u}')}: significant height, once the sea is fully grown; single waves are up "
            "to twice as high. Swell from elsewhere comes on top. Hours of an average crossing:"
        ),
        Grid(
            tuple(Column(f"{state.term}\n{_height_words(state)}", "right", "1fr") for state in sea.counted),
            (tuple(f"{state.state_h:u}" for state in sea.counted),),
        ),
        note(GALE_SEA),
        Head("Forecast and current", "Forecast"),
        Say(strong(told.forecast_words) if told.forecast_counts else told.forecast_words),
        on_screen(Head("Current")),
        Say(told.current_words),
    )


def _hangs_on(bracket: Bracket, *, drawn: bool = False) -> Grid:
    """Each line of the bracket; drawn: with its picture, all of them on one scale of days."""
    number = {id(line): at for at, line in enumerate(bracket.lines, start=1)}

    def span(line: BracketLine) -> str:
        words = f"{_reached(line.typical_days)} to {_reached(line.slow_end_days)}"
        return picture(f"bracket{number[id(line)]}", words)

    shown = (("", span, f"left {WIDE + 8.0:.0f}pt"),)
    return grid(
        bracket.lines,
        ("", lambda line: f"{line.change.words} {small(f'({line.to})')}", "left 1fr"),
        *(shown if drawn else ()),
        ("typical", lambda line: strong(_reached(line.typical_days))),
        ("slow end", lambda line: strong(_reached(line.slow_end_days))),
        ("runs short,\nin 100", _runs_short, f"left {RUNS_SHORT_WIDE_PT if drawn else 168}pt"),
        size=SMALL_PT,
        every=2,
    )


def _rates(row: Breaks) -> str:
    return " / ".join(f"{rate:.2g}" for rate in (row.low_strikes, row.strikes, row.high_strikes))


def breakage_card(told: HowLong) -> Blocks:
    """The crossings as boats break, and how far that is known."""
    breakage = told.breakage
    if breakage is None:
        return (on_screen(Head("As boats break"), Say("Nothing breaks in these figures: so it was asked for.")),)
    answer = breakage.answer
    return (
        Title("As boats break"),
        Say(
            f"{_which(answer, told)} again, struck at random by the troubles that are told of one by one; what is "
            "mended at sea ends. One luck for both, so that the difference is breakage alone. Days, miles, loads, "
            "battery and watches of every other page are with nothing broken."
        ),
        on_screen(_levels(breakage), Head("What runs out"), _runs_out(answer)),
        on_paper(Beside(((_levels(breakage),), (_runs_out(answer),)), ("1.7fr", "1fr"))),
        Head("What breaks"),
        on_screen(_what_breaks(breakage.troubles)),
        on_paper(
            Together((Beside(tuple((_what_breaks(half, rated=False),) for half in _halves(breakage.troubles))),)),
            note("How often each, low, likely and high: with the sources."),
        ),
        note(breakage.caution),
    )


def _which(answer: AsBoatsBreak, told: HowLong) -> str:
    some = answer.times.crossings
    return "The same crossings" if some == told.passage.crossings else f"The first {some:,} of the same crossings"


def _levels(breakage: Breakage) -> Grid:
    return grid(
        breakage.levels,
        ("", lambda level: level.often.words, "left 1fr"),
        ("typical,\ndays", lambda level: strong(level.typical_days)),
        ("slow end,\ndays", lambda level: strong(level.slow_end_days)),
        ("struck,\n/100", lambda level: level.struck.in_100),
        ("short, /100,\nof anything", lambda level: level.any_short.in_100),
        ("of\nwater", lambda level: level.water_short.in_100),
    )


def _runs_out(answer: AsBoatsBreak) -> Grid:
    return grid(
        answer.stores,
        ("runs out, /100:", lambda row: row.store, "left 1fr"),
        ("nothing\nbroken", lambda row: row.before.in_100),
        ("as boats\nbreak", lambda row: strong(row.short.in_100)),
    )


def _halves(rows: Sequence[Breaks]) -> tuple[Sequence[Breaks], ...]:
    middle = -(-len(rows) // 2)
    return rows[:middle], rows[middle:]


def _what_breaks(rows: Sequence[Breaks], *, rated: bool = True) -> Grid:
    """rated: with how often, which on paper stands with the sources."""
    return grid(
        rows,
        ("", lambda row: row.name, "left 1fr"),
        *((("in 20 days, low,\nlikely, high", _rates),) if rated else ()),
        ("mended,\n/100", lambda row: row.mended_in_100),
        ("in,\nhours", lambda row: row.mending_h if row.mended_in_100 else DASH),
        ("strikes,\n/100", lambda row: strong(row.struck.in_100)),
        ("later by,\ndays", lambda row: row.later_days),
        size=SMALL_PT,
        every=1,
    )


def _runs_short(line: BracketLine) -> str:
    return ", ".join(f"{row.store} {row.short_in_100}" for row in line.short) or "nothing"


def _height_words(state: SeaState) -> str:
    if not state.most_m:
        return f"0 {unit_words('m')}"
    if unit_words("m") == "m":
        return f"{state.least_m:g} to {state.most_m:g} m"
    return f"{amount(state.least_m, 'm')} to {amount(state.most_m, 'm'):u}"


def by_day_card(told: HowLong) -> Blocks:
    return (
        on_paper(
            Title("Day by day"),
            Say(
                "8 crossings in 10 lie between slow and quick at the end of each day. Pencil your own miles to go "
                "beside them."
            ),
            grid(
                told.by_day,
                ("day", lambda row: row.day),
                ("date", lambda row: _date(told, row), "left"),
                ("to go,\nslow", lambda row: row.most_to_go_nm),
                ("to go,\nmiddle", lambda row: strong(row.typical_to_go_nm)),
                ("to go,\nquick", lambda row: row.least_to_go_nm),
                ("run,\nmiddle", lambda row: row.typical_run_nm),
                ("in, of\n100", lambda row: row.arrived_in_100),
                ("middle one at", place_of, "left"),
                ("ours", lambda row: "", "left 1fr"),
                every=1,
            ),
        ),
    )


def _date(told: HowLong, row: Day) -> str:
    """Ship's date of a day out, counted as on every page."""
    return day_words(told.sails_ship + timedelta(days=row.day))


def place_of(row: Day) -> str:
    """Where the middle crossing is at the end of a day."""
    if not row.typical_in:
        return row.typical_position
    return "in" if row.arrived_in_100 >= HALF_IN_100 else "off it, waits for light"


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    """How many crossings make landfall on each day, the miles to go by day, and the bracket."""
    marks, half_pt = figures.time_marks(outcome.times), (room.wide_pt - GUTTER_PT) / 2.0
    return {
        "times": figures.passage_times(outcome.crossings.arrival_h / 24.0, marks, half_pt, HALF_HIGH_PT),
        "to_go": to_go_drawn(outcome, half_pt, HALF_HIGH_PT),
        **{f"bracket{number}": drawn for number, drawn in enumerate(draw_spans(_spans(outcome.bracket)))},
    }


def to_go_drawn(outcome: Outcome, wide_pt: float, high_pt: float = FAN_HIGH_PT) -> str:
    """The miles to go by days out."""
    to_day = len(until_in(outcome.by_day))
    return figures.fan(
        np.arange(to_day + 1.0), _to_go(outcome, to_day), figures.time_marks(outcome.times), "miles", wide_pt, high_pt
    )


def _spans(found: Bracket) -> list[Span]:
    lines = [Span(line.typical_days, line.slow_end_days) for line in found.lines]
    return [Span(found.typical_h / 24.0, found.slow_end_h / 24.0), *lines]


def _to_go(outcome: Outcome, to_day: int) -> np.ndarray[Any, np.dtype[np.float64]]:
    runs = [(day.least_to_go_nm, day.typical_to_go_nm, day.most_to_go_nm) for day in outcome.by_day[:to_day]]
    return np.array([(outcome.ground.track.length_nm,) * 3, *runs], dtype=float)


SHEET = Sheet(
    "times",
    table,
    drawings,
    for_mate=(bracket_of, breakage_of),
    record=HowLong,
    cards={"days": days_card, "slow-end": slow_end_card, "breakage": breakage_card, "by-day": by_day_card},
    short=sail_short,
)
