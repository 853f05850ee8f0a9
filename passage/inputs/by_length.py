"""What is not known of a boat, told from her length: of the usual proportion, and never as good as a scale and a tape.

Fitted to ``tests/published/hull_velocity_predictions.csv``: 125 sailing hulls of 7 to 13 m, built 1961 to 2021,
measured for a rating (standing S, T); least squares of the logarithms, which the tests do again. The scatter is one
standard deviation. Racing crews' boats: a cruising boat of heavy make lies beyond it.
"""

from __future__ import annotations

from typing import NamedTuple


class Law(NamedTuple):
    """``factor`` times the length overall (m) to the ``power``; scatter: of one hull about it, as a share."""

    factor: float
    power: float
    scatter: float

    def at(self, length_m: float) -> float:
        return float(self.factor * length_m**self.power)


DISPLACEMENT_KG = Law(6.562, 2.925, 0.14)  # as measured: without crew and stores
SAIL_AREA_M2 = Law(0.6857, 1.936, 0.09)  # mainsail and the largest headsail
BEAM_M = Law(0.6351, 0.721, 0.05)
LADEN = 1.15  # times the displacement as measured, with a crew's stores for an ocean: common practice, no source
WATERLINE_SHARE = 0.86  # of the length overall: common practice, no source

GERR, LB_PER_KG, FT_PER_M, KW_PER_HP = 10.665, 1.0 / 0.45359237, 1.0 / 0.3048, 0.7457
L_PER_KWH = 250.0 / 840.0  # a small diesel's 250 g/kWh (common practice), diesel of 840 g a litre


def laden_kg(length_m: float) -> float:
    """Displacement as she leaves, by her length."""
    return LADEN * DISPLACEMENT_KG.at(length_m)


def cruising_speed_kn(waterline_m: float) -> float:
    """Under engine, at the economical speed-length ratio of 1, knots over the root of feet (derived)."""
    return float((waterline_m * FT_PER_M) ** 0.5)


def consumption_l_h(displacement_kg: float) -> float:
    """Litres an hour at that speed: Gerr, *Propeller Handbook*, Formula 2-1 (second-hand)."""
    return displacement_kg * LB_PER_KG / GERR**3 * KW_PER_HP * L_PER_KWH
