"""What a season file says, and how a slip in it is told."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest

from passage.errors import InputFaults
from passage.inputs.season import ALL
from passage.inputs.season_folder import read_season
from tests.plan_cases import MADE
from tests.season_cases import SHIPPED, copied

if TYPE_CHECKING:
    from pathlib import Path

SLIPS = {
    "a folder that is not there": (
        'voyage = "le-marin-horta"',
        'voyage = "le-marin-fayal"',
        'season.toml line 27: passage[3].voyage: no folder "le-marin-fayal" stands there; name the folder of a voyage',
    ),
    "a passage without a port": (
        '[passage.port]\nname = "Las Palmas"\nstay = "14 days"\nhaul_out = "7 days"\nmends = ["liferaft"]\n',
        "",
        "season.toml line 8: passage[1]: no port after this passage; below it add [passage.port] with a name and, say, "
        'stay = "14 days"',
    ),
    "a stay without a unit": (
        'stay = "14 days"',
        "stay = 14",
        "passage[1].port.stay: 14; write a number with its unit",
    ),
    "a port that stocks what no port does": (
        '"gas"]',
        '"diesel"]',
        "passage[3].port.restock[4]: \"diesel\"; write 'water'",
    ),
    "a wall that ends before it begins": (
        "until = 2027-11-30",
        "until = 2026-11-30",
        "wall[1].until: 2026-11-30; it cannot lie before from, 2027-06-01",
    ),
    "a wall of a place unknown": (
        'keeps_from = ["las-palmas-le-marin"]',
        'keeps_from = ["las-palmas-le-matin"]',
        'wall[1].keeps_from[1]: "las-palmas-le-matin"; did you mean "las-palmas-le-marin"?',
    ),
    "a visa shorter than the stay": (
        'visa = "180 days"',
        'visa = "20 days"',
        "passage[2].port.visa: 20 days; stay and haul_out alone are 21 days",
    ),
    "gear that is not listed": (
        'mends = ["liferaft"]',
        'mends = ["life raft"]',
        'port.mends[1]: "life raft"; gear.toml lists no such thing; did you mean "liferaft"?',
    ),
    "a season without its table": (
        '[season]\nname = "Round the North Atlantic"\n',
        "",
        "season.toml: season: missing; add a table [season]",
    ),
    "one bracket too few": (
        '[[passage]]\nvoyage = "lagos-las-palmas"',
        '[passage]\nvoyage = "lagos-las-palmas"',
        "there may be several of them: write [[passage]] each time",
    ),
    "a stay in words": ('stay = "14 days"', 'stay = "two weeks"', "write a number and a unit, such as '5 days'"),
    "a stay left out": ('stay = "14 days"\n', "", 'missing; add a line such as stay = "5 days"'),
    "a visa in months": ('visa = "180 days"', 'visa = "6 months"', "months differ: write days or weeks"),
    "one thing to stock without brackets": (
        'restock = ["water", "food", "fuel"]',
        'restock = "water"',
        'write a list, in square brackets: restock = ["water"]',
    ),
    "start for from": ("from = 2027-06-01", "start = 2027-06-01", "unknown key; did you mean 'from'?"),
    "a voyage without quotes": (
        'voyage = "le-marin-horta"',
        "voyage = le-marin-horta",
        'put it in double quotes: voyage = "le-marin-horta"',
    ),
    "a file for a folder": (
        'voyage = "le-marin-horta"',
        'voyage = "le-marin-horta/voyage.toml"',
        "is no folder with a voyage.toml; name the folder of a voyage",
    ),
    "a port of its own": (
        '[passage.port]\nname = "Las Palmas"',
        '[[port]]\nname = "Las Palmas"',
        "port: unknown key; begin it as [passage.port]",
    ),
    "a date in quotes": ("from = 2027-06-01", 'from = "2027-06-01"', "write a date without quotes, such as 2027-04-15"),
}


def test_the_shipped_season_is_four_passages_with_their_ports_and_walls() -> None:
    season = read_season(SHIPPED, MADE)
    assert ["lagos-las-palmas", "las-palmas-le-marin", "le-marin-horta", "horta-lagos"] == [
        leg.voyage for leg in season.file.passages
    ]
    las_palmas, le_marin, *_ = [leg.port for leg in season.file.passages]
    assert las_palmas and le_marin
    assert (21.0 * 24.0, ALL) == (las_palmas.days_h, las_palmas.restock)
    assert ("water", "food", "fuel") == le_marin.restock
    assert (date(2028, 6, 1), date(2028, 11, 30)) == (season.file.walls[1].first, season.file.walls[1].last)
    assert 4 == len(season.facts)


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_is_told_with_its_line_and_what_would_be_right(slip: str, tmp_path: Path) -> None:
    old, new, sentence = SLIPS[slip]
    with pytest.raises(InputFaults) as told:
        read_season(copied(tmp_path, (old, new)), MADE)
    assert sentence in str(told.value)


def test_a_fault_of_the_boat_is_told_once_however_many_voyages_name_her(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    boat = folder / "boat" / "boat.toml"
    boat.write_text(boat.read_text(encoding="utf-8").replace("7.2 t", "7.2"), encoding="utf-8")
    with pytest.raises(InputFaults) as told:
        read_season(folder, MADE)
    assert ["boat/boat.toml"] == [fault.file for fault in told.value.faults]


def test_passages_out_of_turn_are_told(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    two, four = (folder / name / "voyage.toml" for name in ("las-palmas-le-marin", "horta-lagos"))
    texts = two.read_text(encoding="utf-8"), four.read_text(encoding="utf-8")
    two.write_text(texts[1], encoding="utf-8")
    four.write_text(texts[0], encoding="utf-8")
    with pytest.raises(InputFaults) as told:
        read_season(folder, MADE)
    assert 'it begins 909 miles from "off Las Palmas", where the passage before it ends' in str(told.value)
    assert "it leaves on 2028-05-02; the passage before it leaves on 2028-07-01" in str(told.value)


def test_a_folder_without_the_file_says_what_to_write(tmp_path: Path) -> None:
    with pytest.raises(InputFaults, match=r"season.toml: missing in .* with --begin makes it"):
        read_season(tmp_path)
