"""Page one: what a tired reader wants in ten seconds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.stores.loading import Verdict
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
from passage.plan.sheets.basis import current_words, forecast_counts
from passage.plan.sheets.power import battery_words, verdict_words
from passage.plan.sheets.ready import class_words
from passage.plan.sheets.sky import cyclone_seasons
from passage.plan.sheets.stores import first_out_words, not_counted_words, remedy_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.consequences.power.power import BatteryAnswer
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
            "crossings": outcome.times.crossings,
            "time": time_answer(outcome),
            "water": water_answer(outcome),
            "others": other_stores_answer(outcome),
            "ready": {
                "verdict_words": outcome.readiness.verdict.words,
                "class_words": class_words(outcome.readiness),
            },
            "tanks_lost": tanks_lost_answer(outcome),
            "cyclone_seasons": (seasons := cyclone_seasons(outcome)),
            "cyclone_words": _cyclone_words(seasons),
            "left_out": _left_out(outcome),
            **({"battery": _battery(outcome.power.answer)} if outcome.power else {}),
        }
    )


def _battery(answer: BatteryAnswer) -> Table:
    return {"battery_verdict": verdict_words(answer), "battery_words": battery_words(answer)}


def other_stores_answer(outcome: Outcome) -> Table:
    """What page one says of all stores but water: whether they last, which are short, the rest, the remedy."""
    answer = outcome.stores.answer
    first = answer.first_out
    once = ", once the shopping list is bought" if answer.to_buy and answer.others_verdict is Verdict.YES else ""
    return {
        "last_words": f"{answer.others_verdict.words}{once}.",
        "first_out_words": "" if first and first.name == "water" else first_out_words(answer),
        "lacking_words": f"Too little by the loading rules: {_listed(answer.lacking)}." if answer.lacking else "",
        "lasting_words": f"These last: {_listed(answer.lasting)}." if answer.lasting else "",
        "remedy_words": remedy_words(answer.remedy),
        "not_counted_words": not_counted_words(answer),
    }


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
        current_words(outcome),
        f"{_winds(outcome)} Wind of force 8, "
        f"34 knots, was seen in {outcome.times.gale_seen} of them, which says nothing sure about gales.",
    ]


def _winds(outcome: Outcome) -> str:
    if forecast_counts(outcome):
        return "A forecast counts in their first days; How long tells its age and weight. Beyond it are averages only."
    aboard = "The forecast aboard does NOT serve this departure. " if outcome.ground.forecast else ""
    return f"{aboard}Their winds are made from monthly averages: this is no forecast."


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def text(table: Table) -> str:
    """Page one of the plan, as ``table`` gives it; the path of the paper too where the table has one."""
    f = shown(table)
    blocks = [
        [f["voyage"], f"from {f['from']} to {f['to']}, {f['distance_nm']} miles", f"sails {f['depart_utc']}"],
        list(time_lines(f["time"], f["crossings"])),
        list(load_lines(f["water"], f["crossings"])),
        aside("Other stores?", [words for words in f["others"].values() if words]),
        aside("One tank lost", [lost_line(tank) for tank in f["tanks_lost"]]),
        aside("Battery", [f"{f['battery']['battery_verdict']} {f['battery']['battery_words']}"])
        if "battery" in f
        else [],
        aside("Is she ready?", [f"{f['ready']['verdict_words']} {f['ready']['class_words']}"]),
        aside("Cyclones", [f["cyclone_words"]]),
        aside("Left out", f["left_out"]),
        aside("Distance", [f["control"]]) if f["control"] else [],
        aside(
            "Overruled by",
            ["official forecasts and charts, the collision regulations, the rescue services, the skipper."],
        ),
    ]
    return joined(blocks) + (f"\n{printed_text(f)}" if "plan" in f else "")


def printed_text(table: Table) -> str:
    """Where the paper is; never wrapped, for it is to be copied."""
    return f"{'Printed plan':<{ASIDE}}{table['plan']}\n"


KEYS = {
    "not_counted_words": "stores of which no file says how much is aboard, in words",
    "first_out_words": "what runs out first, in words; empty where it is water or nothing",
    "remedy_words": "the lightest pieces to add, and what they bring",
    "verdict_words": "the verdict as it is printed",
    "class_words": "how the worst of each class of failure stands",
    "others": "what is said of all stores but water",
    "last_words": "whether they last, in a few words",
    "ready": "whether boat and papers are ready; see verdict_words",
    "lacking_words": "stores that run short or of which too little is aboard",
    "lasting_words": "stores that last",
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
    "battery": "whether the battery holds; not there without electrics",
    "battery_verdict": "whether the battery stays above its floor, in words",
    "battery_words": "the same with its numbers",
    "basin": "sea area of that season",
    "season": "its first and last day, in words",
    "first_day": "first day out within it",
    "last_day": "last day out within it",
    "authority": "who proclaims it",
    "left_out": "what these crossings leave out, in sentences",
    "plan": "path of the printed plan",
}

SHEET = Sheet("front", table, keys=ANSWER_KEYS | KEYS)
