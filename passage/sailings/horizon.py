"""Seeing and being seen: the horizon, lights, and the minutes between a first sight and a meeting.

Ranges are what clear air and a steady eye allow. Haze, rain, swell, spray, glare, a dirty window and a tired
look-out all shorten them, and none of this is a proper look-out under COLREG Rule 5: it says how little time there
is, not how long one may look away.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from passage.errors import OutOfRange

# Horizon in standard refraction, sqrt(2 R h / 0.8279): the American Practical Navigator's 1.17 sqrt(feet), which is
# 2.12 sqrt(metres). Its 1995 and 2002 editions print 2.07 for metres beside the 1.17, a misprint: the two disagree.
HORIZON_NM_PER_ROOT_M = 2.12

# Allard's law as COLREG Annex I section 8 has it, I = 3.43e6 T D^2 K^-D, with the threshold T = 2e-7 lux at the eye.
THRESHOLD_CD_PER_NM2 = 3.43e6 * 2e-7
EXTINCTION = math.log(20.0)  # meteorological visibility is where a twentieth of the light is left
NOMINAL_VISIBILITY_NM = 10.0  # a light list's nominal range is its luminous range in this visibility
NEWTON_STEPS = 100


def horizon_nm(eye_height_m: float) -> float:
    """Distance to the sea horizon from an eye (or of a thing so high seen from sea level). OutOfRange below the
    water.
    """
    if not (math.isfinite(eye_height_m) and eye_height_m >= 0.0):
        raise OutOfRange(f"a height of {eye_height_m:g} m above the water has no horizon; heights are 0 or more")
    return HORIZON_NM_PER_ROOT_M * math.sqrt(eye_height_m)


def geographic_range_nm(eye_height_m: float, height_m: float = 0.0) -> float:
    """How far off something of this height shows above the horizon of the eye, whatever the light and the air."""
    return horizon_nm(eye_height_m) + horizon_nm(height_m)


def intensity_cd(range_nm: float, visibility_nm: float = NOMINAL_VISIBILITY_NM) -> float:
    """Candela that just show at a range in a meteorological visibility (Allard's law).

    With the visibility left out this turns a light list's nominal range into an intensity.
    """
    _check_positive("range", range_nm)
    _check_positive("visibility", visibility_nm)
    return THRESHOLD_CD_PER_NM2 * range_nm**2 * math.exp(EXTINCTION * range_nm / visibility_nm)


def luminous_range_nm(light_cd: float, visibility_nm: float = NOMINAL_VISIBILITY_NM) -> float:
    """How far a light of so many candela shows in a meteorological visibility; left out, the nominal range.

    Allard's law solved for the logarithm of the range by Newton's steps. The equation is convex there, so that a
    start at the range in perfectly clear air comes down on the root and never past it.
    """
    _check_positive("intensity", light_cd)
    _check_positive("visibility", visibility_nm)
    clear = math.log(light_cd / THRESHOLD_CD_PER_NM2)
    log_range = clear / 2.0
    for _ in range(NEWTON_STEPS):
        lost = EXTINCTION / visibility_nm * math.exp(log_range)
        log_range -= (2.0 * log_range + lost - clear) / (2.0 + lost)
    return math.exp(log_range)


def closing_speed_kn(own_speed_kn: float, ship_speed_kn: float, crossing_deg: float) -> float:
    """Speed at which two vessels on a steady bearing close, that is their relative speed.

    crossing_deg: angle between the two courses; 180 end on, 90 crossing, 0 one overtaking the other.
    """
    for speed_kn in (own_speed_kn, ship_speed_kn):
        if not (math.isfinite(speed_kn) and speed_kn >= 0.0):
            raise OutOfRange(f"a speed of {speed_kn:g} knots cannot close a range; speeds are 0 or more")
    squared = (own_speed_kn - ship_speed_kn) ** 2
    squared += 2.0 * own_speed_kn * ship_speed_kn * (1.0 - math.cos(math.radians(crossing_deg)))
    return math.sqrt(squared)


def minutes_to_close(range_nm: float, closing_kn: float) -> float:
    """Minutes until a range is run off; infinite where nothing closes."""
    return 60.0 * range_nm / closing_kn if closing_kn > 0.0 else math.inf


class FirstSight(NamedTuple):
    """A ship on a collision course as she first shows: how far off, how fast she closes, and the minutes left."""

    range_nm: float
    closing_kn: float
    minutes: float


def first_sight(
    eye_height_m: float,
    ship_height_m: float,
    own_speed_kn: float,
    ship_speed_kn: float,
    crossing_deg: float = 180.0,
    seen_to_nm: float = math.inf,
) -> FirstSight:
    """A ship of a visible height on a steady bearing. seen_to_nm: the visibility by day, her light's luminous range by
    night, whichever cuts the geographic range short. ship_height_m 0 is a hull seen only inside one's own horizon.
    """
    range_nm = min(geographic_range_nm(eye_height_m, ship_height_m), seen_to_nm)
    closing_kn = closing_speed_kn(own_speed_kn, ship_speed_kn, crossing_deg)
    return FirstSight(range_nm, closing_kn, minutes_to_close(range_nm, closing_kn))


def _check_positive(what: str, number: float) -> None:
    if not (math.isfinite(number) and number > 0.0):
        raise OutOfRange(f"a light's {what} of {number:g} means nothing; it must be more than 0")
