"""Which cyclone seasons a departure meets: by the days on which 8 crossings in 10 are where."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np

from passage.sailings.cyclones import Basin, basins
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.ensemble import Crossings
    from passage.sailings.track import Track

IN_SHARE = 0.95  # of the crossings are in by the slow end; who is later is on her own


class Met(Record):
    """A basin in its season."""

    basin: Basin

    @reckoned("sea area of that season")
    def name(self) -> str:
        return self.basin.name

    @reckoned("its first and last day, in words")
    def season(self) -> str:
        first, last = (date(2000, *day) for day in (self.basin.first_day, self.basin.last_day))
        return f"{first.day} {first:%B} to {last.day} {last:%B}"

    @reckoned("who proclaims it")
    def authority(self) -> str:
        return self.basin.authority

    first_day: int = told("first day out on which she is there; 0 is the departure")
    last_day: int = told("last day out on which she is there")


def basins_along(track: Track) -> NDArray[np.bool_]:
    """Which basins hold which nodes, (basins, nodes), in the order of ``cyclones.basins``."""
    places = list(zip(track.lat_deg.tolist(), track.lon_deg.tolist(), strict=True))
    return np.array([[basin.holds(*place) for place in places] for basin in basins()])


def seasons_met(crossings: Crossings, along: NDArray[np.bool_]) -> tuple[Met, ...]:
    """Basins in whose season some of the middle eight crossings in ten are there on some day, until 19 in 20 are in.

    along: ``basins_along`` of the track. An official season is not a promise of safety outside it.
    """
    ends = np.quantile(crossings.distance_nm[:, ::24], [0.1, 0.9], axis=0, method="inverted_cdf")
    nodes = np.round(ends / crossings.track.spacing_nm).astype(int)
    met: dict[int, list[int]] = {}
    for day, (first, last) in enumerate(nodes.T):
        if day and (crossings.arrival_h <= 24 * day).mean() >= IN_SHARE:
            break
        today = (crossings.depart + timedelta(days=day)).date()
        for number in np.flatnonzero(along[:, first : last + 1].any(axis=1)):
            if basins()[number].in_season(today):
                met.setdefault(int(number), []).append(day)
    whole: dict[str, list[int]] = {}  # the parts of a basin are one season
    for part in sorted(met):
        whole.setdefault(basins()[part].name, []).append(part)
    return tuple(
        Met(basins()[parts[0]], min(min(met[part]) for part in parts), max(max(met[part]) for part in parts))
        for parts in whole.values()
    )
