"""Quantities as people write them, ``"9.2 m"`` or ``"12 US gal"``, read strictly into sailors' units.

The text is taken apart here, by one regular expression and a table of spellings, before pint sees it: pint
alone reads ``20 nm`` as nanometres, ``1,5 kW`` as 15 kW, and evaluates ``9**9``. A gallon without a word is the US one,
which is the smaller: who means the imperial one and reads ``gal`` has more water than the plan counts, not less.
The registry is built when the first conversion needs it, from the definitions below and no others.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from functools import cache
from typing import TYPE_CHECKING, Any

from passage.hidden import escaped

if TYPE_CHECKING:
    from pint import UnitRegistry

NUMBER = re.compile(r"[+-]?(?:[0-9]{1,12}(?:\.[0-9]{1,12})?|\.[0-9]{1,12})")
_QUANTITY = re.compile(rf"\s*({NUMBER.pattern})\s*(.*?)\s*", re.DOTALL)
_FRACTION = re.compile(r"\s*(?:([0-9]{1,6})[ -])?([0-9]{1,4})/([1-9][0-9]{0,3})(?![0-9.])\s*(.*?)\s*", re.DOTALL)
_FEET_AND_INCHES = re.compile(r"\s*([0-9]{1,4}) ?(?:ft|feet|foot),? +([0-9][0-9 ./-]*?) ?(?:in|inch|inches)\s*")
_DECIMAL_COMMA = re.compile(r"\s*[+-]?[0-9]+,[0-9]+")
_THOUSANDS = re.compile(r"\s*([0-9]{1,3}(?:,[0-9]{3})+)(?![0-9])\s*(.*)", re.DOTALL)


class Misread(ValueError):
    """A text that could not be read. found: what stands there; wanted: what would be right."""

    def __init__(self, found: str, wanted: str) -> None:
        self.found = found
        self.wanted = wanted
        super().__init__(f"{found}; {wanted}")


@dataclass(frozen=True)
class Quantity:
    """What is measured, in which unit it is kept, and how people may write it.

    sign: the unit it is kept and printed in; suffix: how names of such floats end;
    example: a text that reads; spellings: unit as written -> name in the registry;
    hints: refused unit -> what to write instead; scale: kept float per number printed, a share
    being kept as 0.9 and printed as 90 %.
    """

    sign: str
    suffix: str
    example: str
    spellings: dict[str, str]
    hints: dict[str, str] = field(default_factory=dict)
    scale: float = 1.0


def _spelled(**units: str) -> dict[str, str]:
    """Turn spellings by unit round: ``_spelled(foot="ft feet")`` -> ``{"ft": "foot", "feet": "foot"}``."""
    return {spelling.replace("_", " "): unit for unit, all_of_it in units.items() for spelling in all_of_it.split()}


_QUARTS = "write gallons, of which a quart is a quarter and a pint an eighth: 'gal', or 'imp gal'"
_MILES = "write nautical miles as 'nm', or spell out 'statute miles'"
_TONS = "tons differ: write 't' (1000 kg), 'kg' or 'lb'"

KINDS: dict[str, Quantity] = {
    "length": Quantity(
        "m",
        "_m",
        "9.2 m",
        _spelled(
            metre="m metre metres meter meters",
            centimetre="cm",
            millimetre="mm",
            foot="ft foot feet",
            inch="in inch inches",
        ),
        {"'": "write feet as 'ft'", '"': "write inches as 'in'"},
    ),
    "distance": Quantity(
        "nm",
        "_nm",
        "1700 nm",
        _spelled(nautical_mile="nm nautical_mile nautical_miles", statute_mile="statute_mile statute_miles"),
        {
            **dict.fromkeys(("mi", "mile", "miles", "M", "NM", "sm"), _MILES),
            "km": "write nautical miles: 1 nm is 1.852 km",
            "m": "write nautical miles: 1 nm is 1852 m",
        },
    ),
    "speed": Quantity(
        "kn",
        "_kn",
        "5 kn",
        _spelled(knot="kn kt kts knot knots", metre_per_second="m/s", kilometre_per_hour="km/h"),
        {"mph": "write knots as 'kn': 1 kn is 1.151 mph", "nm": "write knots as 'kn'"},
    ),
    "volume": Quantity(
        "L",
        "_l",
        "120 L",
        _spelled(
            litre="L l litre litres liter liters",
            millilitre="ml mL",
            us_gallon="gal gals gallon gallons US_gal US_gallon US_gallons",
            imperial_gallon="imp_gal imperial_gallon imperial_gallons",
        ),
        dict.fromkeys(("qt", "quart", "quarts", "pint", "pints"), _QUARTS),
    ),
    "pressure": Quantity("hPa", "_hpa", "1019 hPa", _spelled(hectopascal="hPa hpa mbar mb")),
    "daily volume": Quantity(
        "L/day",
        "_l_per_day",
        "3 L/day",
        _spelled(
            litre_per_day="L/day l/day",
            us_gallon_per_day="gal/day gallons/day US_gal/day",
            imperial_gallon_per_day="imp_gal/day",
        ),
        dict.fromkeys(("L", "l", "litres", "gal"), "say that it is for a day: 'L/day'"),
    ),
    "mass": Quantity(
        "kg",
        "_kg",
        "5400 kg",
        _spelled(kilogram="kg", tonne="t tonne tonnes", gram="g", pound="lb lbs pound pounds"),
        dict.fromkeys(("ton", "tons", "T"), _TONS),
    ),
    "area": Quantity("m²", "_m2", "38 m2", _spelled(square_metre="m² m2 sq_m sqm", square_foot="ft2 ft² sq_ft sqft")),
    "power": Quantity(
        "W",
        "_w",
        "60 W",
        _spelled(watt="W watt watts", kilowatt="kW", horsepower="hp"),
        {"A": "write watts, which are amperes times volts"},
    ),
    "energy": Quantity(
        "Wh",
        "_wh",
        "900 Wh",
        _spelled(watt_hour="Wh", kilowatt_hour="kWh", kilocalorie="kcal", kilojoule="kJ", megajoule="MJ"),
        {"cal": "write 'kcal'", "Cal": "write 'kcal'", "Ah": "write watt-hours: ampere-hours times volts"},
    ),
    "temperature": Quantity(
        "°C",
        "_c",
        "24 °C",
        _spelled(celsius="°C degC C", fahrenheit="°F degF F"),
        dict.fromkeys(("°", "deg", "K"), "write '°C' or '°F'"),
    ),
    "duration": Quantity(
        "h",
        "_h",
        "3 h",
        _spelled(hour="h hour hours", minute="min minute minutes", day="d day days", week="week weeks"),
        dict.fromkeys(("month", "months", "year", "years"), "months differ: write days or weeks"),
    ),
    "angle": Quantity("°", "_deg", "45 deg", _spelled(degree="° deg degree degrees")),
    "share": Quantity("%", "_share", "90 %", _spelled(percent="% percent"), scale=0.01),
    "current": Quantity("A", "_a", "5 A", _spelled(ampere="A", milliampere="mA")),
    "voltage": Quantity("V", "_v", "12.8 V", _spelled(volt="V")),
    "charge": Quantity(
        "Ah",
        "_ah",
        "200 Ah",
        _spelled(ampere_hour="Ah"),
        dict.fromkeys(("Wh", "kWh"), "write ampere-hours: watt-hours divided by volts"),
    ),
    "flow": Quantity(
        "L/h",
        "_l_h",
        "1.5 L/h",
        _spelled(
            litre_per_hour="L/h l/h",
            us_gallon_per_hour="gal/h gph US_gal/h US_gph",
            imperial_gallon_per_hour="imp_gal/h imp_gph",
        ),
        dict.fromkeys(("L", "l", "litres", "gal", "nm/L", "L/nm"), "say how much in an hour: 'L/h' or 'gal/h'"),
    ),
    "consumption": Quantity("g/kWh", "_g_kwh", "250 g/kWh", _spelled(gram_per_kilowatt_hour="g/kWh")),
}

# Exact by definition: the international foot and pound, the nautical and the statute mile, both gallons, the
# thermochemical calorie; the horsepower is the mechanical one of 550 ft lbf/s.
_DEFINITIONS = """
metre = [length]
second = [time]
kilogram = [mass]
kelvin = [temperature]; offset: 0
ampere = [current]
centimetre = 0.01 * metre
millimetre = 0.001 * metre
foot = 0.3048 * metre
inch = 0.0254 * metre
nautical_mile = 1852 * metre
statute_mile = 1609.344 * metre
square_metre = metre ** 2
square_foot = foot ** 2
litre = 0.001 * metre ** 3
millilitre = 0.001 * litre
us_gallon = 3.785411784 * litre
imperial_gallon = 4.54609 * litre
litre_per_hour = litre / hour
us_gallon_per_hour = us_gallon / hour
imperial_gallon_per_hour = imperial_gallon / hour
litre_per_day = litre / day
us_gallon_per_day = us_gallon / day
imperial_gallon_per_day = imperial_gallon / day
gram = 0.001 * kilogram
tonne = 1000 * kilogram
pound = 0.45359237 * kilogram
minute = 60 * second
hour = 3600 * second
day = 24 * hour
week = 7 * day
knot = nautical_mile / hour
metre_per_second = metre / second
kilometre_per_hour = 1000 * metre / hour
joule = kilogram * metre ** 2 / second ** 2
kilojoule = 1000 * joule
megajoule = 1000000 * joule
kilocalorie = 4184 * joule
watt = joule / second
kilowatt = 1000 * watt
horsepower = 745.6998715822702 * watt
watt_hour = watt * hour
kilowatt_hour = 1000 * watt_hour
celsius = kelvin; offset: 273.15
fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9
milliampere = 0.001 * ampere
"""

# What stands in most voyages, by the one multiplication that pint would do: a quarter of a second to load it is saved.
COMMON = {
    ("foot", "metre"): 0.3048,
    ("inch", "metre"): 0.0254,
    ("centimetre", "metre"): 0.01,
    ("millimetre", "metre"): 0.001,
    ("square_foot", "square_metre"): 0.09290304,
    ("tonne", "kilogram"): 1000.0,
    ("pound", "kilogram"): 0.45359237,
    ("gram", "kilogram"): 0.001,
    ("us_gallon", "litre"): 3.785411784,
    ("millilitre", "litre"): 0.001,
    ("kilowatt", "watt"): 1000.0,
    ("kilowatt_hour", "watt_hour"): 1000.0,
    ("kilocalorie", "watt_hour"): 4184 / 3600,
    ("kilojoule", "watt_hour"): 1000 / 3600,
    ("milliampere", "ampere"): 0.001,
    ("minute", "hour"): 1 / 60,
    ("day", "hour"): 24.0,
    ("week", "hour"): 168.0,
}


@cache
def registry() -> UnitRegistry[Any]:
    """The one pint registry, holding our own definitions only."""
    from pint import UnitRegistry

    units: UnitRegistry[Any] = UnitRegistry(None)
    units.load_definitions(_DEFINITIONS.strip().splitlines())
    return units


def quantity(text: str, kind: str, example: str = "") -> float:
    """Read ``text``, a number and a unit, as a float in the unit that ``kind`` is kept in.

    A share is kept as a fraction of one. example: of what is wanted, where the kind's own is none. Raises Misread with
    what was found and what would be right.
    """
    meant = replace(KINDS[kind], example=example) if example else KINDS[kind]
    number, unit = _taken_apart(text, meant)
    if unit not in meant.spellings:
        raise Misread(shown(text), _right_unit(unit, meant))
    kept_in = meant.spellings[meant.sign]
    if meant.spellings[unit] == kept_in:
        return float(f"{number * meant.scale:.15g}")  # 95 % is 0.95, not the next float above
    factor = COMMON.get((meant.spellings[unit], kept_in))
    if factor is not None:
        return number * factor
    return float(registry().Quantity(number, meant.spellings[unit]).to(kept_in).magnitude)


def written(value: float, kind: str) -> str:
    """A kept float as a person would write it: ``written(0.9, "share")`` -> ``"90 %"``."""
    meant = KINDS[kind]
    return f"{value / meant.scale:.6g}{'' if meant.sign == '°' else ' '}{meant.sign}"


def shown(text: str) -> str:
    """Text quoted for a message: control characters escaped, cut short after 60 characters."""
    plain = "".join(letter if letter.isprintable() else escaped(letter) for letter in text[:61])
    return f'"{plain}"' if len(text) <= 60 else f'"{plain[:60]}..."'


def _taken_apart(text: str, meant: Quantity) -> tuple[float, str]:
    if thousands := _THOUSANDS.fullmatch(text):
        plain = f"{thousands[1].replace(',', '')} {thousands[2]}".strip()
        raise Misread(shown(text), f"write no comma: '{plain}', or a decimal point where it stands for one")
    if _DECIMAL_COMMA.match(text):
        raise Misread(shown(text), f"write a decimal point and no comma, such as '{meant.example}'")
    if meant.suffix == "_m" and (both := _FEET_AND_INCHES.fullmatch(text)):
        inches, _ = _taken_apart(f"{both[2]} in", meant)
        return 12.0 * float(both[1]) + inches, "in"
    if fraction := _FRACTION.fullmatch(text):  # as inches are written: 5/16, 1 1/4
        whole, above, below, unit = fraction.groups()
        return float(whole or 0) + float(above) / float(below), " ".join(unit.split())
    match = _QUANTITY.fullmatch(text)
    if match is None:
        raise Misread(shown(text), f"write a number and a unit, such as '{meant.example}'")
    return float(match[1]), " ".join(match[2].split())


def _right_unit(unit: str, meant: Quantity) -> str:
    if not unit:
        return f"say in which unit, such as '{meant.example}'"
    if hint := meant.hints.get(unit) or meant.hints.get(unit[:1] if unit[:1] in "'\"" else ""):
        return hint
    units = ", ".join(sorted({spelling for spelling in meant.spellings if spelling.isascii()}))
    return f"'{unit[:20]}' is not a unit read here; write one of {units}"
