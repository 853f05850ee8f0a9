"""How long between a first sight of a ship and her being here: minutes for the worst case, never leave to look away.

A ship is seen when she is inside every limit at once: the geographic range of what stands above the horizon, the range
of her light, the visibility, the set range of AIS. On a steady bearing the range closes at the relative speed.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import inf, nan
from typing import TYPE_CHECKING

from passage.sailings.horizon import closing_speed_kn, geographic_range_nm, minutes_to_close
from passage.tell.figures import Side
from passage.tell.records import Record, down, reckoned, told

if TYPE_CHECKING:
    from passage.inputs.watch import LookOut

CAUTION = (
    "COLREG Rule 5 asks for a proper look-out by sight, hearing and every other means, at all times. A look every so "
    "many minutes is not that: it leaves a risk, and these minutes only say how fast the worst case comes. AIS and "
    "radar don't show everything."
)
FOGS_NM = (2.0, 0.5)  # examples of what thick weather leaves, no forecast of any
IN_FOG = (
    "In fog somebody looks and listens all the time, at a safe speed, engine ready, fog signal sounding, lights on "
    "(COLREG Rules 5, 6, 19, 20 and 35, from memory)."
)
END_ON_DEG, CROSSING_DEG, ASTERN_DEG = 180.0, 90.0, 0.0


@dataclass(frozen=True)
class Sight:
    """Something to be seen: its height above water, and the range of its light by night (infinite by day)."""

    what: str
    height_m: float
    light_nm: float = inf


# Light ranges: COLREG Rule 22, the least allowed by length. Heights: common practice, no source.
BY_DAY = (
    Sight("large ship's upper works", 35.0),
    Sight("coaster's upper works", 20.0),
    Sight("fishing vessel", 10.0),
    Sight("anything no higher than the horizon", 0.0),
)
BY_NIGHT = (
    Sight("masthead light, 50 m and over", 20.0, 6.0),
    Sight("masthead light, 20 to 50 m", 12.0, 5.0),
    Sight("masthead light, 12 to 20 m", 8.0, 3.0),
    Sight("sidelight, 50 m and over", 10.0, 3.0),
    Sight("sidelight, 12 to 50 m", 5.0, 2.0),
    Sight("sailing vessel under 12 m", 3.0, 2.0),
)


class Limit(StrEnum):
    """What limits how far off something is seen."""

    HORIZON = "horizon"
    LIGHT = "light"
    VISIBILITY = "visibility"
    AIS = "AIS range"


class Approach(Record):
    """One line of the table: how far off she is first seen, what limits that, and how long she then takes.

    interval_min: the most between looks in the worst, end-on case, for her to be seen in time; 0 where none is.
    """

    what: str = told("what is seen")
    range_nm: float = told("how far off it is first seen, miles", places=1)
    limited_by: Limit = told("what limits that")
    end_on_min: float = down("minutes until she is here, coming end on")
    crossing_min: float = down("minutes, crossing at right angles")
    astern_min: float = down("minutes, overtaking from astern; none where nothing closes")
    interval_min: float

    @reckoned("whether no interval between looks is short enough")
    def all_the_time(self) -> bool:
        return self.interval_min < 1.0

    @reckoned(
        "the most minutes between looks for her to be seen in time; none where no interval is short enough", Side.DOWN
    )
    def look_every_min(self) -> float:
        return nan if self.all_the_time else self.interval_min


def longest_interval_min(range_nm: float, closing_kn: float, safe_nm: float, react_min: float) -> float:
    """The most between two looks for a ship to be seen outside safe_nm with react_min in hand; 0 where none is."""
    return max(minutes_to_close(range_nm - safe_nm, closing_kn) - react_min, 0.0)


def approach(sight: Sight, look: LookOut, own_kn: float) -> Approach:
    """When a sight is first seen by eye alone, and how long it then takes."""
    limits = {
        Limit.HORIZON: geographic_range_nm(look.eye_height_m, sight.height_m),
        Limit.LIGHT: sight.light_nm,
        Limit.VISIBILITY: look.visibility_nm,
    }
    return _line(sight.what, limits, look, own_kn)


def ais_approach(look: LookOut, own_kn: float) -> Approach:
    """The same for a ship that sends AIS, which not every vessel does.

    A transceiver shows us to her, but her to us no earlier than a receiver does.
    """
    return _line("ship sending AIS, alarm set", {Limit.AIS: look.ais_range_nm}, look, own_kn)


def _line(what: str, limits: dict[Limit, float], look: LookOut, own_kn: float) -> Approach:
    limited_by = min(limits, key=limits.__getitem__)
    range_nm = limits[limited_by]
    end_on_kn, crossing_kn, astern_kn = (
        closing_speed_kn(own_kn, look.ship_speed_kn, deg) for deg in (END_ON_DEG, CROSSING_DEG, ASTERN_DEG)
    )
    return Approach(
        what=what,
        range_nm=range_nm,
        limited_by=limited_by,
        end_on_min=minutes_to_close(range_nm, end_on_kn),
        crossing_min=minutes_to_close(range_nm, crossing_kn),
        astern_min=minutes_to_close(range_nm, astern_kn),
        interval_min=longest_interval_min(range_nm, end_on_kn, look.safe_nm, 60.0 * look.react_h),
    )


def table(look: LookOut, own_kn: float) -> tuple[Approach, ...]:
    """Every line, by day, by night, by AIS where there is one, and in fog."""
    by_eye = tuple(approach(sight, look, own_kn) for sight in (*BY_DAY, *BY_NIGHT))
    by_ais = () if look.ais == "none" else (ais_approach(look, own_kn),)
    in_fog = (
        _line(f"any ship, in visibility of {miles:g} miles", {Limit.VISIBILITY: miles}, look, own_kn)
        for miles in FOGS_NM
        if miles < look.visibility_nm
    )
    return *by_eye, *by_ais, *in_fog


def visibility_words(look: LookOut) -> str:
    """What is not known of how far one sees, and what then."""
    whose = "the watch file's own" if "visibility_nm" in look.model_fields_set else "a default"
    return (
        f"No data here hold fog: {look.visibility_nm:g} nm is {whose} and is not what one sees in these waters in this "
        f"month. Pilot book and forecast know where fog lies. {IN_FOG}"
    )


def worst_interval_min(look: LookOut, own_kn: float) -> float:
    """The most between looks by eye that the worst line of the night allows.

    AIS never lengthens it: small craft may send none.
    """
    return min(approach(sight, look, own_kn).interval_min for sight in BY_NIGHT)


def ship_interval_min(look: LookOut, own_kn: float) -> float:
    """The most between looks for ships of 50 m and over, the fast ones: by masthead light or, if farther, by AIS."""
    seen = approach(BY_NIGHT[0], look, own_kn).interval_min
    return seen if look.ais == "none" else max(seen, ais_approach(look, own_kn).interval_min)
