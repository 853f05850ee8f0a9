"""Numbers and days that print themselves as they were declared. All rounding is here.

The name of a told field ends in its unit (``load_l``, ``slow_end_days``), and the unit says how many places are worth
printing; the declaration says to which side: a load up, what is left down.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from enum import Enum
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from passage.tell.customary import customary, metric_again, unit_words

if TYPE_CHECKING:
    from collections.abc import Callable

DASH = "–"
MEANT = 12  # significant digits that a sum of floats is good for: 100 * 0.07 is 7, not a hair more
_MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
_WEEKDAYS = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]


class Side(Enum):
    """To which side a figure is rounded. The safe one: loads and shortages up, what is left down."""

    NEAR = ROUND_HALF_EVEN
    UP = ROUND_CEILING
    DOWN = ROUND_FLOOR


def rounded(value: float, places: int = 0, side: Side = Side.NEAR) -> float:
    """The value to so many decimal places, as a float; what is not finite stays as it is, and nought has no sign."""
    if not math.isfinite(value):
        return value
    meant = Decimal(f"{value:.{MEANT}g}")
    return float(meant.quantize(Decimal(1).scaleb(-places), rounding=side.value)) + 0.0


def whole(value: float, side: Side) -> int:
    """The whole number on that side of a finite value, for days and counts."""
    return int(rounded(value, 0, side))


def _with_sign(value: float, places: int) -> str:
    return f"{value:,.{places}f}".replace("-", "−")


def _as_course(value: float, places: int) -> str:
    return f"{value % 360.0:03.0f}°"


def _east_or_west(value: float, places: int) -> str:
    return f"{abs(value):.{places}f}° {'E' if value >= 0 else 'W'}"


def _change_east_or_west(value: float, places: int) -> str:
    return _east_or_west(value, places) if value else f"{value:.{places}f}°"


def _plain(value: float, places: int) -> str:
    return f"{value:.{places}f}"


@dataclass(frozen=True)
class Measure:
    """How figures of one unit are printed. unit: what stands behind the number in print; places: decimals; scale: its
    ends, where figures beyond them are told as these.
    """

    unit: str = ""
    places: int = 0
    words: Callable[[float, int], str] = _with_sign
    scale: tuple[float, float] = (-math.inf, math.inf)


_BY_SUFFIX = {
    "": Measure(),
    "days": Measure("days", 1),
    "day": Measure(),
    "h": Measure("h"),
    "hours": Measure("h", 1),
    "watch_h": Measure("h", 1),
    "sleep_h": Measure("h", 1),
    "rest_h": Measure("h", 1),
    "complaint_h": Measure("h", 1),
    "charging_h": Measure("h", 1),
    "min": Measure("min"),
    "s": Measure("s", 2),
    "nm": Measure("nm"),
    "off_nm": Measure("nm", 1),
    "km": Measure("km"),
    "m": Measure("m", 1),
    "m2": Measure("m²", 1),
    "cm": Measure("cm"),
    "mm": Measure("mm"),
    "kn": Measure("kn", 1),
    "deg": Measure("°"),
    "course_deg": Measure("", 0, _as_course),
    "variation_deg": Measure("", 1, _east_or_west),
    "change_deg": Measure("", 1, _change_east_or_west),
    "anchor_angle_deg": Measure("°", 1),
    "straight_angle_deg": Measure("°", 1),
    "l": Measure("litres"),
    "charging_l": Measure("litres", 1),
    "l_per_day": Measure("litres a day", 1),
    "l_h": Measure("L/h", 1),
    "l_per_minute": Measure("litres a minute"),
    "g_per_day": Measure("g a day"),
    "kcal_per_day": Measure("kcal a day"),
    "kcal": Measure("kcal"),
    "kg": Measure("kg"),
    "gross_kg": Measure("kg", 1),
    "g": Measure("g"),
    "kw": Measure("kW", 1),
    "w": Measure("W"),
    "wh": Measure("Wh"),
    "wh_per_day": Measure("Wh a day"),
    "ah": Measure("Ah"),
    "ah_per_day": Measure("Ah a day"),
    "v": Measure("V", 1),
    "c": Measure("°C"),
    "hpa": Measure("hPa"),
    "n": Measure("N"),
    "kgf": Measure("kg"),
    "kn_force": Measure("kN", 1),
    "count": Measure(),
    "crossings": Measure(),
    "number": Measure(),
    "in": Measure(),
    "in_100": Measure("in 100"),
    "share": Measure("", 2),
    "ratio": Measure("", 1),
    "value": Measure("", 1),
    "kss": Measure("of 9", 1, scale=(1.0, 9.0)),
    "sleepiness": Measure("of 9", 1),
    "amount": Measure("", 1),
    "price": Measure("", 2),
    "cost": Measure(),
    "year": Measure("", 0, _plain),
}


def measure_of(name: str, unit: str | None = None, places: int | None = None) -> Measure:
    """The measure that a field's name ends in, the longest ending first; unit and places where these are given.

    Raises KeyError where the name ends in no unit and none is given.
    """
    parts = name.split("_")
    endings = ("_".join(parts[first:]) for first in range(len(parts)))
    found = next((_BY_SUFFIX[ending] for ending in endings if ending in _BY_SUFFIX), None)
    if found is None and unit is None:
        raise KeyError(name)
    measure = found or Measure()
    measure = measure if unit is None else replace(measure, unit=unit)
    return measure if places is None else replace(measure, places=places)


@dataclass(frozen=True)
class Telling:
    """How one field is told: what it means, in what measure, rounded to which side."""

    means: str
    side: Side = Side.NEAR
    unit: str | None = None
    places: int | None = None
    measure: Measure = Measure()

    def number(self, value: float) -> float | int | None:
        """The value rounded as declared: what JSON, frames and print give; None for what is not finite."""
        if not math.isfinite(value):
            return None
        least, most = self.measure.scale
        number = rounded(min(max(value, least), most), self.measure.places, self.side)
        if self.measure.words is _as_course:
            number %= 360.0
        return number if self.measure.places else int(number)

    def words(self, value: float) -> str:
        """The same number as a person reads it, in the units that are printed; a dash for what is not finite."""
        other = customary(self.measure.unit)
        if other is not None and math.isfinite(value):
            printed = self._printed(value)
            most = other.places_of(printed)
            return self.measure.words(printed, next(few for few in range(most + 1) if rounded(printed, few) == printed))
        number = self.number(value)
        return DASH if number is None else self.measure.words(number, self.measure.places)

    def _printed(self, value: float) -> float:
        """In the unit that is printed in place of its own, rounded to its side."""
        other = customary(self.measure.unit)
        assert other is not None
        asked = other.value(value)
        return rounded(asked, other.places_of(asked), self.side)

    def as_printed(self, value: float) -> float:
        """The metric figure that stands in print: what is printed, turned back."""
        if customary(self.measure.unit) is not None and math.isfinite(value):
            return metric_again(self._printed(value), self.measure.unit)
        number = self.number(value)
        return math.inf if number is None else float(number)

    @property
    def unit_words(self) -> str:
        """What stands behind the number in print."""
        return unit_words(self.measure.unit)


class Figure(float):
    """A float that is rounded and printed as declared: ``f"{load}"`` is 171, ``f"{load:u}"`` 171 litres.

    In arithmetic and comparisons it is the float that was found out, not the rounded one.
    """

    telling: Telling

    def __new__(cls, value: float, telling: Telling) -> Figure:
        figure = super().__new__(cls, value)
        figure.telling = telling
        return figure

    def __getnewargs__(self) -> tuple[float, Telling]:  # type: ignore[override]
        return float(self), self.telling

    def __format__(self, spec: str) -> str:
        return _formatted(self, self.telling, spec)

    def __str__(self) -> str:
        return self.telling.words(self)

    @property
    def number(self) -> float | int | None:
        """As told: rounded to its side."""
        return self.telling.number(self)


class Count(int):
    """A whole number that prints itself likewise."""

    telling: Telling

    def __new__(cls, value: int, telling: Telling) -> Count:
        count = super().__new__(cls, value)
        count.telling = telling
        return count

    def __getnewargs__(self) -> tuple[int, Telling]:  # type: ignore[override]
        return int(self), self.telling

    def __format__(self, spec: str) -> str:
        return _formatted(self, self.telling, spec)

    def __str__(self) -> str:
        return self.telling.words(self)

    @property
    def number(self) -> int:
        return int(self)


def _formatted(value: float, telling: Telling, spec: str) -> str:
    if spec == "":
        return telling.words(value)
    if spec == "u":
        unit = telling.unit_words
        return f"{telling.words(value)} {unit}" if unit and unit != "°" else f"{telling.words(value)}{unit}"
    return format(float(value), spec)


class PrintedDate(date):
    """A date that prints itself as ``Wed 10 Feb 2027``; ``f"{day:short}"`` leaves out the year."""

    def __format__(self, spec: str) -> str:
        if spec in ("", "short"):
            return day_words(self) + (f" {self.year}" if spec == "" else "")
        return super().__format__(spec)

    def __str__(self) -> str:
        return format(self)


class Moment(datetime):
    """A UTC time that prints itself as ``Wed 10 Feb 2027, 0800 UTC``."""

    def __format__(self, spec: str) -> str:
        return (
            super().__format__(spec) if spec else f"{day_words(self)} {self.year}, {self.hour:02}{self.minute:02} UTC"
        )

    def __str__(self) -> str:
        return format(self)


def volume_words(litres: float) -> str:
    """A can, as it is asked for in a shop: ``20 L``."""
    return f"{litres:g} L" if unit_words("L") == "L" else f"{amount(litres, 'l'):u}"


def mass_words(mass_kg: float) -> str:
    """A bottle or a pack: ``2.7 kg``."""
    return f"{mass_kg:g} kg" if unit_words("kg") == "kg" else f"{amount(mass_kg, 'kg'):u}"


SIXTEENTHS = 16


def wire_words(diameter_mm: float) -> str:
    """Chain, rope and wire: whole millimetres, or the nearest sixteenth of an inch, ``5/16 in``."""
    if unit_words("mm") == "mm":
        return f"{diameter_mm:g} mm"
    inches = Fraction(round(diameter_mm / 25.4 * SIXTEENTHS), SIXTEENTHS)
    whole, rest = divmod(inches, 1)
    return f"{' '.join(str(part) for part in (whole, rest) if part)} in"


def area_words(area_m2: float) -> str:
    """Sail area, to a tenth: nobody has measured it closer."""
    return f"{round(area_m2, 1):g} m²" if unit_words("m²") == "m²" else f"{amount(area_m2, 'm2'):u}"


def figured(value: Any, telling: Telling) -> Any:
    """The value as one that prints itself; what is no number, date or time stays what it is."""
    if isinstance(value, (bool, Enum)):
        return value
    if isinstance(value, int):
        return Count(value, telling)
    if isinstance(value, float):  # numpy's float64 is one too
        return Figure(value, telling)
    if isinstance(value, datetime):
        return Moment(*value.timetuple()[:6], tzinfo=value.tzinfo)
    if isinstance(value, date):
        return PrintedDate(value.year, value.month, value.day)
    return tuple(figured(each, telling) for each in value) if type(value) is tuple else value


def day_words(day: date) -> str:
    """A day without its year: ``Wed 10 Feb``."""
    return f"{_WEEKDAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]}"


def moment_words(moment: datetime) -> str:
    """A UTC time in print: ``Wed 10 Feb 2027, 0800 UTC``."""
    return f"{day_words(moment)} {moment.year}, {moment:%H%M} UTC"


def zone_words(zone_h: int) -> str:
    """Ship's time less UTC, hours: ``UTC+12``."""
    return f"UTC{'+' if zone_h >= 0 else '−'}{abs(zone_h)}"


def in_print(figure: float) -> float:
    """A told figure as it is printed, for sums that are to add up on paper; not finite stays what it is."""
    if isinstance(figure, Figure):
        return figure.telling.as_printed(figure)
    return float(figure)


def amount(
    value: float, ending: str, side: Side = Side.NEAR, places: int | None = None, unit: str | None = None
) -> Figure:
    """A figure for a sentence, in the unit that a field's name would end in: ``f"{amount(3.2, 'l'):u}"``."""
    return Figure(value, Telling("", side, measure=measure_of(ending, unit, places)))


def in_words(value: Any) -> str:
    """Any told value as a cell of a table has it: a dash for none, yes or no, numbers and dates as they print."""
    if value is None:
        return DASH
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Enum):
        return str(getattr(value, "words", value.value))
    if isinstance(value, (list, tuple)):
        return "; ".join(in_words(each) for each in value)
    return str(value)
