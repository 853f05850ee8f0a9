"""What the stores weigh and how far they put her down.

Immersion in sea water of 1025 kg a cubic metre: mass over density and waterplane area. Where the lines plan gives no
area it is waterline length times beam times a coefficient (common practice; the greatest beam overstates it a little,
so she may go down a little further).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.inputs.boat import Hull
    from passage.inputs.provisions import Stowage

SEA_WATER_KG_PER_M3 = 1025.0


@dataclass(frozen=True)
class StowageRow:
    """One thing stowed: its mass, and how far it alone puts her down, mm."""

    item: str
    mass_kg: float
    immersion_mm: float


@dataclass(frozen=True)
class Stowed:
    """rows: by item; total_kg, immersion_mm: all of it; waterplane_m2; warning: '' unless above the stated payload."""

    rows: tuple[StowageRow, ...]
    total_kg: float
    immersion_mm: float
    waterplane_m2: float
    warning: str


def waterplane_m2(hull: Hull, stowage: Stowage) -> float:
    if stowage.waterplane_area_m2 is not None:
        return stowage.waterplane_area_m2
    return stowage.waterplane_coefficient * hull.waterline_length_m * hull.beam_m


def immersion_mm(mass_kg: float, waterplane: float) -> float:
    """Millimetres that ``mass_kg`` puts a wall-sided hull of that waterplane area (square metres) down."""
    return 1000.0 * mass_kg / (SEA_WATER_KG_PER_M3 * waterplane)


def stowed(items: Sequence[tuple[str, float]], hull: Hull, stowage: Stowage) -> Stowed:
    """What is carried, (item, kg), weighed against the payload the maker states."""
    area = waterplane_m2(hull, stowage)
    rows = tuple(StowageRow(item, kg, immersion_mm(kg, area)) for item, kg in items if kg > 0)
    total = sum(row.mass_kg for row in rows)
    warning = ""
    if hull.payload_kg is not None and total > hull.payload_kg:
        over = total - hull.payload_kg
        warning = (
            f"Crew and stores weigh {total:.0f} kg, {over:.0f} kg more than the stated payload of "
            f"{hull.payload_kg:.0f} kg: she floats below her marks, her stability and her polar no longer hold. "
            "Leave something ashore."
        )
    return Stowed(rows, total, immersion_mm(total, area), area, warning)
