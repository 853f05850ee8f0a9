"""Harbours by name. Positions of the towns are from memory (M): a town's middle, to a few miles."""

from __future__ import annotations

import pytest

from passage.inputs.harbours import place
from passage.units import Misread


@pytest.mark.parametrize(
    ("asked", "name", "country", "latitude", "longitude"),
    [
        ("Lagos, Portugal", "Lagos", "Portugal", 37.10, -8.67),
        ("lagos, port", "Lagos", "Portugal", 37.10, -8.67),
        ("Opua", "Opua", "New Zealand", -35.31, 174.12),
        ("Jamestown, Saint Helena", "Jamestown", "Saint Helena", -15.92, -5.72),
        ("Nuku'alofa", "Nuku‘alofa", "Tonga", -21.14, -175.20),
        ("Simons Town", "Simon's Town", "South Africa", -34.19, 18.43),
        ("Las Palmas, Spain", "Las Palmas de Gran Canaria", "Spain", 28.13, -15.43),
        ("Lisboa", "Lisbon", "Portugal", 38.72, -9.14),
        ("Falmouth, Massachusetts", "Falmouth", "Massachusetts, United States", 41.55, -70.61),
    ],
)
def test_a_harbour_is_found_by_its_name(asked: str, name: str, country: str, latitude: float, longitude: float) -> None:
    found = place(asked)
    assert (name, country) == (found.name, found.country)
    assert pytest.approx((latitude, longitude), abs=0.06) == found.position


def test_a_position_is_taken_as_it_is() -> None:
    assert pytest.approx((37.0833, -8.6667), abs=1e-3) == place("37 05N 8 40W").position


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("Lagos", "several have this name, say which: Lagos, Nigeria; Lagos, Portugal"),
        ("Saint Helena", "did you mean Saint Helena Bay, South Africa"),
        ("Hota", "did you mean Horta"),
        ("Zzyzxq", "no town by the sea of this name"),
        ("Zürich", "no town by the sea of this name|did you mean"),
        ("", "name a harbour"),
        ("95N 8W", "latitude"),
    ],
)
def test_what_cannot_be_found_is_a_sentence_with_a_way_out(asked: str, said: str) -> None:
    with pytest.raises(Misread, match=said):
        place(asked)
