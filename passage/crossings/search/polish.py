"""Waypoints in continuous positions: measured, shifted until nothing gets better, and thinned to a handful.

The lattice has found the valley; here its floor is found. Each waypoint in turn tries places around it and the least
point of a parabola through them, every other waypoint at once, in smaller and smaller steps; what a wall shuts costs
infinitely much, so waypoints slide up to it. Few waypoints first, then twice as many, so that long bends settle
quickly.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.search.going import SLOWEST_KN, changes_slowly, sailed
from passage.crossings.search.lines import between, meeting, moved, normals, pieces, positions

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from passage.crossings.search.going import Speeds, Timed
    from passage.crossings.search.lines import Pieces
    from passage.crossings.search.walls import Walls

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]

ROUNDS = 40  # of the clock; two or three settle a climate
CLOCK_H = 0.02
GUESS_SHARE = 1.5  # hours of the first guess are those of her fastest, and half as long again
SWEEPS = 30
FLOOR_SHARE = 5e-5  # nor is a track with twice the waypoints that is better by less
WORTH_SHARE = 1e-5  # a sweep that betters less than this has settled
ROUGH_SHARE = 0.01  # thinning before the polish may cost this much, for the polish wins it back
MOST_LEGS = 32
COARSE = 20  # the last step of a polish that another follows is this part of the first
FINEST = 64  # and of the last one


class Schedule(NamedTuple):
    """Legs of a track on the clock: hour at which each begins, hours and priced hours of each, (legs,)."""

    begins_h: Floats
    hours: Floats
    cost_h: Floats

    @property
    def total_h(self) -> float:
        return float(self.cost_h.sum())


@dataclass(frozen=True)
class TrackCost:
    """What a track costs: by pieces of step_nm at most, in speeds, among walls, the hours of every piece on the clock
    added one by one. begins_h: hour since departure at which it is begun.
    """

    speeds: Speeds
    walls: Walls
    step_nm: float
    begins_h: float = 0.0

    def schedule(self, waypoints: Floats) -> Schedule:
        """Waypoints (n, 3) sailed in order on great circles. Infinite where a wall stands."""
        start, end = waypoints[:-1], waypoints[1:]
        cut = pieces(start, end, self.step_nm)
        run, begins = self._on_the_clock(cut, lambda hours: self.begins_h + _before(hours), ROUNDS)
        hours, cost = (np.bincount(cut.line, values, minlength=len(start)).astype(float) for values in run[:2])
        if np.isfinite(hours).all():
            cost = np.where(self._shut(start, end, cut, begins, run.hours), np.inf, cost)
        return Schedule(self.begins_h + _before(hours), hours, cost)

    def legs(self, start: Floats, end: Floats, begins_h: Floats) -> tuple[Floats, Floats]:
        """Hours and priced hours (n,) of great circles from (n, 3) to (n, 3), each begun at its own hour."""
        cut = pieces(start, end, self.step_nm)
        opens = np.searchsorted(cut.line, np.arange(len(start)))

        def begins(hours: Floats) -> Floats:
            before = _before(np.where(np.isfinite(hours), hours, 0.0))
            return np.asarray(before - before[opens][cut.line] + begins_h[cut.line])

        run, begun = self._on_the_clock(cut, begins, 1 if changes_slowly(self.speeds) else ROUNDS)
        hours, cost = (np.bincount(cut.line, values, minlength=len(start)).astype(float) for values in run[:2])
        possible = np.flatnonzero(np.isfinite(cost))
        if len(possible):
            shut = self._shut(start, end, cut, begun, run.hours, possible)
            cost[possible[shut]] = np.inf
        return hours, cost

    def _on_the_clock(self, cut: Pieces, begins: Callable[[Floats], Floats], rounds: int) -> tuple[Timed, Floats]:
        """Pieces sailed, each begun when those before it are done, and when that is. The hours of all are found at once
        on a guessed clock, which is right up to one piece more each time and settles far sooner where winds are slow.
        """
        steps = between(cut.start, cut.end)
        clock = begins(steps.distance_nm * GUESS_SHARE / max(self.speeds.fastest_kn, SLOWEST_KN))
        for _ in range(rounds):
            run = sailed(steps, clock, self.speeds, self.walls)
            then = begins(run.hours)
            moved_h = np.abs(np.subtract(then, clock, where=np.isfinite(then), out=np.zeros(len(then)))).max()
            if moved_h < CLOCK_H:
                break
            clock = np.where(np.isfinite(then), then, clock)
        return run, clock

    def _shut(
        self,
        start: Floats,
        end: Floats,
        cut: Pieces,
        begins_h: Floats,
        hours: Floats,
        which: NDArray[np.int64] | None = None,
    ) -> Bools:
        """Which of the great circles (n,), or of those asked about, a wall shuts at the time."""
        asked = np.arange(len(start)) if which is None else which
        opens, many = np.searchsorted(cut.line, asked), np.bincount(cut.line, minlength=len(start))[asked]

        def holds(lat: Floats, lon: Floats, line: NDArray[np.int64], share: Floats) -> Bools:
            place = np.clip(share, 0.0, 1.0) * many[line]
            piece = np.minimum(place.astype(np.int64), many[line] - 1)
            at = opens[line] + piece
            return self.walls.shut(lat, lon, begins_h[at] + (place - piece) * hours[at])

        return meeting(start[asked], end[asked], self.walls.may_be_shut_between, holds)


def _before(hours: Floats) -> Floats:
    """Hours passed before each of some pieces in a row."""
    return np.concatenate([[0.0], np.cumsum(hours)[:-1]])


def polished(waypoints: Floats, measure: TrackCost, reach_nm: float, slack_share: float, most_waypoints: int) -> Floats:
    """The best track near one that can be sailed, in as few waypoints as cost at most slack_share more, and in
    most_waypoints between the ends at most, whatever that costs. See ``floor_near`` and ``in_few``.
    """
    return in_few(floor_near(waypoints, measure, reach_nm), measure, reach_nm, slack_share, most_waypoints)


def floor_near(waypoints: Floats, measure: TrackCost, reach_nm: float) -> Floats:
    """The best track near one that can be sailed, in as many waypoints as its bends need.

    waypoints: (n, 3) normals, the ends kept. reach_nm: the first step.
    """
    track = settled(thinned(waypoints, measure, ROUGH_SHARE), measure, reach_nm, reach_nm / COARSE)
    best = measure.schedule(track).total_h
    while len(track) <= MOST_LEGS:
        finer = settled(_halved(track), measure, reach_nm / 4.0, reach_nm / COARSE)
        total = measure.schedule(finer).total_h
        gained = best - total
        track, best = (finer, total) if gained > 0.0 else (track, best)
        if gained < FLOOR_SHARE * best:
            break
    return track


def in_few(track: Floats, measure: TrackCost, reach_nm: float, slack_share: float, most_waypoints: int) -> Floats:
    """A track in as few waypoints as cost at most slack_share more, and in most_waypoints between the ends at most."""
    return _few(track, measure, reach_nm, measure.schedule(track).total_h * (1.0 + slack_share), most_waypoints)


def _few(track: Floats, measure: TrackCost, reach_nm: float, most_h: float, most_waypoints: int) -> Floats:
    """Thinned and settled in turn while the cost stays below most_h; then down to most_waypoints."""
    while True:
        now = measure.schedule(track)
        fewer = thinned(track, measure, max(most_h / now.total_h - 1.0, 0.0))
        if len(fewer) == len(track):
            fewer = _with_a_corner_cut_off(track, measure, now, most_h)
        if len(fewer) == len(track) and len(track) - 2 > most_waypoints:
            fewer = _without_cheapest(track, measure, now, 1)
        if len(fewer) == len(track):
            return track
        track = settled(fewer, measure, reach_nm / 4.0)


def thinned(waypoints: Floats, measure: TrackCost, slack_share: float) -> Floats:
    """Waypoints taken away, the cheapest to lose first, while the whole costs at most slack_share more."""
    now = measure.schedule(waypoints)
    most_h = now.total_h * (1.0 + slack_share)
    at_once = len(waypoints)
    while len(waypoints) > 2 and at_once:
        at_once = min(at_once, max(1, len(waypoints) // 8))
        fewer = _without_cheapest(waypoints, measure, now, at_once)
        then = measure.schedule(fewer)
        if len(fewer) < len(waypoints) and then.total_h <= most_h:
            waypoints, now = fewer, then
        else:
            at_once //= 2
    return waypoints


def _without_cheapest(track: Floats, measure: TrackCost, now: Schedule, at_once: int) -> Floats:
    """Without the waypoints whose loss costs least, no two of them neighbours; the same where all are needed."""
    if np.isinf(now.total_h):
        return track
    loss = measure.legs(track[:-2], track[2:], now.begins_h[:-1])[1] - now.cost_h[:-1] - now.cost_h[1:]
    lost: list[int] = []
    for least in np.argsort(loss, kind="stable").tolist():
        if len(lost) < at_once and np.isfinite(loss[least]) and not {least - 1, least + 1} & set(lost):
            lost.append(least)
    return np.delete(track, np.array(lost, dtype=np.int64) + 1, axis=0)


def _with_a_corner_cut_off(track: Floats, measure: TrackCost, now: Schedule, most_h: float) -> Floats:
    """With the cheapest two neighbours made one where the legs to them and from them meet, which goes round a wall as
    they do; the same where that costs more than most_h or no two can be.
    """
    if len(track) < 4 or np.isinf(now.total_h):
        return track
    before, one, other, after = track[:-3], track[1:-2], track[2:-1], track[3:]
    meet = np.cross(np.cross(before, one), np.cross(after, other))
    size = np.linalg.norm(meet, axis=1, keepdims=True)
    meet = meet / np.maximum(size, 1e-15) * np.sign((meet * (one + other)).sum(axis=1, keepdims=True))
    beyond = ((meet - one) * (one - before)).sum(axis=1) > 0.0
    beyond &= ((meet - other) * (other - after)).sum(axis=1) > 0.0
    at = np.flatnonzero(beyond & (size[:, 0] > 1e-12))
    if not len(at):
        return track
    cost = _both_legs(measure, before[at], meet[at], after[at], now.begins_h[at])
    loss = cost - now.cost_h[at] - now.cost_h[at + 1] - now.cost_h[at + 2]
    least = int(np.argmin(loss))
    if not now.total_h + loss[least] <= most_h:
        return track
    first = int(at[least]) + 1
    fewer = np.concatenate([track[:first], meet[at[least]][None], track[first + 2 :]])
    return fewer if measure.schedule(fewer).total_h <= most_h else track


def _halved(track: Floats) -> Floats:
    """With a waypoint in the middle of every leg."""
    middle = track[:-1] + track[1:]
    middle /= np.linalg.norm(middle, axis=1, keepdims=True)
    return np.insert(track, np.arange(1, len(track)), middle, axis=0)


def settled(track: Floats, measure: TrackCost, reach_nm: float, least_nm: float | None = None) -> Floats:
    """Every waypoint but the ends shifted, in steps from reach_nm down to least_nm, while a shift betters the whole."""
    best = measure.schedule(track)
    step_nm, least_nm = reach_nm, least_nm or reach_nm / FINEST
    while step_nm >= least_nm and len(track) > 2:
        for _ in range(SWEEPS):
            tried = _swept(track, measure, best, step_nm)
            found = measure.schedule(tried)
            gained = best.total_h - found.total_h
            if gained > 0.0:
                track, best = tried, found
            if gained < WORTH_SHARE * best.total_h:
                break
        step_nm /= 4.0
    return track


def _swept(track: Floats, measure: TrackCost, now: Schedule, step_nm: float) -> Floats:
    """One sweep over all waypoints between the ends, odd ones first."""
    track = track.copy()
    for first in (1, 2):
        which = np.arange(first, len(track) - 1, 2)
        if len(which):
            track[which] = _shifted(track, which, measure, now, step_nm)
    return track


_TRIES = np.array([(0.0, 0.0), (1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)])  # across, along, in steps


def _shifted(track: Floats, which: NDArray[np.int64], measure: TrackCost, now: Schedule, step_nm: float) -> Floats:
    """The best place found for each of some waypoints whose neighbours stay."""
    behind, here, ahead = track[which - 1], track[which], track[which + 1]
    across = np.cross(here, ahead - behind)
    across /= np.maximum(np.linalg.norm(across, axis=1, keepdims=True), 1e-15)
    along = np.cross(across, here)

    def cost_h(shift_nm: Floats) -> tuple[Floats, Floats]:
        """Places (tries, waypoints, 3) and what the legs to and from them cost, for shifts (tries, waypoints, 2)."""
        far = np.hypot(shift_nm[..., 0], shift_nm[..., 1])
        towards = across * shift_nm[..., :1] + along * shift_nm[..., 1:]
        place = moved(here, towards / np.maximum(far, 1e-12)[..., None], far)
        flat, tries = place.reshape(-1, 3), len(place)
        begins = np.tile(now.begins_h[which - 1], tries)
        cost = _both_legs(measure, np.tile(behind, (tries, 1)), flat, np.tile(ahead, (tries, 1)), begins)
        return place, cost.reshape(tries, -1)

    shifts = np.broadcast_to(_TRIES[:, None, :] * step_nm, (len(_TRIES), len(which), 2))
    places, costs = cost_h(shifts)
    least = np.stack([_least(costs[0], costs[1], costs[2]), _least(costs[0], costs[3], costs[4])], axis=-1)
    more_places, more_costs = cost_h(least[None] * step_nm)
    places, costs = np.concatenate([places, more_places]), np.concatenate([costs, more_costs])
    return np.asarray(places[np.argmin(costs, axis=0), np.arange(len(which))])


def _both_legs(measure: TrackCost, behind: Floats, place: Floats, ahead: Floats, begins_h: Floats) -> Floats:
    """Priced hours (n,) from places (n, 3) by others to yet others, the second leg begun when the first is done; in
    winds that change slowly, about when.
    """
    if changes_slowly(measure.speeds):
        starts, ends = np.concatenate([behind, place]), np.concatenate([place, ahead])
        return np.asarray(measure.legs(starts, ends, np.tile(begins_h, 2))[1].reshape(2, -1).sum(axis=0))
    hours, cost = measure.legs(behind, place, begins_h)
    then = np.flatnonzero(np.isfinite(cost))
    if len(then):
        cost[then] += measure.legs(place[then], ahead[then], begins_h[then] + hours[then])[1]
    return cost


def _least(here: Floats, plus: Floats, minus: Floats) -> Floats:
    """Where, in steps, a parabola through three costs is least; at most two steps away, 0 where it is not."""
    with np.errstate(invalid="ignore"):
        bend, slope = plus + minus - 2.0 * here, (plus - minus) / 2.0
    usable = np.isfinite(bend) & (bend > 1e-12)
    return np.where(usable, np.clip(-np.where(usable, slope, 0.0) / np.where(usable, bend, 1.0), -2.0, 2.0), 0.0)


def written_down(track: Floats, measure: TrackCost, per_degree: float) -> Floats:
    """Waypoints between the ends moved to round numbers, so many to the degree: of those around it each takes the
    cheapest that no wall shuts, or a ten times finer one.
    """
    track = track.copy()
    for at in range(1, len(track) - 1):
        for fineness in (per_degree, 10.0 * per_degree):
            now = measure.schedule(track)
            places = _round_places(track[at], fineness)
            behind, ahead = (np.broadcast_to(track[at + side], places.shape) for side in (-1, 1))
            begins = np.full(len(places), now.begins_h[at - 1])
            cost = _both_legs(measure, behind, places, ahead, begins)
            if np.isfinite(cost.min()):
                track[at] = places[np.argmin(cost)]
                break
    return track


def _round_places(place: Floats, per_degree: float) -> Floats:
    """(25, 3) round places about one, the nearest first."""
    lat, lon = (np.round(value * per_degree) for value in positions(place))
    steps = np.array(
        sorted(((x, y) for x in range(-2, 3) for y in range(-2, 3)), key=lambda step: (np.hypot(*step), step))
    )
    return normals((lat + steps[:, 0]) / per_degree, (lon + steps[:, 1]) / per_degree)
