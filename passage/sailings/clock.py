"""Ship's time: the zone of her longitude, carried on past 180 degrees so that no date is sailed twice."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

DEG_PER_ZONE = 15.0


def carried_on_deg(lon_deg: Iterable[float]) -> float:
    """Longitude of the last of these places (degrees, east positive), counted on from the first without a jump: a boat
    that sails east over 180 degrees comes to 181. From one place to the next she goes the shorter way round.
    """
    places = iter(lon_deg)
    carried = next(places)
    for lon in places:
        carried += (lon - carried + 180.0) % 360.0 - 180.0
    return carried


def ship_zone_h(carried_lon_deg: float) -> int:
    """What her clocks show less UTC, whole hours, at a longitude that is counted on from the departure."""
    return round(carried_lon_deg / DEG_PER_ZONE)
