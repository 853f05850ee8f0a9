"""Several tracks worth choosing between: the quickest, others at prices, and others that stay away from it.

A skipper asks whether to go round the high or through it, where to cross the doldrums, which side of the islands to
leave. So the sea is searched for time alone, with the cyclone season at the price asked, with comfort priced, for the
shortest way, and twice with the waters of the tracks already found made dear, which is where another way shows. What
lies along another, or takes much longer, is dropped; the track as drawn is always one of them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.search.fields import between_nodes
from passage.crossings.search.find import find_track
from passage.crossings.search.going import Even, Going, changes_slowly
from passage.crossings.search.lines import MEAN_RADIUS_NM, angle_between, away_nm, normals, pieces
from passage.crossings.search.polish import TrackCost
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
DEAR_DEG, DEAR_NM = 1.0, 30.0  # of the grid on which waters are made dear, and of the points along their tracks
MEASURED_NM = 10.0
SLACK_SHARE = 0.003  # what few waypoints may cost a choice: far less than its times are sure to
OTHERS_NM = 60.0  # of the lattices of all but the quickest
TIME_ALONE = Prices(cyclone_season=0.0)
KINDLY = Prices(rough=1.0, hard_on_the_wind=1.0)
WITH_WIND = Prices(calm=1.0)


class TrackKind(StrEnum):
    """What a track is beside the others."""

    QUICKEST = "quickest"
    AS_DRAWN = "as drawn"
    CLEAR_OF_SEASON = "clear of the season"
    KINDEST = "kindest"
    FEWEST_CALMS = "fewest calms"
    SHORTEST = "shortest"
    ANOTHER_WAY = "another way"


@dataclass(frozen=True)
class Choice:
    """kinds: all that it is. found: None for the track as drawn. hours: expected, without prices; of the drawn one
    whatever walls it meets. track: (n, 3) normals.
    """

    kinds: tuple[TrackKind, ...]
    found: Found | None
    hours: float
    track: Floats


def find_choices(search: Search, priced: Callable[[Prices], Speeds]) -> tuple[Choice, ...]:
    """Three to five tracks, as far as the sea offers so many, the quickest first, the drawn one among them.

    priced: how fast she goes, with these prices of an hour. Raises RouteRefused as ``find_track`` does for the first.
    """
    few = max(search.slack_share, SLACK_SHARE)
    plain = replace(search, drawn=None, slack_share=few, speeds=priced(TIME_ALONE), limits=_at(search, TIME_ALONE))
    chosen: list[Choice] = []
    for kind, asked in _questions(plain, priced, search.limits.prices.cyclone_season):
        asked = asked if kind is TrackKind.QUICKEST else replace(asked, spacing_nm=max(OTHERS_NM, plain.spacing_nm))
        _find(chosen, kind, asked, plain)
        if kind is TrackKind.QUICKEST and search.drawn is not None:
            _add(chosen, TrackKind.AS_DRAWN, normals(search.drawn.lat_deg, search.drawn.lon_deg), None, plain)
    for _ in range(OTHER_WAYS):
        tracks = [choice.track for choice in chosen]
        _find(
            chosen,
            TrackKind.ANOTHER_WAY,
            replace(plain, speeds=_Away(plain.speeds, tracks, plain), spacing_nm=OTHERS_NM),
            plain,
        )
    return tuple(chosen[:MOST])


def _questions(plain: Search, priced: Callable[[Prices], Speeds], season: float) -> Iterator[tuple[TrackKind, Search]]:
    yield TrackKind.QUICKEST, plain
    seasonal = Prices(cyclone_season=season)
    if season > 0.0:
        yield TrackKind.CLEAR_OF_SEASON, replace(plain, limits=_at(plain, seasonal))
    for kind, prices in ((TrackKind.KINDEST, KINDLY), (TrackKind.FEWEST_CALMS, WITH_WIND)):
        dear = prices.model_copy(update={"cyclone_season": season})
        yield kind, replace(plain, speeds=priced(dear), limits=_at(plain, dear))
    yield TrackKind.SHORTEST, replace(plain, speeds=Even(1.0), limits=_at(plain, TIME_ALONE))


def _at(search: Search, prices: Prices) -> TrackLimits:
    return search.limits.model_copy(update={"prices": prices})


def _find(chosen: list[Choice], kind: TrackKind, asked: Search, plain: Search) -> None:
    """Add the answer; leave out what leads nowhere, but for the first."""
    try:
        found = find_track(asked)
    except RouteRefused:
        if not chosen:
            raise
        return
    _add(chosen, kind, normals(found.lat_deg, found.lon_deg), found, plain)


def _add(chosen: list[Choice], kind: TrackKind, track: Floats, found: Found | None, plain: Search) -> None:
    """Add a track, or to one that it lies along its kind; leave out what takes too long. The drawn one is always added,
    or stands for one that it lies along and is as good as.
    """
    hours = float(TrackCost(plain.speeds, Walls(Days(plain.depart), None), MEASURED_NM).schedule(track).hours.sum())
    for at, other in enumerate(chosen):
        if apart_nm(track, other.track) >= _least_apart_nm(plain):
            continue
        if found is None and hours <= other.hours * (1.0 + SLACK_SHARE):
            chosen[at] = Choice((*other.kinds, kind), None, hours, track)
        elif found is None:
            continue
        elif kind not in other.kinds and kind is not TrackKind.ANOTHER_WAY:
            chosen[at] = replace(other, kinds=(*other.kinds, kind))
        return
    if not chosen or found is None or hours <= LONGER_SHARE * chosen[0].hours:
        chosen.append(Choice((kind,), found, hours, track))


def _least_apart_nm(search: Search) -> float:
    return max(APART_NM, APART_SHARE * search.direct_nm)


def apart_nm(one: Floats, other: Floats) -> float:
    """How far the one track (n, 3) runs from the other on the mean, nm."""
    return float(away_nm(pieces(one[:-1], one[1:], 30.0).end, other).mean())


class _Away:
    """Speeds with the waters of some tracks made dear, but near the two ends."""

    def __init__(self, speeds: Speeds, tracks: list[Floats], search: Search) -> None:
        self._speeds = speeds
        lat, lon = np.arange(-90.0, 90.1, DEAR_DEG), np.arange(-180.0, 180.1, DEAR_DEG)
        places = normals(*np.meshgrid(lat, lon, indexing="ij")).reshape(-1, 3)
        along = np.concatenate([pieces(track[:-1], track[1:], DEAR_NM).start for track in tracks])
        within_nm = max(AWAY_NM, AWAY_SHARE * search.direct_nm)
        near = np.flatnonzero(_by(places, along, within_nm))
        off_nm = np.min([away_nm(places[near], track) for track in tracks], axis=0)
        dear = np.zeros(len(places), dtype=np.float32)
        dear[near] = AWAY_PRICE * np.clip(1.0 - off_nm / within_nm, 0.0, 1.0)
        for end in (normals(*search.ends[:2]), normals(*search.ends[2:])):
            dear[angle_between(places, end) * MEAN_RADIUS_NM < NEAR_ENDS_SHARE * search.direct_nm] = 0.0
        self._dear = dear.reshape(len(lat), len(lon))

    @property
    def fastest_kn(self) -> float:
        return self._speeds.fastest_kn

    @property
    def changes_slowly(self) -> bool:
        return changes_slowly(self._speeds)

    def along(self, steps: Steps, hour: Floats) -> Going:
        going = self._speeds.along(steps, hour)
        place = np.stack([(steps.lat_deg + 90.0) / DEAR_DEG, (steps.lon_deg + 180.0) % 360.0 / DEAR_DEG])
        return Going(going.speed_kn, going.price + between_nodes(self._dear, place))


def _by(places: Floats, along: Floats, within_nm: float) -> NDArray[np.bool_]:
    """Which places may lie within some miles of points along a track."""
    from scipy.spatial import cKDTree

    reach = 2.0 * np.sin((within_nm + DEAR_NM) / MEAN_RADIUS_NM / 2.0)
    return np.asarray(np.isfinite(cKDTree(along).query(places, distance_upper_bound=reach)[0]))
