"""How often things break, as a file may say it; the defaults are held against the counts that they name."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from passage.errors import InputFaults
from passage.inputs.reliability import STANDINGS, SURVEYED, Rates, Reliability, Wear
from passage.inputs.toml import read_fact
from passage.inputs.troubles import Troubles

if TYPE_CHECKING:
    from pathlib import Path


def read(folder: Path, text: str) -> Reliability:
    (folder / "troubles.toml").write_text(f"[reliability]\n{text}\n", encoding="utf-8")
    return read_fact(folder / "troubles.toml", Troubles).reliability


def test_a_number_counts_as_known_and_what_is_not_said_stays_the_default(tmp_path: Path) -> None:
    told = read(tmp_path, 'rudder_lost = { rate = 0.2 }\nengine_lost = { rate = [0, 0.1, 0.3], mended = "80 %" }')
    assert Wear(rate=Rates(0.2, 0.2, 0.2), mended_share=0.93, mending_h=12.0) == told.rudder_lost
    assert Wear(rate=Rates(0.0, 0.1, 0.3), mended_share=0.8, mending_h=24.0) == told.engine_lost
    assert Reliability().gas_lost == told.gas_lost
    assert told.count


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("rudder_lost = { rate = [0.3, 0.2, 0.1] }", "the low first and the high last"),
        ("rudder_lost = { rate = [0.1, 0.2] }", "give strikes in 20 days"),
        ("rudder_lost = { rate = -1 }", "from 0 to 20"),
        ("rudder_lost = { rate = nan }", "from 0 to 20"),
        ('rudder_lost = { rate = "often" }', "give strikes in 20 days"),
        ("rudder_lost = { rate = true }", "give strikes in 20 days"),
        ('rudder_lost = { mended = "120 %" }', "between 0 % and 100 %"),
        ("rudder_lost = 3", "rudder_lost"),
        ("ruder_lost = { rate = 1 }", "rudder_lost"),
    ],
)
def test_what_is_no_rate_is_told_with_its_line(text: str, said: str, tmp_path: Path) -> None:
    with pytest.raises(InputFaults, match=said) as refused:
        read(tmp_path, text)
    assert all(2 == fault.line for fault in refused.value.faults)


def test_every_trouble_has_a_standing_and_a_low_and_a_high_rate() -> None:
    wears = {name: wear for name, wear in Reliability() if isinstance(wear, Wear)}
    assert list(wears) == list(STANDINGS)
    for wear in wears.values():
        assert 0.0 < wear.rate.low < wear.rate.middle < wear.rate.high


def test_the_survey_s_counts_are_in_the_rates() -> None:
    """Breakages reported by 290 yachts of a transatlantic rally, 2016: pilots 18, steering and propellers 13, masts,
    booms, poles and furlers 54, engines 12, batteries 17 (R2, of 354 in all); the passage taken as 20 days.
    """
    counted = {
        "self_steering_lost": 18,
        "rudder_lost": 13,
        "headsail_jammed": 54,
        "engine_lost": 12,
        "battery_lost": 17,
    }
    assert counted == {name: standing.counted for name, standing in STANDINGS.items() if standing.counted}
    for name, count in counted.items():
        rate: Rates = getattr(Reliability(), name).rate
        assert abs(rate.middle * SURVEYED - count) < 0.15  # rates have three places
        assert (rate.low, rate.high) == (rate.middle / 2.0, rate.middle * 2.0)


def test_rudders_not_mended_are_as_many_as_were_counted() -> None:
    """4 in six fleets of some 230 yachts (Tibbs 2007, in Klaka on rudder strength, R2): 3 in 1,000 crossings."""
    wear = Reliability().rudder_lost
    assert abs(4 / (6 * 230) - wear.rate.middle * (1.0 - wear.mended_share)) < 0.0005
