"""Which cyclone seasons a departure meets: by the days on which 8 crossings in 10 are where."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np

from passage.sailings.cyclones import basins

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.ensemble import Crossings
    from passage.sailings.cyclones import Basin
    from passage.sailings.track import Track


def basins_along(track: Track) -> NDArray[np.bool_]:
    """Which basins hold which nodes, (basins, nodes), in the order of ``cyclones.basins``."""
    places = list(zip(track.lat_deg.tolist(), track.lon_deg.tolist(), strict=True))
    return np.array([[basin.holds(*place) for place in places] for basin in basins()])


def seasons_met(crossings: Crossings, along: NDArray[np.bool_]) -> tuple[Basin, ...]:
    """Basins in whose season some of the middle eight crossings in ten are there on some day.

    along: ``basins_along`` of the track. An official season is not a promise of safety outside it.
    """
    days = range(0, crossings.hours, 24)
    ends = np.quantile(crossings.distance_nm[:, ::24], [0.1, 0.9], axis=0, method="inverted_cdf")
    nodes = np.round(ends / crossings.track.spacing_nm).astype(int)
    out = crossings.arrival_h > 0.0
    met = set()
    for day, first, last in zip(days, *nodes, strict=True):
        if day and (crossings.arrival_h[out] <= day).mean() >= 0.9:
            break
        date = (crossings.depart + timedelta(hours=day)).date()
        here = along[:, first : last + 1].any(axis=1)
        met |= {number for number in np.flatnonzero(here) if basins()[number].in_season(date)}
    return tuple(basins()[number] for number in sorted(met))
