"""When to leave: departures beside one another, each sailed with the same luck.

The plan sails nine, a fortnight apart, with a part of its crossings: the averages change from month to month, so nearer
days would show little, and a whole year would cost it more time than all the rest. The year is ``passage when``.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import groupby
from typing import TYPE_CHECKING

from passage.crossings.wind import Luck
from passage.departures import AS_GOOD_SHARE, CYCLONE_CAUTION, better, scan
from passage.plan.columns import aside, joined
from passage.plan.printed import DASH, Table, day_words, rounded, shown
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.plan.weekstrip import head_line, week_line
from passage.plan.yearstrip import year_strip

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from passage.crossings.ground import Ground
    from passage.departures import Start, Wait
    from passage.inputs.folder import Facts
    from passage.road import Outcome

EITHER_SIDE, APART = 4, timedelta(weeks=2)
SCANNED = 200  # crossings at most for each departure in the plan
STRIP_PT, YEAR_STRIP_PT, MANY = 300.0, 480.0, 20  # heights of the drawing, and how many starts are many
SEASON_CAUTION = (
    "Ships keep out of cyclones, and ships' reports made these averages: they show the cyclone months as kind. In a "
    "season no hours of strong wind and no gales are given, and no such departure is ever the better one."
)
NOT_A_FORECAST = (
    "Averages choose a season; official forecasts choose the day. Strong wind is 28 knots and more, and the least sure "
    "of these. Nothing breaks in these crossings."
)


def table(outcome: Outcome) -> Table:
    """The departures about the planned one."""
    return told(outcome.facts, outcome.once(around), min(outcome.times.crossings, SCANNED))


def around(outcome: Outcome) -> tuple[Start, ...]:
    """Nine departures, the planned one in the middle."""
    luck = Luck(outcome.crossings.seed, min(outcome.times.crossings, SCANNED))
    starts = [outcome.crossings.depart + step * APART for step in range(-EITHER_SIDE, EITHER_SIDE + 1)]
    return scan(outcome.facts, outcome.ground, luck, starts)


def told(facts: Facts, starts: Sequence[Start], crossings: int) -> Table:
    """Departures in the order of the calendar, each with how many ``crossings``."""
    good = better(starts)
    return rounded(
        {
            "starts": [_told(start, start in good) for start in starts],
            "crossings": crossings,
            "slow_end_in": round(1.0 / facts.voyage.reserve.slow_end_share),
            "better_words": _better_words(starts, good),
            "season_words": _season_words(starts),
            "rule_words": _rule_words(facts) if any(start.wait for start in starts) else "",
            "refused_words": _refused_words(starts),
            "counting_words": _counting_words(facts, starts),
            "caution_words": NOT_A_FORECAST,
        }
    )


def _told(start: Start, as_good: bool) -> Table:
    return {
        "depart_utc": start.depart.isoformat(timespec="minutes"),
        "quick_days": start.fast_h / 24.0,
        "typical_days": start.typical_h / 24.0,
        "slow_end_days": start.slow_end_h / 24.0,
        "never_crossings": start.never,
        "calm_h": start.calm_h,
        "strong_wind_h": None if start.in_season else start.strong_h,
        "force_8_seen_in": start.gales or None,
        "hard_on_wind_in_100": 100.0 * start.hard_on_wind_share,
        "moon_lit_in_100": 100.0 * start.moon.lit if start.moon else None,
        "moon_phase": start.moon.phase if start.moon else "",
        "daylight_in_100": 100.0 * start.daylight_share,
        "standing_off_h": start.standing_off_h,
        "cyclone_basins": list(start.basins),
        "caution": start.caution,
        "as_good": as_good,
        "forecast_counts": start.forecast,
        "refused": start.refused,
        "wait": _wait(start.wait) if start.wait else None,
    }


def _wait(wait: Wait) -> Table:
    return {
        "typical_wait_days": wait.typical_days,
        "long_wait_days": wait.long_days,
        "in_vain_in_100": 100.0 * wait.in_vain_share,
    }


# ---------------------------------------------------------------- words


def _better_words(starts: Sequence[Start], good: Sequence[Start]) -> str:
    """Runs of departures as good as the best, or why there is none."""
    if all(start.in_season for start in starts):
        return f"Every one of these departures meets a cyclone season, and {CYCLONE_CAUTION}: none is the better one."
    if not good:
        return "Too many crossings never arrive, whichever of these days she leaves: none is the better one."
    listed = _days(starts, lambda start: start in good)
    clear = "Out of cyclone seasons, s" if any(start.in_season for start in starts) else "S"
    return (
        f"{clear}low ends are within {100 * AS_GOOD_SHARE:.0f} in 100 of the shortest leaving: {listed}. That is how "
        "long it takes, not how kind it is."
    )


def _season_words(starts: Sequence[Start]) -> str:
    names = sorted({basin for start in starts for basin in start.basins})
    if not names:
        return "No official cyclone season touches these passages, which is no promise."
    listed = _days(starts, lambda start: start.in_season)
    return f"At sea in the cyclone season ({', '.join(names)}) leaving: {listed}. {CYCLONE_CAUTION.capitalize()}. " + (
        SEASON_CAUTION
    )


def _rule_words(facts: Facts) -> str:
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
    if not any(start.forecast for start in starts):
        return "The forecast aboard counts for none of these departures: they stand on monthly averages alone."
    listed = _days(starts, lambda start: start.forecast)
    return f"The forecast aboard counts leaving: {listed}. Other days stand on monthly averages; its issuer overrules."


def _refused_words(starts: Sequence[Start]) -> str:
    """Departures that were not sailed, and why the first was not."""
    why = next((start.refused for start in starts if start.refused), "")
    return f"Not sailed leaving: {_days(starts, lambda start: bool(start.refused))}: {why}." if why else ""


def _days(starts: Sequence[Start], chosen: Callable[[Start], bool]) -> str:
    """The unbroken runs of the chosen: ``Sat 1 May; Sat 28 Aug to Sat 16 Oct``."""
    return "; ".join(_from_to(list(run)) for is_chosen, run in groupby(starts, key=chosen) if is_chosen)


def _from_to(run: Sequence[Start]) -> str:
    first, last = day_words(run[0].depart), day_words(run[-1].depart)
    return first if len(run) == 1 else f"{first} to {last}"


# ---------------------------------------------------------------- terminal


def text(table: Table) -> str:
    """The strip of the year in lines: a blade for every departure, and for every month what its days are like."""
    t, lines = shown(table), head_line(table["starts"])
    months = groupby(table["starts"], key=lambda start: (start["depart_utc"][:7], bool(start["caution"])))
    blocks = [[*lines]]
    for _, run in months:
        group = list(run)
        blocks.append([*_month_lines(group), *(week_line(start, table["starts"]) for start in group)])
    key = (
        "##|-- quick end to slow end, a stroke at the typical passage; ....|... the same in a cyclone season; > not "
        "reached; * slow end as good as any out of season; moon: how much of it, in 100, is lit on the last nights; "
        f"light: how many in 100 find daylight at landfall. {t['crossings']} crossings each, all with the same luck."
    )
    named = (
        ("Better?", "better_words"),
        ("Cyclones", "season_words"),
        ("Waiting", "rule_words"),
        ("Not sailed", "refused_words"),
        ("Forecast", "counting_words"),
        ("Mind", "caution_words"),
    )
    path = f"\n{'Printed strip':<18}{t['strip']}\n" if "strip" in t else ""  # never wrapped: it is to be copied
    return (
        joined([*blocks, aside("Key", [key]), *(aside(title, [t[name]] if t[name] else []) for title, name in named)])
        + path
    )


def _month_lines(group: Sequence[Table]) -> list[str]:
    """A month's name, and beside it in words what the week's lines do not show."""
    month = datetime.fromisoformat(group[0]["depart_utc"])
    hard = f"hard on the wind {_range(group, 'hard_on_wind_in_100')} hours in 100"
    parts = [f"calm {_range(group, 'calm_h')} h", hard]
    if group[0]["caution"]:
        parts = [f"{', '.join(group[0]['cyclone_basins'])}: {CYCLONE_CAUTION}", *parts]
    else:
        seen = " or ".join(sorted({str(start["force_8_seen_in"] or DASH) for start in group}))
        parts += [f"28 kn and more {_range(group, 'strong_wind_h')} h", f"force 8 seen in {seen}"]
    if any(start["standing_off_h"] for start in group):
        parts.append(f"standing off {_range(group, 'standing_off_h')} h")
    waits = [start["wait"] for start in group if start["wait"]]
    if waits:
        parts.append(
            f"in harbour typically {_range(waits, 'typical_wait_days')} days, 1 in 10 over "
            f"{_range(waits, 'long_wait_days')}"
        )
    return aside(f"{month:%B} {month.year}", ["; ".join(parts)])


def _range(rows: Sequence[Table], key: str) -> str:
    figures = sorted({row[key] for row in rows if row[key] is not None})
    if not figures:
        return DASH
    low, high = (f"{figure:g}" for figure in (figures[0], figures[-1]))
    return low if low == high else f"{low} to {high}"


# ---------------------------------------------------------------- paper


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    return drawn(outcome.ground, outcome.once(around), room)


def drawn(ground: Ground, starts: Sequence[Start], room: Room) -> Drawings:
    high = YEAR_STRIP_PT if len(starts) > MANY else STRIP_PT
    return {"when": year_strip(starts, bool(ground.track.lat_deg[-1] < 0), room.wide_pt, high)}


KEYS = {
    "strong_wind_h": "hours of 28 kn and more in an average crossing; null in a cyclone season",
    "force_8_seen_in": "in how many crossings force 8 was seen; null in a cyclone season",
    "starts": "departures, in the order of the calendar",
    "hard_on_wind_in_100": "hours under way in 100 with the wind nearly ahead",
    "daylight_in_100": "crossings of a hundred that find daylight at landfall and need not stand off",
    "cyclone_basins": "basins in whose cyclone season she is at sea",
    "caution": "what a cyclone season leaves out of these numbers; empty out of season",
    "as_good": "whether its slow end is as good as the shortest of those out of cyclone seasons",
    "wait": "days in harbour until the departure rule is met; null without a rule",
    "typical_wait_days": "half of the crossings wait no longer, days",
    "long_wait_days": "9 crossings in 10 wait no longer, days",
    "in_vain_in_100": "crossings of a hundred that leave with the rule unmet",
    "better_words": "which departures have the shortest slow ends out of cyclone seasons",
    "season_words": "which departures meet a cyclone season",
    "rule_words": "the departure rule; empty where there is none",
    "refused": "why she was not sailed from that day; empty where she was",
    "refused_words": "which departures were not sailed, and why; empty where all were",
    "counting_words": "for which departures the forecast counts; empty where none is aboard",
    "strip": "path of the printed strip",
}

SHEET = Sheet("when", table, drawings, keys=KEYS, for_mate=(around,))
