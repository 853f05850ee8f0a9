"""Getting the anchor up by hand: work, minutes and the pull on the arms.

Statics and common practice; breaking out is not in it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.consequences.anchoring.catenary import GRAVITY_M_S2, STEEL_IN_WATER, RodePart, length, lie
from passage.tell.figures import Side
from passage.tell.records import Record, reckoned, told, up

if TYPE_CHECKING:
    from passage.inputs.anchorage import Windlass

BARE_HANDS_N = 250.0  # what one person hauls hand over hand for some minutes, about 25 kg (P)
BARE_HANDS_M_PER_MIN = 8.0  # (P)
SHORT_STAY = 1.5  # line over height at which the anchor is taken to break out and the boat to drift free (P)
STEPS = 50


NEWTON_PER_KGF = GRAVITY_M_S2  # a kilogram of force, as people judge a pull


class Haul(Record):
    """One way of getting the line in; with the engine holding her only hanging weight is lifted."""

    engine_holds_boat: bool = told("whether the engine takes the wind's pull")
    handle: str = told("bare hands or windlass")
    hardest_pull_n: float
    arm_n: float
    work_wh: float
    minutes: float = up("working time without rests, minutes", unit="minutes", places=0)
    by_hand_possible: bool = told("whether it is within what bare hands can do")

    @reckoned("greatest tension in the line, kg", Side.UP)
    def hardest_pull_kgf(self) -> float:
        return self.hardest_pull_n / NEWTON_PER_KGF

    @reckoned("force on handle or hands, kg", Side.UP)
    def arm_kgf(self) -> float:
        return self.arm_n / NEWTON_PER_KGF


def haul_by_hand(
    lines: tuple[RodePart, ...], height_m: float, anchor_kg: float, pull_n: float, windlass: Windlass | None
) -> list[Haul]:
    """Rows for hauling with the engine holding the boat and without it.

    Pull in newtons is the wind's at the time of weighing.
    """
    return [
        _haul(lines, height_m, anchor_kg, wind_pull_n, engine_holds, windlass)
        for engine_holds, wind_pull_n in ((True, 0.0), (False, pull_n))
    ]


def line_tensions_n(
    lines: tuple[RodePart, ...], height_m: float, anchor_kg: float, pull_n: float
) -> list[tuple[float, float]]:
    """Metres hauled and tension in newtons, step by step: to short stay, to up-and-down, then the anchor to the bow."""
    slack_m = length(lines) - height_m
    to_short_stay_m = max(0.0, length(lines) - SHORT_STAY * height_m)
    anchor_n = anchor_kg * GRAVITY_M_S2 * STEEL_IN_WATER
    tensions = []
    for step_m, hauled_m in (*_steps(0.0, to_short_stay_m), *_steps(to_short_stay_m, slack_m)):
        wind_n = pull_n if hauled_m < to_short_stay_m else 0.0
        tensions.append((step_m, lie(_shortened(lines, hauled_m), height_m, wind_n).bow_tension_n))
    for step_m, hauled_m in _steps(slack_m, length(lines)):
        weight_n = sum(line.length_m * line.weight_n_per_m for line in _shortened(lines, hauled_m))
        tensions.append((step_m, anchor_n + weight_n))
    return tensions


def _steps(begin_m: float, end_m: float) -> list[tuple[float, float]]:
    """Length and middle of each of the equal steps from one length hauled to another."""
    step_m = (end_m - begin_m) / STEPS
    return [(step_m, begin_m + (step + 0.5) * step_m) for step in range(STEPS)] if step_m > 0.0 else []


def _haul(
    lines: tuple[RodePart, ...],
    height_m: float,
    anchor_kg: float,
    pull_n: float,
    engine_holds: bool,
    windlass: Windlass | None,
) -> Haul:
    tensions = line_tensions_n(lines, height_m, anchor_kg, pull_n)
    hardest = max(tension for _, tension in tensions)
    work_wh = sum(metres * tension for metres, tension in tensions) / 3600.0
    whole_m = length(lines)
    if windlass is None:
        return Haul(
            engine_holds,
            "bare hands",
            hardest,
            hardest,
            work_wh,
            whole_m / BARE_HANDS_M_PER_MIN,
            hardest <= BARE_HANDS_N,
        )
    stroke_minutes = whole_m / (windlass.chain_per_stroke_m * windlass.strokes_per_minute)
    power_minutes = work_wh * 60.0 / (windlass.arm_power_w * windlass.efficiency_share)
    arm_n = hardest * windlass.chain_per_stroke_m / (windlass.handle_travel_m * windlass.efficiency_share)
    return Haul(
        engine_holds, "windlass", hardest, arm_n, work_wh, max(stroke_minutes, power_minutes), hardest <= BARE_HANDS_N
    )


def _shortened(lines: tuple[RodePart, ...], hauled_m: float) -> tuple[RodePart, ...]:
    """The line still out when so much has come in over the bow."""
    left = []
    for line in reversed(lines):
        taken = min(hauled_m, line.length_m)
        hauled_m -= taken
        left.append(RodePart(line.length_m - taken, line.weight_n_per_m))
    return tuple(reversed(left))
