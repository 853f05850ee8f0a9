"""Stowage: mass and immersion, closed forms (D)."""

from __future__ import annotations

from math import isnan

import pytest

from passage.consequences.stores.stowage import immersion_mm, stowed, waterplane_m2
from passage.inputs.provisions import Stowage
from tests.stores_cases import boat

HULL = boat().hull


def test_a_square_metre_of_barge_sinks_a_metre_under_its_own_water() -> None:
    assert 1000.0 == pytest.approx(immersion_mm(1025.0, 1.0))


def test_the_waterplane_is_given_or_reckoned() -> None:
    assert 0.68 * 7.3 * 2.75 == pytest.approx(waterplane_m2(HULL, Stowage()))
    assert 14.5 == waterplane_m2(HULL, Stowage(waterplane_area_m2=14.5))


def test_rows_add_up_and_the_payload_is_minded() -> None:
    light = stowed([("crew", 150.0), ("nothing", 0.0), ("water", 200.0)], HULL, Stowage())
    assert 350.0 == light.total_kg
    assert ["water", "crew"] == [row.item for row in light.rows]
    assert light.immersion_mm == pytest.approx(sum(row.immersion_mm for row in light.rows))
    assert 0.0 == light.over_payload_kg
    heavy = stowed([("crew", 150.0), ("water", 1200.0)], HULL, Stowage())
    assert (100.0, 1250.0) == (heavy.over_payload_kg, heavy.payload_kg)


def test_no_payload_no_warning() -> None:
    assert isnan(stowed([("lead", 9000.0)], HULL.model_copy(update={"payload_kg": None}), Stowage()).over_payload_kg)
