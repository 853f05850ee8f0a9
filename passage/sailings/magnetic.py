"""Magnetic variation by the World Magnetic Model 2025, with the model's own uncertainty.

WMM2025 (US NOAA and British Geological Survey, public domain) through ``pygeomag``, whose wheel carries the
coefficients. It is valid from 2025.0 to 2030.0 and refused outside. It knows the main field only: local rock, steel
aboard (deviation) and magnetic storms are not in it, and the chart's own rose, brought up to date, has the last
word.

Variation east positive, degrees: true = magnetic + variation.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime
from functools import lru_cache
from typing import Any, NamedTuple

from passage.errors import OutOfRange
from passage.sailings.geodesic import check_position, normalise_course_deg, normalise_lon_deg

VALID_FROM, VALID_TO = 2025.0, 2030.0

# Error model of WMM2025: sqrt(0.26^2 + (5417 / H)^2) degrees, H the horizontal intensity in nT.
ANYWHERE_DEG = 0.26
TIMES_INTENSITY_DEG_NT = 5417.0


class Variation(NamedTuple):
    """Variation at one place and time, east positive, with the model's own uncertainty (its standard error)."""

    variation_deg: float
    uncertainty_deg: float
    horizontal_nt: float


def decimal_year(when: datetime) -> float:
    """Year and the part of it gone by; the middle of 2026 is 2026.5. A time with a zone is taken over into UTC."""
    moment = when.astimezone(UTC)
    begins = datetime(moment.year, 1, 1, tzinfo=UTC)
    return moment.year + (moment - begins) / (datetime(moment.year + 1, 1, 1, tzinfo=UTC) - begins)


@lru_cache(maxsize=1)
def _model() -> Any:
    from pygeomag import GeoMag
    from pygeomag.wmm.wmm_2025 import WMM_2025

    return GeoMag(coefficients_data=WMM_2025)


def variation(lat_deg: float, lon_deg: float, year: float, altitude_km: float = 0.0) -> Variation:
    """Variation at a place in a decimal year. OutOfRange off the earth, or outside 2025.0-2030.0.

    altitude_km: above the ellipsoid; 0 at sea.
    """
    check_position(lat_deg, lon_deg)
    if not VALID_FROM <= year <= VALID_TO:
        raise OutOfRange(
            f"the World Magnetic Model 2025 holds from {VALID_FROM:g} to {VALID_TO:g}, not in {year:g}; "
            "take the variation from an up-to-date chart"
        )
    field = _model().calculate(glat=lat_deg, glon=normalise_lon_deg(lon_deg), alt=altitude_km, time=year)
    uncertainty_deg = math.hypot(ANYWHERE_DEG, TIMES_INTENSITY_DEG_NT / field.h)
    return Variation(field.d, uncertainty_deg, field.h)


def magnetic_course_deg(true_course_deg: float, variation_deg: float) -> float:
    """Magnetic course [0, 360) for a true course and a variation, east positive: variation east, magnetic least."""
    return normalise_course_deg(true_course_deg - variation_deg)
