"""Energy need. Worked examples of FAO/WHO/UNU 2004 (R, R2) with its rounding; a crew measured at sea (R)."""

from __future__ import annotations

import numpy as np
import pytest

from passage.consequences.stores.need import basal_kcal, energy_kcal_h, levels, person_need
from passage.crossings.ensemble import HOVE_TO, MOTORING, RUNNING_OFF
from passage.inputs.provisions import Activity
from tests.stores_cases import MATE, SKIPPER, steady_crossings, two

MJ_PER_KCAL = 4.184e-3  # the thermochemical calorie, exact


@pytest.mark.parametrize(
    ("kcal", "error", "sex", "age", "mass", "tolerance"),
    [
        (1302.0, 119.0, "F", 25, 55.0, 3.0),  # R, FAO section 5.4 worked example, printed whole
        (1745.0, 153.0, "M", 22, 70.0, 3.0),  # R2, FAO Table 5.1 note, printed whole
        (1790.9, 167.0, "M", 35, 80.0, 0.05),  # D from the table, half the last digit
        (1349.4, 111.0, "F", 45, 62.0, 0.1),  # D, half the last digit of the slope's share
        (1501.2, 164.0, "M", 64, 78.0, 0.1),  # D
    ],
)
def test_basal_rate_is_fao_table_5_2(
    kcal: float, error: float, sex: str, age: int, mass: float, tolerance: float
) -> None:
    assert (pytest.approx(kcal, abs=tolerance), error) == basal_kcal(sex, age, mass)


def test_total_energy_is_fao_worked_examples() -> None:
    """FAO 2004 section 5.4: 10.08 MJ (R); Table 5.1 note: 16.42 MJ (R2). Tolerance 0.02 MJ, their rounding."""
    assert pytest.approx(10.08, abs=0.02) == basal_kcal("F", 25, 55.0)[0] * 1.85 * MJ_PER_KCAL
    assert pytest.approx(16.42, abs=0.02) == basal_kcal("M", 22, 70.0)[0] * 2.25 * MJ_PER_KCAL


def test_a_crew_of_two_measured_at_sea_lies_within_its_published_spread() -> None:
    """Galvani and others 2015 (R): 8 men, 46.3 years, 85.4 kg, double-handed 500 nm: 14.26 MJ, level 1.8 +- 0.2."""
    level = 14.26 / (basal_kcal("M", 46.3, 85.4)[0] * MJ_PER_KCAL)
    assert pytest.approx(1.839, abs=0.001) == level  # D from R
    assert pytest.approx(1.8, abs=0.2) == level
    assert pytest.approx(level, abs=0.2) == Activity().mixed


def test_age_bands_step_at_thirty_and_sixty() -> None:
    """The upper band holds its first year (a choice, people.md); the step is real in the source."""
    assert basal_kcal("M", 30, 70.0) == basal_kcal("M", 45, 70.0) != basal_kcal("M", 29.9, 70.0)
    assert basal_kcal("F", 60, 70.0) == basal_kcal("F", 80, 70.0) != basal_kcal("F", 59.9, 70.0)


def test_the_weather_and_the_state_set_the_level() -> None:
    crossings = steady_crossings([5.0], miles=30.0)
    state, north = crossings.state, crossings.wind_north_kn
    north[0, :6] = [12.0, 21.0, 29.0, 2.0, 12.0, 12.0]
    state[0, 4], state[0, 5] = HOVE_TO, MOTORING
    assert [1.6, 1.8, 2.1, 1.8, 2.1, 1.8] == pytest.approx(levels(crossings, Activity())[0, :6])
    by_hand = levels(crossings, Activity(self_steering=False))[0, :6]
    assert [1.8, 2.1, 2.1, 2.1, 2.1, 2.1] == pytest.approx(by_hand)
    state[0, 0] = RUNNING_OFF
    assert pytest.approx(2.1) == levels(crossings, Activity())[0, 0]


def test_the_crew_eats_what_its_people_need() -> None:
    """D: in a steady trade wind the hourly need times 24 is the self-steered need of both."""
    needs = [person_need(person, Activity(), 0.00083) for person in (SKIPPER, MATE)]
    hourly = energy_kcal_h(steady_crossings([5.0]), two(), Activity())
    assert sum(need.self_steered_kcal for need in needs) == pytest.approx(24.0 * float(hourly[0, 0]), rel=1e-6)
    assert np.ptp(hourly) == 0.0
    assert pytest.approx(0.83e-3 * 142.0) == sum(need.protein_kg for need in needs)


@pytest.mark.parametrize(
    ("field", "wind_kn"), [("self_steered_kcal", 12.0), ("mixed_kcal", 21.0), ("heavy_kcal", 29.0)]
)
def test_the_need_told_for_a_day_is_what_such_a_day_takes(field: str, wind_kn: float) -> None:
    hourly = energy_kcal_h(steady_crossings([5.0], wind_kn=wind_kn), two(), Activity())
    told = sum(getattr(person_need(person, Activity(), 0.00083), field) for person in (SKIPPER, MATE))
    assert 24.0 * float(hourly[0, 0]) == pytest.approx(told, rel=1e-6)


def test_heavy_weather_takes_what_fao_calls_a_vigorous_day() -> None:
    """FAO/WHO/UNU 2004: a vigorous way of life is of levels 2.00 to 2.40 (M), times the basal rate."""
    assert 2.0 <= person_need(SKIPPER, Activity(), 0.00083).heavy_kcal / basal_kcal("F", 45, 62.0)[0] <= 2.4
