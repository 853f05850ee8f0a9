"""A season's file, made of the voyages that lie in a folder."""

from __future__ import annotations

import json
import shutil
from datetime import date
from typing import TYPE_CHECKING

import pytest

from passage.errors import InputFaults
from passage.inputs.season_folder import read_season
from passage.seasons.begin import begin_season
from tests.plan_cases import MADE
from tests.season_cases import SHIPPED

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The shipped voyages, their season taken away."""
    shutil.copytree(SHIPPED, tmp_path / "year")
    (tmp_path / "year" / "season.toml").unlink()
    return tmp_path / "year"


def test_voyages_stand_in_the_order_in_which_they_leave_with_a_port_after_each(folder: Path) -> None:
    begin_season(folder)
    file = read_season(folder, MADE).file
    in_order = ["lagos-las-palmas", "las-palmas-le-marin", "le-marin-horta", "horta-lagos"]
    assert in_order == [leg.voyage for leg in file.passages]
    assert "off Las Palmas" == (file.passages[0].port and file.passages[0].port.name)
    assert [168.0] * len(in_order) == [leg.port.stay_h for leg in file.passages if leg.port]


def test_the_examples_in_it_are_read_once_their_hashes_are_gone(folder: Path) -> None:
    text = begin_season(folder).read_text(encoding="utf-8")
    lines = [line.removeprefix("# ") if "=" in line or "[[wall]]" in line else line for line in text.splitlines()]
    (folder / "season.toml").write_text("\n".join(lines).replace('"..."', '"horta-lagos"'), encoding="utf-8")
    file = read_season(folder, MADE).file
    assert (168.0, 2160.0) == (
        file.passages[0].port and (file.passages[0].port.haul_out_h, file.passages[0].port.visa_h)
    )
    assert date(2028, 6, 1) == file.walls[0].first


def test_it_names_its_schema_and_the_schema_is_there(folder: Path) -> None:
    first = begin_season(folder).read_text(encoding="utf-8").splitlines()[0]
    schema = json.loads((folder / first.removeprefix("#:schema ")).read_text(encoding="utf-8"))
    assert {"season", "passage", "wall"} == schema["properties"].keys()


def test_a_season_that_stands_there_is_left_as_it_is(folder: Path) -> None:
    (folder / "season.toml").write_text("[season]", encoding="utf-8")
    with pytest.raises(InputFaults, match="stands there already"):
        begin_season(folder)
    assert "[season]" == (folder / "season.toml").read_text(encoding="utf-8")


def test_every_fault_of_the_voyages_is_told_and_nothing_written(folder: Path) -> None:
    for name in ("le-marin-horta", "horta-lagos"):
        (folder / name / "voyage.toml").write_text("[voyage", encoding="utf-8")
    with pytest.raises(InputFaults) as told:
        begin_season(folder)
    assert {"le-marin-horta/voyage.toml", "horta-lagos/voyage.toml"} == {fault.file for fault in told.value.faults}
    assert not (folder / "season.toml").exists()


def test_one_voyage_is_no_season(tmp_path: Path) -> None:
    with pytest.raises(InputFaults, match=r"0 folders with a voyage\.toml"):
        begin_season(tmp_path)
