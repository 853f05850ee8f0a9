"""What every sheet about gear, anchoring and bad moments says of itself, and every sheet about tracks; and what is
said where no file speaks.
"""

from __future__ import annotations

DEFERS = (
    "No training and no survey: the rescue services, the makers' instructions, surveyors and riggers who have seen "
    "her, and the skipper on the spot overrule this."
)
STANDINGS = (
    "R read at the source; R2 read at second hand; M from memory; D worked out here; P common practice with no source"
)
TRACK_CAUTION = (
    "A coast of these data may be three miles out at a remote island and shows hardly any reef: lay the track on the "
    "official chart before you sail it. Quickest in the climate is not kindest, nor safe in the weather you get."
)
NO_BATTERY = "No electrics.toml is in the folder: nothing is said of the battery."
NO_FOOD = "No file says how much food is aboard: nothing is said of it."
