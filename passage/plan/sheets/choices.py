"""Tracks to choose between, side by side: what the crossings made of each, why it is as it is, and one chart."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from passage.inputs.position import format_position
from passage.plan.chart import Place, Way, draw_choices
from passage.plan.columns import ASIDE, aside, joined
from passage.plan.printed import Table, rounded, shown
from passage.plan.sheets.track import CAUTION, waypoints_toml

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.choosing import Sailed
    from passage.plan.sheet import Drawings, Room

COLUMN = 11
FURNITURE_PT = 330.0  # all but the chart on its page


def table(choices: Sequence[Sailed]) -> Table:
    first = choices[0]
    return rounded(
        {
            "voyage": first.voyage.departure.name,
            "depart_utc": first.outcome.crossings.depart.isoformat(timespec="minutes"),
            "crossings": first.outcome.times.crossings,
            "choices": [_choice(number, one) for number, one in enumerate(choices, 1)],
            "caution_words": CAUTION,
        }
    )


def _choice(number: int, one: Sailed) -> Table:
    return {
        "number": number,
        "kinds": list(one.kinds),
        "why_words": one.why,
        "distance_nm": one.distance_nm,
        "typical_days": one.typical_days,
        "slow_end_days": one.slow_end_days,
        "hard_on_the_wind_h": one.hard_on_the_wind_h,
        "rough_h": one.rough_h,
        "calm_h": one.calm_h,
        "motoring_h": one.motoring_h,
        "water_used_l": one.water_l,
        "farthest_nm": one.farthest.distance_nm if math.isfinite(one.farthest.distance_nm) else None,
        "storms": one.storms,
        "waypoints": [
            {"name": place.name, "position": format_position(*place.position), "purpose": purpose}
            for place, purpose in zip(one.voyage.waypoints, one.purposes, strict=True)
        ],
        "voyage_toml": waypoints_toml(one.voyage),
    }


ROWS = (
    ("Distance, nm", "distance_nm"),
    ("Typical, days", "typical_days"),
    ("Slow end, days", "slow_end_days"),
    ("On the wind, h", "hard_on_the_wind_h"),
    ("28 kn and up, h", "rough_h"),
    ("Calm, h", "calm_h"),
    ("Motoring, h", "motoring_h"),
    ("Water used, L", "water_used_l"),
    ("Farthest off, nm", "farthest_nm"),
)


def text(told: Table) -> str:
    t = shown(told)
    head = f"{'':<{ASIDE}}" + "".join(f"{each['number']:>{COLUMN}}" for each in t["choices"])
    rows = [
        f"{title:<{ASIDE}}" + "".join(f"{_cell(each, key):>{COLUMN}}" for each in t["choices"]) for title, key in ROWS
    ]
    blocks = [
        [t["voyage"], f"sails {t['depart_utc']}; {t['crossings']} crossings, the same luck on all"],
        [head, *rows],
        *(aside(f"Track {each['number']}", [each["why_words"], *_waypoints(each)]) for each in t["choices"]),
        aside("Mind", [t["caution_words"]]),
    ]
    chart = f"\n\n{'Chart':<{ASIDE}}{t['chart']}" if "chart" in t else ""
    return joined(blocks) + chart


def _cell(each: Table, key: str) -> str:
    return "over 600" if key == "farthest_nm" and told_of_none(each[key]) else str(each[key])


def told_of_none(value: object) -> bool:
    return value is None or not any(character.isdigit() for character in str(value))


def _waypoints(each: Table) -> list[str]:
    return [f"{place['position']}: {place['purpose']}" for place in each["waypoints"] if place["purpose"]]


def drawings(choices: Sequence[Sailed], room: Room) -> Drawings:
    ways = [
        Way(
            one.outcome.ground.track,
            [Place(place.name, *place.position) for place in (one.voyage.waypoints[0], one.voyage.waypoints[-1])],
            (),
        )
        for one in choices
    ]
    return {"choices": draw_choices(ways, room.wide_pt, room.high_pt - FURNITURE_PT)}


KEYS = {
    "caution_words": "what to mind",
    "hard_on_the_wind_h": "mean hours in a crossing on a course within 60 degrees of the wind, calms left out",
    "choices": "tracks to choose between, the quickest first, all sailed by the same crossings",
    "number": "its number on the chart",
    "kinds": "all that the track is: quickest, kindest, fewest calms, shortest, whatever the season, another way",
    "why_words": "why the track is as it is, beside the first",
    "water_used_l": "litres of water used to landfall by the slow end",
    "farthest_nm": "miles from any land where the track is farthest from help; null over 600",
    "storms": "storms from records; null while none are aboard",
    "purpose": "what the waypoint is for; empty for the skipper's own",
}
