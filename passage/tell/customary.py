"""The units that figures are printed in: metric, as they are kept, or United States customary ones.

``units`` in boat.toml decides; miles, knots, watts and volts stay. What is kept, reckoned and told as JSON is metric
always: only words change. Figures are rounded as people say them, 24 gal and 7.5 oz, to the side that was declared.
"""

from __future__ import annotations

import math
from contextlib import contextmanager
from contextvars import ContextVar
from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator

FEW = 10.0  # below it people say a half or a tenth


class Units(StrEnum):
    """What people aboard measure in."""

    METRIC = "metric"
    US = "us"


UNITS: ContextVar[Units] = ContextVar("units", default=Units.METRIC)


class Customary(NamedTuple):
    """A unit in place of a metric one: how many of it make one of those, from which nought, and decimals of figures
    below one and below ten; above that there are none.
    """

    unit: str
    per: float
    nought: float = 0.0
    tenths_places: int = 1
    few_places: int = 1

    def value(self, metric: float) -> float:
        return metric * self.per + self.nought

    def places_of(self, value: float) -> int:
        return 0 if abs(value) >= FEW else self.few_places if abs(value) >= 1.0 else self.tenths_places


# Exact by definition: the US gallon of 231 cubic inches, the international foot and the avoirdupois pound.
_GALLON = 1.0 / 3.785411784
_POUND = 1.0 / 0.45359237
_FOOT = 1.0 / 0.3048

CUSTOMARY = {
    "litres": Customary("gal", _GALLON),
    "L": Customary("gal", _GALLON),
    "litres a day": Customary("gal a day", _GALLON),
    "L/day": Customary("gal/day", _GALLON),
    "L/h": Customary("gal/h", _GALLON, tenths_places=2),
    "litres an hour": Customary("gal an hour", _GALLON, tenths_places=2),
    "litres a minute": Customary("gal a minute", _GALLON),
    "kg": Customary("lb", _POUND),
    "g": Customary("oz", 16.0 * _POUND / 1000.0),
    "g a day": Customary("oz a day", 16.0 * _POUND / 1000.0),
    "m": Customary("ft", _FOOT),
    "metres": Customary("feet", _FOOT),
    "cm": Customary("in", _FOOT * 0.12),
    "mm": Customary("in", _FOOT * 0.012, tenths_places=2),
    "m²": Customary("sq ft", _FOOT**2),
    "°C": Customary("°F", 1.8, 32.0, tenths_places=0, few_places=0),
    "N": Customary("lbf", _POUND / 9.80665),
    "kN": Customary("lbf", 1000.0 * _POUND / 9.80665),
}


def customary(unit: str) -> Customary | None:
    """What stands in place of a metric unit now; None where it stays."""
    return CUSTOMARY.get(unit) if UNITS.get() is Units.US else None


def unit_words(unit: str) -> str:
    """The unit as it is printed now: of a column, an axis, a sentence."""
    other = customary(unit)
    return other.unit if other else unit


def per_metric(unit: str) -> float:
    """How many of the unit that is printed now make one metric one; for drawings, which bring their own scale."""
    other = customary(unit)
    return other.per if other else 1.0


def metric_again(value: float, unit: str) -> float:
    """A printed figure as the metric one it stands for."""
    other = customary(unit)
    return (value - other.nought) / other.per if other and math.isfinite(value) else value


@contextmanager
def told_in(units: Units) -> Iterator[None]:
    """Print in these units for a while."""
    kept = UNITS.set(units)
    try:
        yield
    finally:
        UNITS.reset(kept)
