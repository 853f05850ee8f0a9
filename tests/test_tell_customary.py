"""Figures printed in United States customary units: what is kept and told as JSON stays metric."""

from __future__ import annotations

import math

import pint
import pytest

from passage.tell.customary import CUSTOMARY, UNITS, Units, customary, metric_again, per_metric, told_in, unit_words
from passage.tell.figures import Side, amount, area_words, in_print, mass_words, volume_words, wire_words
from passage.tell.records import Record, down, told, up

NAMES = {  # as a library that is nobody's here calls them (T)
    "litres": ("liter", "US_liquid_gallon"),
    "kg": ("kilogram", "pound"),
    "g": ("gram", "ounce"),
    "m": ("meter", "foot"),
    "cm": ("centimeter", "inch"),
    "mm": ("millimeter", "inch"),
    "m²": ("meter ** 2", "foot ** 2"),
    "N": ("newton", "force_pound"),
}


class Tanks(Record):
    aboard_l: float = down("what the tanks give")
    load_l: float = up("what to load")
    depth_m: float = told("how deep")


@pytest.mark.parametrize("unit", NAMES)
def test_each_unit_is_the_librarys_own(unit: str) -> None:
    peer = pint.UnitRegistry()
    metric, ours = NAMES[unit]
    assert float(peer.Quantity(1.0, metric).to(ours).magnitude) == pytest.approx(CUSTOMARY[unit].per, rel=1e-9)


def test_fahrenheit_has_another_nought() -> None:
    assert (32.0, 212.0) == tuple(map(CUSTOMARY["°C"].value, (0.0, 100.0)))


def test_gallons_are_rounded_as_people_say_them() -> None:
    with told_in(Units.US):
        said = [f"{amount(litres, 'l'):u}" for litres in (90.8499, 37.85411784, 3.2, 1892.7)]
    assert ["24 gal", "10 gal", "0.8 gal", "500 gal"] == said


def test_each_is_rounded_to_its_own_side() -> None:
    tanks = Tanks(aboard_l=100.0, load_l=100.0, depth_m=2.0)  # 26.4 gallons
    with told_in(Units.US):
        assert ("26 gal", "27 gal") == (f"{tanks.aboard_l:u}", f"{tanks.load_l:u}")
        assert {"aboard_l": "26", "load_l": "27", "depth_m": "6.6"} == tanks.printed()
    assert ("100 litres", "100 litres") == (f"{tanks.aboard_l:u}", f"{tanks.load_l:u}")


def test_what_is_told_to_programs_stays_metric() -> None:
    tanks = Tanks(aboard_l=100.0, load_l=100.0, depth_m=2.0)
    with told_in(Units.US):
        assert {"aboard_l": 100, "load_l": 100, "depth_m": 2.0} == tanks.to_json()


def test_sums_of_printed_figures_add_up_on_paper() -> None:
    load, aboard = amount(171.0, "l", Side.UP), amount(131.0, "l", Side.DOWN)
    with told_in(Units.US):
        lacking = amount(in_print(load) - in_print(aboard), "l")
        assert int(f"{load}") - int(f"{aboard}") == int(f"{lacking}")


def test_chain_is_in_sixteenths_and_the_rest_as_it_is_asked_for() -> None:
    assert ("8 mm", "20 L", "2.7 kg", "36 m²") == (wire_words(8), volume_words(20), mass_words(2.7), area_words(36.0))
    with told_in(Units.US):
        assert ["5/16 in", "3/8 in", "1/2 in", "1 in"] == [wire_words(wire) for wire in (8, 9.5, 12.7, 25.4)]
        assert ("5.3 gal", "6 lb", "388 sq ft") == (volume_words(20), mass_words(2.7), area_words(36.0))


def test_what_stays_stays_and_a_dash_is_a_dash() -> None:
    with told_in(Units.US):
        assert ("nm", "kn", "Wh", "°") == tuple(map(unit_words, ("nm", "kn", "Wh", "°")))
        assert customary("nm") is None
        assert (1.0, 5.0) == (per_metric("kn"), metric_again(5.0, "kn"))
        assert "–" == f"{amount(math.nan, 'l')}"
    assert UNITS.get() is Units.METRIC


def test_a_printed_figure_turned_back_is_the_metric_one() -> None:
    with told_in(Units.US):
        for unit, other in CUSTOMARY.items():
            assert metric_again(other.value(12.5), unit) == pytest.approx(12.5)
