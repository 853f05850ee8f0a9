"""What a boat file says."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from pydantic import ValidationError

from passage.inputs.boat import Boat, Helm, Hull, Tank
from passage.inputs.toml import read_fact

if TYPE_CHECKING:
    from pathlib import Path

LEAST = """
[boat]
name = "least"
length_overall = "30 ft"
waterline_length = "24 ft"
beam = "9 ft"
displacement = "12000 lb"
sail_area = "400 ft2"
[polar]
estimate = true
[[water_tank]]
name = "tank"
capacity = "40 US gal"
"""


def boat(tmp_path: Path, text: str) -> Boat:
    path = tmp_path / "boat.toml"
    path.write_text(text, encoding="utf-8")
    return read_fact(path, Boat)


def test_the_least_boat_file_has_defaults_for_all_the_rest(tmp_path: Path) -> None:
    read = boat(tmp_path, LEAST)
    assert Helm() == read.helm
    assert (None, 0.0, 0.0) == (read.engine, read.usable_fuel_l, read.emergency_water.volume_l)
    assert 0.03 == read.polar.tacking_loss_share


def test_other_peoples_units_are_kept_in_ours(tmp_path: Path) -> None:
    """Exact by definition: 0.3048 m, 0.45359237 kg, 3.785411784 L."""
    read = boat(tmp_path, LEAST)
    assert 9.144 == pytest.approx(read.hull.length_overall_m)
    assert 12000 * 0.45359237 == pytest.approx(read.hull.displacement_kg)
    assert 400 * 0.3048**2 == pytest.approx(read.hull.sail_area_m2)
    assert 40 * 3.785411784 == pytest.approx(read.usable_water_l)


def test_hull_speed_is_the_old_rule_in_feet(tmp_path: Path) -> None:
    """P, common practice: 1.34 times the root of the waterline in feet; its third figure is half a per cent."""
    assert 1.34 * 24**0.5 == pytest.approx(boat(tmp_path, LEAST).hull.hull_speed_kn, rel=0.005)


def test_hull_speed_is_that_of_a_wave_as_long_as_the_waterline() -> None:
    """D: deep-water waves, c = sqrt(g L / 2 pi); 2.43 keeps three figures."""
    hull = Hull(name="h", length_overall_m=12, waterline_length_m=10, beam_m=3, displacement_kg=9000, sail_area_m2=70)
    assert (9.80665 * 10 / (2 * 3.141592653589793)) ** 0.5 / 0.514444 == pytest.approx(hull.hull_speed_kn, rel=0.003)


@pytest.mark.parametrize(
    ("capacity_l", "unusable_l", "filled_share", "usable_l"),
    [(100, 0, 1, 100), (100, 5, 1, 95), (100, 5, 0.5, 45), (100, 5, 0.02, 0), (100, 5, 0, 0)],
)
def test_a_tank_gives_what_is_in_it_but_for_the_bottom(
    capacity_l: float, unusable_l: float, filled_share: float, usable_l: float
) -> None:
    tank = Tank(name="t", capacity_l=capacity_l, unusable_l=unusable_l, filled_share=filled_share)
    assert usable_l == pytest.approx(tank.usable_l)


def test_tanks_add_up_and_the_emergency_water_stays_apart(tmp_path: Path) -> None:
    more = (
        LEAST
        + '[[water_tank]]\nname = "cans"\ncapacity = "20 L"\nfilled = "50 %"\n[emergency_water]\nvolume = "18 L"\n'
    )
    read = boat(tmp_path, more)
    assert 40 * 3.785411784 + 10 == pytest.approx(read.usable_water_l)
    assert 18 == read.emergency_water.volume_l


def test_a_fact_is_changed_only_into_another_fact() -> None:
    helm = Helm()
    assert 30 == helm.model_copy(update={"gust_limit_kn": 30.0}).gust_limit_kn
    with pytest.raises(ValidationError):
        helm.gust_limit_kn = 30.0  # type: ignore[misc]
    with pytest.raises(ValidationError, match="below gust_limit"):
        Helm(gust_limit_kn=30, gust_resume_kn=30)


def test_the_polar_file_is_looked_for_beside_the_boat_file(tmp_path: Path) -> None:
    read = boat(tmp_path, LEAST.replace("estimate = true", 'file = "p.csv"'))
    assert tmp_path / "p.csv" == read.polar.file
