"""The cards for the worst night: abandoning ship, the distress call, man overboard, flooding, fire, the medical call.

Each is the list of the same name, whose lines carry their source; the call is filled with the boat's own particulars.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.lists.cards import CAUTIONS, card
from passage.consequences.lists.distress import SOURCE, distress_script
from passage.consequences.readiness.seacocks import seacock_rows
from passage.plan.hull import NIGHT_LETTERS, plan_view
from passage.plan.printed import Table, rounded
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.plan.sheets.cautions import DEFERS, STANDINGS

if TYPE_CHECKING:
    from passage.road import Outcome

NIGHT = ("abandon ship", "man overboard", "flooding", "fire", "medical call")
PACKING = ("grab bag", "raft pack")


def table(outcome: Outcome) -> Table:
    """Cards in the order of print, the call, and where every hole in the hull is."""
    gear = outcome.facts.gear
    script = distress_script(outcome.facts.boat.hull.name, gear.identity, len(outcome.facts.crew.people))
    return rounded(
        {
            "night_cards": [_card(title) for title in NIGHT],
            "packing_cards": [_card(title) for title in PACKING],
            "distress_call": [
                {"call_words": line.text, "spoken": line.said, "missing": line.missing} for line in script
            ],
            "call_source": SOURCE,
            "radio": (radio := _card("radio"))["lines"],
            "radio_sources": radio["line_sources"],
            "whom_ashore": [
                {"who": "rescue authority", "reached_at": gear.float_plan.rescue_authority},
                {"who": "its telephone", "reached_at": gear.float_plan.rescue_telephone},
                {"who": "our satellite telephone", "reached_at": gear.identity.satellite_number},
                *({"who": contact.name, "reached_at": contact.telephone} for contact in gear.contacts[:2]),
            ],
            "hull_holes": [row.to_json() | {"plugged": row.plug} for row in seacock_rows(gear)],
            "card_cautions": [*CAUTIONS, DEFERS],
            "standings": STANDINGS,
        }
    )


def _card(title: str) -> Table:
    lines = card(title).lines
    return {
        "card_title": title,
        "lines": [{"line": line.text, "standing": line.standing} for line in lines],
        "line_sources": list(dict.fromkeys(f"{line.source} ({line.standing})" for line in lines)),
    }


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    holes, hull = seacock_rows(outcome.facts.gear), outcome.facts.boat.hull
    return (
        {"hull_holes": plan_view(hull.length_overall_m, hull.beam_m, holes, room.wide_pt, NIGHT_LETTERS)}
        if holes
        else {}
    )


KEYS = {
    "night_cards": "lists for the worst night, in the order in which things are done",
    "packing_cards": "what the grab bag and the raft hold",
    "card_title": "name of the list",
    "lines": "its lines",
    "line": "one line",
    "standing": "standing of the source: R read, R2 second hand, M from memory, D worked out, P practice",
    "line_sources": "where its lines are from, with their standing",
    "distress_call": "the distress call, line by line",
    "call_words": "what is said or done",
    "spoken": "whether it is spoken",
    "missing": "what the voyage's files do not tell, to be said or written in",
    "call_source": "where the order of the call is from",
    "radio": "distress frequencies; beacons too on the sheet of services",
    "radio_sources": "where the frequencies are from, with their standing",
    "whom_ashore": "whom to reach; empty where it is to be written in",
    "who": "who it is",
    "reached_at": "name or number",
    "hull_holes": "holes in the hull, from the bow aft",
    "plugged": "whether a softwood plug is tied on",
    "card_cautions": "what a card is not, and whom it defers to",
    "standings": "what the letters of standing mean",
}

SHEET = Sheet("emergency", table, drawings, keys=KEYS)
