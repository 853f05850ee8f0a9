"""A polar table estimated from the hull's figures, for a boat that has none. An estimate, and marked as one
everywhere.

The boat goes as fast as the sails' drive balances the hull's resistance. Resistance is the friction of the wetted
surface (ITTC 1957 line; wetted surface 2.6 sqrt(volume x waterline), after Taylor, both from memory) with an
allowance for keel, form and some weed, and a wave resistance per ton by speed-length ratio of the usual size for
displacement hulls (common practice, no single source). Drive comes from sail area, apparent wind and lift and drag
coefficients of the usual size (common practice); reefing holds the heeling force at what the boat carries in 18 kn of
apparent wind.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from passage.inputs.polar import PolarTable

if TYPE_CHECKING:
    from numpy.typing import NDArray

KNOT_MS = 0.514444
FOOT_M = 0.3048
LONG_TON_KG = 1016.05
POUND_N = 4.44822
AIR_KG_M3 = 1.225
SEA_KG_M3 = 1025.0
SEA_VISCOSITY_M2_S = 1.19e-6
FORM_AND_WEED = 1.4
REEF_ABOVE_KN = 18.0

# Wave resistance of a displacement hull, pounds per long ton, by speed-length ratio (kn / sqrt ft).
_SPEED_LENGTH = [0.0, 0.5, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.3, 1.4, 1.5, 1.7]
_WAVE_LB_PER_TON = [0.0, 1.0, 4.0, 6.5, 10.0, 15.0, 23.0, 36.0, 58.0, 95.0, 150.0, 400.0]

# Lift and drag of working sails by apparent wind angle: typical cruising figures, common practice, no single source.
_APPARENT_DEG = [0.0, 20.0, 30.0, 50.0, 80.0, 110.0, 140.0, 180.0]
_LIFT = [0.0, 0.55, 1.15, 1.35, 1.15, 0.75, 0.35, 0.0]
_DRAG = [0.15, 0.16, 0.20, 0.30, 0.50, 0.75, 0.95, 1.00]

WINDS_KN = np.array([4.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 20.0, 25.0, 30.0, 40.0])
ANGLES_DEG = np.array([45.0, 52.0, 60.0, 75.0, 90.0, 110.0, 120.0, 135.0, 150.0, 165.0, 180.0])


def estimate_polar(waterline_m: float, displacement_kg: float, sail_area_m2: float) -> PolarTable:
    """Boat speed (kn) by wind speed and angle from waterline length (m), displacement (kg), working sail area
    (m2).
    """
    wind, angle = np.meshgrid(WINDS_KN, ANGLES_DEG, indexing="ij")
    slow, fast = np.zeros_like(wind), np.full_like(wind, 3.0 * np.sqrt(waterline_m))
    for _ in range(30):  # bisection: drive falls and resistance rises with speed
        speed = (slow + fast) / 2.0
        faster = _drive_n(speed, wind, angle, sail_area_m2) > _resistance_n(speed, waterline_m, displacement_kg)
        slow, fast = np.where(faster, speed, slow), np.where(faster, fast, speed)
    return PolarTable(wind_speed_kn=WINDS_KN, wind_angle_deg=ANGLES_DEG, boat_speed_kn=np.round(slow, 2))


def _resistance_n(speed_kn: NDArray[np.float64], waterline_m: float, displacement_kg: float) -> NDArray[np.float64]:
    speed_ms = speed_kn * KNOT_MS
    reynolds = np.maximum(speed_ms * waterline_m / SEA_VISCOSITY_M2_S, 1e4)
    wetted_m2 = 2.6 * np.sqrt(displacement_kg / SEA_KG_M3 * waterline_m)
    friction = 0.5 * SEA_KG_M3 * speed_ms**2 * wetted_m2 * 0.075 / (np.log10(reynolds) - 2.0) ** 2
    per_ton = np.interp(speed_kn / np.sqrt(waterline_m / FOOT_M), _SPEED_LENGTH, _WAVE_LB_PER_TON)
    return np.asarray(FORM_AND_WEED * friction + per_ton * POUND_N * displacement_kg / LONG_TON_KG)


def _drive_n(
    speed_kn: NDArray[np.float64], wind_kn: NDArray[np.float64], angle_deg: NDArray[np.float64], sail_area_m2: float
) -> NDArray[np.float64]:
    ahead = wind_kn * np.cos(np.radians(angle_deg)) + speed_kn
    beam = wind_kn * np.sin(np.radians(angle_deg))
    apparent = np.hypot(ahead, beam)
    apparent_deg = np.degrees(np.arctan2(beam, ahead))
    lift, drag = np.interp(apparent_deg, _APPARENT_DEG, _LIFT), np.interp(apparent_deg, _APPARENT_DEG, _DRAG)
    forward = lift * np.sin(np.radians(apparent_deg)) - drag * np.cos(np.radians(apparent_deg))
    carried = np.minimum(apparent, REEF_ABOVE_KN) * KNOT_MS
    return 0.5 * AIR_KG_M3 * sail_area_m2 * carried**2 * forward
