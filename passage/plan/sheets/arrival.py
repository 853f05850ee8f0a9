"""The arrival card: daylight at the landfall, when all are up, papers and food, the anchor, and lines to write on.

Nothing of the port is known here but what the voyage's own files say of it.
"""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from passage.consequences.noons import Noon, dark_by_day, sky_days
from passage.inputs.position import format_position
from passage.plan.printed import Table, rounded
from passage.plan.sheet import Sheet
from passage.plan.sheets.sky import clocks

if TYPE_CHECKING:
    from passage.road import Outcome

DECIDES = (
    "Official charts, sailing directions, tide tables and the rules of the country and the port decide. What stands "
    "here of the port is from your own files; what is blank, look up before you sail."
)
STANDS_OFF = "Dark when she gets there: she stands off until daylight, and so she does in these crossings."
GOES_IN = "In these crossings she goes in by night too, as boat.toml has it: stand off all the same if in doubt."
CLOSING = 2  # waypoints at the end of the track


def table(outcome: Outcome) -> Table:
    """What is known of the landfall; empty where it is to be looked up and written in."""
    facts = outcome.facts
    noons = _landfalls(outcome)
    dark_h = float(dark_by_day(tuple(noons.values())).sum(axis=1).max()) if noons else 0.0
    return rounded(
        {
            "landfall": facts.voyage.waypoints[-1].name,
            "closing": [
                {"name": point.name, "position": format_position(*point.position)}
                for point in facts.voyage.waypoints[-CLOSING:]
            ],
            "landfalls": [
                {"which": which, **clocks(row)}
                for which, row in zip(noons, sky_days(tuple(noons.values())), strict=True)
            ],
            "dark_hours": dark_h,
            "fast_kn": outcome.fast_kn,
            "all_up_nm": math.ceil(dark_h * outcome.fast_kn),
            "stand_off_words": STANDS_OFF if facts.boat.helm.stand_off else GOES_IN,
            "to_clear": _to_clear(outcome),
            "rescue_authority": facts.gear.float_plan.rescue_authority,
            "rescue_telephone": facts.gear.float_plan.rescue_telephone,
            "to_tell": [{"who": contact.name, "reached_at": contact.telephone} for contact in facts.gear.contacts[:2]],
            "arrival_caution": DECIDES,
        }
    )


def _landfalls(outcome: Outcome) -> dict[str, Noon]:
    """Ship's noon at the landfall on the days on which the typical crossing and the slow end get there."""
    named = {"typical": outcome.times.typical_h, "slow end": outcome.times.slow_end_h}
    return {which: _noon(outcome, hours) for which, hours in named.items() if math.isfinite(hours)}


def _noon(outcome: Outcome, hours: float) -> Noon:
    track, zone_h = outcome.ground.track, outcome.noons[-1].zone_h
    landfall = outcome.crossings.depart + timedelta(hours=hours)
    date = (landfall + timedelta(hours=zone_h)).date()
    noon = datetime(date.year, date.month, date.day, 12, tzinfo=landfall.tzinfo) - timedelta(hours=zone_h)
    return Noon(math.ceil(hours / 24.0), noon, float(track.lat_deg[-1]), float(track.lon_deg[-1]), zone_h)


def _to_clear(outcome: Outcome) -> list[Table]:
    """The papers of the gear file that are wanted on arrival."""
    wanted = {(paper.name, paper.holder) for paper in outcome.facts.gear.papers if paper.due == "arrival"}
    return [
        {
            "paper": row.label,
            "said": row.said,
            "act_by_date": row.act_by.isoformat() if row.act_by else None,
            "note": row.note,
        }
        for row in outcome.readiness.papers
        if (row.name, row.holder) in wanted
    ]


KEYS = {
    "paper": "name and holder",
    "act_by_date": "last day to apply for it or to send it",
    "closing": "the last waypoints",
    "landfalls": "sun and moon at the landfall on the typical and the slow end's day",
    "which": "which of the two",
    "date_words": "date by ship's time",
    "zone": "ship's time",
    "utc_times": "the same in UTC",
    "ship_date": "date by ship's time",
    "moon_lit_in_100": "lit part of the moon's disc, per cent",
    "ship_times": "rise, set and twilight by ship's time, hhmm",
    "nautical_dawn": "sun 12 degrees below, rising",
    "civil_dawn": "sun 6 degrees below, rising",
    "sunrise": "upper limb on the horizon",
    "sunset": "upper limb on the horizon",
    "civil_dusk": "sun 6 degrees below, setting",
    "nautical_dusk": "sun 12 degrees below, setting",
    "moonrise": "upper limb on the horizon",
    "moonset": "upper limb on the horizon",
    "dark_hours": "hours from civil dusk to civil dawn of the longer night",
    "all_up_nm": "miles she may run in that night, at fast_kn: from there on all are up in the dark",
    "stand_off_words": "whether she stands off for daylight in these crossings",
    "to_clear": "papers of the gear file that are wanted on arrival",
    "to_tell": "whom to tell ashore",
    "arrival_caution": "what decides",
}

SHEET = Sheet("arrival", table, keys=KEYS)
