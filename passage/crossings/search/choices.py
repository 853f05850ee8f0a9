"""Several tracks worth choosing between: the quickest, others at other prices, and others that stay away from it.

A skipper asks whether to go round the high or through it, where to cross the doldrums, which side of the islands to
leave. So the sea is searched again with comfort priced, for the shortest way, without regard to the cyclone season, and
twice with the waters of the tracks already found made dear, which is where another way shows. What lies along another,
or takes much longer, is dropped.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.search.find import find_track
from passage.crossings.search.going import Even, Going, changes_slowly
from passage.crossings.search.lines import MEAN_RADIUS_NM, angle_between, away_nm, normals, pieces
from passage.crossings.search.polish import Measure
from passage.crossings.search.walls import Days, Walls
from passage.errors import RouteRefused
from passage.inputs.search import Prices, TrackLimits

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from numpy.typing import NDArray

    from passage.crossings.search.find import Found, Search
    from passage.crossings.search.going import Speeds
    from passage.crossings.search.lines import Steps

    Floats = NDArray[np.float64]

MOST = 5
LONGER_SHARE = 1.35  # of the quickest one's hours: what takes longer is no choice
APART_NM, APART_SHARE = 40.0, 0.025  # tracks nearer one another, on the mean, and in parts of the direct line, are one
OTHER_WAYS = 2
AWAY_SHARE, AWAY_NM = 0.08, 100.0  # how far another way is sent from those known, at least
AWAY_PRICE = 1.0  # hours counted on top of each hour in their waters
NEAR_ENDS_SHARE = 0.2  # of the direct distance: so near the ends all ways may be the same
MEASURED_NM = 10.0
SLACK_SHARE = 0.003  # what few waypoints may cost a choice: far less than its times are sure to
OTHERS_NM = 60.0  # of the lattices of all but the quickest
KINDLY = Prices(rough=1.0, hard_on_the_wind=1.0)
WITH_WIND = Prices(calm=1.0)


class Kind(StrEnum):
    """What a track is beside the others."""

    QUICKEST = "quickest"
    KINDEST = "kindest"
    FEWEST_CALMS = "fewest calms"
    SHORTEST = "shortest"
    ANY_SEASON = "whatever the season"
    ANOTHER_WAY = "another way"


@dataclass(frozen=True)
class Choice:
    """kinds: all that it is. hours: expected, without prices."""

    kinds: tuple[Kind, ...]
    found: Found
    hours: float


def find_choices(search: Search, priced: Callable[[Prices], Speeds]) -> tuple[Choice, ...]:
    """Three to five tracks, as far as the sea offers so many, the quickest first.

    priced: how fast she goes, with these prices of an hour. Raises RouteRefused as ``find_track`` does for the first.
    """
    season = search.limits.prices.cyclone_season
    few = max(search.slack_share, SLACK_SHARE)
    plain = replace(search, drawn=None, slack_share=few, limits=_at(search, Prices(cyclone_season=season)))
    chosen: list[Choice] = []
    for kind, asked in _questions(plain, priced, season):
        asked = asked if kind is Kind.QUICKEST else replace(asked, spacing_nm=max(OTHERS_NM, plain.spacing_nm))
        _add(chosen, kind, asked, plain)
    for _ in range(OTHER_WAYS):
        tracks = [normals(choice.found.lat_deg, choice.found.lon_deg) for choice in chosen]
        _add(
            chosen,
            Kind.ANOTHER_WAY,
            replace(plain, speeds=_Away(plain.speeds, tracks, plain), spacing_nm=OTHERS_NM),
            plain,
        )
    return tuple(chosen[:MOST])


def _questions(plain: Search, priced: Callable[[Prices], Speeds], season: float) -> Iterator[tuple[Kind, Search]]:
    yield Kind.QUICKEST, plain
    for kind, prices in ((Kind.KINDEST, KINDLY), (Kind.FEWEST_CALMS, WITH_WIND)):
        dear = prices.model_copy(update={"cyclone_season": season})
        yield kind, replace(plain, speeds=priced(dear), limits=_at(plain, dear))
    yield Kind.SHORTEST, replace(plain, speeds=Even(1.0), limits=_at(plain, Prices(cyclone_season=0.0)))
    if season > 0.0:
        yield Kind.ANY_SEASON, replace(plain, limits=_at(plain, Prices(cyclone_season=0.0)))


def _at(search: Search, prices: Prices) -> TrackLimits:
    return search.limits.model_copy(update={"prices": prices})


def _add(chosen: list[Choice], kind: Kind, asked: Search, plain: Search) -> None:
    """Add the answer, or to one that it lies along its kind; leave out what takes too long or leads nowhere."""
    try:
        found = find_track(asked)
    except RouteRefused:
        if not chosen:
            raise
        return
    track = normals(found.lat_deg, found.lon_deg)
    for at, other in enumerate(chosen):
        if apart_nm(track, normals(other.found.lat_deg, other.found.lon_deg)) < _least_apart_nm(plain):
            if kind not in other.kinds and kind is not Kind.ANOTHER_WAY:
                chosen[at] = replace(other, kinds=(*other.kinds, kind))
            return
    hours = float(Measure(plain.speeds, Walls(Days(plain.depart), None), MEASURED_NM).schedule(track).hours.sum())
    if not chosen or hours <= LONGER_SHARE * chosen[0].hours:
        chosen.append(Choice((kind,), found, hours))


def _least_apart_nm(search: Search) -> float:
    return max(APART_NM, APART_SHARE * search.direct_nm)


def apart_nm(one: Floats, other: Floats) -> float:
    """How far the one track (n, 3) runs from the other on the mean, nm."""
    return float(away_nm(pieces(one[:-1], one[1:], 30.0).end, other).mean())


class _Away:
    """Speeds with the waters of some tracks made dear, but near the two ends."""

    def __init__(self, speeds: Speeds, tracks: list[Floats], search: Search) -> None:
        self._speeds, self._tracks = speeds, tracks
        self._within_nm = max(AWAY_NM, AWAY_SHARE * search.direct_nm)
        self._near_ends_nm = NEAR_ENDS_SHARE * search.direct_nm
        self._ends = normals(*search.ends[:2]), normals(*search.ends[2:])

    @property
    def fastest_kn(self) -> float:
        return self._speeds.fastest_kn

    @property
    def changes_slowly(self) -> bool:
        return changes_slowly(self._speeds)

    def along(self, steps: Steps, hour: Floats) -> Going:
        going = self._speeds.along(steps, hour)
        place = normals(steps.lat_deg, steps.lon_deg)
        near_ends = np.zeros(place.shape[:-1], dtype=bool)
        for end in self._ends:
            near_ends |= angle_between(place, end) * MEAN_RADIUS_NM < self._near_ends_nm
        near = np.full(place.shape[:-1], np.inf)
        for track in self._tracks:
            near = np.minimum(near, away_nm(place, track))
        dear = AWAY_PRICE * np.clip(1.0 - near / self._within_nm, 0.0, 1.0) * ~near_ends
        return Going(going.speed_kn, going.price + dear)
