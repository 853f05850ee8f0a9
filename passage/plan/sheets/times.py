"""How long: the spread of passage times, what the boat did in them, and the run day by day."""

from __future__ import annotations

import math
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.consequences.times import day_by_day
from passage.inputs.position import format_position
from passage.plan import figures
from passage.plan.columns import aside, joined
from passage.plan.printed import Table, rounded, shown
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.plan.sheets.answers import (
    FAN_HIGH_PT,
    time_answer,
    time_lines,
    time_marks,
)
from passage.sailings.track import at_distance

if TYPE_CHECKING:
    from passage.road import Outcome


def table(outcome: Outcome) -> Table:
    """The spread of passage times, what the boat did in them, and where 8 crossings in 10 are day by day."""
    spread, length_nm = outcome.times, outcome.ground.track.length_nm
    rows = [_day(outcome, day) for day in day_by_day(outcome.crossings)]
    in_harbour = next((index for index, row in enumerate(rows) if row["arrived_in_100"] >= 99), len(rows) - 1)
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
            "by_day": rows[: in_harbour + 1],
        }
    )


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
    return joined([list(time_lines(t, t["crossings"])), aside("Average crossing", [", ".join(hours), caution])])


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    """How many crossings make landfall on each day, and the miles to go by day."""
    marks, to_day = time_marks(outcome), len(tables["times"]["by_day"])
    return {
        "times": figures.passage_times(outcome.crossings.arrival_h / 24.0, marks, room.wide_pt, 200.0),
        "to_go": figures.fan(
            np.arange(to_day + 1.0), _to_go(outcome)[: to_day + 1], marks, "miles", room.wide_pt, FAN_HIGH_PT
        ),
    }


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

SHEET = Sheet("times", table, drawings, keys=KEYS)
