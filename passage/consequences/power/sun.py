"""Where the sun stands and what it gives through a clear sky, at sea level, in plain NumPy.

Checked against the solar-position example of the National Renewable Energy Laboratory and against pvlib; pvlib itself
is not used at run time, for it takes longer to import than all the crossings' batteries take to run.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.sailings.sky import days_since_j2000, sun_altitude_deg, sun_declination_deg

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

SOLAR_CONSTANT_W_M2 = 1361.0  # Kopp and Lean 2011 (M)
RISEN_ALTITUDE_DEG = -0.833  # upper limb on the horizon, standard refraction


@dataclass(frozen=True)
class Sun:
    """The sun as a unit vector towards it (east, north, up), all of one shape, without refraction.

    declination_deg and normal_w_m2 (what falls outside the air on a plane square to it) have the shape of the times.
    """

    east: Floats
    north: Floats
    up: Floats
    declination_deg: Floats
    normal_w_m2: Floats

    @property
    def azimuth_deg(self) -> Floats:
        """True bearing, 0 to 360."""
        return np.degrees(np.arctan2(self.east, self.north)) % 360.0


def sun_at(time_utc: ArrayLike, lat_deg: ArrayLike, lon_deg: ArrayLike) -> Sun:
    """The sun over places (degrees, north and east positive) at times (datetime64, UTC); all three broadcast.

    What the sun has along a direction is the sine of its altitude where that direction is straight up. At three places
    square to one another, two on the equator and a pole, these are all the sun there is: everywhere else it is turned
    into what is up, north and east there, without another sine for each time and place.
    """
    lat, lon = np.radians(np.asarray(lat_deg, float)), np.radians(np.asarray(lon_deg, float))
    here, ninety_east, pole = (_sine_altitude(time_utc, *place) for place in ((0.0, 0.0), (0.0, 90.0), (90.0, 0.0)))
    towards = here * np.cos(lon) + ninety_east * np.sin(lon)  # up on the equator of that longitude
    up = np.cos(lat) * towards + np.sin(lat) * pole
    anomaly = np.radians(357.528 + 0.9856003 * days_since_j2000(time_utc))
    return Sun(
        east=np.broadcast_to(ninety_east * np.cos(lon) - here * np.sin(lon), up.shape),
        north=np.cos(lat) * pole - np.sin(lat) * towards,
        up=up,
        declination_deg=sun_declination_deg(time_utc),
        normal_w_m2=SOLAR_CONSTANT_W_M2 / (1.00014 - 0.01671 * np.cos(anomaly)) ** 2,  # distance: Astronomical Almanac
    )


def _sine_altitude(time_utc: ArrayLike, lat_deg: float, lon_deg: float) -> Floats:
    return np.asarray(np.sin(np.radians(sun_altitude_deg(time_utc, lat_deg, lon_deg))))


def linke_turbidity(lat_deg: ArrayLike, declination_deg: ArrayLike) -> Floats:
    """Clear air over open sea in clean dry atmospheres: 1.1 + 2.6 cos(lat - declination) + 0.3 sin(lat).

    Fitted (D) by least squares to the sea cells between 60S and 60N of the world map of Remund et al. (2003) as pvlib
    ships it: 2 in a high-latitude winter, 4 under the sun, rms residual 0.35. Dust off the Sahara and smoke are
    outside of it: they make 5 to 6 of it.
    """
    lat, declination = np.radians(np.asarray(lat_deg, float)), np.radians(np.asarray(declination_deg, float))
    return np.asarray(1.1 + 2.6 * np.cos(lat - declination) + 0.3 * np.sin(lat))


def air_mass(up: Floats) -> Floats:
    """Relative optical air mass by the sine of the altitude, after Kasten and Young (Applied Optics 28, 1989)."""
    altitude = np.degrees(np.arcsin(np.clip(up, 0.0, 1.0)))
    return 1.0 / (np.maximum(up, 0.0) + 0.50572 * (altitude + 6.07995) ** -1.6364)


def clear_sky_w_m2(sun: Sun, turbidity: ArrayLike) -> Floats:
    """Global irradiance, level, at sea level, under a clear sky: Ineichen and Perez (Solar Energy 73, 2002)."""
    up = np.maximum(sun.up, 0.0)
    through = np.exp(-0.0387 * air_mass(sun.up) * np.asarray(turbidity, float))
    return np.asarray(0.868 * sun.normal_w_m2 * up * through)
