"""The gear file: what it may say, and the sentence for everything it may not."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest

from passage.consequences.readiness.dates import PassageDates, Status
from passage.consequences.readiness.ready import readiness
from passage.errors import InputFaults
from passage.inputs.failure import Failure
from passage.inputs.gear import Gear, read_gear
from passage.inputs.home import Home
from passage.shipped import shipped

if TYPE_CHECKING:
    from pathlib import Path

TODAY = date(2026, 11, 1)

GOOD = """\
[[gear]]
name = "shrouds"
kind = "standing rigging"
material = "wire"
fitted = 2019-04-01
inspected = 2026-05-01
parts = ["split pin 3 mm"]

[[gear]]
name = "engine oil"
kind = "engine oil"
serviced = 2026-09-01
running = "80 h"
service_every = "12 months"
service_every_hours = "125 h"

[[job]]
name = "draw seacocks"
place = "hull"
hauled = true
work = "8 h"

[[job]]
name = "antifoul"
hauled = true
after = ["draw seacocks"]
lead = "2 weeks"
cost = 250
failure = "annoys"

[[paper]]
name = "passport, skipper"
expires = 2029-01-31
valid_beyond = "6 months"
lead = "6 weeks"

[[spare]]
name = "pins"
part = "split pin 3 mm"
count = 20

[[seacock]]
name = "galley drain"
along = "3.2 m"
athwart = "-0.6 m"
below_waterline = "0.2 m"
bore = "1.5 in"

[[sail]]
name = "main"
stay = "mast"
area = "16 m2"
wind_to = "18 kn"
[[sail.reef]]
area = "12 m2"
wind_to = "26 kn"

[identity]
mmsi = "601123456"
"""


def read(folder: Path, text: str) -> Gear:
    path = folder / "gear.toml"
    path.write_text(text, encoding="utf-8")
    return read_gear(Home(folder).document("gear.toml"), TODAY)


def faults(folder: Path, text: str) -> list[tuple[int, str, str]]:
    with pytest.raises(InputFaults) as caught:
        read(folder, text)
    return [(fault.line, fault.key, fault.found) for fault in caught.value.faults]


def test_a_good_file_reads(tmp_path: Path) -> None:
    gear = read(tmp_path, GOOD)
    shrouds, oil = gear.items
    assert shrouds.fitted == date(2019, 4, 1)
    assert (oil.running_h, oil.service_every_months, oil.service_every_h) == (80.0, 12, 125.0)
    assert gear.jobs[1].lead_h == 14 * 24
    assert gear.jobs[1].failure is Failure.ANNOYS
    assert gear.papers[0].beyond_months == 6
    assert gear.seacocks[0].bore_mm == pytest.approx(38.1)
    assert gear.seacocks[0].athwart_m == -0.6
    assert gear.sails[0].reefs[0].area_m2 == 12.0


def test_no_file_is_an_empty_register(tmp_path: Path) -> None:
    assert Gear() == read_gear(Home(tmp_path).document("gear.toml"), TODAY)


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("fitted = 2019-04-01", "fitted = 2027-04-01", (5, "gear[1].fitted", "2027-04-01")),
        ("serviced = 2026-09-01", "serviced = 2026-11-02", (12, "gear[2].serviced", "2026-11-02")),
        ("fitted = 2019-04-01", 'fitted = "2019"', (5, "gear[1].fitted", '"2019"')),
        ("fitted = 2019-04-01", "fitted = 2019-04-01T00:00:00", (5, "gear[1].fitted", "2019-04-01 00:00:00")),
        ("inspected = 2026-05-01", "inspected = 2018-05-01", (6, "gear[1].inspected", "2018-05-01")),
        ('kind = "standing rigging"\n', "", (1, "gear[1].kind", "missing")),
        ('service_every = "12 months"', 'service_every = "12"', (14, "gear[2].service_every", '"12"')),
        ('service_every = "12 months"', 'service_every = "0 months"', (14, "gear[2].service_every", '"0 months"')),
        ('service_every = "12 months"', "service_every = 12", (14, "gear[2].service_every", "12")),
        ('running = "80 h"', "running = 80", (13, "gear[2].running", "80")),
        ('after = ["draw seacocks"]', 'after = ["paint"]', (26, "job[2].after[1]", '"paint"')),
        ('failure = "annoys"', 'failure = "bad"', (29, "job[2].failure", '"bad"')),
        ("hauled = true\nwork", "gear = 'rudder'\nwork", (20, "job[1].gear", '"rudder"')),
        ("cost = 250", "cost = -1", (28, "job[2].cost", "-1")),
        ('name = "antifoul"', 'name = "draw seacocks"', (24, "job[2].name", '"draw seacocks"')),
        ('bore = "1.5 in"', 'bore = "38 m"', (47, "seacock[1].bore", '"38 m"')),
        ('name = "galley drain"', 'name = "shrouds"', (43, "seacock[1].name", '"shrouds"')),
        ('area = "12 m2"', 'area = "17 m2"', (55, "sail[1].reef[1].area", "17 m²")),
        ('wind_to = "26 kn"', 'wind_to = "16 kn"', (56, "sail[1].reef[1].wind_to", "16 kn")),
        ('stay = "mast"', 'stay = "mast"\ninstead_of = ["genoa"]', (52, "sail[1].instead_of[1]", '"genoa"')),
        ('mmsi = "601123456"', 'mmsi = "60112345"', (59, "identity.mmsi", '"60112345"')),
        ("count = 20", "cuont = 20", (40, "spare[1].cuont", "unknown key")),
    ],
)
def test_a_fault_names_line_and_key(tmp_path: Path, old: str, new: str, expected: tuple[int, str, str]) -> None:
    assert old in GOOD
    assert expected in faults(tmp_path, GOOD.replace(old, new, 1))


def test_jobs_that_wait_for_one_another_are_a_fault(tmp_path: Path) -> None:
    text = GOOD.replace('hauled = true\nwork = "8 h"', 'after = ["antifoul"]')
    found = faults(tmp_path, text)
    assert [(20, "job[1].after"), (25, "job[2].after")] == [(line, key) for line, key, _ in found]
    assert all("waits for itself" in said for _, _, said in found)


def test_every_circle_is_told(tmp_path: Path) -> None:
    two = "".join(
        f'[[job]]\nname = "{name}"\nafter = ["{other}"]\n' for name, other in (("a", "b"), ("b", "a"), ("c", "c"))
    )
    assert ["job[1].after", "job[2].after", "job[3].after"] == [key for _, key, _ in faults(tmp_path, two)]


def test_a_job_that_waits_for_a_circle_is_not_in_it(tmp_path: Path) -> None:
    text = GOOD.replace('after = ["draw seacocks"]', 'after = ["draw seacocks", "antifoul"]')
    assert [(26, "job[2].after")] == [(line, key) for line, key, _ in faults(tmp_path, text)]


def test_work_beyond_ten_years_is_a_slip_of_the_pen(tmp_path: Path) -> None:
    jobs = "".join(f'[[job]]\nname = "job {number}"\nwork = "5000 h"\n' for number in range(5))
    ((_, key, found),) = faults(tmp_path, f'[work]\ndaily_work = "1 h"\n{jobs}')
    assert "job" == key
    assert "25,000 days of work" in found


def test_future_dates_are_told_with_every_other_fault(tmp_path: Path) -> None:
    text = GOOD.replace("fitted = 2019-04-01", "fitted = 2027-04-01").replace("cost = 250", 'cost = "dear"')
    expected = [(5, "gear[1].fitted"), (6, "gear[1].inspected"), (28, "job[2].cost")]  # inspected before it was fitted
    assert expected == [(line, key) for line, key, _ in faults(tmp_path, text)]


def test_a_label_may_lie_ahead(tmp_path: Path) -> None:
    assert read(tmp_path, GOOD.replace("fitted = 2019-04-01", "expires = 2031-04-01")).items[0].expires


def test_the_demonstration_register_reads_and_has_something_of_everything() -> None:
    dates = PassageDates(date(2026, 11, 25), date(2027, 2, 10), date(2027, 2, 26), date(2027, 3, 6), stay_days=14)
    gear = read_gear(Home(shipped("boats") / "nine-metre").document("gear.toml"), dates.today)
    result = readiness(gear, dates, engine_h=40.0)
    assert result.verdict == "not ready"
    assert {Status.OVERDUE, Status.DUE_BEFORE, Status.DUE_DURING, Status.UNPROVEN, Status.AGE_UNKNOWN, Status.FINE} == {
        finding.status for finding in result.findings
    }
    assert result.proofs
    assert result.spares.shared
    assert result.in_time
    assert not [remark for it in result.findings for remark in it.remarks if "did you mean" in remark]
