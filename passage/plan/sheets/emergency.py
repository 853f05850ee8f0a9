"""The cards for the worst night: abandoning ship, the distress call, man overboard, flooding, fire, the medical call.

Each is the list of the same name, whose lines carry their source; the call is filled with the boat's own particulars.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from passage.consequences.lists.cards import CAUTIONS, Checklist, card
from passage.consequences.lists.distress import SOURCE, ScriptLine, distress_script, urgency_script, vhf_only
from passage.consequences.readiness.seacocks import SeacockRow, seacock_rows
from passage.plan.hull import NIGHT_LETTERS, plan_view
from passage.plan.sheet import Drawings, Room, Sheet, Tables
from passage.plan.sheets.cautions import DEFERS, STANDINGS
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.inputs.gear import Identity
    from passage.road import Outcome

NIGHT = ("abandon ship", "man overboard", "flooding", "fire", "medical call")
PACKING = ("grab bag", "raft pack")
HULL_SHARE = 0.66  # of the page's breadth; set as large as it is drawn, so that its letters stay as large


class Whom(Record):
    """Whom to reach."""

    who: str = told("who it is")
    reached_at: str = told("name or number; empty where it is to be written in")


class Emergency(Record):
    """Cards in the order of print, the call, and where every hole in the hull is."""

    night_cards: tuple[Checklist, ...] = told("lists for the worst night, in the order in which things are done")
    packing_cards: tuple[Checklist, ...] = told("what the grab bag and the raft hold")
    distress_call: tuple[ScriptLine, ...] = told("the distress call, line by line")
    urgency_call: tuple[ScriptLine, ...] = told("the urgency call, line by line")
    call_source: str = told("where the order of the call is from")
    radio: Checklist = told("distress frequencies")
    whom_ashore: tuple[Whom, ...] = told("whom to reach")
    hull_holes: tuple[SeacockRow, ...] = told("holes in the hull, from the bow aft")
    cautions: tuple[str, ...] = told("what a card is not, and whom it defers to", default=(*CAUTIONS, DEFERS))
    standings: str = told("what the letters of standing mean", default=STANDINGS)


def table(outcome: Outcome) -> Emergency:
    facts = outcome.facts
    gear, rules = facts.gear, facts.gear.float_plan
    name = facts.boat.hull.name if facts.boat.hull.named else ""
    return Emergency(
        night_cards=tuple(map(card, NIGHT)),
        packing_cards=tuple(map(card, PACKING)),
        distress_call=distress_script(name, gear.identity, len(facts.crew.people)),
        urgency_call=urgency_script(name, gear.identity, len(facts.crew.people)),
        call_source=SOURCE,
        radio=_radio(gear.identity),
        whom_ashore=(
            Whom("rescue authority", rules.rescue_authority),
            Whom("its telephone", rules.rescue_telephone),
            Whom("our satellite telephone", gear.identity.satellite_number),
            *(Whom(contact.name, contact.telephone) for contact in gear.contacts[:2]),
        ),
        hull_holes=seacock_rows(gear),
    )


def _radio(identity: Identity) -> Checklist:
    """The frequencies of the bands that her radios have; all where nothing is told of them."""
    all_bands = card("radio")
    if not vhf_only(identity):
        return all_bands
    return replace(all_bands, lines=tuple(line for line in all_bands.lines if not line.text.startswith(("MF", "HF"))))


def drawings(outcome: Outcome, tables: Tables, room: Room) -> Drawings:
    holes, hull = tables["emergency"].hull_holes, outcome.facts.boat.hull
    if not holes:
        return {}
    return {
        "hull_holes": plan_view(hull.length_overall_m, hull.beam_m, holes, HULL_SHARE * room.wide_pt, NIGHT_LETTERS)
    }


SHEET = Sheet("emergency", table, drawings, record=Emergency)
