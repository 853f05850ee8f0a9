"""Sailing in a current: the ground made good when the water itself moves.

The track is held over the ground. The largest speed s along the course such that (s along the course - c) lies in the
hull of the speeds through the water is found by moving the hull, not by shrinking it: through the water she must make
exactly the opposite of the current's part across the course, and of all points of the hull that do, the one furthest
ahead is hers.

              across
                |   . - * - .        q  what she must make across, to stem the set
            q --|-/- - - - - x       x  the point furthest ahead that does
                |     hull    |      *  the most she can make across
        --------o-----------------> along the course

Where even * falls short of q the cross-set cannot be stemmed: she sails at *, and the miles she is set off the track in
that hour are counted as ground lost. That is cautious, for a crew with sea room lets her be set and lays off later.
Against the moving water the wind is another: the current is taken from it before the polar is asked.

Where little sets across (up to a knot on average, which is nearly everywhere at sea) the angle that she lays off is
taken from what she made an hour ago, without a search: of an hour within some hundredths of a knot, in the mean within
thousandths, and many times as quick.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.speed import ANGLE_STEP_DEG, WIND_STEP_KN
from passage.errors import RouteRefused
from passage.inputs.months import month_weights
from passage.positions import format_position

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.crossings.ground import Ground
    from passage.crossings.speed import Hulls, SpeedTable
    from passage.inputs.current import TrackCurrent

    Floats = NDArray[np.float32]

GENTLE_KN = 1.0  # across the course on average, up to which the hour before is a good guide
LEAST_KN = 0.3  # made through the water at least, when she lays off
WINS_FROM_KN = 0.5  # a current that is nowhere stronger wins over nobody who gets anywhere
HALVINGS = 13  # of an angle of 180 degrees at most: to 0.02 degree
_MEAN_POINTS, _MEAN_WEIGHTS = np.polynomial.hermite_e.hermegauss(9)


class Stemmer:
    """The hull of a speed table, ready to be moved: its radius at any angle, and its most in any direction."""

    def __init__(self, speeds: SpeedTable) -> None:
        self._radius = speeds.made_good_kn
        angles = np.radians(np.arange(self._radius.shape[1]) * ANGLE_STEP_DEG)
        reach = np.cos(angles[:, None] - angles)  # a hull symmetric about the wind is furthest on the side looked to
        self._furthest = np.stack([(row * reach).argmax(axis=1) for row in self._radius]).astype(np.float32)

    def along(self, tailwind_kn: Floats, crosswind_kn: Floats, across_kn: Floats, share: Floats) -> Floats:
        """Speed through the water along the course (kn) when she must make ``across_kn`` across it, all (n,).

        tailwind_kn, crosswind_kn: wind against the water along the course (positive astern) and across it (towards
        the right positive); across_kn: towards the right positive; share: by which the hull is smaller than the
        table's. Less what of ``across_kn`` cannot be made.
        """
        wind = np.minimum(np.hypot(tailwind_kn, crosswind_kn) / WIND_STEP_KN + 0.5, self._radius.shape[0] - 1)
        row = wind.astype(np.intp)
        side = np.where(across_kn >= 0.0, np.float32(1.0), np.float32(-1.0))
        # Where the wind is from, off the course, positive on the side that she must make across to.
        wind_deg: Floats = side * np.degrees(np.arctan2(-crosswind_kn, -tailwind_kn))
        wanted = np.abs(across_kn) / share
        if not wanted.any():
            return self._hull(row, -wind_deg) * share
        turn = _signed(np.float32(90.0) - wind_deg)
        furthest = np.take_along_axis(self._furthest[row], (np.abs(turn) + 0.5).astype(np.intp)[:, None], axis=1)[:, 0]
        low: Floats = np.zeros_like(wanted)
        high: Floats = np.abs(_signed(wind_deg + np.sign(turn) * furthest))
        most = self._hull(row, high - wind_deg) * np.sin(np.radians(high))
        stemmed = np.minimum(wanted, np.maximum(most, np.float32(0.0)))
        for _ in range(HALVINGS):
            middle = (low + high) * np.float32(0.5)
            short = self._hull(row, middle - wind_deg) * np.sin(np.radians(middle)) < stemmed
            low, high = np.where(short, middle, low), np.where(short, high, middle)
        ahead = self._hull(row, high - wind_deg) * np.cos(np.radians(high))
        return np.asarray((ahead - (wanted - stemmed)) * share, dtype=np.float32)

    def _hull(self, row: NDArray[np.intp], off_wind_deg: Floats) -> Floats:
        """Radius of the hull in directions less than a turn off the wind, linear between whole degrees."""
        place = np.abs(off_wind_deg)
        place = np.minimum(place, np.float32(360.0) - place)
        np.clip(place, np.float32(0.0), np.float32(179.999), out=place)
        place *= np.float32(1.0 / ANGLE_STEP_DEG)
        column = place.astype(np.intp)
        part = place - column.astype(np.float32)
        flat = row * self._radius.shape[1] + column
        radius: Floats = self._radius.reshape(-1)[flat] * (1 - part) + self._radius.reshape(-1)[flat + 1] * part
        return radius


def _signed(angle_deg: Floats) -> Floats:
    return (angle_deg + np.float32(180.0)) % np.float32(360.0) - np.float32(180.0)


def stemmers_of(hulls: Sequence[SpeedTable]) -> list[Stemmer]:
    """One for each of the tables, in the order of their numbers among ``Hulls``."""
    return [Stemmer(table) for table in {id(table): table for table in hulls}.values()]


def stem(
    stemmers: Sequence[Stemmer],
    tailwind_kn: Floats,
    crosswind_kn: Floats,
    across_kn: Floats,
    share: Floats,
    number: NDArray[np.intp],
) -> Floats:
    """``Stemmer.along``, each boat by her own; number: which, (n,)."""
    if len(stemmers) == 1:
        return stemmers[0].along(tailwind_kn, crosswind_kn, across_kn, share)
    speed = np.empty_like(share)
    for each in np.unique(number):
        boats = number == each
        felt = (tailwind_kn[boats], crosswind_kn[boats], across_kn[boats], share[boats])
        speed[boats] = stemmers[each].along(*felt)
    return speed


def stem_gently(
    hulls: Hulls,
    tailwind_kn: Floats,
    crosswind_kn: Floats,
    across_kn: Floats,
    share: Floats,
    number: NDArray[np.intp],
    before_kn: Floats,
) -> Floats:
    """``Stemmer.along`` for a gentle set, of boats of several hulls (``number``: as for ``Hulls.along``).

    before_kn: what each made through the water an hour ago, by which she lays off: the angle's sine is what she must
    make across over that. The table is asked for the wind on that heading, and Pythagoras for what is left along the
    course. Writes what she makes now into ``before_kn``.
    """
    wanted = np.abs(across_kn)
    sine = np.maximum(before_kn, wanted)
    np.maximum(sine, np.float32(LEAST_KN), out=sine)
    np.divide(across_kn, sine, out=sine)
    cosine = sine * sine
    np.subtract(np.float32(1.0), cosine, out=cosine)
    np.sqrt(cosine, out=cosine)
    tail = tailwind_kn * cosine
    tail += crosswind_kn * sine
    cosine *= crosswind_kn
    sine *= tailwind_kn
    cosine -= sine
    through = hulls.along(tail, cosine, number)
    through *= share
    before_kn[:] = through
    np.minimum(wanted, through, out=sine)
    wanted -= sine
    sine *= sine
    through *= through
    through -= sine
    np.sqrt(through, out=through)
    through -= wanted
    return through


def motor_along(motor_kn: Floats, across_kn: Floats) -> Floats:
    """Speed through the water along the course under engine when she must make ``across_kn`` across it."""
    across = np.abs(across_kn)
    ahead = np.sqrt(np.maximum(motor_kn * motor_kn - across * across, np.float32(0.0)))
    return np.asarray(ahead - np.maximum(across - motor_kn, np.float32(0.0)))


def refuse_where_current_wins(ground: Ground, depart: datetime) -> None:
    """RouteRefused at the first node where the mean crossing, at the time she would be there, makes no ground good.

    The mean is over the wind's whole distribution at the node, by quadrature; hours in which the current wins are no
    reason to refuse.
    """
    track, current = ground.track, ground.current
    if current is None or np.hypot(current.east_kn, current.north_kn).max() < WINS_FROM_KN:
        return
    pace_kn = np.full(track.nodes, 5.0)
    for _ in range(2):  # the first round finds the pace, the second the month in which she is there
        hours = np.concatenate([[0.0], np.cumsum(track.spacing_nm / np.maximum(pace_kn[:-1], 1.0))])
        pace_kn = _mean_made_good_kn(ground, current, depart, hours)
    if (pace_kn > 0.0).all():
        return
    node = int(np.argmax(pace_kn <= 0.0))
    place = format_position(track.lat_deg[node], track.lon_deg[node])
    raise RouteRefused(
        f"the current wins at {place}: in the winds of the season she would make {pace_kn[node]:.1f} kn good along "
        f"{track.course_deg[node]:03.0f} there; lead the track out of the current with waypoints in voyage.toml, or "
        "leave in another month"
    )


def _mean_made_good_kn(
    ground: Ground, current: TrackCurrent, depart: datetime, hours: NDArray[np.float64]
) -> NDArray[np.float64]:
    track, climate, vessel = ground.track, ground.climate, ground.vessel
    time = np.datetime64(depart.replace(tzinfo=None), "s") + (hours * 3600.0).astype("timedelta64[s]")
    first, second, part = month_weights(time)
    node = np.arange(track.nodes)
    fields = (climate.wind_east_kn, climate.wind_north_kn, climate.sigma_kn, current.east_kn, current.north_kn)
    east, north, sigma, set_east, set_north = (
        field[first, node] * (1 - part) + field[second, node] * part for field in fields
    )
    sine, cosine = np.sin(np.radians(track.course_deg)), np.cos(np.radians(track.course_deg))
    along, across = set_east * sine + set_north * cosine, set_east * cosine - set_north * sine
    tail, cross = east * sine + north * cosine - along, east * cosine - north * sine - across
    tails = tail[:, None, None] + sigma[:, None, None] * _MEAN_POINTS[:, None] + 0.0 * _MEAN_POINTS
    crosses = cross[:, None, None] + sigma[:, None, None] * _MEAN_POINTS + 0.0 * _MEAN_POINTS[:, None]
    needed = np.broadcast_to(-across[:, None, None], tails.shape)
    share = np.full(tails.size, vessel.helm.performance_mean_share, dtype=np.float32)
    tails_kn, crosses_kn, needed_kn = (field.reshape(-1).astype(np.float32) for field in (tails, crosses, needed))
    made = Stemmer(vessel.speeds).along(tails_kn, crosses_kn, needed_kn, share).reshape(tails.shape)
    weights = np.outer(_MEAN_WEIGHTS, _MEAN_WEIGHTS) / _MEAN_WEIGHTS.sum() ** 2
    return np.asarray((made * weights).sum(axis=(1, 2)) + along)
