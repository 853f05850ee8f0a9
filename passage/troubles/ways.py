"""The ways out of a passage, from every few days of it: on, back, to the refuges; what they take and what lasts."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple

from passage.positions import format_position
from passage.tell.records import Record, down, reckoned, told
from passage.troubles.nearest import DayOut, Nearest
from passage.troubles.turning import Turning

if TYPE_CHECKING:
    from passage.troubles.resail import Strike
    from passage.troubles.turning import Times


class Lasts(StrEnum):
    """What of water reaches the slow end of a way."""

    FULL_USE = "full use"
    RATION = "ration"
    NEITHER = "neither"


class Way(Record):
    """One way from one day. typical_h, slow_end_h: inf where too few get there; given_up_h: when who is not there is
    given up.
    """

    distance_nm: float = told("miles by this way")
    typical_h: float
    slow_end_h: float
    given_up_h: float
    water: Lasts = told("what of water reaches its slow end: full use, the survival ration, or neither")
    short_of: tuple[str, ...] = told("food and medicines that at full use do not reach its slow end")
    quickest: bool = told("whether no way that the water reaches is quicker at the slow end", default=False)

    @reckoned("typical days by this way; none where too few get there")
    def typical_days(self) -> float:
        return self.typical_h / 24.0

    @reckoned("days of its slow end; none where too few get there")
    def slow_end_days(self) -> float:
        return self.slow_end_h / 24.0

    @reckoned("days after which a crossing not yet there is given up: at a knot made good, but not before 45")
    def given_up_days(self) -> float:
        return self.given_up_h / 24.0


class WaysOfDay(Record):
    """The ways from the end of one day out, in the order of ``Refuges.ways``. lat_deg, lon_deg: north and east
    positive.
    """

    hour: int = told("hours from departure after which she turns or goes on")
    run_nm: float = told("miles that the middle crossing has sailed by then")
    lat_deg: float
    lon_deg: float
    water_days: float = down("days that water then lasts at full use in the crossing that 1 in 20 fares worse than")
    ration_days: float = down("the same on the survival ration")
    food_days: float = down("the same of food at full use; none where food is not counted")
    whole: tuple[Way, ...] = told("the ways with everything whole")
    jury: tuple[Way, ...] = told("the ways under jury rig, the time to set it counted")
    rudder: tuple[Way, ...] = told("the ways with the rudder lost, steered by hand, hours lain to counted")

    @reckoned("whole days out by then")
    def day(self) -> int:
        return self.hour // 24

    @reckoned("where the middle crossing then is")
    def position(self) -> str:
        return format_position(self.lat_deg, self.lon_deg)


class Refuges(Record):
    """Going on, turning back, or a refuge, each sailed from every few days out."""

    ways: tuple[str, ...] = told("on to the destination, back to the departure, the refuges: the order of every list")
    days: tuple[WaysOfDay, ...] = told("every few days out")
    whole: tuple[Turning, ...] = told(
        "from when on going on is quicker than each other way, everything whole; a way that the survival ration of "
        "water does not reach counts as none"
    )
    jury: tuple[Turning, ...] = told("the same under jury rig")
    rudder: tuple[Turning, ...] = told("the same with the rudder lost")
    nearest: tuple[Nearest, ...] = told("the soonest harbour of each day")
    crossings: int = told("crossings sailed each way")
    left_out: tuple[str, ...] = told("a sentence on each refuge that cannot be sailed to and is left out", default=())
    positions: tuple[str, ...] = told("where each way leads, in the same order", default=())

    @property
    def by_hour(self) -> bool:
        """Whether the passage is so short that its ways out are told by the hour."""
        return any(row.hour % 24 for row in self.nearest)


class WaysOut(NamedTuple):
    """All ways out, sailed. to: the refuges that can be sailed to; lengths_nm, whole, jury, rudder: by strike and way;
    every_day: where each way leads at the end of each day; crossings: how many were sailed each way; left_out: a
    sentence on each refuge that cannot.
    """

    to: tuple[str, ...]
    left_out: tuple[str, ...]
    strikes: list[Strike]
    lengths_nm: list[list[float]]
    whole: list[list[Times]]
    jury: list[list[Times]]
    rudder: list[list[Times]]
    every_day: list[DayOut]
    crossings: int


class WholeWays(NamedTuple):
    """Of ``WaysOut`` what turning back hangs on, for who prints no more: everything whole."""

    to: tuple[str, ...]
    strikes: list[Strike]
    whole: list[list[Times]]
