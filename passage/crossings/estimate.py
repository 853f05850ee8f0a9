"""A polar table estimated from the hull's figures, for a boat that has none: smooth water, clean, crewed. An estimate,
and marked as one everywhere.

The balance of forces in ``balance.py`` with the coefficients of ``coefficients.py``, which were fitted to published
velocity predictions. What is left of it at sea is another layer, ``at_sea.py``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

import numpy as np

from passage.crossings.balance import Balance, Form, Trim, best
from passage.crossings.coefficients import FITTED
from passage.crossings.seaway import SEA_KG_M3
from passage.inputs.polar import PolarTable

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.inputs.boat import Hull

Size = TypeVar("Size", float, "NDArray[np.float64]")

KNOT_MS = 0.514444
HEADSAIL_SHARE = 0.55  # of the working area, where the file does not part it: median of the published hulls
DRAUGHT_SHARE = 0.18  # of the length overall, where the file has no draught: median of the published hulls

WINDS_KN = np.array([2.0, 4.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 20.0, 24.0, 28.0, 32.0])
ANGLES_DEG = np.array(
    [
        34.0,
        38.0,
        42.0,
        46.0,
        49.0,
        52.0,
        56.0,
        60.0,
        65.0,
        70.0,
        75.0,
        90.0,
        100.0,
        110.0,
        120.0,
        135.0,
        145.0,
        150.0,
        160.0,
        170.0,
        180.0,
    ]
)
SMOOTH = Trim()


def estimate_polar(hull: Hull) -> PolarTable:
    """Boat speed (kn) by true wind at 10 m and true wind angle, in smooth water."""
    speed_kn = sailed(hull, SMOOTH).speed_ms / KNOT_MS
    return PolarTable(WINDS_KN, ANGLES_DEG, np.round(speed_kn, 2))


def sailed(hull: Hull, trim: Trim, kite_up_to_kn: float = np.inf) -> Balance:
    """Speed and leeway on ``WINDS_KN`` by ``ANGLES_DEG``; a spinnaker or drifter is set up to so much true wind."""
    wind_ms, angle_rad = WINDS_KN[:, None] * KNOT_MS, np.radians(ANGLES_DEG)
    return best(form_of(hull), trim, wind_ms, angle_rad, FITTED, kite_up_to_kn * KNOT_MS)


def form_of(hull: Hull) -> Form:
    """The hull as the balance of forces sees her; what the file leaves out is of the usual proportion."""
    headsail_m2 = hull.headsail_area_m2 or HEADSAIL_SHARE * hull.sail_area_m2
    return Form(
        length_m=sailing_length_m(hull.length_overall_m, hull.waterline_length_m),
        waterline_m=hull.waterline_length_m,
        volume_m3=hull.displacement_kg / SEA_KG_M3,
        beam_m=hull.beam_m,
        draught_m=hull.draught_m or DRAUGHT_SHARE * hull.length_overall_m,
        crew_kg=racing_crew_kg(hull.length_overall_m),
        main_m2=hull.sail_area_m2 - headsail_m2,
        headsail_m2=headsail_m2,
        kite_m2=hull.spinnaker_area_m2 or 0.0,
        asymmetric=float(hull.spinnaker_asymmetric),
    )


def sailing_length_m(length_overall_m: Size, waterline_m: Size) -> Size:
    """Under way the overhangs wet: half-way between the two lengths (common practice)."""
    return (length_overall_m + waterline_m) / 2.0


def racing_crew_kg(length_overall_m: Size) -> Size:
    """Crew of the published predictions by length: fitted to the same table, 29 % (sd)."""
    crew_kg: Size = 12.1 * length_overall_m**1.56
    return crew_kg
