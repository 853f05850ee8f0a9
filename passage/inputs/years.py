"""The months of real years as departures from their own mean: shipped (1982-1992) or a person's own, along a track."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.errors import Fault, InputFaults
from passage.inputs.monthly import Floats, around, known_mean, refuse_outside
from passage.shipped import shipped

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import ArrayLike

KNOTS_PER_M_S = 3600 / 1852


@dataclass(frozen=True, eq=False)
class TrackYears:
    """By how much each month of real years differs from the mean of its name, at the nodes of a track.

    east_kn, north_kn: (months, nodes), towards east and north positive, from January of ``first_year`` on, for the
    *middles* of months: lines between them have the months' own means. source: the file's own title.
    """

    first_year: int
    east_kn: Floats
    north_kn: Floats
    source: str

    @property
    def years(self) -> range:
        return range(self.first_year, self.first_year + len(self.east_kn) // 12)


def has_years(path: Path | None) -> bool:
    """Whether a climate file of a person's own holds real years too."""
    import netCDF4

    if path is None:
        return False
    with netCDF4.Dataset(path) as dataset:
        return "month_of_record" in dataset.variables


def years_at(path: Path | None, lat_deg: ArrayLike, lon_deg: ArrayLike) -> TrackYears:
    """The years of a file, the shipped one if left out, at places in degrees. Raises InputFaults."""
    import netCDF4

    lat, lon = np.atleast_1d(np.asarray(lat_deg, float)), np.atleast_1d(np.asarray(lon_deg, float))
    path = path or shipped("climatology_demo") / "years.nc"
    with netCDF4.Dataset(path) as dataset:
        missing = [name for name in ("month_of_record", "east_off", "north_off") if name not in dataset.variables]
        if missing:
            wanted = "real years are wanted, as `passage climate build` writes them"
            raise InputFaults([Fault(path.name, 0, missing[0], "missing", wanted)])
        grid_lat, grid_lon = (np.asarray(dataset[name][:], float) for name in dataset["east_off"].dimensions[1:])
        corners, weights, reached = around(grid_lat, grid_lon, lat, lon)
        refuse_outside(path.name, lat, lon, reached)
        east, north = (_corners(dataset[name], corners, weights) for name in ("east_off", "north_off"))
        first, title = int(dataset["month_of_record"].first_year), str(getattr(dataset, "title", path.name))
    return TrackYears(first, at_mid_months(east), at_mid_months(north), title)


def _corners(variable: Any, corners: tuple[Any, ...], weights: Floats) -> Floats:
    """(months, places) in knots; a place that the record does not know differs by nothing."""
    values = np.ma.filled(variable[:].astype(float), np.nan)
    return KNOTS_PER_M_S * np.nan_to_num(known_mean(values[corners], weights))


def at_mid_months(means: Floats) -> Floats:
    """Values at the middles of months, straight lines between which have those monthly means; (months, ...)."""
    count = len(means)
    lines = (
        np.diag(np.full(count, 0.75)) + np.diag(np.full(count - 1, 0.125), 1) + np.diag(np.full(count - 1, 0.125), -1)
    )
    lines[0, 0] = lines[-1, -1] = 0.875
    return np.asarray(np.linalg.solve(lines, means.reshape(count, -1)).reshape(means.shape))
