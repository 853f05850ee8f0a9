"""What an electrics file says, and every way in which it may be wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from passage.errors import InputFaults
from passage.inputs.electrics import ELECTRICS_FILE, Electrics
from passage.inputs.toml import read_fact

BOATS = Path(__file__).parents[1] / "boats"
LEAST = """[battery]
chemistry = "lead"
capacity = "200 Ah"
voltage = "12 V"

[[load]]
name = "anchor light"
power = "2 W"
when = "night"
"""


def read(tmp_path: Path, text: str) -> Electrics:
    path = tmp_path / ELECTRICS_FILE
    path.write_text(text, encoding="utf-8")
    return read_fact(path, Electrics)


def faults(tmp_path: Path, text: str) -> list[tuple[int, str, str]]:
    """Line, key and what was found of every fault."""
    with pytest.raises(InputFaults) as told:
        read(tmp_path, text)
    return [(fault.line, fault.key, fault.found) for fault in told.value.faults]


def test_the_least_file_has_defaults_for_all_the_rest(tmp_path: Path) -> None:
    found = read(tmp_path, LEAST)
    assert (0.9, (), None, "MPPT") == (
        found.departure.start_share,
        found.panels,
        found.alternator,
        found.solar.controller,
    )


@pytest.mark.parametrize("path", sorted(BOATS.glob(f"*/{ELECTRICS_FILE}")), ids=lambda path: path.parent.name)
def test_the_demonstration_files_read(path: Path) -> None:
    found = read_fact(path, Electrics)
    assert found.panels_w > 0.0
    assert found.alternator is not None


def test_shore_power_leaves_the_battery_full(tmp_path: Path) -> None:
    assert 1.0 == read(tmp_path, LEAST + "[departure]\nshore_power = true\n").departure.start_share


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            LEAST + '[[load]]\nname = "pump"\ncurrent = "5 A"\n',
            (12, "load[2].current", "5 A without a voltage"),
        ),
        (LEAST + '[[panel]]\nname = "huge"\npower = "20 kW"\n', (12, "panel[1].power", '"20 kW"')),
        (LEAST.replace('chemistry = "lead"\n', ""), (1, "battery.chemistry", "missing")),
        (LEAST.replace('"lead"', '"nickel"'), (2, "battery.chemistry", '"nickel"')),
        (LEAST.replace('"12 V"', '"18 V"'), (4, "battery.voltage", "18 V")),
        (LEAST.replace('"200 Ah"', '"2400 Wh"'), (3, "battery.capacity", '"2400 Wh"')),
        (
            LEAST + '[[load]]\nname = "pump"\npower = "5 W"\nhours_per_day = "30 h"\n',
            (13, "load[2].hours_per_day", '"30 h"'),
        ),
        (
            LEAST + '[[load]]\nname = "radio"\npower = "5 W"\ntimes_a_day = 30.0\neach = "1 h"\n',
            (13, "load[2].times_a_day", "30 h on in a day"),
        ),
        (
            LEAST + '[[load]]\nname = "maker"\npower = "5 W"\nwater = "60 L/day"\noutput = "2 L/h"\n',
            (13, "load[2].water", "30 h on in a day"),
        ),
        (
            LEAST + '[[load]]\nname = "anchor light"\npower = "3 W"\n',
            (11, "load[2].name", '"anchor light"'),
        ),
        (
            LEAST + '[[load]]\nname = "both"\npower = "3 W"\ncurrent = "1 A"\nvoltage = "12 V"\n',
            (13, "load[2].current", "both power and current"),
        ),
        (LEAST + '[[load]]\nname = "none"\n', (10, "load[2].power", "missing")),
        (
            LEAST + '[[load]]\nname = "volts"\npower = "3 W"\nvoltage = "12 V"\n',
            (13, "load[2].voltage", "a voltage without a current"),
        ),
        (
            LEAST + '[[load]]\nname = "pilot"\npower = "30 W"\nrough_power = "10 W"\n',
            (13, "load[2].rough_power", "10 W"),
        ),
        (
            LEAST + '[[load]]\nname = "radio"\npower = "5 W"\ntimes_a_day = 3.0\n',
            (13, "load[2].times_a_day", "times_a_day without each"),
        ),
        (
            LEAST + '[[load]]\nname = "fridge"\npower = "5 W"\nduty = "30 %"\nhours_per_day = "3 h"\n',
            (14, "load[2].hours_per_day", "duty and hours_per_day"),
        ),
        (
            LEAST + '[[load]]\nname = "lamp"\npower = "5 W"\nwhen = "night"\nhours_per_day = "3 h"\n',
            (14, "load[2].hours_per_day", "hours counted by the day"),
        ),
        (
            LEAST + '[[panel]]\nname = "deck"\npower = "50 W"\ntilt = "20 deg"\n',
            (13, "panel[1].tilt", "20°"),
        ),
        (LEAST + '[[panel]]\nname = "stern"\npower = "50 W"\nmount = "astern"\n', (10, "panel[1].tilt", "no tilt")),
        (
            LEAST + '[departure]\nshore_power = true\ncharge = "80 %"\n',
            (12, "departure.charge", "shore power and a charge"),
        ),
        (LEAST + '[charging]\nstart_below = "50 %"\n', (10, "charging", "a charging rule without an alternator")),
        (
            LEAST
            + "[wind_generator]\ncurve = [\n"
            + '  { speed = "9 kn", power = "0 W" },\n  { speed = "8 kn", power = "5 W" },\n]\n',
            (13, "wind_generator.curve[2].speed", "8 kn"),
        ),
    ],
)
def test_a_fault_names_its_line_and_key(tmp_path: Path, text: str, expected: tuple[int, str, str]) -> None:
    assert [expected] == faults(tmp_path, text)


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    text = LEAST.replace('chemistry = "lead"\n', "") + '[[panel]]\nname = "huge"\npower = "20 kW"\n'
    text += '[[load]]\nname = "pump"\ncurrent = "5 A"\n'
    assert ["battery.chemistry", "panel[1].power", "load[2].current"] == [key for _, key, _ in faults(tmp_path, text)]
