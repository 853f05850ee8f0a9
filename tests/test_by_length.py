"""What is told of a boat from her length, held against the published hulls it was fitted to, and against formulas."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from passage.inputs.by_length import BEAM_M, DISPLACEMENT_KG, SAIL_AREA_M2, Law, consumption_l_h, cruising_speed_kn

# Rating certificates' measures, 125 hulls without names, one row for each wind (standing S, T): see NOTICE, 4.
TABLE = Path(__file__).parent / "published" / "hull_velocity_predictions.csv"


def hulls() -> list[dict[str, str]]:
    with TABLE.open(encoding="utf-8") as file:
        return list({row["hull"]: row for row in csv.DictReader(file)}.values())


@pytest.mark.parametrize(
    ("law", "columns"),
    [(DISPLACEMENT_KG, ["displacement_kg"]), (SAIL_AREA_M2, ["main_m2", "genoa_m2"]), (BEAM_M, ["beam_m"])],
)
def test_the_fit_is_that_of_the_published_hulls(law: Law, columns: list[str]) -> None:
    rows = hulls()
    assert 125 == len(rows)
    length = np.log([float(row["loa_m"]) for row in rows])
    measure = np.log([sum(float(row[column]) for column in columns) for row in rows])
    power, constant = np.polyfit(length, measure, 1)
    scatter = np.std(measure - power * length - constant, ddof=2)
    assert (pytest.approx(power, abs=6e-4), pytest.approx(np.exp(constant), rel=2e-3)) == (law.power, law.factor)
    assert pytest.approx(scatter, abs=0.006) == law.scatter


def test_fuel_agrees_with_the_worked_example() -> None:
    """11 000 lb on 30 ft at 5.0 kn: 5.14 kW, 1.53 L/h (derived from Gerr's formula, second-hand); at the root of 30 ft,
    5.48 kn, by the cube of the speeds.
    """
    assert pytest.approx(5.477, abs=1e-3) == cruising_speed_kn(30.0 * 0.3048)
    assert pytest.approx(1.53 * (5.477 / 5.0) ** 3, rel=5e-3) == consumption_l_h(11_000 * 0.45359237)
