"""Sun at the sea surface against the climatology of Esbensen and Kushnir (1981), as bias and root mean square error.

    python benchmarks/radiation.py esku_heat_budget.cdf

The file (variables FSR, the net short-wave radiation of the sea in W/m2, and CLD, mean cloud) comes with the example
data of a plotting program for oceanographers and is not kept here. Its radiation is itself a formula of its cloud, so
this checks geometry and clear sky more than it checks what cloud takes away.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, NamedTuple

import netCDF4
import numpy as np

from passage.consequences.power.cloud import transmittance_high, transmittance_low
from passage.consequences.power.panels import SEA_ALBEDO
from passage.consequences.power.sun import clear_sky_w_m2, linke_turbidity, sun_at

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

LATITUDES = (-50.0, 50.0)
YEAR = 2027
LITTLE_CLOUD = 0.35  # cells less cloudy than this say most about geometry and clear sky


class Misfit(NamedTuple):
    """Ours less theirs, weighted by area, W/m2; their mean; cells times months."""

    bias: float
    rmse: float
    mean: float
    count: int


def misfit(ours: Floats, theirs: Floats, weight: Floats) -> Misfit:
    known = np.isfinite(ours + theirs) & (weight > 0)
    error, of = (ours - theirs)[known], weight[known]
    mean = float(np.average(theirs[known], weights=of))
    return Misfit(
        float(np.average(error, weights=of)), float(np.average(error**2, weights=of) ** 0.5), mean, int(known.sum())
    )


def monthly_clear_sky(lat_deg: Floats) -> tuple[Floats, Floats]:
    """Mean clear-sky sun on the level over each month, every third day and every hour of it, and the altitude of the
    noon sun in its middle: (12, lat) each.
    """
    clear, noon = [], []
    for month in range(1, 13):
        days = np.datetime64(f"{YEAR}-{month:02d}-02") + np.arange(0, 29, 3)
        hours = (days.astype("datetime64[m]")[:, None] + np.arange(30, 1440, 60)).reshape(-1, 1)
        sun = sun_at(hours, lat_deg[None, :], 0.0)
        clear.append(clear_sky_w_m2(sun, linke_turbidity(lat_deg, sun.declination_deg)).mean(axis=0))
        noon.append(np.maximum(90.0 - np.abs(lat_deg - sun.declination_deg.mean()), 0.0))
    return np.stack(clear), np.stack(noon)


def main(path: str) -> None:
    with netCDF4.Dataset(path) as dataset:
        lat = np.asarray(dataset["ESKUY"][:], float)
        net, cloud = (np.ma.filled(dataset[name][:].astype(float), np.nan) for name in ("FSR", "CLD"))
    clear, noon = (table[:, :, None] for table in monthly_clear_sky(lat))
    inside = (lat >= LATITUDES[0]) & (lat <= LATITUDES[1])
    weight = np.broadcast_to((np.cos(np.radians(lat)) * inside)[None, :, None], net.shape)
    cases = {
        "high, Reed": transmittance_high(cloud, noon),
        "low, Berliand": transmittance_low(cloud, lat[None, :, None]),
    }
    cases["mean of both"] = (cases["high, Reed"] + cases["low, Berliand"]) / 2.0
    print(f"{'':16}{'bias':>8}{'rmse':>8}{'their mean':>12}{'cells x months':>16}   W/m2")
    for name, share in cases.items():
        ours = clear * share * (1.0 - SEA_ALBEDO)
        print("{:16}{:8.1f}{:8.1f}{:12.1f}{:16d}".format(name, *misfit(ours, net, weight)))
        least = np.where(cloud < LITTLE_CLOUD, weight, 0.0)
        print("{:16}{:8.1f}{:8.1f}{:12.1f}{:16d}".format("  little cloud", *misfit(ours, net, least)))


if __name__ == "__main__":
    main(sys.argv[1])
