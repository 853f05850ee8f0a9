"""A cell has the bits of the one boat that sails alone."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

import passage
from passage.fleets.cell import Asked, sail_cell
from passage.fleets.schema import SHARES, VARIABLES, sizes
from tests.fleet_cases import fleet

if TYPE_CHECKING:
    from passage.fleets.cell import Values
    from passage.inputs.folder import Facts


@pytest.fixture(scope="module")
def facts() -> Facts:
    return fleet().a_voyage


@pytest.fixture(scope="module")
def cell(facts: Facts) -> Values:
    return sailed(facts)


def sailed(facts: Facts, year: int | None = None) -> Values:
    table = fleet()
    found = sail_cell(facts, Asked(20, 1, table.days, tuple(table.stores)), table.departures[1], year)
    assert not isinstance(found, str), found
    return found


def test_it_is_what_passage_sail_sails(facts: Facts, cell: Values) -> None:
    alone = passage.sail(facts, 20, 1, fleet().departures[1])
    assert np.array_equal(alone.crossings.arrival_h, cell["arrival_h"])
    assert alone.times.slow_end_h == cell["slow_end_h"]
    assert alone.times.typical_h == cell["arrival_quantile_h"][SHARES.index(0.5)]
    assert alone.times.hove_to_h == cell["hove_to_h"]
    assert alone.times.motoring_h == cell["motoring_h"]
    assert alone.times.strong_h == cell["strong_wind_h"]
    assert alone.power is not None
    assert alone.power.low.below_floor == cell["battery_low_share"]
    water = next(row for row in alone.stores.together.shortages if row.name == "water")
    assert water.short.value == cell["short_share"][0]
    assert alone.stores.all[0].lacking == cell["lacking"][0]
    assert 0.0 < cell["short_share"][0] <= cell["short_of_anything_share"]  # she has 20 litres


def test_a_real_year_is_what_passage_years_sails(facts: Facts) -> None:
    found = sailed(facts, 1985)
    year = next(each for each in passage.years(facts, 20, 1, fleet().departures[1]).years if each.year == 1985)
    assert year.typical_h == found["arrival_quantile_h"][SHARES.index(0.5)]
    assert year.slow_end_h == found["slow_end_h"]


def test_every_variable_of_the_schema_is_there_in_its_shape(cell: Values) -> None:
    lengths = sizes(fleet())
    assert {each.name: tuple(lengths[name] for name in each.beside) for each in VARIABLES} == {
        name: values.shape for name, values in cell.items()
    }
    assert 20.0 == cell["arrivals"].sum() + cell["never"]


def test_what_is_not_known_of_her_is_not_a_number(cell: Values) -> None:
    food = list(fleet().stores).index("food")
    assert np.isnan(cell["short_share"][food])
    solo = fleet().facts[2, 0]
    assert not isinstance(solo, str)
    assert np.isnan(sailed(solo)["battery_low_share"])  # nothing is said of a battery


def test_a_year_that_is_not_on_record_is_a_sentence(facts: Facts) -> None:
    table = fleet()
    asked = Asked(20, 1, table.days, tuple(table.stores))
    for year in (1950, 2020):
        assert f"does not hold the year {year}" in sail_cell(facts, asked, table.departures[0], year)


def test_a_boat_that_cannot_stem_the_current_is_a_sentence(facts: Facts) -> None:
    waypoints = facts.voyage.waypoints
    foul = waypoints[1].model_copy(update={"set_deg": 45.0, "drift_kn": 7.0})
    table = fleet()
    voyage = facts.voyage.model_copy(update={"waypoints": (waypoints[0], foul)})
    asked = Asked(20, 1, table.days, tuple(table.stores))
    assert "current" in sail_cell(replace(facts, voyage=voyage), asked, table.departures[0], None)
