"""Winds: roses at a handful of points along the track, each for the days on which the middle crossing is there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.rose import Rose, rose_on
from passage.inputs.climate import month_weights
from passage.inputs.position import format_position
from passage.plan.columns import aside, joined
from passage.plan.printed import Table, rounded, shown
from passage.plan.roses import draw_rose, rings_for
from passage.plan.sheet import Drawings, Room, Sheet, Tables

if TYPE_CHECKING:
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.road import Outcome

    Floats = NDArray[np.float64]
    Flags = NDArray[np.bool_]

MOST_ROSES, LEAST_APART_NM = 6, 120.0  # the shipped cells are 2 degrees: closer roses would show the same wind
ACROSS, CAPTION_PT, FURNITURE_PT = 2, 50.0, 102.0
LETTERS = "ABCDEF"
CAUTION = (
    "Monthly averages: what blows on the day is the forecast's to say. Strong wind, 28 knots and more, is the least "
    "sure of these figures, and gales are left out: these averages cannot tell how many there are. No cyclone is in "
    "them."
)


@dataclass(frozen=True)
class _Point:
    node: int
    day: float
    date: datetime
    rose: Rose
    few_reports: bool


def _points(outcome: Outcome) -> list[_Point]:
    """Evenly along the track, each on the day the middle crossing is there."""
    track, climate = outcome.ground.track, outcome.ground.climate
    roses = min(max(int(track.length_nm / LEAST_APART_NM), 2), MOST_ROSES)
    days, few = _days_at_nodes(outcome), _few_reports(outcome)
    points = []
    for run_nm in (np.arange(roses) + 0.5) / roses * track.length_nm:
        node = int(np.abs(track.distance_nm - run_nm).argmin())
        date = outcome.crossings.depart + timedelta(days=float(days[node]))
        points.append(_Point(node, float(days[node]), date, rose_on(climate, node, date), bool(few[node])))
    return points


def _days_at_nodes(outcome: Outcome) -> Floats:
    """Days out (nodes,) at which the middle crossing is at each node; its last day where it never comes so far."""
    runs = outcome.by_day
    reached, days = [0.0, *(run.typical_run_nm for run in runs)], [0.0, *(float(run.day) for run in runs)]
    return np.interp(outcome.ground.track.distance_nm, reached, days)


def _few_reports(outcome: Outcome) -> Flags:
    """Whether the wind at each node (nodes,), when the middle crossing is there, rests on few ship reports."""
    start = np.datetime64(outcome.crossings.depart.replace(tzinfo=None), "s")
    times = start + (_days_at_nodes(outcome) * 86400.0).astype("timedelta64[s]")
    first, second, _ = month_weights(times)
    few, node = outcome.ground.climate.few_reports, np.arange(outcome.ground.track.nodes)
    return np.asarray(few[first, node] | few[second, node])


def table(outcome: Outcome) -> Table:
    """The roses in figures, and the legs that rest on few ship reports."""
    track, points = outcome.ground.track, _points(outcome)
    return rounded(
        {
            "roses": [
                {
                    "rose": letter,
                    "position": format_position(float(track.lat_deg[point.node]), float(track.lon_deg[point.node])),
                    "leg": int(track.leg[point.node]) + 1,
                    "run_nm": float(track.distance_nm[point.node]),
                    "day": int(point.day) + 1,
                    "there_date": point.date.date().isoformat(),
                    "true_course_deg": float(track.course_deg[point.node]) % 360.0,
                    "mean_wind_kn": point.rose.mean_kn,
                    "calm_in_100": 100.0 * point.rose.calm_share,
                    "strong_in_100": 100.0 * point.rose.strong_share,
                    "strong_words": _hours(100.0 * point.rose.strong_share),
                    "few_reports": point.few_reports,
                    "sectors": [
                        {"from": sector.name, "in_100": 100.0 * sector.share, "mean_wind_kn": sector.mean_kn}
                        for sector in point.rose.sectors
                    ],
                }
                for letter, point in zip(LETTERS, points, strict=False)
            ],
            "ring_in_100": 100.0 * rings_for([point.rose for point in points]).step,
            "few_reports_words": _few_words(outcome),
            "caution_words": CAUTION,
        }
    )


def _hours(in_100: float) -> str:
    """Rare is not never: ``under 1 hour in 100``."""
    if in_100 < 1.0:
        return "under 1 hour in 100"
    return f"{in_100:.0f} hour{'s' if in_100 >= 1.5 else ''} in 100"


def _few_words(outcome: Outcome) -> str:
    """Which legs rest on few ship reports, and for how many of their miles."""
    track, few = outcome.ground.track, _few_reports(outcome)
    told = []
    for leg in range(len(outcome.ground.legs)):
        on_leg = track.leg == leg
        miles = float(few[on_leg].sum()) * track.spacing_nm
        if miles > 0.0:
            told.append(f"leg {leg + 1} for about {min(miles, float(on_leg.sum()) * track.spacing_nm):,.0f} miles")
    if not told:
        return "No leg rests on few ship reports in these months."
    return f"Few ship reports stand behind the winds of {' and '.join(told)}: trust them less."


def text(table: Table) -> str:
    """Each rose as a block of lines."""
    told = shown(table)
    blocks = []
    for rose in told["roses"]:
        shares = ", ".join(
            f"{sector['from']} {sector['in_100']} ({sector['mean_wind_kn']} kn)"
            for sector in rose["sectors"]
            if sector["in_100"] != "0"
        )
        few = "; few ship reports" if rose["few_reports"] else ""
        blocks.append(
            aside(
                f"{rose['rose']}  day {rose['day']}",
                [
                    f"{rose['position']}, {rose['run_nm']} nm run, leg {rose['leg']}, {rose['there_date']}, course "
                    f"{rose['true_course_deg']}",
                    f"mean {rose['mean_wind_kn']} kn; calm {rose['calm_in_100']} hours in 100, strong wind "
                    f"{rose['strong_words']}{few}",
                    f"of 100 hours from {shares}",
                ],
            )
        )
    return joined([*blocks, aside("Reports", [told["few_reports_words"]]), aside("Mind", [told["caution_words"]])])


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    points, track = _points(outcome), outcome.ground.track
    rows = -(-len(points) // ACROSS)
    size = min((room.high_pt - FURNITURE_PT) / rows - CAPTION_PT, 0.8 * room.wide_pt / ACROSS)
    rings = rings_for([point.rose for point in points])
    return {
        f"rose-{letter}": draw_rose(point.rose, float(track.course_deg[point.node]), rings, size)
        for letter, point in zip(LETTERS, points, strict=False)
    }


KEYS = {
    "roses": "winds at points along the track, each on the day the middle crossing is there",
    "rose": "its letter",
    "there_date": "the date on which the middle crossing is there, UTC",
    "mean_wind_kn": "mean wind of all hours there, or of the hours it blows from the sector, kn",
    "calm_in_100": "hours in 100 with less than 4 kn",
    "strong_in_100": "hours in 100 with 28 kn and more; the least sure of these",
    "strong_words": "the same in words",
    "few_reports": "whether few ship reports stand behind it",
    "sectors": "wind of 4 kn and more by where it is from, eight sectors",
    "in_100": "hours in 100",
    "ring_in_100": "hours in 100 from ring to ring of the drawing",
    "few_reports_words": "which legs rest on few ship reports",
}

SHEET = Sheet("winds", table, drawings, keys=KEYS)
