"""How long: the spread of passage times, what the boat did in them, and the run day by day."""

from __future__ import annotations

import math
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.consequences.times import day_by_day
from passage.follows import BRACKETED, bracket_of
from passage.inputs.position import format_position
from passage.plan import figures
from passage.plan.columns import aside, joined
from passage.plan.printed import DASH, Table, rounded, shown
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.plan.sheets.answers import (
    FAN_HIGH_PT,
    time_answer,
    time_lines,
    time_marks,
)
from passage.plan.sheets.basis import current_words, forecast_counts, forecast_words
from passage.plan.spans import Span, draw_spans
from passage.sailings.track import at_distance

if TYPE_CHECKING:
    from passage.consequences.windsea import WindSea
    from passage.crossings.bracket import Bracket
    from passage.road import Outcome

BRACKET_WORDS = (  # in the order of the bracket's lines
    "if weather lasts half as long as we think",
    "if weather lasts twice as long as we think",
    "if her speed differs half as much from passage to passage",
    "if her speed differs twice as much from passage to passage",
)
CURRENT_WORDS = {
    "0.5 kn with her": "with half a knot of current with her all the way",
    "0.5 kn against her": "with half a knot of current against her all the way",
    "none": "in water that does not move",
    "x 1.7": "if the current is 1.7 times as strong",
}
BY_DAYS = "Landfall waits for daylight, and so these go by steps of a day."
HIGHEST_COUNTED = 6  # very rough; higher seas need a gale
GALE_SEA = (
    "Very rough is the least sure. Higher seas need a gale, and of gales these averages know too little: no hours are "
    "given, expect to meet them."
)


def table(outcome: Outcome) -> Table:
    """The spread of passage times, what the boat did in them, and where 8 crossings in 10 are day by day."""
    spread, length_nm = outcome.times, outcome.ground.track.length_nm
    return rounded(
        {
            **time_answer(outcome),
            "crossings": spread.members,
            "distance_nm": length_nm,
            "hours": {
                "calm_h": spread.calm_h,
                "strong_wind_h": spread.strong_h,
                "motoring_h": spread.motoring_h,
                "hove_to_h": spread.hove_to_h,
                "running_off_h": spread.running_off_h,
                "standing_off_h": spread.standing_off_h,
            },
            "force_8_seen_in": spread.gale_seen,
            "bracket": _bracket(outcome.bracket),
            "bracket_crossings": min(spread.members, BRACKETED),
            "bracket_words": BY_DAYS if outcome.facts.boat.helm.stand_off else "",
            "sea": _sea(outcome.wind_sea),
            "forecast_counts": forecast_counts(outcome),
            "forecast_words": forecast_words(outcome),
            "current_words": current_words(outcome),
            "by_day": days(outcome),
        }
    )


def days(outcome: Outcome) -> list[Table]:
    """Day by day until 99 crossings of 100 are in."""
    rows = [_day(outcome, day) for day in day_by_day(outcome.crossings)]
    in_harbour = next((index for index, row in enumerate(rows) if row["arrived_in_100"] >= 99), len(rows) - 1)
    return rows[: in_harbour + 1]


def _bracket(found: Bracket) -> list[Table]:
    """The lines of the bracket, each with what was changed in a sailor's words."""
    return [
        {"if_words": words, "changed_words": line.value, **_ends(line.typical_h, line.slow_end_h)}
        for words, line in zip(_bracket_words(found), found.lines, strict=True)
    ]


def _bracket_words(found: Bracket) -> list[str]:
    currents = [CURRENT_WORDS[line.value] for line in found.lines if line.figure == "current"]
    return [*BRACKET_WORDS, *currents]


def _ends(typical_h: float, slow_end_h: float) -> Table:
    return {"typical_days": typical_h / 24.0, "slow_end_days": slow_end_h / 24.0}


def _sea(sea: WindSea) -> Table:
    lowest = ["0", *(f"{state.most_m:g}" for state in sea.states)]
    return {
        "label": sea.label,
        "typical_wave_m": sea.typical_m,
        "high_wave_m": sea.high_m,
        "states": [
            {
                "sea_state": state.term,
                "height_words": f"{least} to {state.most_m:g} m" if state.most_m else "0 m",
                "state_h": state.hours,
            }
            for least, state in zip(lowest, sea.states, strict=False)
            if state.code <= HIGHEST_COUNTED
        ],
        "gale_sea_words": GALE_SEA,
    }


def _day(outcome: Outcome, day: Any) -> Table:
    length_nm = outcome.ground.track.length_nm
    lat, lon, _ = at_distance(outcome.ground.track, [day.typical_nm])
    in_port = day.typical_nm >= length_nm - 1.0
    return {
        "day": day.day,
        "end_utc": (outcome.crossings.depart + timedelta(days=day.day)).date().isoformat(),
        "least_run_nm": day.least_nm,
        "typical_run_nm": day.typical_nm,
        "most_run_nm": day.most_nm,
        "least_to_go_nm": length_nm - day.most_nm,
        "typical_to_go_nm": length_nm - day.typical_nm,
        "most_to_go_nm": length_nm - day.least_nm,
        "arrived_in_100": math.floor(100.0 * day.arrived + 1e-9),
        "typical_position": "in" if in_port else format_position(float(lat[0]), float(lon[0])),
    }


def text(table: Table) -> str:
    """How long, and what she does in an average crossing."""
    t = shown(table)
    hours = [f"{key.removesuffix('_h').replace('_', ' ')} {value} h" for key, value in t["hours"].items()]
    caution = (
        f"Strong wind is 28 knots and more, and the least sure of these; force 8 was seen in {t['force_8_seen_in']}."
    )
    return joined(
        [
            list(time_lines(t, t["crossings"])),
            aside("Average crossing", [", ".join(hours), caution]),
            aside("Slow end hangs on", [*_bracket_lines(t), t["bracket_words"]]),
            aside("Sea", _sea_lines(t["sea"])),
            aside("Forecast", [t["forecast_words"]]),
            aside("Current", [t["current_words"]]),
        ]
    )


def _bracket_lines(shown_table: Table) -> list[str]:
    return [f"{line['if_words']}: {_reached(line)}" for line in shown_table["bracket"]]


def _reached(line: Table) -> str:
    return "not reached" if line["slow_end_days"] == DASH else f"{line['slow_end_days']} days"


def _sea_lines(sea: Table) -> list[str]:
    states = [f"{state['sea_state']} {state['state_h']} h" for state in sea["states"] if state["state_h"] != "0"]
    height = f"half of the hours over {sea['typical_wave_m']} m, 1 in 10 over {sea['high_wave_m']} m"
    return [f"{sea['label'].capitalize()}: {height}, once it is fully grown", "; ".join(states), sea["gale_sea_words"]]


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    """How many crossings make landfall on each day, the miles to go by day, and the bracket."""
    marks, to_day = time_marks(outcome), len(tables["times"]["by_day"])
    return {
        "times": figures.passage_times(outcome.crossings.arrival_h / 24.0, marks, room.wide_pt, 200.0),
        "to_go": figures.fan(
            np.arange(to_day + 1.0), _to_go(outcome)[: to_day + 1], marks, "miles", room.wide_pt, FAN_HIGH_PT
        ),
        "bracket": draw_spans(_spans(outcome.bracket), room.wide_pt),
    }


def _spans(found: Bracket) -> list[Span]:
    changed = zip(_bracket_words(found), found.lines, strict=True)
    lines = [Span(words, line.typical_h / 24.0, line.slow_end_h / 24.0) for words, line in changed]
    return [Span("as it stands", found.typical_h / 24.0, found.slow_end_h / 24.0), *lines]


def _to_go(outcome: Outcome) -> np.ndarray[Any, np.dtype[np.float64]]:
    length_nm = outcome.ground.track.length_nm
    runs = [(day.most_nm, day.typical_nm, day.least_nm) for day in day_by_day(outcome.crossings)]
    return length_nm - np.array([(0.0, 0.0, 0.0), *runs])


KEYS = {
    "hours": "mean hours of a crossing by what happens in them",
    "calm_h": "wind under 4 kn",
    "strong_wind_h": "wind of 28 kn and more; the least sure of these",
    "motoring_h": "under engine for propulsion",
    "hove_to_h": "hove to",
    "running_off_h": "running off before strong wind",
    "standing_off_h": "waiting off the landfall for daylight",
    "force_8_seen_in": "in how many crossings an hour of 34 kn was seen: none, few or some",
    "bracket": "typical passage and slow end with one doubtful figure changed",
    "bracket_crossings": "how many crossings were sailed for each of these",
    "bracket_words": "why these go by steps, empty where they do not",
    "if_words": "what is changed",
    "changed_words": "to what",
    "sea": "the sea that the wind itself raises",
    "label": "what is in it",
    "typical_wave_m": "significant height, m, that half of the hours under way exceed",
    "high_wave_m": "significant height, m, that 1 hour in 10 exceeds",
    "states": "by state of the sea",
    "sea_state": "its term in the code of the WMO",
    "height_words": "its significant heights",
    "state_h": "mean hours of a crossing in it",
    "gale_sea_words": "what is said of seas higher than these",
    "forecast_counts": "whether a forecast is in the numbers",
    "forecast_words": "which forecast is aboard, its age, and whether it counts",
    "current_words": "which current is in the numbers",
    "by_day": "day by day",
    "day": "day out, 1 ends 24 hours after departure",
    "end_utc": "date on which it ends, UTC",
    "least_run_nm": "miles made good, 1 crossing in 10 has less",
    "typical_run_nm": "miles made good in the middle one",
    "most_run_nm": "miles made good, 1 crossing in 10 has more",
    "least_to_go_nm": "miles to go of the quickest of 8 in 10",
    "typical_to_go_nm": "miles to go of the middle one",
    "most_to_go_nm": "miles to go of the slowest of 8 in 10",
    "arrived_in_100": "crossings of a hundred that are in",
    "typical_position": "where the middle one is",
}

SHEET = Sheet("times", table, drawings, keys=KEYS, for_mate=(bracket_of,))
