"""Quantities from text: against pint's own full registry as a peer, and against what the peer gets wrong."""

from __future__ import annotations

import subprocess
import sys

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from passage.units import COMMON, KINDS, Misread, quantity, registry, shown, written

# Kind, our spelling -> the peer's name for the same unit. Units the peer lacks are held against a definition below.
PEERS = {
    ("length", "m"): "meter",
    ("length", "cm"): "centimeter",
    ("length", "mm"): "millimeter",
    ("length", "ft"): "foot",
    ("length", "in"): "inch",
    ("distance", "nm"): "nautical_mile",
    ("distance", "statute miles"): "mile",
    ("speed", "kn"): "knot",
    ("speed", "m/s"): "meter / second",
    ("speed", "km/h"): "kilometer / hour",
    ("volume", "L"): "liter",
    ("volume", "ml"): "milliliter",
    ("volume", "US gal"): "US_liquid_gallon",
    ("volume", "imp gal"): "imperial_gallon",
    ("daily volume", "L/day"): "liter / day",
    ("pressure", "hPa"): "hectopascal",
    ("daily volume", "US gal/day"): "gallon / day",
    ("daily volume", "imp gal/day"): "imperial_gallon / day",
    ("mass", "kg"): "kilogram",
    ("mass", "t"): "metric_ton",
    ("mass", "g"): "gram",
    ("mass", "lb"): "pound",
    ("area", "m2"): "meter ** 2",
    ("area", "ft2"): "foot ** 2",
    ("power", "W"): "watt",
    ("power", "kW"): "kilowatt",
    ("power", "hp"): "horsepower",
    ("energy", "Wh"): "watt_hour",
    ("energy", "kWh"): "kilowatt_hour",
    ("energy", "kcal"): "kilocalorie",
    ("energy", "kJ"): "kilojoule",
    ("energy", "MJ"): "megajoule",
    ("temperature", "°C"): "degree_Celsius",
    ("temperature", "°F"): "degree_Fahrenheit",
    ("duration", "h"): "hour",
    ("duration", "min"): "minute",
    ("duration", "d"): "day",
    ("duration", "weeks"): "week",
    ("angle", "°"): "degree",
    ("share", "%"): "percent",
    ("current", "A"): "ampere",
    ("current", "mA"): "milliampere",
    ("voltage", "V"): "volt",
    ("charge", "Ah"): "ampere * hour",
    ("flow", "L/h"): "liter / hour",
    ("flow", "US gal/h"): "gallon / hour",
    ("flow", "imp gal/h"): "imperial_gallon / hour",
    ("consumption", "g/kWh"): "gram / kilowatt_hour",
}


@pytest.fixture(scope="module")
def peer() -> pint.UnitRegistry:
    return pint.UnitRegistry()


def test_every_unit_has_its_peer() -> None:
    assert {(kind, unit) for kind, meant in KINDS.items() for unit in meant.spellings.values()} == {
        (kind, KINDS[kind].spellings[spelling]) for kind, spelling in PEERS
    }


@pytest.mark.parametrize(("kind", "spelling"), PEERS)
def test_every_unit_agrees_with_the_full_registry(kind: str, spelling: str, peer: pint.UnitRegistry) -> None:
    """The same definitions to the last bits; T: pint's default registry."""
    kept_in = "dimensionless" if kind == "share" else PEERS[kind, KINDS[kind].sign.replace("m²", "m2")]
    expected = peer.Quantity(37.5, PEERS[kind, spelling]).to(kept_in).magnitude
    assert expected == pytest.approx(quantity(f"37.5 {spelling}", kind), rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("1 nm", "distance", 1.0),  # the international nautical mile, not a nanometre
        ("1 statute mile", "distance", 1609.344 / 1852),  # exact by definition
        ("1 US gal", "volume", 3.785411784),  # exact: 231 cubic inches
        ("1 gal", "volume", 3.785411784),  # without a word, the US one: our choice, the smaller of the two
        ("1 gal/day", "daily volume", 3.785411784),
        ("1 gph", "flow", 3.785411784),
        ("5/16 in", "length", 5 / 16 * 0.0254),
        ("1 imp gal", "volume", 4.54609),  # exact
        ("212 °F", "temperature", 100.0),  # water boils
        ("1 kcal", "energy", 4184 / 3600),  # thermochemical: people.md, units
        ("1 hp", "power", 745.7),  # people.md, units: 0.7457 kW, half its last digit
        ("1 m/s", "speed", 1 / 0.514444),  # people.md, units
        ("5 %", "share", 0.05),
        (" 9.2m ", "length", 9.2),
        ("5/16 in", "length", 0.0254 * 5 / 16),
        ("1 1/4 in", "length", 0.0254 * 1.25),
        ("33 ft 6 in", "length", 33.5 * 0.3048),
        ("33 ft 6 1/2 in", "length", 33.0 * 0.3048 + 6.5 * 0.0254),
        ("1/2 US gal/h", "flow", 3.785411784 / 2),
        (".5 h", "duration", 0.5),
        ("-3 °C", "temperature", -3.0),
    ],
)
def test_known_conversions(text: str, kind: str, expected: float) -> None:
    assert expected == pytest.approx(quantity(text, kind), rel=1e-5)


@pytest.mark.parametrize(
    ("text", "kind", "wanted"),
    [
        ("40 qt", "volume", "a quart is a quarter"),
        ("1,5 kW", "power", "decimal point"),
        ("1,200 nm", "distance", "decimal point"),
        ("9**9 m", "length", "not a unit"),
        ("20 miles", "distance", "statute"),
        ("20 km", "distance", "1.852"),
        ("20 mi", "distance", "nautical"),
        ("5 tons", "mass", "tons differ"),
        ("5 mph", "speed", "knots"),
        ("5 KN", "speed", "not a unit"),
        ("5 mJ", "energy", "not a unit"),
        ("5 Mw", "power", "not a unit"),
        ("100 Ah", "energy", "times volts"),
        ("5", "mass", "in which unit"),
        ("", "mass", "a number and a unit"),
        ("kg", "mass", "a number and a unit"),
        ("1e3 kg", "mass", "not a unit"),
        ("1.2.3 m", "length", "not a unit"),
        ("٣ m", "length", "a number and a unit"),
        ("nan m", "length", "a number and a unit"),
        ("9999999999999 m", "length", "not a unit"),
        ("5 m; import os", "length", "not a unit"),
    ],
)
def test_what_is_ambiguous_or_no_quantity_is_refused_with_a_hint(text: str, kind: str, wanted: str) -> None:
    with pytest.raises(Misread) as refused:
        quantity(text, kind)
    assert shown(text) == refused.value.found
    assert wanted in refused.value.wanted


def test_every_example_reads_and_every_hint_is_needed() -> None:
    for kind, meant in KINDS.items():
        assert quantity(meant.example, kind) > 0
        assert not set(meant.hints) & set(meant.spellings)


@given(st.text(max_size=30), st.sampled_from(sorted(KINDS)))
def test_any_text_is_read_or_refused(text: str, kind: str) -> None:
    try:
        value = quantity(text, kind)
    except Misread as refused:
        assert refused.found
        assert refused.wanted
    else:
        assert abs(value) < 1e20


@given(st.decimals(0, 99999, places=2), st.sampled_from(sorted(KINDS)))
def test_what_is_written_reads_back(number: object, kind: str) -> None:
    """``written`` keeps six figures: half a unit in the sixth."""
    value = quantity(f"{number} {KINDS[kind].sign}", kind)
    assert value == pytest.approx(quantity(written(value, kind), kind), rel=5e-6)


def test_only_the_degree_stands_close_to_its_number() -> None:
    assert ("80°", "90 %", "4 h") == (written(80.0, "angle"), written(0.9, "share"), written(4.0, "duration"))


def test_the_registry_knows_nothing_but_our_units() -> None:
    with pytest.raises(pint.UndefinedUnitError):
        registry().Quantity(1.0, "nm")


@pytest.mark.parametrize(("unit", "kept_in"), COMMON)
def test_a_common_unit_is_what_the_registry_makes_of_it_to_the_last_bit(unit: str, kept_in: str) -> None:
    for number in (0.1, 1.0, 3.3, 5.6, 34.5, 987.65):
        assert registry().Quantity(number, unit).to(kept_in).magnitude == number * COMMON[unit, kept_in]


def test_importing_the_module_loads_neither_pint_nor_numpy() -> None:
    code = "import sys, passage.units as u; u.quantity('5 kn', 'speed'); print({'pint', 'numpy'} & set(sys.modules))"
    assert "set()" == subprocess.run([sys.executable, "-c", code], capture_output=True, text=True).stdout.strip()


def test_long_and_unprintable_text_is_shown_short_and_escaped() -> None:
    assert '"a\\x00b"' == shown("a\x00b")
    assert f'"{"x" * 60}..."' == shown("x" * 61)
