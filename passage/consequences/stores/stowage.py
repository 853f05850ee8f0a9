"""What the stores weigh and how far they put her down.

Immersion in sea water of 1025 kg a cubic metre: mass over density and waterplane area. Where the lines plan gives no
area it is waterline length times beam times a coefficient (common practice; the greatest beam overstates it a little,
so she may go down a little further).
"""

from __future__ import annotations

from math import nan
from types import MappingProxyType
from typing import TYPE_CHECKING

from passage.tell.figures import Side
from passage.tell.records import Record, reckoned, told

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from passage.inputs.boat import Hull
    from passage.inputs.provisions import Stowage

    Items = Sequence[tuple[str, float]]  # what, kg

SEA_WATER_KG_PER_M3 = 1025.0


class StowageRow(Record):
    """One thing stowed."""

    item: str = told("what it is")
    mass_kg: float = told("its mass, kg")
    immersion_mm: float = told("how far it alone puts her down, mm")


class Stowed(Record):
    """What crew and stores weigh, against the payload that the maker states."""

    rows: tuple[StowageRow, ...] = told("by item, the heaviest first, the foods as sums")
    foods: tuple[StowageRow, ...] = told("the foods one by one")
    total_kg: float = told("all of it, kg")
    immersion_mm: float = told("how far all of it puts her down, mm")
    waterplane_m2: float = told("area of the waterplane, square metres")
    payload_kg: float = told("the payload that the boat file states, kg; null where none is")

    @reckoned("more than that payload by so much, kg; null where none is stated", Side.UP)
    def over_payload_kg(self) -> float:
        return max(self.total_kg - self.payload_kg, 0.0)


def waterplane_m2(hull: Hull, stowage: Stowage) -> float:
    if stowage.waterplane_area_m2 is not None:
        return stowage.waterplane_area_m2
    return stowage.waterplane_coefficient * hull.waterline_length_m * hull.beam_m


def immersion_mm(mass_kg: float, waterplane: float) -> float:
    """Millimetres that ``mass_kg`` puts a wall-sided hull of that waterplane area (square metres) down."""
    return 1000.0 * mass_kg / (SEA_WATER_KG_PER_M3 * waterplane)


def stowed(items: Items, hull: Hull, stowage: Stowage, foods: Mapping[str, Items] = MappingProxyType({})) -> Stowed:
    """What is carried. foods: by what their sum is called."""
    area = waterplane_m2(hull, stowage)

    def rows(what: Items) -> tuple[StowageRow, ...]:
        return tuple(StowageRow(item, kg, immersion_mm(kg, area)) for item, kg in what if kg > 0)

    sums = [(words, sum(kg for _, kg in part)) for words, part in foods.items()]
    by_item = sorted(rows([*items, *sums]), key=lambda row: -row.mass_kg)
    total = sum(row.mass_kg for row in by_item)
    return Stowed(
        rows=tuple(by_item),
        foods=rows([food for part in foods.values() for food in part]),
        total_kg=total,
        immersion_mm=immersion_mm(total, area),
        waterplane_m2=area,
        payload_kg=nan if hull.payload_kg is None else hull.payload_kg,
    )
