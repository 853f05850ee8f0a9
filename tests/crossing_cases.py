"""Invented tracks, winds and boats for the tests of the crossings; nothing here is real."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.ground import Ground
from passage.crossings.helm import Vessel
from passage.crossings.speed import speed_table
from passage.inputs.boat import Helm
from passage.inputs.climate import TrackClimate
from passage.inputs.polar import PolarTable
from passage.sailings.track import Leg, Track, lay_track

if TYPE_CHECKING:
    from passage.inputs.current import TrackCurrent
    from passage.inputs.forecast import TrackForecast

DEPART = datetime(2027, 2, 1, 8, tzinfo=UTC)
ROUND_POLAR = PolarTable(  # 5 kn from 10 kn of wind up at any angle from 45 degrees
    wind_speed_kn=np.array([10.0, 60.0]),
    wind_angle_deg=np.array([45.0, 90.0, 180.0]),
    boat_speed_kn=np.full((2, 3), 5.0),
)


def helm(**changes: object) -> Helm:
    """A helm that does nothing of its own: no reefed nights, no spread of performance, no engine, no standing off."""
    plain = {
        "night_speed_share": 1.0,
        "first_days_speed_share": 1.0,
        "performance_mean_share": 1.0,
        "performance_sd_share": 0.0,
        "gust_limit_kn": 80.0,
        "gust_resume_kn": 70.0,
        "motoring": False,
        "stand_off": False,
    }
    return Helm(**(plain | changes))


def vessel(**changes: object) -> Vessel:
    motor_hours = changes.pop("motor_hours", 0.0)
    return Vessel(speed_table(ROUND_POLAR), helm(**changes), motor_speed_kn=4.0, motor_hours=float(str(motor_hours)))


def laid(
    track: Track,
    climate: TrackClimate,
    boat: Vessel,
    current: TrackCurrent | None = None,
    forecast: TrackForecast | None = None,
) -> Ground:
    """The ground of a track that has no legs."""
    return Ground((), track, climate, ROUND_POLAR, boat, current, forecast)


def north_track(miles: float = 600.0) -> Track:
    """Due north from 20S 10W."""
    return lay_track([Leg(-20.0, -10.0, -20.0 + miles / 60.0, -10.0)])


def steady(track: Track, east_kn: float, north_kn: float, sigma_kn: float = 0.0) -> TrackClimate:
    """The same wind everywhere and always; towards east and north."""

    def field(value: float) -> np.ndarray:
        return np.full((12, track.nodes), value)

    return TrackClimate(
        wind_east_kn=field(east_kn),
        wind_north_kn=field(north_kn),
        sigma_kn=field(sigma_kn),
        speed_kn=field(np.hypot(east_kn, north_kn)),
        air_c=field(20.0),
        sea_c=field(21.0),
        cloud=field(0.5),
        few_reports=np.zeros((12, track.nodes), dtype=bool),
    )
