"""The distress call, filled with the boat's own particulars, to be read aloud as it stands.

The order is that of the ITU Radio Regulations, article 32: signal three times, identity three times, then name,
position, nature, help wanted, other (the 1947 text, R; today's wording, M), in the IMO's standard phrases (M).
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from passage.tell.records import Record, told

if TYPE_CHECKING:
    from passage.inputs.gear import Identity

BLANK = "________"
SOURCE = "ITU Radio Regulations, article 32; IMO standard marine communication phrases"

# The spelling alphabet of the ITU Radio Regulations, appendix 14 (M).
_WORDS = """
Alfa Bravo Charlie Delta Echo Foxtrot Golf Hotel India Juliett Kilo Lima Mike November Oscar Papa Quebec Romeo Sierra
Tango Uniform Victor Whiskey X-ray Yankee Zulu
"""
SPELLING = {word[0]: word for word in _WORDS.split()}


class ScriptLine(Record):
    """One line to say or do."""

    text: str = told("what is said or done")
    said: bool = told("whether it is spoken")
    standing: str = told("standing of its source")
    missing: str = told("what the voyage's files do not tell, to be said or written in", default="")


def distress_script(boat_name: str, identity: Identity, persons: int) -> tuple[ScriptLine, ...]:
    """The alert and the call for this boat; position, time and what is wrong are blanks to be said on the
    day, and so is her name where it is ''.
    """
    name = boat_name.upper() or BLANK
    call_sign = spelled(identity.call_sign) or BLANK
    mmsi = digits(identity.mmsi) or BLANK
    lacking = ", ".join(
        what for what, given in (("call sign", identity.call_sign), ("MMSI", identity.mmsi)) if not given
    )
    look = ", ".join(part for part in (identity.hull_colour, identity.sail_mark, identity.features) if part)
    return (
        ScriptLine(
            "DSC first: lift the cover, choose the nature of distress if time allows, hold DISTRESS.", False, "M"
        ),
        ScriptLine(f"Then {_voice(identity)}; high power. EPIRB on.", False, "M"),
        ScriptLine("MAYDAY, MAYDAY, MAYDAY", True, "R"),
        ScriptLine(f"THIS IS {_thrice(boat_name)}", True, "R", "" if boat_name else "her name"),
        ScriptLine(f"CALL SIGN {call_sign}, MMSI {mmsi}", True, "M", lacking),
        ScriptLine(f"MAYDAY {name}, CALL SIGN {call_sign}, MMSI {mmsi}", True, "M", lacking),
        ScriptLine(f"MY POSITION IS {BLANK} NORTH/SOUTH, {BLANK} EAST/WEST, AT {BLANK} UTC", True, "R"),
        ScriptLine("I AM SINKING / ON FIRE / HOLED / DISMASTED / ABANDONING / I HAVE A MEDICAL EMERGENCY", True, "M"),
        ScriptLine("I REQUIRE IMMEDIATE ASSISTANCE", True, "M"),
        ScriptLine(f"{persons} PERSONS ON BOARD", True, "M"),
        ScriptLine(_about_her(identity, look), True, "M", "" if look else "colour and marks"),
        ScriptLine("OVER", True, "M"),
        ScriptLine(f"Listen. No answer: say it again, {_otherwise(identity)}.", False, "P"),
        ScriptLine("A mistaken alert: do not just switch off, cancel it by voice on the same channel.", False, "M"),
    )


def urgency_script(boat_name: str, identity: Identity, persons: int) -> tuple[ScriptLine, ...]:
    """The call where help is wanted and nobody is in grave and imminent danger: article 33 of the Radio Regulations
    (from memory).
    """
    call_sign, mmsi = spelled(identity.call_sign) or BLANK, digits(identity.mmsi) or BLANK
    return (
        ScriptLine("PAN PAN, PAN PAN, PAN PAN", True, "M"),
        ScriptLine("ALL STATIONS, ALL STATIONS, ALL STATIONS", True, "M"),
        ScriptLine(f"THIS IS {_thrice(boat_name)}, CALL SIGN {call_sign}, MMSI {mmsi}", True, "M"),
        ScriptLine(f"MY POSITION IS {BLANK} AT {BLANK} UTC", True, "R"),
        ScriptLine("I HAVE LOST MY RUDDER / MAST / ENGINE / I HAVE A SICK PERSON / I AM TAKING WATER", True, "M"),
        ScriptLine(f"I REQUIRE {BLANK}. {persons} PERSONS ON BOARD. OVER", True, "M"),
    )


def _thrice(boat_name: str) -> str:
    return ", ".join([boat_name.upper()] * 3) if boat_name else f"{BLANK}, three times"


def vhf_only(identity: Identity) -> bool:
    """Whether the radios are told, and none of them is for medium or short wave."""
    return bool(identity.radios) and not re.search(r"\b(MF|HF|SSB|short wave|medium wave)\b", identity.radios, re.I)


def _voice(identity: Identity) -> str:
    return "channel 16" if vhf_only(identity) else "channel 16, or 2182 kHz, or the HF voice frequency of the alert"


def _otherwise(identity: Identity) -> str:
    if vhf_only(identity):
        return "the handheld too, and by satellite telephone" if identity.satellite_number else "on the handheld too"
    return "then on every band you have, and by satellite telephone"


def spelled(letters_and_figures: str) -> str:
    """A call sign in the spelling alphabet, figures as they are: ``ZR12`` -> ``Zulu Romeo 1 2``."""
    return " ".join(SPELLING.get(sign, sign) for sign in letters_and_figures.upper() if not sign.isspace())


def digits(number: str) -> str:
    """A number to be read figure by figure."""
    return " ".join(number)


def _about_her(identity: Identity, look: str) -> str:
    raft = identity.liferaft or f"LIFERAFT {BLANK}"
    epirb = f"EPIRB {identity.epirb_id}" if identity.epirb_id else f"EPIRB {BLANK}"
    return f"SAILING YACHT, {look or BLANK}; {epirb}; {raft}; WIND AND SEA {BLANK}".upper()
