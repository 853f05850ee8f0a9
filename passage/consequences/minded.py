"""Hours that a small crew minds: strong wind, calm, cold, and weather in which fog is likely."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.ensemble import at_node
from passage.crossings.rose import CALM_KN, STRONG_KN
from passage.tell.records import Record, told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.ensemble import Crossings

FOG_MARGIN_C = 1.0  # of the dew point below the sea's temperature (common practice: fog forms as they meet)
PRESSURE_HPA = 1013.0


class Minded(Record):
    """Of a hundred hours under way; not a number where it is not known."""

    strong_in_100: float = told("28 kn and more, outside the box of a season; null where she never is", places=1)
    calm_in_100: float = told("calm, under 4 kn")
    cold_in_100: float = told("air colder than the limit of [kind]")
    fog_in_100: float = told("mean air so damp over so cold a sea that fog is likely; null without humidity")


def minded(crossings: Crossings, cold_below_c: float) -> Minded:
    """Means over all crossings."""
    under_way, wind, node = crossings.under_way, crossings.wind_kn, crossings.node
    hours = max(int(under_way.sum()), 1)

    def in_100(which: NDArray[np.bool_]) -> float:
        return 100.0 * float((which & under_way).sum()) / hours

    damp = _damp(crossings)
    return Minded(
        strong_in_100=in_100(wind >= STRONG_KN),
        calm_in_100=in_100(wind < CALM_KN),
        cold_in_100=in_100(at_node(crossings.air_by_day_c, node) < cold_below_c),
        fog_in_100=float("nan") if damp is None else in_100(at_node(damp, node)),
    )


def _damp(crossings: Crossings) -> NDArray[np.bool_] | None:
    """Where the mean air's dew point comes near the sea's temperature, (day, node); None without humidity."""
    if crossings.vapour_by_day_g_kg is None:
        return None
    return np.asarray(dew_point_c(crossings.vapour_by_day_g_kg) >= crossings.sea_by_day_c - FOG_MARGIN_C)


def dew_point_c(vapour_g_kg: NDArray[np.float32]) -> NDArray[np.float64]:
    """Dew point of air at sea level by its specific humidity, by Magnus' formula with Alduchov and Eskridge's
    coefficients (1996, from memory).
    """
    share = np.maximum(vapour_g_kg, 0.01) / 1000.0
    pressure_hpa = share * PRESSURE_HPA / (0.622 + 0.378 * share)
    logged = np.log(pressure_hpa / 6.1094)
    return np.asarray(243.04 * logged / (17.625 - logged))
