"""Taking water: what comes in through a hole, and what pumps and crew can keep up with, day after day.

What a hole lets in (``seacocks.inflow_l_min``) is what comes in at first: as she fills, the head grows less and the
hull sinks deeper.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from passage.consequences.readiness.seacocks import inflow_l_min

if TYPE_CHECKING:
    from passage.inputs.troubles import Leak, Pumps

ELECTRIC_SHARE = 0.5  # of the maker's figure (common practice: it is given at no lift and a full battery)
HOLES_MM = (6, 13, 19, 25, 38)  # from a rubbed hose to the sizes of common skin fittings


@dataclass(frozen=True)
class Hole:
    """What comes in through a hole of this bore, litres an hour, and by what it is held, '' where by nothing aboard."""

    bore_mm: int
    inflow_l_h: float
    held_by: str


@dataclass(frozen=True)
class Flooding:
    """A leak to live with. Litres an hour, day and night: electric_l_h, by_hand_l_h: what each way can hold;
    by_hand_min_h: minutes of pumping in every hour that the leak leaves to hands, all of them together.
    """

    rate_l_h: float
    electric_l_h: float
    by_hand_l_h: float
    by_hand_min_h: float
    holes: tuple[Hole, ...]

    @property
    def held(self) -> bool:
        return self.rate_l_h <= self.electric_l_h + self.by_hand_l_h


def electric_l_h(pumps: Pumps) -> float:
    return ELECTRIC_SHARE * pumps.electric_l_h


def pump_duty(pumps: Pumps, rate_l_h: float) -> float:
    """Share of the time that the electric pump runs."""
    return min(rate_l_h / electric_l_h(pumps), 1.0) if pumps.electric_l_h > 0 else 0.0


def flooding(leak: Leak, pumps: Pumps, persons: int, electric: bool) -> Flooding:
    """The leak against pumps and crew. electric: whether there is current for a pump."""
    machine = electric_l_h(pumps) if electric else 0.0
    hands = pumps.by_hand_l_h * min(persons * pumps.by_hand_hours_h / 24.0, 1.0)
    left = max(leak.rate_l_h - machine, 0.0)
    holes = ((bore, 60.0 * inflow_l_min(bore, leak.depth_m)) for bore in HOLES_MM)
    return Flooding(
        rate_l_h=leak.rate_l_h,
        electric_l_h=machine,
        by_hand_l_h=hands,
        by_hand_min_h=60.0 * left / pumps.by_hand_l_h if left > 0 and pumps.by_hand_l_h > 0 else 0.0,
        holes=tuple(Hole(bore, inflow, _held_by(inflow, machine, hands)) for bore, inflow in holes),
    )


def _held_by(inflow: float, machine: float, hands: float) -> str:
    if inflow <= machine:
        return "the electric pump"
    if inflow <= hands:
        return "hands"
    return "pump and hands" if inflow <= machine + hands else ""
