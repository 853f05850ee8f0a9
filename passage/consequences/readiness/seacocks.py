"""Seacocks and through-hulls: where each one is, and what comes in if its hose is gone."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from passage.inputs.gear import Gear, Seacock

GRAVITY_M_S2 = 9.80665
DISCHARGE = 0.6  # of a plain hole
DOUBLE_CLIPS = 2


@dataclass(frozen=True)
class SeacockRow:
    """One hole in the hull, numbered from the bow for list and plan view.

    along_m: from the bow aft; athwart_m: starboard positive; inflow_l_min: litres a minute through the open
    bore; plug: a softwood plug is tied on; wants: what is missing on it.
    """

    number: int
    name: str
    place: str
    along_m: float
    athwart_m: float
    bore_mm: float
    below_waterline_m: float
    normally: str
    inflow_l_min: float
    plug: bool
    wants: tuple[str, ...]


def seacock_rows(gear: Gear) -> tuple[SeacockRow, ...]:
    """Every seacock from the bow aft."""
    ordered = sorted(gear.seacocks, key=lambda seacock: (seacock.along_m, seacock.athwart_m))
    return tuple(_row(number, seacock) for number, seacock in enumerate(ordered, 1))


def inflow_l_min(bore_mm: float, depth_m: float) -> float:
    """Water through a plain round hole at a depth, litres a minute: 0.6 A sqrt(2 g h) (Torricelli; the share is that of
    the jet's contraction at a sharp edge, 0.60 to 0.62 in any text on hydraulics).
    """
    area_m2 = pi / 4.0 * (bore_mm / 1000.0) ** 2
    return DISCHARGE * area_m2 * sqrt(2.0 * GRAVITY_M_S2 * depth_m) * 60_000.0


def bilge_pump_l_min(length_m: float) -> float:
    """Least flow of a bilge pump by ISO 15083 (R2), litres a minute: for ordinary bilge water, *not* for damage."""
    if length_m <= 6.0:
        return 10.0
    return 15.0 if length_m < 12.0 else 30.0


def _row(number: int, seacock: Seacock) -> SeacockRow:
    return SeacockRow(
        number=number,
        name=seacock.name,
        place=seacock.place,
        along_m=seacock.along_m,
        athwart_m=seacock.athwart_m,
        bore_mm=seacock.bore_mm,
        below_waterline_m=seacock.below_waterline_m,
        normally=seacock.normally,
        inflow_l_min=inflow_l_min(seacock.bore_mm, seacock.below_waterline_m),
        plug=seacock.plug,
        wants=_wants(seacock),
    )


def _wants(seacock: Seacock) -> tuple[str, ...]:
    wants = []
    if not seacock.plug:
        wants.append("a softwood plug tied on")
    if seacock.clips < DOUBLE_CLIPS:
        wants.append("double hose clips")
    if not seacock.material:
        wants.append("its alloy named")
    if seacock.worked is None:
        wants.append("to be worked, and the day written down")
    return tuple(wants)
