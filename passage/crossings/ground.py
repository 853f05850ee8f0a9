"""What does not change with the date of departure: the track laid, and climate, current, forecast and boat along it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from passage.crossings.helm import Vessel
    from passage.inputs.climate import TrackClimate
    from passage.inputs.current import TrackCurrent
    from passage.inputs.forecast import TrackForecast
    from passage.inputs.polar import PolarTable
    from passage.sailings.track import Leg, Track


@dataclass(frozen=True)
class Ground:
    """legs as typed, the track through them, what blows and sets along it, and the vessel rigged out."""

    legs: tuple[Leg, ...]
    track: Track
    climate: TrackClimate
    polar: PolarTable
    vessel: Vessel
    current: TrackCurrent | None = None
    forecast: TrackForecast | None = None
