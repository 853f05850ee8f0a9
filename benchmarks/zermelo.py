"""Currents whose best track is known: Zermelo's equation shot from every heading, beside the search.

    python -m benchmarks.zermelo

In a plane, five knots through the water: the heading of a quickest track turns by theta' = sin^2 v_x
+ sin cos (u_x - v_y) - cos^2 u_y (Zermelo 1931; also where the current changes with time). All headings are shot at
once by Runge and Kutta's method; of the tracks that meet the goal the soonest is the best, the others are traps. The
currents are invented.
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.search.find import find_track
from tests.search_cases import SWIRLS, InPlane, plane, question

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    State = tuple[Floats, Floats, Floats]

SPEED_KN = 5.0
HEADINGS, STEP_H, LONGEST_H = 8001, 0.05, 40.0
NEAR_NM, HIT_NM = 3.0, 0.02
HAIR_NM = 1e-3


@dataclass(frozen=True)
class Shot:
    """Hours to the goal and heading at the start, radians from the x axis."""

    hours: float
    heading: float


def shoot(current: Callable[..., tuple[Floats, Floats]], goal: tuple[float, float]) -> list[Shot]:
    """Every track from (0, 0) to the goal that no small change betters, the soonest first."""
    headings = np.linspace(-np.pi, np.pi, HEADINGS)
    miss, _ = _run(current, goal, headings)
    least = np.flatnonzero((miss[1:-1] <= miss[:-2]) & (miss[1:-1] <= miss[2:]) & (miss[1:-1] < NEAR_NM)) + 1
    found = []
    for at in least:
        low, high = headings[at - 1], headings[at + 1]
        for _ in range(4):
            finer = np.linspace(low, high, 41)
            miss, hours = _run(current, goal, finer)
            best = int(np.argmin(miss))
            low, high = finer[max(best - 1, 0)], finer[min(best + 1, 40)]
        if miss[best] < HIT_NM:
            found.append(Shot(float(hours[best]), float(finer[best])))
    return sorted(found, key=lambda shot: shot.hours)


def _run(
    current: Callable[..., tuple[Floats, Floats]], goal: tuple[float, float], headings: Floats
) -> tuple[Floats, Floats]:
    """How near each comes to the goal, and when."""
    state: State = (np.zeros(len(headings)), np.zeros(len(headings)), headings.copy())
    nearest, when = np.full(len(headings), np.inf), np.zeros(len(headings))
    for step in range(round(LONGEST_H / STEP_H)):
        then = _stepped(current, state, step * STEP_H)
        run_x, run_y = then[0] - state[0], then[1] - state[1]
        share = ((goal[0] - state[0]) * run_x + (goal[1] - state[1]) * run_y) / np.maximum(run_x**2 + run_y**2, 1e-12)
        share = np.clip(share, 0.0, 1.0)
        miss = np.hypot(state[0] + share * run_x - goal[0], state[1] + share * run_y - goal[1])
        when = np.where(miss < nearest, (step + share) * STEP_H, when)
        nearest, state = np.minimum(miss, nearest), then
    return nearest, when


def _stepped(current: Callable[..., tuple[Floats, Floats]], state: State, hour: float) -> State:
    def at(share: float, change: State | None) -> State:
        now = state if change is None else tuple(s + share * STEP_H * c for s, c in zip(state, change, strict=True))
        return _change(current, *now, hour + share * STEP_H)

    one = at(0.0, None)
    two = at(0.5, one)
    three = at(0.5, two)
    four = at(1.0, three)
    x, y, heading = (
        s + STEP_H / 6.0 * (a + 2.0 * b + 2.0 * c + d)
        for s, a, b, c, d in zip(state, one, two, three, four, strict=True)
    )
    return x, y, heading


def _change(current: Callable[..., tuple[Floats, Floats]], x: Floats, y: Floats, heading: Floats, hour: float) -> State:
    u, v = current(x, y, hour)
    (u_east, v_east), (u_north, v_north) = current(x + HAIR_NM, y, hour), current(x, y + HAIR_NM, hour)
    u_x, v_x, u_y, v_y = (
        (there - here) / HAIR_NM for there, here in ((u_east, u), (v_east, v), (u_north, u), (v_north, v))
    )
    sine, cosine = np.sin(heading), np.cos(heading)
    turn = sine**2 * v_x + sine * cosine * (u_x - v_y) - cosine**2 * u_y
    return SPEED_KN * cosine + u, SPEED_KN * sine + v, turn


def main() -> int:
    bad = 0
    for name, (current, goal, strongest_kn, _) in SWIRLS.items():
        shots = shoot(current, goal)
        print(f"{name}: tracks of {', '.join(f'{shot.hours:.3f}' for shot in shots)} h")
        for spacing_nm in (20.0, 12.0, 10.0, 6.0, 5.0, 3.0):
            began = time.process_time()
            asked = question(
                plane(0.0, 0.0),
                plane(*goal),
                InPlane(current, strongest_kn),
                spacing_nm=spacing_nm,
                slack_share=2e-4,
                most_waypoints=40,
            )
            hours = find_track(asked).hours
            off = hours / shots[0].hours - 1.0
            bad += abs(off) > 2e-3
            print(f"  {spacing_nm:4.0f} nm {hours:8.4f} h {off:+.3%}, {time.process_time() - began:.1f} s", flush=True)
    return bad


if __name__ == "__main__":
    sys.exit(main())
