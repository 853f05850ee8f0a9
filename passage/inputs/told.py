"""A figure of a file as a person would write it, in the units that are printed."""

from __future__ import annotations

from passage.tell.customary import customary
from passage.tell.figures import amount
from passage.units import KINDS, written


def plainly(value: float, kind: str) -> str:
    """``plainly(75.7, "volume")`` -> ``"75.7 L"``, or ``"20 gal"`` where these are printed."""
    meant = KINDS[kind]
    if customary(meant.sign) is None:
        return written(value, kind)
    return f"{amount(value / meant.scale, '', unit=meant.sign):u}"
