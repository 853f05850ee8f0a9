"""Laying the ground: facts and the files that they name, along the track."""

from __future__ import annotations

from bisect import bisect_right
from contextlib import contextmanager
from itertools import pairwise
from typing import TYPE_CHECKING

from passage.crossings.at_sea import sailing_polar
from passage.crossings.forecast import serves
from passage.crossings.ground import Ground
from passage.crossings.helm import rig_out
from passage.errors import InputFaults
from passage.inputs.climate import climate_at
from passage.inputs.current import TrackCurrent, current_at, set_and_drift
from passage.inputs.forecast import TrackForecast, read_forecast, refuse_out_of_time, refuse_small_box
from passage.positions import format_position
from passage.sailings.land import land_hits
from passage.sailings.track import Leg, Track, lay_track, leg_summaries, through_waypoints

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from passage.inputs.folder import Facts
    from passage.inputs.toml import KeyPath
    from passage.inputs.voyage import Voyage
    from passage.sailings.land import LandHit


def lay_ground(facts: Facts, *departs: datetime, in_part: bool = False) -> Ground:
    """The ground for one departure or several (UTC), the voyage's own if left out.

    Raises InputFaults for waypoints and legs on land, for a forecast that does not serve the one departure (of several
    it may serve some or none) or, unless ``in_part``, leaves out a part of the track on which it has weight, and
    whatever the track or the climate refuses.
    """
    track = lay_track(legs_of(facts.voyage))
    _refuse_land(facts, track)
    return ground_under(facts, track, *departs, in_part=in_part)


def ground_under(facts: Facts, track: Track, *departs: datetime, in_part: bool = False) -> Ground:
    """The ground of a track already laid, land or no land on it. Raises as ``lay_ground`` but for land."""
    polar = sailing_polar(facts.boat, facts.polar)
    vessel = rig_out(facts.boat, polar)
    with _told_where_named(facts, ("voyage", "climate")):
        climate = climate_at(facts.voyage.departure.climate, track.lat_deg, track.lon_deg)
    with _told_where_named(facts, ("voyage", "current")):
        current = _current(facts.voyage, track)
    with _told_where_named(facts, ("forecast", "file")):
        forecast = _forecast(facts.voyage, track)
    if forecast is not None:
        for depart in _to_be_served(forecast, departs or (facts.voyage.departure.depart,)):
            refuse_out_of_time(forecast, depart)
            if not in_part:
                refuse_small_box(forecast, depart, track.lat_deg, track.lon_deg, track.distance_nm, vessel.fastest_kn)
    return Ground(legs_of(facts.voyage), track, climate, polar, vessel, current, forecast)


@contextmanager
def _told_where_named(facts: Facts, key: KeyPath) -> Iterator[None]:
    """What is wrong in a file that the voyage file names is told with the line that names it."""
    try:
        yield
    except InputFaults as refusal:
        if key not in facts.voyage_file.lines:
            raise
        named = facts.voyage_file.fault(key, "the file named here is refused", "mend it, or name another")
        raise InputFaults([*refusal.faults, named]) from None


def legs_of(voyage: Voyage) -> tuple[Leg, ...]:
    return tuple(
        Leg(*start.position, *end.position, end.sailing, end.limit_latitude_deg, end.stop_h)
        for start, end in pairwise(voyage.waypoints)
    )


def _refuse_land(facts: Facts, track: Track) -> None:
    """Told of the waypoint that a leg leads to."""
    faults = []
    for waypoint, hit in land_by_waypoint(facts.voyage, track).items():
        place = f"{hit.across_nm:.1f} nm of land lie across the leg to it, from {format_position(*hit[:2])} on"
        wanted = "lead the track clear with another waypoint; the chart decides, the coast drawn here may be miles out"
        faults.append(facts.voyage_file.fault(("waypoint", waypoint, "position"), place, wanted))
    if faults:
        raise InputFaults(faults)


def land_by_waypoint(voyage: Voyage, track: Track) -> dict[int, LandHit]:
    """The first land on the leg to each waypoint, by the waypoint's index; land within three miles of the voyage's two
    ends is a harbour's.
    """
    starts_nm = [summary.starts_at_nm for summary in leg_summaries(legs_of(voyage))]
    return {bisect_right(starts_nm, hit.distance_nm): hit for hit in reversed(land_hits(*through_waypoints(track)[1:]))}


def _current(voyage: Voyage, track: Track) -> TrackCurrent | None:
    """Of the legs where any tells one, else as the voyage file says."""
    drifts = [(place.set_deg or 0.0, place.drift_kn or 0.0) for place in voyage.waypoints[1:]]
    if voyage.set_by_leg:
        return set_and_drift(drifts, track.leg)
    return current_at(voyage.current_away, track.lat_deg, track.lon_deg)


def _forecast(voyage: Voyage, track: Track) -> TrackForecast | None:
    rules = voyage.forecast
    if rules.file is None:
        return None
    return read_forecast(rules.file, track.lat_deg, track.lon_deg, rules.half_weight_after_h, rules.no_weight_after_h)


def _to_be_served(forecast: TrackForecast, departs: Sequence[datetime]) -> Sequence[datetime]:
    """The one departure, or of several those that the forecast does serve."""
    return departs if len(departs) == 1 else [depart for depart in departs if serves(forecast, depart)]
