"""Taking water: what comes in through a hole, and what pumps and crew can keep up with, day after day.

What a hole lets in (``seacocks.inflow_l_min``) is what comes in at first: as she fills, the head grows less and the
hull sinks deeper.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from passage.consequences.readiness.seacocks import inflow_l_min
from passage.tell.records import Record, down, reckoned, told, up

if TYPE_CHECKING:
    from passage.inputs.troubles import Leak, Pumps

HOLES_MM = (6, 13, 19, 25, 38)  # from a rubbed hose to the sizes of common skin fittings


class HeldBy(StrEnum):
    """What keeps up with a hole."""

    PUMP = "the electric pump"
    HANDS = "hands"
    BOTH = "pump and hands"
    NOTHING = "nothing aboard"


class Hole(Record):
    """What comes in through a hole, and what holds it."""

    bore_mm: int = told("bore of the hole")
    inflow_l_h: float
    held_by: HeldBy = told("what holds it")

    @reckoned("what comes in through it at first")
    def inflow_l_per_minute(self) -> float:
        return self.inflow_l_h / 60.0


class Flooding(Record):
    """A leak to live with, day and night."""

    rate_l_h: float = up("what comes in, an hour", places=0)
    electric_l_h: float = down("what the electric pump holds an hour, half of its maker's figure", places=0)
    by_hand_l_h: float = down("what the crew holds by hand an hour, day and night", places=0)
    by_hand_min: float = up("minutes of hand pumping in every hour that this leak asks for, all hands together")
    holes: tuple[Hole, ...] = told("what comes in through holes of these bores")

    @reckoned("whether pumps and crew hold it")
    def held(self) -> bool:
        return self.rate_l_h <= self.electric_l_h + self.by_hand_l_h


def flooding(leak: Leak, pumps: Pumps, persons: int, electric: bool) -> Flooding:
    """The leak against pumps and crew. electric: whether there is current for a pump."""
    machine = pumps.counted_l_h if electric else 0.0
    hands = pumps.by_hand_l_h * min(persons * pumps.by_hand_hours_h / 24.0, 1.0)
    left = max(leak.rate_l_h - machine, 0.0)
    holes = ((bore, 60.0 * inflow_l_min(bore, leak.depth_m)) for bore in HOLES_MM)
    return Flooding(
        rate_l_h=leak.rate_l_h,
        electric_l_h=machine,
        by_hand_l_h=hands,
        by_hand_min=60.0 * left / pumps.by_hand_l_h if left > 0 and pumps.by_hand_l_h > 0 else 0.0,
        holes=tuple(Hole(bore, inflow, _held_by(inflow, machine, hands)) for bore, inflow in holes),
    )


def _held_by(inflow: float, machine: float, hands: float) -> HeldBy:
    if inflow <= machine:
        return HeldBy.PUMP
    if inflow <= hands:
        return HeldBy.HANDS
    return HeldBy.BOTH if inflow <= machine + hands else HeldBy.NOTHING
