"""Keeping a look-out and staying aboard: the table of looks, the handover card, clip-on rules, recovery by two."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from passage.consequences.watches import lookout
from passage.consequences.watches.handover import CALL, CARD
from passage.consequences.watches.overboard import CLIP_ON, RECOVERY
from passage.plan.columns import aside, joined
from passage.plan.printed import Table, rounded, shown
from passage.plan.sheet import Sheet

if TYPE_CHECKING:
    from passage.road import Outcome


def table(outcome: Outcome) -> Table:
    """What holds for any crew, whoever keeps the watch."""
    look = outcome.facts.watch.lookout
    return rounded(
        {
            "one_keeper": len(outcome.facts.watch.keepers) == 1,
            "fast_kn": outcome.fast_kn,
            "looks": [_look(line) for line in lookout.table(look, outcome.fast_kn)],
            "look_words": (
                f"Eye {look.eye_height_m:.1f} m above the water, visibility {look.visibility_nm:g} nm, ships at "
                f"{look.ship_speed_kn:g} knots, this boat at {outcome.fast_kn:.1f}, which 1 hour in 10 exceeds; a ship "
                f"to be known {look.safe_nm:g} nm off at the least, {60.0 * look.react_h:.0f} min to get clear."
            ),
            "look_caution": lookout.CAUTION,
            "call": CALL.say,
            "handover": [{"heading": line.heading, "say": line.say} for line in CARD],
            "clip_on": list(CLIP_ON),
            "recovery": list(RECOVERY),
        }
    )


def _look(line: lookout.Approach) -> Table:
    """Minutes are rounded down, to the safe side."""
    return {
        "seen": line.what,
        "seen_off_nm": line.range_nm,
        "limited_by": line.limited_by,
        "end_on_min": _whole(line.end_on_min),
        "crossing_min": _whole(line.crossing_min),
        "astern_min": _whole(line.astern_min),
        "look_every_min": _whole(line.interval_min),
    }


def _whole(minutes: float) -> int | None:
    return math.floor(minutes + 1e-9) if math.isfinite(minutes) else None


def text(table: Table) -> str:
    """The table of looks, and its caution."""
    w = shown(table)
    head = f"{'minutes until she is here':<36}{'seen nm':>8}{'end on':>8}{'crossing':>9}{'look every':>14}"
    lines = [
        f"{row['seen']:<36}{row['seen_off_nm']:>8}{row['end_on_min']:>8}{row['crossing_min']:>9}{_every(row):>14}"
        for row in w["looks"]
    ]
    return joined([["Look-out", head, *lines], aside("", [w["look_words"], w["look_caution"]])])


def _every(row: Table) -> str:
    return "all the time" if row["look_every_min"] == "0" else f"{row['look_every_min']}"


KEYS = {
    "one_keeper": "whether one keeps all the watches",
    "fast_kn": "speed that 1 of her hours under way in 10 exceeds; for the look-out and for lost overboard",
    "looks": "what is seen how far off, and how long it then takes, in the worst case",
    "seen": "what is seen",
    "seen_off_nm": "how far off it is first seen, miles",
    "limited_by": "what limits that",
    "end_on_min": "minutes until she is here, coming end on",
    "crossing_min": "minutes, crossing at right angles",
    "astern_min": "minutes, overtaking from astern; null where nothing closes",
    "look_every_min": "the most between looks for her to be seen in time; 0: no interval is short enough",
    "look_words": "what the table of looks stands on",
    "look_caution": "why a timed look is no proper look-out",
    "call": "how to call the next",
    "handover": "what to say at the change of the watch",
    "heading": "heading of a line",
    "say": "what is said under it",
    "clip_on": "rules for clipping on",
    "recovery": "how two get one back",
}

SHEET = Sheet("looks", table, keys=KEYS)
