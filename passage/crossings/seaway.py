"""The resistance that the wind's own sea adds to a small hull's.

The sea is that of the wind alone, full grown, without swell: the shape of Donelan, Hamilton and Hui (1985, Phil. Trans.
R. Soc. A 315, 509; M), whose short waves grow with the wind, at the height of Pierson and Moskowitz (1964, J. Geophys.
Res. 69, 5181; R2). The waves that matter are one to two boat's lengths long, and full grown in an hour or two.

Each wave adds what Jinkine and Ferdinande (1974, Int. Shipbuilding Progress 21, 240; M) found for fast cargo ships in
head waves by length, speed and gyradius of pitching. Theirs goes by beam^2 / length; a yacht is beamy and shoal beside
a ship, and what she meets goes by displacement, length and gyradius (Gerritsma, Keuning and Onnink 1992, Delft report
925-P, summary read, R2), so hers is that of a ship of her length and displacement, and of that a half: it brings added
resistance close-hauled in force 4 to 5 to a fifth to a third of all, as textbooks of yacht design show it (M). That
half is the weakest number of the layer. Off the bow it falls with the cosine of the angle, as velocity predictions
have it (M), over waves spread as the square of the cosine about the wind (common practice); abaft the beam little is
added, and nothing given by surfing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

GRAVITY_M_S2 = 9.81
SEA_KG_M3 = 1025.0
FULL_GROWN = 0.83  # wind speed over the speed of the highest waves, when they grow no more (Donelan and others)
LEVEL = 0.00375  # gives the significant height of Pierson and Moskowitz's full-grown sea, 0.0246 wind^2
YACHT = 0.5  # of what a ship of her length and displacement meets: see above
GYRADIUS = 0.25  # of pitching, as a share of the waterline: common practice
STOUT = 1.0 / (0.57 * 0.4)  # beam^2 x length over volume of those ships: block 0.57, draught 0.4 of the beam (M)
_WAVES_RAD_S = np.geomspace(0.6, 8.0, 48)
_SPREAD_RAD = np.radians(np.arange(-87.5, 90.0, 5.0))


def added_resistance_n(
    speed_ms: Floats, wind_ms: Floats, angle_rad: Floats, waterline_m: Floats | float, volume_m3: Floats | float
) -> Floats:
    """Mean added resistance, newtons, at a boat speed, in the sea of a true wind at 10 m so far off the bow. All
    broadcast.
    """
    froude = np.maximum(speed_ms / np.sqrt(GRAVITY_M_S2 * waterline_m), 0.0)
    peak = 3600.0 * GYRADIUS**2 * froude**1.5 * np.exp(-3.5 * froude)
    # in units of the frequency that tosses her most, 1.17 of it
    relative = np.sqrt(waterline_m / GRAVITY_M_S2) * GYRADIUS ** (1.0 / 3.0) * np.maximum(froude, 0.02) ** 0.143 / 1.17
    at = np.asarray(relative)[..., None] * _WAVES_RAD_S
    response = np.where(at < 1.0, _bump(at, 11.0, 14.0), _bump(at, -8.5, -14.0))
    met = np.trapezoid(response * spectrum(np.asarray(wind_ms)[..., None], _WAVES_RAD_S), _WAVES_RAD_S)
    return np.asarray(
        2.0
        * YACHT
        * SEA_KG_M3
        * GRAVITY_M_S2
        * STOUT
        * volume_m3
        / waterline_m**2
        * peak
        * met
        * heading_share(angle_rad),
        dtype=float,
    )


def spectrum(wind_ms: Floats, wave_rad_s: Floats) -> Floats:
    """Energy of the fully developed sea by angular frequency, m2 s; wind at 10 m."""
    peak = FULL_GROWN * GRAVITY_M_S2 / np.maximum(wind_ms, 0.1)
    width = 0.08 * (1.0 + 4.0 / FULL_GROWN**3)
    sharper = 1.7 ** np.exp(-((wave_rad_s / peak - 1.0) ** 2) / (2.0 * width**2))
    return np.asarray(
        LEVEL * GRAVITY_M_S2**2 / (wave_rad_s**4 * peak) * np.exp(-((peak / wave_rad_s) ** 4)) * sharper, dtype=float
    )


def heading_share(angle_rad: Floats) -> Floats:
    """Added resistance by angle off the wind as a share of that of long-crested waves from right ahead."""
    across = np.asarray(angle_rad)[..., None] + _SPREAD_RAD
    weight = np.cos(_SPREAD_RAD) ** 2
    return np.asarray((np.maximum(np.cos(across), 0.0) * weight).sum(axis=-1) / weight.sum())


def _bump(at: Floats, rise: float, width: float) -> Floats:
    return np.asarray(at**rise * np.exp(rise / width * (1.0 - at**width)))
