"""How long fresh food keeps in the temperatures of the track.

Rate rule of USDA Agriculture Handbook 66 (Saltveit): the relative rate of spoiling is the product of a quotient for
each 10 degrees, a fraction of ten as a power. Not for goods that chilling harms (below some 10 to 13 degrees C), and
too pessimistic for dormant ones (onion, potato, pumpkin, citrus): those carry a tabulated life.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.ensemble import in_blocks

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.ensemble import Crossings
    from passage.inputs.pantry import Keeps

_BANDS_C = np.array([0.0, 10.0, 20.0, 30.0, 40.0])
_QUOTIENTS = np.array([3.0, 2.5, 2.0, 1.5])
_LOG_RATE = np.concatenate([[0.0], np.cumsum(np.log(_QUOTIENTS))])
WARMEST_TABULATED_C = 27.0  # tabulated lives are for 20 to 27 degrees; cooler is not credited, warmer is charged


def spoiling_rate(air_c: NDArray[np.floating] | float) -> NDArray[np.float64]:
    """Rate of spoiling relative to 0 degrees C; held at the ends outside 0 to 40."""
    rate: NDArray[np.float64] = np.exp(np.interp(air_c, _BANDS_C, _LOG_RATE))
    return rate


def keeps_days(keeps: Keeps, air_by_day_c: NDArray[np.floating]) -> int:
    """Whole days, from departure, after which a food bought that day is no longer eaten.

    air_by_day_c: (days,) mean air of each day out; the last is taken to go on.
    """
    worn = np.cumsum(_worn(keeps, air_by_day_c))
    if worn[-1] > 1.0:
        return int(np.searchsorted(worn, 1.0 + 1e-9, side="right"))
    return len(worn) + int((1.0 - worn[-1]) / _worn(keeps, air_by_day_c[-1:])[0] + 1e-9)


def _worn(keeps: Keeps, air_c: NDArray[np.floating]) -> NDArray[np.float64]:
    """The share of its life that each day takes."""
    if keeps.at_c is None:
        return np.maximum(spoiling_rate(air_c) / spoiling_rate(WARMEST_TABULATED_C), 1.0) / keeps.days
    return spoiling_rate(air_c) / (spoiling_rate(keeps.at_c) * keeps.days)


def air_by_day_c(crossings: Crossings) -> NDArray[np.float64]:
    """Mean air temperature of the boats still at sea on each day out, (days,); the last day may be a part of one."""
    days = np.arange(0, crossings.hours, 24)
    warmth_by_hour = np.sum([(some.air_c * some.at_sea).sum(axis=0) for _, some in in_blocks(crossings)], axis=0)
    warmth, boats = (np.add.reduceat(by_hour, days) for by_hour in (warmth_by_hour, crossings.at_sea_by_hour))
    return warmth[boats > 0] / boats[boats > 0]
