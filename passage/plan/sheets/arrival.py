"""The arrival card: daylight at the landfall, when all are up, papers and food, the anchor, and lines to write on.

Nothing of the port is known here but what the voyage's own files say of it.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from math import isfinite
from typing import TYPE_CHECKING

from passage.consequences.noons import EVENTS, Noon, SkyDay, dark_by_day, sky_days
from passage.consequences.readiness.papers import PaperRow
from passage.plan.sheet import Sheet
from passage.plan.sheets.legs import WaypointTold
from passage.plan.sheets.sky import date_line_of, ship_clock
from passage.positions import format_position
from passage.tell.figures import Side, whole, zone_words
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from passage.road import Outcome

DECIDES = (
    "Official charts, sailing directions, tide tables and the rules of the country and the port decide. What stands "
    "here of the port is from your own files; what is blank, look up before you sail."
)
STANDS_OFF = "Dark when she gets there: she stands off until daylight, and so she does in these crossings."
GOES_IN = "In these crossings she goes in by night too, as boat.toml has it: stand off all the same if in doubt."
CLOSING = 2  # waypoints at the end of the track


class Landfall(Record):
    """Sun and moon at the landfall on one day."""

    which: str = told("on the typical or the slow end's day")
    sky: SkyDay = told("sun and moon there")

    @reckoned("ship's time")
    def zone(self) -> str:
        return zone_words(self.sky.zone_h)

    @reckoned("rise, set and twilight by ship's time, hhmm, from nautical dawn to dusk, then of the moon")
    def ship_times(self) -> tuple[str, ...]:
        return tuple(ship_clock(self.sky, event) for event in EVENTS)


class ToClear(Record):
    """A paper that is wanted on arrival."""

    paper: PaperRow = told("the paper")

    @reckoned("by when to act; empty where there is nothing to do")
    def by(self) -> str:
        return f"by {self.paper.act_by}" if self.paper.act_by else ""


class ToTell(Record):
    """Whom to tell ashore."""

    who: str = told("the name")
    reached_at: str = told("the telephone number")


class Arrival(Record):
    """What is known of the landfall; empty where it is to be looked up and written in."""

    landfall: str = told("name of the last waypoint")
    closing: tuple[WaypointTold, ...] = told("the last waypoints")
    landfalls: tuple[Landfall, ...] = told("sun and moon at the landfall; none where too many never arrive")
    dark_hours: float = told("hours from civil dusk to civil dawn of the longer night")
    fast_kn: float = told("speed that 1 hour in 10 exceeds")
    stands_off: bool = told("whether she stands off for daylight in these crossings")
    date_line: str = told("which date it is there where she crosses 180 degrees; empty where she does not")
    to_clear: tuple[ToClear, ...] = told("papers of the gear file that are wanted on arrival")
    to_tell: tuple[ToTell, ...] = told("whom to tell ashore")

    @reckoned("whether it gets dark there")
    def dark(self) -> bool:
        return self.dark_hours > 0.0

    @reckoned("miles she may run in that night, at fast_kn: from there on all are up in the dark", Side.UP)
    def all_up_nm(self) -> float:
        return self.dark_hours * self.fast_kn

    @reckoned("the same in words")
    def stand_off_words(self) -> str:
        return STANDS_OFF if self.stands_off else GOES_IN

    caution: str = told("what decides", default=DECIDES)


def table(outcome: Outcome) -> Arrival:
    facts, noons = outcome.facts, _landfalls(outcome)
    papers = {(paper.name, paper.holder) for paper in facts.gear.papers if paper.due == "arrival"}
    days = sky_days(tuple(noons.values()))
    return Arrival(
        landfall=facts.voyage.waypoints[-1].name,
        closing=tuple(
            WaypointTold(point.name, format_position(*point.position)) for point in facts.voyage.waypoints[-CLOSING:]
        ),
        landfalls=tuple(Landfall(which, day) for which, day in zip(noons, days, strict=True)),
        dark_hours=float(dark_by_day(tuple(noons.values())).sum(axis=1).max()) if noons else 0.0,
        fast_kn=outcome.fast_kn,
        stands_off=facts.boat.helm.stand_off,
        date_line=date_line_of(outcome),
        to_clear=tuple(ToClear(row) for row in outcome.readiness.papers if (row.name, row.holder) in papers),
        to_tell=tuple(ToTell(contact.name, contact.telephone) for contact in facts.gear.contacts[:2]),
    )


def _landfalls(outcome: Outcome) -> dict[str, Noon]:
    """Ship's noon at the landfall on the days on which the typical crossing and the slow end get there."""
    named = {"typical": outcome.times.typical_h, "slow end": outcome.times.slow_end_h}
    return {which: _noon(outcome, hours) for which, hours in named.items() if isfinite(hours)}


def _noon(outcome: Outcome, hours: float) -> Noon:
    track, zone_h = outcome.ground.track, outcome.noons[-1].zone_h
    landfall = outcome.crossings.depart + timedelta(hours=hours)
    date = (landfall + timedelta(hours=zone_h)).date()
    noon = datetime(date.year, date.month, date.day, 12, tzinfo=landfall.tzinfo) - timedelta(hours=zone_h)
    return Noon(whole(hours / 24.0, Side.UP), noon, float(track.lat_deg[-1]), float(track.lon_deg[-1]), zone_h)


SHEET = Sheet("arrival", table, record=Arrival)
