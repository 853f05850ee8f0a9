"""Wind sea against the published tables."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from passage.consequences.windsea import SEA_STATES, sea_state, significant_height_m, wind_sea
from passage.crossings.simulate import sail
from passage.crossings.wind import Luck
from tests.crossing_cases import DEPART, laid, north_track, steady, vessel

PUBLISHED = Path(__file__).parent / "published"


def table(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", table("05_pierson_moskowitz.csv"), ids=lambda row: f"{row['U10_kn']} kn")
def test_heights_are_the_fully_developed_seas(row: dict[str, str]) -> None:
    """D from S (Stewart 16.29-16.33): the spectrum integrated, given to the millimetre; the table takes g = 9.81."""
    height = float(significant_height_m(float(row["U10_kn"])))
    assert float(row["Hs_integrated_m"]) == pytest.approx(height, rel=5e-4, abs=6e-4)


@pytest.mark.parametrize("row", table("05_sea_state.csv"), ids=lambda row: row["term"])
def test_sea_states_are_the_codes(row: dict[str, str]) -> None:
    """S: WMO code 3700 (BUFR 0 22 061); the bounding height to the lower figure (M)."""
    code = int(row["code"])
    least, most = float(row["height_min_m"]), float(row["height_max_m"] or "inf")
    assert (code, most) == (SEA_STATES[code][0], SEA_STATES[code][2])
    assert code == sea_state(most if code < 9 else 30.0)
    if least < most:
        assert code == sea_state(least + 1e-6)


def test_beauforts_probable_heights_up_to_force_six_lie_near_the_ceiling() -> None:
    """S: WMO code 1100, well-developed open sea, middle of the force; storms are not fully developed."""
    for row in table("05_beaufort.csv")[4:7]:
        middle_kn = (float(row["kn_min"]) + float(row["kn_max"])) / 2
        assert float(row["probable_wave_m"]) == pytest.approx(float(significant_height_m(middle_kn)), rel=0.35)


def test_hours_add_up_to_the_hours_under_way() -> None:
    track = north_track()
    sailed = sail(laid(track, steady(track, 3.0, 12.0, 6.0), vessel()), DEPART, Luck(5, 60))
    sea = wind_sea(sailed)
    assert sailed.under_way.sum() / 60 == pytest.approx(sum(state.state_h for state in sea.states))
    assert sea.typical_wave_m < sea.high_wave_m


def test_a_steady_wind_has_one_sea() -> None:
    track = north_track(120.0)
    sea = wind_sea(sail(laid(track, steady(track, 0.0, 20.0), vessel()), DEPART, Luck(5, 2)))
    assert [4] == [state.code for state in sea.states if state.state_h > 0.0]
    assert 2.378 == pytest.approx(sea.typical_wave_m, abs=2e-3)
    assert np.isclose(sea.typical_wave_m, sea.high_wave_m)
