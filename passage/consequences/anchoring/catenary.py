r"""How an anchor line hangs: chain, rope or both, between the bottom and the bow, under a steady horizontal pull.

    bow roller ┐
                \        rope, nearly straight
                 `·
                   `·.   chain, a catenary
    bottom ___________`··.____⚓   the part that still lies there keeps the pull on the anchor level

One part of line of length L and weight w a metre in water, pulled with H level and V0 upward at its lower end,
rises (T1 - T0) / w and reaches H/w (asinh(V1/H) - asinh(V0/H)), where V1 = V0 + w L and T² = H² + V². Parts are
laid one upon the other from the anchor up. Statics only: waves, yawing and snatch are left out, and they are
what breaks things.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asinh, atan2, degrees, hypot, radians, sqrt, tan
from typing import TYPE_CHECKING

from passage.errors import OutOfRange

if TYPE_CHECKING:
    from collections.abc import Callable

GRAVITY_M_S2 = 9.80665
STEEL_IN_WATER = 1.0 - 1025.0 / 7850.0  # share of its weight that steel keeps in sea water
LAST_GIVE_M = 0.1  # a bow that can fall back no further than this before the line is bar-tight lies to a straight line
LEAST_PULL_N = 1e-3


@dataclass(frozen=True)
class RodePart:
    """One part of the anchor line: length in metres, weight in water in newtons a metre."""

    length_m: float
    weight_n_per_m: float


@dataclass(frozen=True)
class Lie:
    """How the line lies under one pull.

    on_bottom_m: line still lying on the bottom; anchor_angle_deg: upward angle of the pull on the anchor, 0
    while any line lies; reach_m: level distance from anchor to bow; bow_tension_n: pull on the bow roller or
    snubber.
    """

    pull_n: float
    on_bottom_m: float
    anchor_angle_deg: float
    reach_m: float
    bow_tension_n: float


def chain_weight_n_per_m(mass_kg_per_m: float) -> float:
    """Weight of steel chain in sea water, N/m (0.8694 of its weight in air)."""
    return mass_kg_per_m * GRAVITY_M_S2 * STEEL_IN_WATER


def length_for_level_pull(pull_n: float, height_m: float, weight_n_per_m: float, angle_deg: float = 0.0) -> float:
    """Length in metres of one kind of line that keeps the pull on the anchor at or under an angle above level."""
    foot_tension = hypot(pull_n, pull_n * tan(radians(angle_deg)))
    bow_tension = weight_n_per_m * height_m + foot_tension
    return (sqrt(bow_tension**2 - pull_n**2) - pull_n * tan(radians(angle_deg))) / weight_n_per_m


def hang(lines: tuple[RodePart, ...], pull_n: float, lift_n: float = 0.0) -> tuple[float, float, float]:
    """Height risen (m), level reach (m) and upward pull at the top (N) of lines laid end to end from the lowest up."""
    height = reach = 0.0
    for line in lines:
        top_lift = lift_n + line.weight_n_per_m * line.length_m
        tensions = hypot(pull_n, lift_n) + hypot(pull_n, top_lift)
        height += line.length_m * (lift_n + top_lift) / tensions
        if top_lift - lift_n > 1e-6 * tensions:
            reach += pull_n / line.weight_n_per_m * (asinh(top_lift / pull_n) - asinh(lift_n / pull_n))
        else:
            reach += line.length_m * 2.0 * pull_n / tensions
        lift_n = top_lift
    return height, reach, lift_n


def lie(lines: tuple[RodePart, ...], height_m: float, pull_n: float) -> Lie:
    """How lines, from the anchor up, lie under a level pull in newtons from a bow `height_m` above the bottom."""
    refuse_short(lines, height_m)
    pull_n = max(pull_n, LEAST_PULL_N)
    if hang(lines, pull_n)[0] >= height_m:
        on_bottom = _root(lambda lying: hang(_lifted(lines, lying), pull_n)[0] - height_m, 0.0, length(lines))
        _, reach, top_lift = hang(_lifted(lines, on_bottom), pull_n)
        return Lie(pull_n, on_bottom, 0.0, on_bottom + reach, hypot(pull_n, top_lift))
    lift = _root(lambda lift: height_m - hang(lines, pull_n, lift)[0], 0.0, _enough_lift(lines, height_m, pull_n))
    _, reach, top_lift = hang(lines, pull_n, lift)
    return Lie(pull_n, 0.0, degrees(atan2(lift, pull_n)), reach, hypot(pull_n, top_lift))


def pull_at_angle(lines: tuple[RodePart, ...], height_m: float, angle_deg: float) -> float | None:
    """Pull in newtons at which the line first comes at this angle to the anchor; None if a taut line stays under it."""
    refuse_short(lines, height_m)
    rise = tan(radians(angle_deg))
    if hang((RodePart(length(lines), 0.0),), 1.0, rise)[0] >= height_m:
        return None
    return _pull_where(lambda pull: hang(lines, pull, pull * rise)[0] - height_m)


def pull_at_straight(lines: tuple[RodePart, ...], height_m: float) -> float:
    """Pull in newtons at which the line has come straight: the bow could still fall back 0.1 m, stretch apart, and none
    of the line lies on the bottom.
    """
    refuse_short(lines, height_m)
    wanted = taut_reach_m(lines, height_m) - LAST_GIVE_M

    def gives(pull_n: float) -> float:
        now = lie(lines, height_m, pull_n)
        return max(now.on_bottom_m, wanted - now.reach_m)

    return _pull_where(gives)


def taut_reach_m(lines: tuple[RodePart, ...], height_m: float) -> float:
    """Level distance from anchor to bow when the line is bar-tight."""
    return sqrt(length(lines) ** 2 - height_m**2)


def length(lines: tuple[RodePart, ...]) -> float:
    return sum(line.length_m for line in lines)


def refuse_short(lines: tuple[RodePart, ...], height_m: float) -> None:
    """Refuse a line that does not reach from the bow to the bottom."""
    if length(lines) <= height_m:
        raise OutOfRange(
            f"the anchor line is {length(lines):.1f} m and the bow roller stands {height_m:.1f} m above the bottom; "
            "it does not reach: choose shallower water or a longer line"
        )


def _lifted(lines: tuple[RodePart, ...], on_bottom_m: float) -> tuple[RodePart, ...]:
    """The lines that hang when so much from the anchor end lies on the bottom."""
    hanging = []
    for line in lines:
        lying = min(on_bottom_m, line.length_m)
        on_bottom_m -= lying
        hanging.append(RodePart(line.length_m - lying, line.weight_n_per_m))
    return tuple(hanging)


def _enough_lift(lines: tuple[RodePart, ...], height_m: float, pull_n: float) -> float:
    lift = pull_n
    while hang(lines, pull_n, lift)[0] < height_m:
        lift *= 2.0
    return lift


def _pull_where(falling: Callable[[float], float]) -> float:
    """The pull at which a quantity that falls with the pull passes zero."""
    high = 1.0
    while falling(high) > 0.0:
        high *= 2.0
    return _root(falling, LEAST_PULL_N, high)


def _root(falling: Callable[[float], float], low: float, high: float) -> float:
    """Where a falling function passes zero, by halving: sixty steps leave nothing that a float could show."""
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if falling(middle) > 0.0 else (low, middle)
    return 0.5 * (low + high)
