"""Seacocks and through-hulls: where each one is, and what comes in if its hose is gone."""

from __future__ import annotations

from math import pi, sqrt
from typing import TYPE_CHECKING

from passage.tell.figures import amount
from passage.tell.records import Record, reckoned, told, up

if TYPE_CHECKING:
    from passage.inputs.gear import Gear, Seacock

GRAVITY_M_S2 = 9.80665
DISCHARGE = 0.6  # of a plain hole
DOUBLE_CLIPS = 2
CENTRE_M = 0.05  # nearer the middle than this a hole is said to be on the centreline


class SeacockRow(Record):
    """One hole in the hull, numbered from the bow for list and plan view."""

    number: int = told("number on the list and on the plan view")
    name: str = told("its name")
    place: str = told("where on board")
    along_m: float = told("distance aft of the bow, m")
    athwart_m: float = told("distance from the centreline, m, starboard positive")
    bore_mm: float = told("bore, mm")
    below_waterline_cm: float = told("depth below the waterline, cm")
    normally: str = told("open or shut at sea")
    inflow_l_per_minute: float = up("water through the open bore, litres a minute, 0.6 A sqrt(2 g h)")
    plug: bool = told("whether a softwood plug is tied on")
    wants: tuple[str, ...] = told("what is missing on it")

    @reckoned("which side it is on, and how far from the middle")
    def side(self) -> str:
        if abs(self.athwart_m) < CENTRE_M:
            return "centreline"
        return f"{amount(abs(self.athwart_m), 'm'):u} to {'starboard' if self.athwart_m > 0.0 else 'port'}"


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


def _row(number: int, seacock: Seacock) -> SeacockRow:
    return SeacockRow(
        number=number,
        name=seacock.name,
        place=seacock.place,
        along_m=seacock.along_m,
        athwart_m=seacock.athwart_m,
        bore_mm=seacock.bore_mm,
        below_waterline_cm=100.0 * seacock.below_waterline_m,
        normally=seacock.normally,
        inflow_l_per_minute=inflow_l_min(seacock.bore_mm, seacock.below_waterline_m),
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
