"""The sea that the wind itself raises along the track: wind sea only, no swell.

Significant height is that of the fully developed sea of Pierson and Moskowitz (1964, J. Geophys. Res. 69,
5181; as given by R. H. Stewart, Introduction to Physical Oceanography, equations 16.29-16.33): H = 2 sqrt(alpha / beta)
U^2 / g with U the wind at 19.5 m, alpha 0.0081, beta 0.74. It is the ceiling of what that wind can raise, reached only
after long hours over a long fetch. When the wind has gone the sea it raised runs on as swell, and swell from elsewhere
runs under it; neither is in these numbers. From "high" upwards the wind is of gale force, of whose hours the climate
knows too little: print those in words only.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.ensemble import in_blocks
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from passage.crossings.ensemble import Crossings

KNOT_MS = 1852.0 / 3600.0
GRAVITY_MS2 = 9.80665
ALPHA, BETA = 0.0081, 0.74
FROM_10_M_TO_19_5_M = 1.026  # logarithmic profile over the sea, same source

# WMO code 3700: code figure, term, greatest significant height (m). A bounding height belongs to the lower figure.
SEA_STATES = (
    (0, "calm, glassy", 0.0),
    (1, "calm, rippled", 0.1),
    (2, "smooth", 0.5),
    (3, "slight", 1.25),
    (4, "moderate", 2.5),
    (5, "rough", 4.0),
    (6, "very rough", 6.0),
    (7, "high", 9.0),
    (8, "very high", 14.0),
    (9, "phenomenal", float("inf")),
)
HIGHEST_COUNTED = 6  # very rough; higher seas need a gale


class SeaState(Record):
    """Mean hours of a crossing in one sea state; its greatest height is infinite for the last."""

    code: int = told("its figure in code 3700 of the WMO")
    term: str = told("its term there")
    least_m: float = told("significant height above which it begins, m", places=2)
    most_m: float = told("its greatest significant height, m", places=2)
    state_h: float = told("mean hours of a crossing in it")


class WindSea(Record):
    """Wind sea only, no swell."""

    states: tuple[SeaState, ...]
    typical_wave_m: float = told("significant height, m, that half of the hours under way exceed")
    high_wave_m: float = told("significant height, m, that 1 hour in 10 exceeds")

    @reckoned("by state of the sea, up to very rough: higher seas need a gale, of whose hours too little is known")
    def counted(self) -> tuple[SeaState, ...]:
        return tuple(state for state in self.states if state.code <= HIGHEST_COUNTED)


def significant_height_m(wind_kn: ArrayLike) -> NDArray[np.float64]:
    """Significant height of the fully developed sea of a wind at 10 m (kn), any shape."""
    wind_ms = np.asarray(wind_kn, dtype=float) * KNOT_MS * FROM_10_M_TO_19_5_M
    return np.asarray(2.0 * np.sqrt(ALPHA / BETA) * wind_ms**2 / GRAVITY_MS2)


def sea_state(height_m: ArrayLike) -> NDArray[np.intp]:
    """Code figure of a significant height, any shape."""
    return np.searchsorted([most for _, _, most in SEA_STATES[:-1]], np.asarray(height_m, dtype=float), side="left")


def wind_sea(crossings: Crossings) -> WindSea:
    """Wind sea in every hour under way of the crossings."""
    winds_kn = [some.wind_kn[some.under_way] for _, some in in_blocks(crossings)]
    counts = [np.bincount(sea_state(significant_height_m(wind)), minlength=len(SEA_STATES)) for wind in winds_kn]
    hours = np.sum(counts, axis=0) / crossings.members
    typical, high = significant_height_m(np.quantile(np.concatenate(winds_kn), [0.5, 0.9], overwrite_input=True))
    lowest = (0.0, *(most for _, _, most in SEA_STATES))
    states = (
        SeaState(code, term, least, most, float(in_it))
        for (code, term, most), least, in_it in zip(SEA_STATES, lowest, hours, strict=False)
    )
    return WindSea(tuple(states), float(typical), float(high))
