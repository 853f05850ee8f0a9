"""How near land each leg of a track runs, one that crosses it included; nothing is sailed.

Every distance from land here is on data that may be three miles out at a remote island and shows hardly any reef:
the chart decides.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.ground import legs_of
from passage.sailings.land import HARBOUR_NM, NEAR_LAND_NM, Clearance, clearance, dangers_near, land_hits
from passage.sailings.track import at_distance, lay_track, legs_nm

AT_END_NM = 0.01  # of a voyage: it begins or ends there

if TYPE_CHECKING:
    from passage.inputs.search import TrackLimits
    from passage.inputs.voyage import Voyage
    from passage.sailings.land import DangerNear, LandHit
    from passage.sailings.track import Leg, Track


@dataclass(frozen=True)
class LegJudged:
    """One leg beside the land. nearest_land: beyond the first and last 3 nm of the voyage, or of the whole leg where it
    lies within them; None where none is within 60 nm.

    land: stretches over land, the voyage's two ends included. dangers: listed ones within 60 nm, in the order met.
    Miles along are from where the leg begins. too_near_by_day, too_near_by_night: nearer land or a danger's edge than
    the skipper wants, beyond those 3 nm.
    """

    number: int
    from_name: str
    to_name: str
    sailing: str
    distance_nm: float
    nearest_land: Clearance | None
    land: tuple[LandHit, ...]
    dangers: tuple[DangerNear, ...]
    too_near_by_day: bool
    too_near_by_night: bool

    @property
    def danger(self) -> DangerNear | None:
        """The nearest of them."""
        return min(self.dangers, key=lambda near: near.clear_nm, default=None)


def judge(voyage: Voyage, limits: TrackLimits) -> tuple[LegJudged, ...]:
    """Every leg of a voyage as drawn, in order, whether it can be sailed or not. Raises as ``lay_track``."""
    legs = legs_of(voyage)
    return tuple(_judged(number, voyage, legs, limits) for number in range(1, len(legs) + 1))


def over_land(voyage: Voyage) -> dict[int, tuple[LandHit, ...]]:
    """The stretches of each leg, by its number, that run over land; none of a leg that does not.

    Near the two ends too, but for a harbour that lies inside the coast of these data: a stretch of up to 3 nm that
    holds the end itself is forgiven.
    """
    legs = legs_of(voyage)
    tracks = [lay_track([leg], 2.0) for leg in legs]
    found = {number: _hits(number, len(legs), track) for number, track in enumerate(tracks, 1)}
    return {number: hits for number, hits in found.items() if hits}


def _hits(number: int, legs: int, track: Track) -> tuple[LandHit, ...]:
    def harbour(hit: LandHit) -> bool:
        begins, ends = hit.distance_nm, track.length_nm - hit.distance_nm - hit.across_nm
        at_end = (number == 1 and begins < AT_END_NM) or (number == legs and ends < AT_END_NM)
        return at_end and hit.across_nm <= HARBOUR_NM

    return tuple(hit for hit in land_hits(track.lat_deg, track.lon_deg, 0.0) if not harbour(hit))


def _judged(number: int, voyage: Voyage, legs: tuple[Leg, ...], limits: TrackLimits) -> LegJudged:
    track = lay_track(legs[number - 1 : number], 2.0)
    before_nm, after_nm = legs_nm(legs[: number - 1]), legs_nm(legs[number:])
    begin_nm = max(HARBOUR_NM - before_nm, 0.0)
    end_nm = track.length_nm - max(HARBOUR_NM - after_nm, 0.0)
    outside = end_nm > begin_nm
    nearest, dangers = _beside(track, begin_nm, end_nm) if outside else _beside(track, 0.0, track.length_nm)
    nearest_nm = min([nearest.distance_nm if nearest else np.inf, *(danger.clear_nm for danger in dangers)])
    return LegJudged(
        number=number,
        from_name=voyage.waypoints[number - 1].name,
        to_name=voyage.waypoints[number].name,
        sailing=legs[number - 1].sailing,
        distance_nm=track.length_nm,
        nearest_land=nearest,
        land=_hits(number, len(legs), track),
        dangers=dangers,
        too_near_by_day=outside and nearest_nm < limits.limits.clear_by_day_nm,
        too_near_by_night=outside and nearest_nm < limits.limits.clear_by_night_nm,
    )


def _beside(track: Track, begin_nm: float, end_nm: float) -> tuple[Clearance | None, tuple[DangerNear, ...]]:
    """Nearest land and listed dangers of a part of a track."""
    inner = track.distance_nm[(track.distance_nm > begin_nm) & (track.distance_nm < end_nm)]
    lat, lon, _ = at_distance(track, [begin_nm, *inner.tolist(), end_nm])
    nearest = clearance(lat, lon, NEAR_LAND_NM, 0.0)
    return (
        nearest._replace(along_nm=nearest.along_nm + begin_nm) if nearest else None,
        tuple(near._replace(along_nm=near.along_nm + begin_nm) for near in dangers_near(lat, lon, NEAR_LAND_NM)),
    )
