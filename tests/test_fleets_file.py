"""What a fleet file says, and every fault in it told with its line."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest

from passage.errors import InputFaults
from passage.fleets.file import read_fleet
from tests.fleet_cases import FILE, lay

if TYPE_CHECKING:
    from pathlib import Path


def test_days_at_equal_distances_are_counted_out(tmp_path: Path) -> None:
    said = FILE.partition("days =")[0] + 'first = "2027-11-06 12:00"\ncount = 3\nevery = "14 d"\n'
    days = read_fleet(lay(tmp_path, said)).departures.all
    assert [datetime(2027, 11, 6, 12, tzinfo=UTC), datetime(2027, 12, 4, 12, tzinfo=UTC)] == [days[0], days[2]]


@pytest.mark.parametrize(
    ("years", "there", "expected"),
    [('"all"', range(1982, 1993), range(1982, 1993)), ('"1990 to 2005"', range(1982, 1993), range(1990, 1993))],
)
def test_years_are_those_on_record(years: str, there: range, expected: range, tmp_path: Path) -> None:
    climates = read_fleet(lay(tmp_path, f"{FILE}\n[climates]\nyears = {years}\n")).climates
    assert expected == climates.wanted(there)


@pytest.mark.parametrize(
    ("was", "becomes", "expected"),
    [
        ("crossings = 20", "crossings = 5", "line 3: fleet.crossings"),
        ('days = ["2027-06-01 09:00"', 'days = ["soon"', "line 13: departures.days"),
        ('folders = ["track"]', "folders = []", "line 10: tracks.folders"),
        ("[departures]", "[departures]\ncount = 4", "departures.count"),
        ("[departures]", "[departures]\nfirst = 2027-01-01T09:00:00Z", "days and first together"),
        ('file = "boats.csv"\nfolders = ["ten-metre"]', "", "boats: no boats"),
        ("[fleet]", '[climates]\nyears = "1990 to 1980"\n[fleet]', "climates.years"),
        ("[fleet]", '[climates]\nfiles = ["none.nc"]\n[fleet]', "no file none.nc"),
        ("[fleet]", "[fleet]\nboat = 3", "unknown key"),
    ],
)
def test_a_fault_is_a_sentence_with_its_place(was: str, becomes: str, expected: str, tmp_path: Path) -> None:
    assert was in FILE
    with pytest.raises(InputFaults) as refusal:
        read_fleet(lay(tmp_path, FILE.replace(was, becomes)))
    assert expected in str(refusal.value)
