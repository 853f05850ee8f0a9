"""Page one: what a tired reader wants in ten seconds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.inputs.voyage import control_sentence
from passage.plan.columns import ASIDE, aside, joined
from passage.plan.printed import Table, rounded, shown
from passage.plan.sheet import Sheet
from passage.plan.sheets.answers import KEYS as ANSWER_KEYS
from passage.plan.sheets.answers import (
    load_lines,
    lost_line,
    tanks_lost_answer,
    time_answer,
    time_lines,
    water_answer,
)
from passage.plan.sheets.sky import cyclone_seasons

if TYPE_CHECKING:
    from passage.road import Outcome


def table(outcome: Outcome) -> Table:
    """What a tired reader wants in ten seconds: how long, does the water last, what to load, what is left out."""
    facts = outcome.facts
    start, end = facts.voyage.waypoints[0], facts.voyage.waypoints[-1]
    return rounded(
        {
            "voyage": facts.voyage.departure.name,
            "from": start.name,
            "to": end.name,
            "depart_utc": outcome.crossings.depart.isoformat(timespec="minutes"),
            "boat": facts.boat.hull.name,
            "crew": _listed([person.role for person in facts.crew.people]),
            "crew_count": len(facts.crew.people),
            "distance_nm": outcome.ground.track.length_nm,
            "control": control_sentence(facts.voyage.departure.expected_distance_nm, outcome.ground.track.length_nm),
            "crossings": outcome.times.members,
            "time": time_answer(outcome),
            "water": water_answer(outcome),
            "tanks_lost": tanks_lost_answer(outcome),
            "cyclone_seasons": (seasons := cyclone_seasons(outcome)),
            "cyclone_words": _cyclone_words(seasons),
            "left_out": _left_out(outcome),
        }
    )


def _cyclone_words(seasons: list[Table]) -> str:
    if not seasons:
        return "No official cyclone season touches this track on these days, which is no promise."
    told = [
        f"the cyclone season of the {season['basin']} ({season['season']}) on days {season['first_day']} to "
        f"{season['last_day']}"
        for season in seasons
    ]
    return (
        f"This passage is at sea in {_listed(told)}. Study where storms went in those weeks before you keep this date."
    )


def _left_out(outcome: Outcome) -> list[str]:
    return [
        "Nothing breaks in these crossings, and nobody falls ill. Most late boats are late for such reasons.",
        "No cyclone and no other storm of the tropics is in them.",
        "No current is in them: none was given.",
        "Their winds are made from monthly averages: this is no forecast. Wind of force 8, "
        f"34 knots, was seen in {outcome.times.gale_seen} of them, which says nothing sure about gales.",
    ]


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def text(table: Table) -> str:
    """Page one of the plan, as ``table`` gives it; the path of the paper too where the table has one."""
    f = shown(table)
    blocks = [
        [f["voyage"], f"from {f['from']} to {f['to']}, {f['distance_nm']} miles", f"sails {f['depart_utc']}"],
        list(time_lines(f["time"], f["crossings"])),
        list(load_lines(f["water"], f["crossings"])),
        aside("One tank lost", [lost_line(tank) for tank in f["tanks_lost"]]),
        aside("Cyclones", [f["cyclone_words"]]),
        aside("Left out", f["left_out"]),
        aside("Distance", [f["control"]]) if f["control"] else [],
        aside(
            "Overruled by",
            ["official forecasts and charts, the collision regulations, the rescue services, the skipper."],
        ),
    ]
    path = f"\n{'Printed plan':<{ASIDE}}{f['plan']}\n" if "plan" in f else ""  # never wrapped: it is to be copied
    return joined(blocks) + path


KEYS = {
    "voyage": "name of the voyage",
    "from": "where a voyage or leg begins",
    "to": "where it ends",
    "depart_utc": "departure, ISO 8601, UTC",
    "boat": "her name",
    "crew": "who sails, by role",
    "crew_count": "how many are aboard",
    "distance_nm": "length of the track or leg, nautical miles",
    "control": "how the track compares with the distance the skipper expects",
    "time": "how long: see typical, slow_end and quick",
    "water": "whether the water lasts",
    "cyclone_seasons": "official cyclone seasons she is at sea in",
    "cyclone_words": "the same in a sentence",
    "basin": "sea area of that season",
    "season": "its first and last day, in words",
    "first_day": "first day out within it",
    "last_day": "last day out within it",
    "authority": "who proclaims it",
    "left_out": "what these crossings leave out, in sentences",
    "plan": "path of the printed plan",
}

SHEET = Sheet("front", table, keys=ANSWER_KEYS | KEYS)
