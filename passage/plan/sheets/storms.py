"""Storms in words: how many of a hundred crossings one comes near to, and what that figure stands on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.crossings.storms import FAR_NM, NEAR_NM
from passage.tell.figures import DASH

if TYPE_CHECKING:
    from passage.crossings.storms import Storms

STANDS_ON = (
    f"Storms: crossings of 100 with a named one's 34 knots within {NEAR_NM:.0f} miles, sailed through the North "
    "Atlantic's of {first} to {last} from five days of that fortnight; a sixth of those storms is not on record, so "
    "add a fifth."
)
GUESSED = (
    "Storms where no record is at hand: the season's usual number spread over its waters and days, few or many and no "
    "more."
)


def storm_words(storms: Storms) -> str:
    """How many crossings one comes near to, and when; empty where there is none within 300 miles."""
    if storms.far_in_100 <= 0.0:
        return ""
    if not storms.counted:
        return (
            f"Roughly {storms.near_in_100} of 100 crossings come within {NEAR_NM:.0f} miles of the 34 knots of a named "
            "storm, a guess from the season's usual number."
        )
    before = f", half of those in the last {storms.before_landfall_days:u}" if storms.near_in_100 > 0.0 else ""
    return (
        f"Of 100 crossings through the storms of {storms.first_year} to {storms.last_year}, {storms.near_in_100} come "
        f"within {NEAR_NM:.0f} miles of the 34 knots of a named one{before}; {storms.far_in_100} within {FAR_NM:.0f}."
    )


def stands_on(some: list[Storms]) -> str:
    """What the figures of several departures stand on; empty where there are none."""
    told = [storms for storms in some if storms.far_in_100 > 0.0]
    counted = next((storms for storms in told if storms.counted), None)
    on_record = STANDS_ON.format(first=counted.first_year, last=counted.last_year) if counted else ""
    return " ".join(filter(None, (on_record, GUESSED if any(not storms.counted for storms in told) else "")))


def near_words(storms: Storms) -> str:
    """The figure for a table; about where it is guessed."""
    if storms.far_in_100 <= 0.0:
        return DASH
    return f"{storms.near_in_100}" if storms.counted else f"about {storms.near_in_100}"
