"""The numbers of the balance of forces, in one place, and what they were fitted to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

FROUDE = (0.0, 0.15, 0.20, 0.25, 0.30, 0.35, 0.40, 0.45, 0.50, 0.60, 0.80)
WORKING_DEG = (0.0, 20.0, 27.0, 50.0)
FREE_DEG = (80.0, 100.0, 135.0, 180.0)
KITE_DEG = (0.0, 40.0, 60.0, 80.0, 100.0, 130.0, 180.0)

# Lift and drag of mainsail and headsail with the wind free, each on its own area: those of the rating rule's published
# velocity prediction method (standing M), for no prediction at hand is without a spinnaker there. Well abaft the beam a
# headsail that is not boomed out hangs in the main's lee and counts for nothing (common practice, no source).
MAIN_LIFT, MAIN_DRAG = (1.16, 1.03, 0.57, 0.0), (0.30, 0.58, 1.14, 1.345)
HEADSAIL_LIFT, HEADSAIL_DRAG = (0.82, 0.40, 0.12, 0.0), (0.54, 0.73, 0.88, 0.90)
IN_THE_LEE = np.array([1.0, 1.0, 0.0, 0.0])


class Cut(NamedTuple):
    """Lift and drag coefficients by apparent wind angle, on a set of sails' whole area."""

    angle_deg: Floats
    lift: Floats
    drag: Floats


@dataclass(frozen=True)
class Coefficients:
    """friction: on the ITTC line, form and appendages in it. wave: resistance over weight at each of ``FROUDE``;
    wave_heeled: what is added at the heel up to which sail is carried, as a share; wave_stout: exponent by which it
    goes with volume over 0.007 x length^3. span: effective, as a share of the draught. righting: lever (m) at that
    heel, for each m of beam, and for working area^1.5 over 100 volumes, since stiff hulls are given tall rigs; stiffer:
    exponent by which it grows with length over 10 m; hiking: of the crew on the rail, as a share of half the beam.
    centre: height of the sails' effort, times the root of the working area; kite_higher: with kite. windage: drag area
    (m2) for each m of beam, whatever the length, for freeboard and rigging of a small boat are not small in proportion.
    headsail: worth of its area beside the main's close-hauled, for most of these are big overlapping ones. asymmetric:
    more lift of a kite without a pole, as a share. Lift at 0 degrees is none; working_lift is at the other
    ``WORKING_DEG``, kite_lift at those between. friction, wave_heeled, hiking, centre, kite_higher and windage are
    orders of size from geometry (common practice): they give the forces their scale. The others are fitted.
    """

    friction: float
    wave: tuple[float, ...]
    wave_heeled: float
    wave_stout: float
    span: float
    righting: tuple[float, float]
    stiffer: float
    hiking: float
    centre: float
    kite_higher: float
    windage: float
    headsail: float
    working_lift: tuple[float, ...]
    working_drag: tuple[float, ...]
    asymmetric: float
    kite_lift: tuple[float, ...]
    kite_drag: tuple[float, ...]

    @property
    def kite(self) -> Cut:
        """Of main and kite together."""
        return Cut(np.array(KITE_DEG), np.array([0.0, *self.kite_lift, 0.0]), np.array(self.kite_drag))

    def working(self, main_share: float, headsail_share: float, pole: bool) -> Cut:
        """Of main and headsail, whose areas are such shares of the area that counts close-hauled."""
        headsail = headsail_share * (np.ones(len(FREE_DEG)) if pole else IN_THE_LEE)
        lift = main_share * np.array(MAIN_LIFT) + headsail * HEADSAIL_LIFT
        drag = main_share * np.array(MAIN_DRAG) + headsail * HEADSAIL_DRAG
        return Cut(
            np.array(WORKING_DEG + FREE_DEG),
            np.concatenate([[0.0], self.working_lift, lift]),
            np.concatenate([self.working_drag, drag]),
        )


# Fitted by benchmarks/hull_speeds.py --fit to hulls 1, 5, 9 ... (every second row) of
# tests/published/hull_velocity_predictions.csv: velocity predictions of rating certificates, racing crew, smooth water.
FITTED = Coefficients(
    friction=1.1,
    wave=(0.0, 1.652e-07, 0.0004294, 0.001556, 0.004053, 0.009861, 0.03448, 0.08143, 0.1148, 0.1746, 0.3396),
    wave_heeled=0.25,
    wave_stout=-0.5326,
    span=0.7735,
    righting=(0.05554, 0.2275),
    stiffer=0.5667,
    hiking=0.8,
    centre=0.68,
    kite_higher=1.1,
    windage=1,
    headsail=0.416,
    working_lift=(1.667, 2.086, 1.942),
    working_drag=(0.05, 0.07543, 0.2227, 0.4563),
    asymmetric=0.1243,
    kite_lift=(0.5803, 1.14, 1.136, 1.07, 0.7974),
    kite_drag=(-0.02016, 0.03851, 0.5526, 0.5875, 0.7939, 0.8856, 0.8245),
)
