"""What a crew file says."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from pydantic import ValidationError

from passage.inputs.crew import Crew, Person, WaterUse
from passage.inputs.toml import read_fact

if TYPE_CHECKING:
    from pathlib import Path


def test_people_stand_in_the_order_of_the_file(tmp_path: Path) -> None:
    path = tmp_path / "crew.toml"
    path.write_text(
        '[[person]]\nrole = "skipper"\nmass = "150 lb"\nage = 54\nsex = "F"\n'
        '[[person]]\nrole = "mate"\nmass = "80 kg"\nage = 57\nsex = "M"\n',
        encoding="utf-8",
    )
    crew = read_fact(path, Crew)
    assert ["skipper", "mate"] == [person.role for person in crew.people]
    assert 150 * 0.45359237 + 80 == pytest.approx(crew.mass_kg)  # the pound is exact by definition
    assert WaterUse() == crew.water


def test_the_defaults_for_water_are_the_published_ones() -> None:
    """people.md 2.3, P: 3 L where sea water washes up; 2.1, R2: EFSA 2010, drinks of a man, 2.0 L."""
    assert 3.0 == WaterUse().drink_and_cook_l_per_day
    assert 2.0 == WaterUse().survival_l_per_day


def test_survival_is_never_more_than_full_use() -> None:
    with pytest.raises(ValidationError, match="cannot exceed"):
        WaterUse(drink_and_cook_l_per_day=2, survival_l_per_day=2.5)


def test_a_crew_of_nobody_and_two_of_one_role_are_refused() -> None:
    skipper = Person(role="skipper", mass_kg=70, age_years=50, sex="F")
    with pytest.raises(ValidationError):
        Crew(people=())
    with pytest.raises(ValidationError, match="give each its own"):
        Crew(people=(skipper, skipper))
