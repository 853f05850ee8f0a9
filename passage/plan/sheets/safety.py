"""The cards for the worst night: abandoning ship and the distress call, in our own words.

The order of abandoning follows handbook practice, read second-hand; the raft's water ration likewise. The distress call
follows the ITU Radio Regulations, Article 32, and the IMO's Standard Marine Communication Phrases, from memory; its
frequencies were read second-hand. What the grab bag holds is common practice without a source. The paper says so.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from passage.plan.printed import rounded
from passage.plan.sheet import Sheet
from passage.units import written

if TYPE_CHECKING:
    from passage.road import Outcome

ABANDON = (
    "Stay with her until she is really going.",
    "Lifejackets and warm, waterproof clothes on.",
    "Send the distress call: next page.",
    "EPIRB on. Tie it to the raft: it goes with you.",
    "Grab bag, handheld VHF, water. Cans ¾ full float.",
    "Painter fast to a strong point, then launch the raft to leeward.",
    "Board dry if you can. Count everybody.",
    "Cut the painter. Get clear of her.",
    "Stream the sea anchor. Close the canopy.",
    "Everybody takes a seasickness tablet, now.",
    "Bail, dry the floor, keep warm, keep a look-out.",
    "No water for 24 hours unless ill or hurt; then half a litre a day each. Never sea water.",
)

GRAB_BAG = (
    "EPIRB or personal beacon, handheld VHF, GNSS, satellite phone, spare batteries",
    "flares, torch, signal mirror, whistle, knife, line",
    "water, 2 to 4 litres each, and rations",
    "hat, sun cream, foil blankets, first aid, medicines, seasickness tablets, spectacles",
    "passports, ship's papers, money, this plan",
)

CAUTION = (
    "The maker's words on your raft, beacon and radio come first. These cards follow handbook practice, read at second "
    "hand; practise them ashore."
)

CHANNELS = (
    ("VHF", "channel 70", "channel 16"),
    ("MF", "2187.5", "2182"),
    ("HF", "4207.5", "4125"),
    ("HF", "6312", "6215"),
    ("HF", "8414.5", "8291"),
    ("HF", "12577", "12290"),
    ("HF", "16804.5", "16420"),
)


def table(outcome: Outcome) -> dict[str, Any]:
    """Steps, grab bag, the call and the boat's particulars; what no file says is an empty text, to be filled in."""
    hull, count = outcome.facts.boat.hull, len(outcome.facts.crew.people)
    draught = _metres(hull.draught_m) if hull.draught_m is not None else ""
    return {
        "boat": hull.name,
        "persons_count": count,
        "persons_words": "1 person on board" if count == 1 else f"{count} persons on board",
        "abandon": list(ABANDON),
        "grab_bag": list(GRAB_BAG),
        "caution": CAUTION,
        "channels": [{"band": band, "dsc_khz": dsc, "voice_khz": voice} for band, dsc, voice in CHANNELS],
        "particulars": [
            {"what": "Rig", "value": hull.rig},
            {"what": "Length overall", "value": _metres(hull.length_overall_m)},
            {"what": "Beam", "value": _metres(hull.beam_m)},
            {"what": "Draught", "value": draught},
            {"what": "Colour of hull and deck", "value": ""},
            {"what": "Raft: maker, persons", "value": ""},
            {"what": "EPIRB number", "value": ""},
            {"what": "Satellite telephone", "value": ""},
            {"what": "Rescue centre", "value": ""},
            {"what": "Person ashore", "value": ""},
        ],
    }


def _metres(length_m: float) -> str:
    return written(round(length_m, 2), "length")


SHEET = Sheet("safety", lambda outcome: rounded(table(outcome)))
