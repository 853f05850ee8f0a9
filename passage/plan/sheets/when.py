"""When to leave: departures beside one another, each sailed with the same luck.

The plan sails nine, a fortnight apart, with a part of its crossings: the averages change from month to month, so nearer
days would show little, and a whole year would cost it more time than all the rest. The year is ``passage when``.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial
from itertools import groupby
from math import isfinite
from typing import TYPE_CHECKING, Any

from passage.consequences.times import Gales
from passage.crossings.storms import FEW_IN_100
from passage.crossings.wind import Luck
from passage.departures import AS_GOOD_SHARE, CYCLONE_CAUTION, MEASURES, Start, better, scan
from passage.inputs.folder import Facts
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.plan.sheets.storms import near_words, stands_on, storm_words
from passage.plan.weekstrip import head_lines, week_line
from passage.plan.yearstrip import year_strip
from passage.tell.blocks import (
    SMALL_PT,
    Blocks,
    Break,
    Drawing,
    Head,
    Say,
    Sketch,
    Title,
    Verbatim,
    grid,
    note,
    on_paper,
    on_screen,
    strong,
)
from passage.tell.figures import DASH, day_words, in_print
from passage.tell.records import Record, reckoned, told
from passage.tell.sketch import Upright, fan

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from passage.crossings.ground import Ground
    from passage.road import Outcome

EITHER_SIDE, APART = 4, timedelta(weeks=2)
SCANNED = 200  # crossings at most for each departure in the plan
STRIP_PT, YEAR_STRIP_PT, MANY = 212.0, 400.0, 20  # heights of the drawing, and how many starts are many
SEASON_CAUTION = (
    "Ships keep out of cyclones, and ships' reports made these averages: they show the cyclone months as kind. Hours "
    "of strong wind and gales are those outside a season's waters, and a departure that meets storms in "
    f"{FEW_IN_100:.0f} crossings of 100 or more is never the better one."
)
NOT_A_FORECAST = (
    "Averages choose a season; official forecasts choose the day. Strong wind is 28 knots and more, and the least sure "
    "of these. Nothing breaks in these crossings."
)


class Departures(Record):
    """Departures beside one another."""

    facts: Facts
    planned_utc: datetime = told("the departure of the plan")
    crossings: int = told("how many crossings were sailed from each")
    starts: tuple[Start, ...] = told("departures, in the order of the calendar")
    strip: str = told("path of the printed strip; empty where none was asked for", default="")

    @reckoned("the slow end is what 1 crossing in so many exceeds")
    def slow_end_in(self) -> int:
        return round(1.0 / self.facts.voyage.reserve.slow_end_share)


def table(outcome: Outcome) -> Departures:
    """The departures about the planned one."""
    crossings = min(outcome.times.crossings, SCANNED)
    return departures(outcome.facts, outcome.once(around), crossings, outcome.crossings.depart)


def around(outcome: Outcome) -> tuple[Start, ...]:
    """Nine departures, the planned one in the middle."""
    luck = Luck(outcome.crossings.seed, min(outcome.times.crossings, SCANNED))
    starts = [outcome.crossings.depart + step * APART for step in range(-EITHER_SIDE, EITHER_SIDE + 1)]
    return scan(outcome.facts, outcome.ground, luck, starts)


def departures(facts: Facts, starts: Sequence[Start], crossings: int, planned: datetime | None = None) -> Departures:
    """Departures in the order of the calendar, each with how many ``crossings``; planned: the voyage file's if None."""
    good = better(starts)
    marked = tuple(replace(start, as_good=start in good) for start in starts)
    return Departures(facts, planned or facts.voyage.departure.depart, crossings, marked)


# ---------------------------------------------------------------- words


def _better_words(starts: Sequence[Start]) -> str:
    """Runs of departures as good as the best, or why there is none."""
    if all(start.stormy for start in starts):
        return f"Every one of these departures meets too many storms, and {CYCLONE_CAUTION}: none is the better one."
    if all(start.unkind or start.stormy for start in starts):
        return "None of these departures that meet few storms keeps within what you call kind: none is marked."
    if not any(start.as_good for start in starts):
        return "Too many crossings never arrive, whichever of these days she leaves: none is the better one."
    listed = _days(starts, lambda start: start.as_good)
    clear = "Of those that meet few storms, s" if any(start.stormy for start in starts) else "S"
    return (
        f"{clear}low ends of kind weeks are within {100 * AS_GOOD_SHARE:.0f} in 100 of the shortest of them leaving: "
        f"{listed}."
    )


def kind_words(facts: Facts, starts: Sequence[Start]) -> str:
    """What is called kind, and why other weeks are not: by what they go over the limit in."""
    kind = facts.voyage.kind
    if not kind.counts:
        return "Weeks are marked by length alone, not by how kind they are: so it was asked for."
    limits = ", ".join(f"{each.words} {100 * getattr(kind, each.limit):.0f}" for each in MEASURES)
    over = [(each.words, _days(starts, partial(_goes_over, each.words))) for each in MEASURES]
    told = "; ".join(f"{words} leaving {days}" for words, days in over if days)
    why = f" Over it: {told}." if told else ""
    return (
        f"Kind is at most, of 100 hours at sea: {limits}; where no week keeps to one, a quarter more than the least."
        f"{why}{_none_keeps(facts, starts)} Ice is not known here, nor fog but as damp air over a cold sea: the pilot "
        "charts tell."
    )


def _none_keeps(facts: Facts, starts: Sequence[Start]) -> str:
    """Which limits no week keeps to: a mark then says the least of it, and not that it is kind."""
    least = {
        each.words: min((hours for start in starts if isfinite(hours := each.of(start))), default=0.0)
        for each in MEASURES
    }
    limits = {each.words: 100 * getattr(facts.voyage.kind, each.limit) for each in MEASURES}
    over = [f"{words} (the least has {hours:.0f})" for words, hours in least.items() if hours > limits[words]]
    return f" {strong('No week here keeps to')}: {', '.join(over)}; a dot is the best of these." if over else ""


def _goes_over(words: str, start: Start) -> bool:
    return any(why.startswith(words) for why in start.unkind)


def _season_words(starts: Sequence[Start], caution: str = f" {SEASON_CAUTION}") -> str:
    names = sorted({basin for start in starts for basin in start.cyclone_basins})
    if not names:
        return (
            f"No official cyclone season touches these passages, which is no promise. {_stormy_words(starts)}".strip()
        )
    listed = _days(starts, lambda start: bool(start.cyclone_basins))
    share = _range(start.season_in_100 for start in starts if start.cyclone_basins)
    return (
        f"At sea in the cyclone season ({', '.join(names)}) for {share} of 100 of her days leaving: {listed}. "
        f"{_stormy_words(starts)} {CYCLONE_CAUTION.capitalize()}.{caution}"
    )


def _stormy_words(starts: Sequence[Start]) -> str:
    worst = max(starts, key=lambda start: (start.storms.near_in_100, start.storms.far_in_100))
    if worst.storms.far_in_100 <= 0.0:
        return ""
    leaving = f"leaving {day_words(worst.depart_utc)}"
    return f"Storms come nearest {leaving}: {storm_words(worst.storms)}"


def _rule_words(facts: Facts, starts: Sequence[Start]) -> str:
    if not any(start.wait for start in starts):
        return ""
    rule = facts.voyage.departure_rule
    parts = [f"under {rule.wind_under_kn:.0f} kn"] if rule.wind_under_kn is not None else []
    asked = " and ".join([*parts, "not ahead"] if rule.not_ahead else parts)
    return (
        f"She leaves when the wind of the first {rule.first_h:.0f} hours is {asked}, and looks again every day, for "
        f"{rule.wait_at_most_h / 24:.0f} days at most. Days waited are harbour time and not in the days at sea."
    )


def _counting_words(facts: Facts, starts: Sequence[Start]) -> str:
    """Whether the forecast of the voyage file, if one is named, is in any of these numbers."""
    if facts.voyage.forecast.file is None:
        return ""
    if any(start.wait for start in starts):
        return (
            "The forecast aboard counts for none of these departures: the departure rule is asked of winds made from "
            "monthly averages, and she sails on in them. On the day, ask your rule of the newest official forecast."
        )
    if not any(start.forecast_counts for start in starts):
        return "The forecast aboard counts for none of these departures: they stand on monthly averages alone."
    listed = _days(starts, lambda start: start.forecast_counts)
    return f"The forecast aboard counts leaving: {listed}. Other days stand on monthly averages; its issuer overrules."


def _refused_words(starts: Sequence[Start]) -> str:
    """Departures that were not sailed, and why the first was not."""
    why = next((start.refused for start in starts if start.refused), "")
    return f"Not sailed leaving: {_days(starts, lambda start: bool(start.refused))}: {why}." if why else ""


def _days(starts: Sequence[Start], chosen: Callable[[Start], bool]) -> str:
    """The unbroken runs of the chosen: ``Sat 1 May; Sat 28 Aug to Sat 16 Oct``."""
    return "; ".join(_from_to(list(run)) for is_chosen, run in groupby(starts, key=chosen) if is_chosen)


def _from_to(run: Sequence[Start]) -> str:
    first, last = day_words(run[0].depart_utc), day_words(run[-1].depart_utc)
    return first if len(run) == 1 else f"{first} to {last}"


# ---------------------------------------------------------------- the card


def when_card(told: Departures) -> Blocks:
    facts, starts, many = told.facts, told.starts, len(told.starts) > MANY
    departures_head = Title("Departures one by one") if many else Head("Departures one by one")
    return (
        on_screen(Verbatim(head_lines(starts)), *_weeks(starts), Head("Key"), Say(_key(told))),
        on_paper(
            Title("When to leave"),
            Say(
                f"{told.crossings} crossings from each of these days, all with the same luck: what differs is the "
                f"season. {strong(_better_words(starts))}"
            ),
            Drawing(
                "when",
                "The strip of the year: a blade for each departure, days at sea upwards, from the quick end over the "
                "typical passage to the slow end.",
            ),
            note(
                "A blade stands on the quick end (1 crossing in 10 is quicker), is black up to the typical passage and "
                f"light up to the slow end (1 in {told.slow_end_in} is slower); an arrow on it: not reached. A dot "
                "under it: kind, and as good as any with few storms. Under the strip hours of calm, hours in 100 hard "
                "on the wind, hours of 28 knots and more, and the moon of the last three nights."
            ),
        ),
        on_screen(Head("Better?"), Say(_better_words(starts)), Head("Kind")),
        note(kind_words(facts, starts)),
        on_screen(Head("Cyclones")),
        Say(strong(_season_words(starts))),
        on_screen(note(stands_on([start.storms for start in starts]))),
        on_screen(Head("Waiting")),
        Say(_rule_words(facts, starts)),
        on_screen(Head("Not sailed")),
        Say(strong(refused) if (refused := _refused_words(starts)) else ""),
        on_screen(Head("Forecast")),
        Say(_counting_words(facts, starts)),
        on_screen(Head("Mind")),
        note(NOT_A_FORECAST),
        on_screen(Head("Printed strip"), Verbatim((told.strip,) if told.strip else ())),
        on_paper(
            *((Break(),) if many else ()),
            departures_head,
            _one_by_one(told),
            note(
                "28 knots and force 8: outside a cyclone season's waters. "
                f"{stands_on([start.storms for start in starts])} •: kind, slow end as good as any with few storms. "
                "Bold: this plan's departure; page one has more crossings and is the surer."
            ),
        ),
    )


def _one_by_one(told: Departures) -> Any:
    waits = any(start.wait for start in told.starts)
    stormy = any(start.storms.far_in_100 > 0.0 for start in told.starts)
    storms = (("storms,\n/100", lambda row: near_words(row.storms)),) if stormy else ()
    harbour = (("harbour,\ndays", lambda row: _waited(row)),) if waits else ()
    return grid(
        told.starts,
        ("leaving", lambda row: _leaving(row, told.planned_utc), "left"),
        ("quick,\ndays", lambda row: row.times.quick_days),
        ("typical,\ndays", lambda row: row.times.typical_days),
        ("slow end,\ndays", lambda row: strong(row.times.slow_end_days)),
        ("calm,\nh", lambda row: row.times.calm_h),
        ("28 kn and\nmore, h", lambda row: row.times.strong_h),
        *storms,
        ("hard on\nwind, /100", lambda row: row.hard_on_wind_in_100),
        ("moon\nlit, /100", lambda row: row.moon and row.moon.lit_in_100),
        ("daylight,\n/100", lambda row: row.daylight_in_100),
        *harbour,
        ("force 8 seen in", _gales, "left 1fr"),
        size=SMALL_PT,
        inset=2.0,
    )


def _leaving(start: Start, planned: datetime) -> str:
    words = f"{day_words(start.depart_utc)} {start.depart_utc.year}"
    return strong(words) if start.depart_utc == planned else words


def _waited(start: Start) -> str:
    return f"{start.wait.typical_wait_days} to {start.wait.long_wait_days}" if start.wait else DASH


def _gales(start: Start) -> str:
    if start.refused:
        return "not sailed"
    seen = "cyclone season" if start.times.gale_seen is Gales.UNSAID else f"{start.times.gale_seen}"
    return f"{seen}{'  •' if start.as_good else ''}"


def when_short(told: Departures) -> Blocks:
    """The year as a fan, which weeks are as good as the best, and what cyclones say to it."""
    return (
        Sketch(partial(_year, told.starts)),
        Head("Better?"),
        Say(strong(_better_words(told.starts))),
        Head("Cyclones"),
        Say(_season_words(told.starts, caution="")),
        Head("Not sailed"),
        Say(_refused_words(told.starts)),
        Head("Mind"),
        Say("Averages choose a season; official forecasts choose the day."),
        Head("Printed strip"),
        Verbatim((told.strip,) if told.strip else ()),
    )


def _year(starts: Sequence[Start], wide: int) -> tuple[str, ...]:
    uprights = [
        Upright(float(start.times.quick_days), float(start.times.typical_days), float(start.times.slow_end_days))
        for start in starts
    ]
    months = [f"{start.depart_utc:%b}" for start in starts]
    feet = [month if not number or month != months[number - 1] else "" for number, month in enumerate(months)]
    words = "Days at sea by departure: # typical, : quick end to slow end"
    return fan(uprights, feet, words, wide)


def _key(told: Departures) -> str:
    return (
        "##|-- quick end to slow end, a stroke at the typical passage; ....|... the same where too many storms come; > "
        "not reached; * kind, and slow end as good as any with few storms; moon: how much of it, in 100, is lit on the "
        f"last nights; light: how many in 100 find daylight at landfall. {told.crossings} crossings each, all with the "
        "same luck."
    )


def _weeks(starts: Sequence[Start]) -> Blocks:
    """A blade for every departure, and for every month in words what its days are like."""
    months = groupby(
        starts,
        key=lambda start: (start.depart_utc.year, start.depart_utc.month, start.cyclone_basins, not start.unkind),
    )
    blocks: list[Any] = []
    for _, run in months:
        group = list(run)
        lines = tuple(week_line(start, starts) for start in group)
        blocks += [Head(f"{group[0].depart_utc:%B %Y}"), Say(_month_words(group)), Verbatim(lines)]
    return tuple(blocks)


def _alike(start: Start) -> tuple[Any, ...]:
    return start.depart_utc.year, start.depart_utc.month, start.cyclone_basins, not start.unkind


def _month_words(group: Sequence[Start]) -> str:
    """What the lines of a month's weeks do not show."""
    times = [start.times for start in group]
    hard = f"hard on the wind {_range(start.hard_on_wind_in_100 for start in group)} hours in 100"
    parts = [f"calm {_range(each.calm_h for each in times)} h", hard, *_cold_and_fog(group)]
    if group[0].cyclone_basins:
        share = _range(start.season_in_100 for start in group)
        parts = [f"{', '.join(group[0].cyclone_basins)}, {share} of 100 days in it: {CYCLONE_CAUTION}", *parts]
    if any(start.storms.far_in_100 > 0.0 for start in group):
        parts.append(f"storms within 100 miles in {_range(start.storms.near_in_100 for start in group)} of 100")
    if seen := sorted({str(each.gale_seen) for each in times if each.gale_seen is not Gales.UNSAID}):
        outside = "outside it " if group[0].cyclone_basins else ""
        parts += [
            f"{outside}28 kn and more {_range(each.strong_h for each in times)} h",
            f"force 8 seen in {' or '.join(seen)}",
        ]
    if any(in_print(each.standing_off_h) > 0 for each in times):
        parts.append(f"standing off {_range(each.standing_off_h for each in times)} h")
    waits = [start.wait for start in group if start.wait]
    if waits:
        typical, long = (
            _range(getattr(wait, name) for wait in waits) for name in ("typical_wait_days", "long_wait_days")
        )
        parts.append(f"in harbour typically {typical} days, 1 in 10 over {long}")
    return "; ".join(parts)


def _cold_and_fog(group: Sequence[Start]) -> list[str]:
    """Where there is any, and why such weeks are not kind."""
    hours = [start.minded for start in group if start.minded]
    told = [
        f"{words} {_range(getattr(each, field) for each in hours)} hours in 100"
        for words, field in (("cold", "cold_in_100"), ("fog likely", "fog_in_100"))
        if any(getattr(each, field) >= 1.0 for each in hours)
    ]
    return told + ([f"not kind: {'; '.join(group[0].unkind)}"] if group[0].unkind else [])


def _range(figures: Iterable[float]) -> str:
    printed = sorted({in_print(figure) for figure in figures if isfinite(figure)})
    if not printed:
        return DASH
    low, high = (f"{figure:g}" for figure in (printed[0], printed[-1]))
    return low if low == high else f"{low} to {high}"


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    return drawn(outcome.ground, outcome.once(around), room)


def drawn(ground: Ground, starts: Sequence[Start], room: Room) -> Drawings:
    high = YEAR_STRIP_PT if len(starts) > MANY else STRIP_PT
    return {"when": year_strip(starts, bool(ground.track.lat_deg[-1] < 0), room.wide_pt, high)}


SHEET = Sheet(
    "when", table, drawings, for_mate=(around,), record=Departures, cards={"when": when_card}, short=when_short
)
