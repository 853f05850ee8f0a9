"""What every sheet about gear, anchoring and bad moments says of itself."""

from __future__ import annotations

DEFERS = (
    "No training and no survey: the rescue services, the makers' instructions, surveyors and riggers who have seen "
    "her, and the skipper on the spot overrule this."
)
STANDINGS = (
    "R read at the source; R2 read at second hand; M from memory; D worked out here; P common practice with no source"
)
